"""Rays against a mesh: whether anything stands between two points, and what a ray meets first."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, sqrt
from typing import Any, NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.bvh import BLOCK, NODE, MeshArrays
from scenelux.engine.cache import compiled, inner
from scenelux.engine.lanes import (
    BOXES,
    TRIANGLES,
    fetcher,
    four_triangles,
    hit_boxes,
    hit_triangles,
    lowest,
    near_boxes,
    room_for_numbers,
    room_for_shares,
    room_for_singles,
)

__all__ = ["first_hit", "mesh_blocks", "mesh_holds"]

Floats = NDArray[np.float64]

long = cast(Callable[[int], int], np.int64)
"""A whole number of 64 bits; in kernels `int` leaves the small ones of arrays as they are."""

fetch_boxes, fetch_children, fetch_block = fetcher(4 * NODE), fetcher(4 * BOXES), fetcher(8 * BLOCK)

STEEPEST = 1e20
"""Largest 1 / direction that single numbers carry through the boxes; beyond it the ray is square to that axis."""

ROOMY = 1.000001
"""Boxes are looked at a little farther than the ray goes, for what single numbers round away."""

BEYOND_M = 1.0
"""An endless ray ends this far behind the box around all triangles, so that nothing lies in the skin of its end."""

ODD = (0.2718281, 0.5772156, 0.7660446)
"""A direction that meets no edge of a shape drawn square to the site."""


class Hit(NamedTuple):
    """The first triangle met: share of the segment, its number, and the shares of its corners 1 and 2."""

    t: float
    triangle: int
    u: float
    v: float


class Ray(NamedTuple):
    """A segment made ready: for the boxes in single numbers, for the triangles along two short axes and its long."""

    rows: tuple[int, int, int]
    boxes: tuple[np.float32, np.float32, np.float32, np.float32, np.float32, np.float32]
    last: np.float32
    axes: tuple[int, int, int]
    origin: tuple[float, float, float]
    shear: tuple[float, float]
    depth: float


@inner
def within(low: float, high: float, origin: float, step: float, enter: float, leave: float) -> tuple[float, float]:
    """The part of enter..leave for which origin + t * step lies within low..high; empty when enter > leave."""
    if step == 0.0:
        return (enter, leave) if low <= origin <= high else (1.0, 0.0)
    one, two = (low - origin) / step, (high - origin) / step
    return max(enter, min(one, two)), min(leave, max(one, two))


@inner
def span(
    root: Floats, x: float, y: float, z: float, dx: float, dy: float, dz: float, end: float
) -> tuple[float, float]:
    """The part 0..end of a ray that lies in the box around all triangles; empty when its start is above its end."""
    enter, leave = within(root[0], root[3], x, dx, 0.0, end)
    enter, leave = within(root[1], root[4], y, dy, enter, leave)
    return within(root[2], root[5], z, dz, enter, leave)


@inner
def slope(step: float) -> float:
    """1 / step, no larger than single numbers carry."""
    return 1.0 / step if abs(step) * STEEPEST > 1.0 else (STEEPEST if step >= 0.0 else -STEEPEST)


@inner
def ready(x: float, y: float, z: float, dx: float, dy: float, dz: float, enter: float, leave: float) -> Ray:
    """A segment from (x, y, z), counted from the mesh's middle, of which enter..leave lies in the box around all."""
    sx, sy, sz = slope(dx), slope(dy), slope(dz)
    boxes = (
        np.float32(sx), np.float32(sy), np.float32(sz),
        np.float32(-(x + enter * dx) * sx), np.float32(-(y + enter * dy) * sy), np.float32(-(z + enter * dz) * sz),
    )  # fmt: skip
    rows = (
        0 if sx >= 0.0 else BOXES,
        2 * BOXES if sy >= 0.0 else 3 * BOXES,
        4 * BOXES if sz >= 0.0 else 5 * BOXES,
    )
    last = np.float32((leave - enter) * ROOMY)
    ax, ay, az = abs(dx), abs(dy), abs(dz)
    if ax >= ay and ax >= az:
        return Ray(rows, boxes, last, (TRIANGLES, 2 * TRIANGLES, 0), (y, z, x), (dy / dx, dz / dx), dx)
    if ay >= az:
        return Ray(rows, boxes, last, (2 * TRIANGLES, 0, TRIANGLES), (z, x, y), (dz / dy, dx / dy), dy)
    return Ray(rows, boxes, last, (0, TRIANGLES, 2 * TRIANGLES), (x, y, z), (dx / dz, dy / dz), dz)


@inner
def put(mesh: MeshArrays, node: int, mask: int, waiting: Any, top: int) -> int:
    """Let the children of a node that the mask names wait, and ask for their numbers; how many wait then."""
    while mask != 0:
        child = mesh.children[node * BOXES + lowest(mask)]
        mask &= mask - 1
        if child >= 0:
            fetch_boxes(mesh.bounds, long(child) * NODE)
            fetch_children(mesh.children, long(child) * BOXES)
        else:
            fetch_block(mesh.blocks, long(~child) * BLOCK)
        waiting[top] = child
        top += 1
    return top


@inner
def meets_any(mesh: MeshArrays, ray: Ray) -> bool:
    """Whether any triangle stands on the ray. Nodes and blocks wait for their numbers to arrive from memory."""
    waiting = room_for_numbers()
    waiting[0] = 0
    top = 1
    while top > 0:
        top -= 1
        node = long(waiting[top])
        if node >= 0:
            mask = hit_boxes(mesh.bounds, node * NODE, ray.rows, ray.boxes, ray.last)
            top = put(mesh, node, mask, waiting, top)
        elif hit_triangles(mesh.blocks, ~node * BLOCK, ray.axes, ray.origin, ray.shear, ray.depth) != 0:
            return True
    return False


@compiled
def mesh_blocks(mesh: MeshArrays, ox: float, oy: float, oz: float, px: float, py: float, pz: float) -> bool:
    """Whether a triangle stands between the points o and p, ends left out."""
    x, y, z = ox - mesh.centre[0], oy - mesh.centre[1], oz - mesh.centre[2]
    dx, dy, dz = px - ox, py - oy, pz - oz
    enter, leave = span(mesh.root, x, y, z, dx, dy, dz, 1.0)
    if enter > leave or (dx == 0.0 and dy == 0.0 and dz == 0.0):
        return False
    return meets_any(mesh, ready(x, y, z, dx, dy, dz, enter, leave))


@inner
def nearer(mesh: MeshArrays, block: int, ray: Ray, best: Hit, room: Any) -> Hit:
    """The first of the best hit so far and those in a block; of two at the same place the lower number."""
    mask = four_triangles(mesh.blocks, block * BLOCK, ray.axes, ray.origin, ray.shear, ray.depth, room)
    while mask != 0:
        lane = lowest(mask)
        mask &= mask - 1
        t, triangle = room[lane], mesh.names[block * TRIANGLES + lane]
        if t < best.t or (t == best.t and triangle < best.triangle):
            best = Hit(t, long(triangle), room[TRIANGLES + lane], room[2 * TRIANGLES + lane])
    return best


@inner
def nearest(mesh: MeshArrays, ray: Ray, enter: float) -> Hit:
    """The first hit on the ray: the nearest of the boxes that it meets comes next, the others wait."""
    waiting, since, starts, room = room_for_numbers(), room_for_singles(), room_for_singles(), room_for_shares()
    best = Hit(inf, (-1), 0.0, 0.0)
    top, node, last = 0, 0, ray.last
    while True:
        mask = near_boxes(mesh.bounds, node * NODE, ray.rows, ray.boxes, last, starts)
        bottom = top
        while mask != 0:
            lane = lowest(mask)
            mask &= mask - 1
            child = mesh.children[node * BOXES + lane]
            if child < 0:
                best = nearer(mesh, long(~child), ray, best, room)
                continue
            waiting[top], since[top] = child, starts[lane]
            if top > bottom and since[top] > since[top - 1]:
                waiting[top], since[top] = waiting[top - 1], since[top - 1]
                waiting[top - 1], since[top - 1] = child, starts[lane]
            top += 1
        last = min(ray.last, np.float32((best.t - enter) * ROOMY))
        while top > 0 and since[top - 1] > last:
            top -= 1
        if top == 0:
            return best
        top -= 1
        node = long(waiting[top])


@compiled
def first_hit(
    mesh: MeshArrays, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float
) -> tuple[float, int, float, float]:
    """Where an endless ray from o along d first meets a triangle: t, its number, and the shares u, v of its corners.

    The place is o + t * d, also (1 - u - v) * corner 0 + u * corner 1 + v * corner 2. Without a hit t is inf, the
    number -1. What lies within the skin of the start is not met when it is a sheet.
    """
    x, y, z = ox - mesh.centre[0], oy - mesh.centre[1], oz - mesh.centre[2]
    enter, leave = span(mesh.root, x, y, z, dx, dy, dz, inf)
    if enter > leave or (dx == 0.0 and dy == 0.0 and dz == 0.0):
        return inf, -1, 0.0, 0.0
    reach = 2.0 * leave + BEYOND_M / sqrt(dx * dx + dy * dy + dz * dz)
    ray = ready(x, y, z, reach * dx, reach * dy, reach * dz, enter / reach, leave / reach)
    best = nearest(mesh, ray, enter / reach)
    return best.t * reach, best.triangle, best.u, best.v


@inner
def crossing(mesh: MeshArrays, block: int, lane: int, dx: float, dy: float, dz: float) -> int:
    """1 where a ray leaves a body through a triangle, -1 where it enters one, 0 for a sheet."""
    at = block * BLOCK + lane
    blocks, corner = mesh.blocks, 3 * TRIANGLES
    x, y, z = blocks[at], blocks[at + TRIANGLES], blocks[at + 2 * TRIANGLES]
    ux, uy, uz = blocks[at + corner] - x, blocks[at + corner + 4] - y, blocks[at + corner + 8] - z
    vx, vy, vz = blocks[at + 2 * corner] - x, blocks[at + 2 * corner + 4] - y, blocks[at + 2 * corner + 8] - z
    ahead = dx * (uy * vz - uz * vy) + dy * (uz * vx - ux * vz) + dz * (ux * vy - uy * vx)
    return long(mesh.outward[mesh.names[block * TRIANGLES + lane]]) * (1 if ahead > 0.0 else -1)


@compiled
def mesh_holds(mesh: MeshArrays, ox: float, oy: float, oz: float) -> bool:
    """Whether a point lies in the inside of a body: a ray from it leaves bodies more often than it enters them."""
    x, y, z = ox - mesh.centre[0], oy - mesh.centre[1], oz - mesh.centre[2]
    enter, leave = span(mesh.root, x, y, z, ODD[0], ODD[1], ODD[2], inf)
    if enter > leave or enter > 0.0:
        return False
    reach = 2.0 * leave + BEYOND_M
    dx, dy, dz = reach * ODD[0], reach * ODD[1], reach * ODD[2]
    ray = ready(x, y, z, dx, dy, dz, 0.0, leave / reach)
    waiting = room_for_numbers()
    waiting[0] = 0
    top, count = 1, 0
    while top > 0:
        top -= 1
        node = long(waiting[top])
        if node >= 0:
            mask = hit_boxes(mesh.bounds, node * NODE, ray.rows, ray.boxes, ray.last)
            top = put(mesh, node, mask, waiting, top)
            continue
        hits = hit_triangles(mesh.blocks, ~node * BLOCK, ray.axes, ray.origin, ray.shear, ray.depth)
        while hits != 0:
            count += crossing(mesh, ~node, lowest(hits), dx, dy, dz)
            hits &= hits - 1
    return count > 0
