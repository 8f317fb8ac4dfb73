"""Which parts of a mesh are bodies with an inside, and their skin.

A part is a body when each of its edges is used as often in one direction as in the other, as on the surface of anything
closed. Bodies are made smaller by the skin, as boxes are, so that lamps and points on their surface are not hidden by
touching it. Other parts are sheets, which have two sides and no inside.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled, inner
from scenelux.engine.kernels import SKIN_M

__all__ = ["joined", "shrunk", "solid_parts"]

Floats = NDArray[np.float64]
Indices = NDArray[np.int32]
Signs = NDArray[np.int8]

MIX = 0x7FB5D329728EA185
"""An odd number with its bits all over the place."""

STIFF = 1e-4
"""How little a direction must count among a corner's faces to be left as it is, instead of moved far."""


class Edges(NamedTuple):
    """Table of the edges by their two ends: the first triangle at each, and how often it runs up more than down."""

    key: NDArray[np.int64]
    triangle: Indices
    balance: Indices


@inner
def spot(number: int, size: int) -> int:
    """Where the search for a number starts in a table whose size is a power of two."""
    mixed = (number ^ (number >> 31)) * MIX
    mixed = (mixed ^ (mixed >> 29)) * MIX
    return (mixed ^ (mixed >> 32)) & (size - 1)


@compiled
def join(bits: NDArray[np.int64], table: Indices, name: Indices, first: Indices) -> int:
    """Give every vertex the number of its place, in the order in which places are met; how many places there are."""
    count = 0
    for i in range(len(bits)):
        at = spot(spot(spot(bits[i, 0], 1 << 62) ^ bits[i, 1], 1 << 62) ^ bits[i, 2], len(table))
        while table[at] >= 0:
            other = first[table[at]]
            if bits[i, 0] == bits[other, 0] and bits[i, 1] == bits[other, 1] and bits[i, 2] == bits[other, 2]:
                break
            at = (at + 1) & (len(table) - 1)
        if table[at] < 0:
            table[at] = count
            first[count] = i
            count += 1
        name[i] = table[at]
    return count


@inner
def top(parent: Indices, triangle: int) -> int:
    """The triangle that stands for the part to which a triangle belongs."""
    while parent[triangle] != triangle:
        parent[triangle] = parent[parent[triangle]]
        triangle = parent[triangle]
    return triangle


@inner
def meet(edges: Edges, parent: Indices, triangle: int, a: int, b: int, vertices: int) -> None:
    """Note one edge of a triangle, and make one part of the triangles that share it."""
    key = int(min(a, b)) * vertices + max(a, b)
    at = spot(key, len(edges.key))
    while edges.key[at] >= 0 and edges.key[at] != key:
        at = (at + 1) & (len(edges.key) - 1)
    if edges.key[at] < 0:
        edges.key[at], edges.triangle[at] = key, triangle
    edges.balance[at] += 1 if a < b else -1
    one, two = top(parent, triangle), top(parent, edges.triangle[at])
    parent[max(one, two)] = min(one, two)


@compiled
def part(corners: Floats, triangles: Indices, edges: Edges, parent: Indices, volume: Floats) -> None:
    """Sort the triangles into parts; six times the volume of each at its first triangle, nan where it is open."""
    for i in range(len(triangles)):
        for k in range(3):
            a, b = triangles[i, k], triangles[i, (k + 1) % 3]
            if a != b:
                meet(edges, parent, i, a, b, len(corners))
    for i in range(len(triangles)):
        a, b, c = triangles[i, 0], triangles[i, 1], triangles[i, 2]
        x = corners[b, 1] * corners[c, 2] - corners[b, 2] * corners[c, 1]
        y = corners[b, 2] * corners[c, 0] - corners[b, 0] * corners[c, 2]
        z = corners[b, 0] * corners[c, 1] - corners[b, 1] * corners[c, 0]
        parent[i] = top(parent, i)
        volume[parent[i]] += corners[a, 0] * x + corners[a, 1] * y + corners[a, 2] * z
    for at in range(len(edges.key)):
        if edges.key[at] >= 0 and edges.balance[at] != 0:
            volume[parent[edges.triangle[at]]] = np.nan


@compiled
def gather(corners: Floats, triangles: Indices, outward: Signs, sums: Floats) -> None:
    """Add each body's face normals up at its corners: six of n n^T and three of n, outward."""
    for i in range(len(triangles)):
        if outward[i] == 0:
            continue
        a, b, c = triangles[i, 0], triangles[i, 1], triangles[i, 2]
        ux, uy, uz = corners[b, 0] - corners[a, 0], corners[b, 1] - corners[a, 1], corners[b, 2] - corners[a, 2]
        vx, vy, vz = corners[c, 0] - corners[a, 0], corners[c, 1] - corners[a, 1], corners[c, 2] - corners[a, 2]
        x, y, z = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        length = np.sqrt(x * x + y * y + z * z)
        if length == 0.0:
            continue
        x, y, z = outward[i] * x / length, outward[i] * y / length, outward[i] * z / length
        parts = (x * x, x * y, x * z, y * y, y * z, z * z, x, y, z)
        for k in range(3):
            for j in range(9):
                sums[triangles[i, k], j] += parts[j]


@compiled
def move(corners: Floats, sums: Floats, skin: float) -> None:
    """Move each corner of a body inwards so that each of its faces moves by the skin: the least-squares step.

    (sum of n n^T) step = -skin * (sum of n), by Cramer's rule; a little stiffness keeps near-flat corners in place.
    """
    for i in range(len(corners)):
        stiff = STIFF * (sums[i, 0] + sums[i, 3] + sums[i, 5])
        if stiff == 0.0:
            continue
        a, b, c = sums[i, 0] + stiff, sums[i, 1], sums[i, 2]
        d, e, f = sums[i, 3] + stiff, sums[i, 4], sums[i, 5] + stiff
        x, y, z = -skin * sums[i, 6], -skin * sums[i, 7], -skin * sums[i, 8]
        p, q, r = d * f - e * e, c * e - b * f, b * e - c * d
        s, t, u = a * f - c * c, b * c - a * e, a * d - b * b
        whole = a * p + b * q + c * r
        corners[i, 0] += (p * x + q * y + r * z) / whole
        corners[i, 1] += (q * x + s * y + t * z) / whole
        corners[i, 2] += (r * x + t * y + u * z) / whole


def joined(vertices_m: Floats) -> tuple[Floats, Indices]:
    """The places of vertices without repetition, and the number of each vertex among them."""
    count = len(vertices_m)
    table, name, first = np.full(_room(count), -1, np.int32), np.empty(count, np.int32), np.empty(count, np.int32)
    places = vertices_m + 0.0  # -0.0 and 0.0 are one place.
    used = join(places.view(np.int64), table, name, first)
    return places[first[:used]], name


def solid_parts(corners: Floats, triangles: Indices) -> Signs:
    """For each triangle 1 or -1 where it belongs to a body and its winding turns outwards or inwards; 0 in a sheet."""
    room = _room(3 * len(triangles))
    edges = Edges(np.full(room, -1, np.int64), np.empty(room, np.int32), np.zeros(room, np.int32))
    parent, volume = np.arange(len(triangles), dtype=np.int32), np.zeros(len(triangles))
    part(corners, triangles, edges, parent, volume)
    return np.sign(np.nan_to_num(volume, nan=0.0)).astype(np.int8)[parent]


def shrunk(corners: Floats, triangles: Indices, outward: Signs) -> Floats:
    """The corners, those of bodies moved inwards by the skin."""
    sums, moved = np.zeros((len(corners), 9)), corners.copy()
    gather(corners, triangles, outward, sums)
    move(moved, sums, SKIN_M)
    return moved


def _room(count: int) -> int:
    """Size of a table for so many keys: a power of two, never more than seven eighths full."""
    return 1 << (count + count // 8 + 8).bit_length()
