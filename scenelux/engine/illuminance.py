"""Illuminance at points, lamp by lamp at full output; and where nobody can stand."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Blockers, Lamps, Plane, check_memory, vectors
from scenelux.engine.cache import compiled
from scenelux.engine.kernels import BoxArrays, LampArrays, box_arrays, chord, inside, lamp_arrays
from scenelux.engine.nearfield import Receiver, lamp_lux, panel_stack
from scenelux.engine.rays import mesh_blocks, mesh_holds
from scenelux.errors import UsageError

__all__ = ["covered", "illuminance", "in_blocks"]

Floats = NDArray[np.float64]

SMALL_TASK = 20_000
"""Below so many lamps times points, threads cost more than they bring."""

BLOCKS_PER_THREAD = 8

BYTES_PER_POINT = 2 * 3 * 8
"""Points and normals, both (n, 3) of float64."""

SHORTEST = 1e-9
"""A normal shorter than this has no direction worth the name, as where somebody faces straight up."""


@compiled
def _fill_lux(
    lamps: LampArrays, boxes: BoxArrays, points: Floats, normals: Floats, up: Floats, plane: int,
    first: int, last: int, lux: Floats, stack: Floats,
) -> None:  # fmt: skip
    for lamp in range(len(lamps.position)):
        for i in range(first, last):
            at = Receiver(
                points[i, 0], points[i, 1], points[i, 2], normals[i, 0], normals[i, 1], normals[i, 2],
                up[0], up[1], up[2], plane,
            )  # fmt: skip
            lux[lamp, i] = lamp_lux(lamps, boxes, lamp, at, stack)


@compiled
def _fill_covered(boxes: BoxArrays, points: Floats, floors: Floats, headroom: float, hidden: NDArray[np.bool_]) -> None:
    for i in range(len(points)):
        x, y, z = points[i, 0], points[i, 1], points[i, 2]
        for box in range(len(boxes.centre)):
            standing = chord(boxes, box, x, y, floors[i], 0.0, 0.0, headroom)
            if standing or inside(boxes, box, x, y, z):
                hidden[i] = True
        if len(boxes.mesh.children) and not hidden[i]:
            hidden[i] = (
                mesh_blocks(boxes.mesh, x, y, floors[i], x, y, floors[i] + headroom)
                or mesh_holds(boxes.mesh, x, y, floors[i])
                or mesh_holds(boxes.mesh, x, y, z)
            )


def illuminance(
    lamps: Lamps,
    blockers: Blockers,
    points_m: ArrayLike,
    normals: ArrayLike,
    plane: Plane = Plane.PLANE,
    *,
    up: ArrayLike = (0.0, 0.0, 1.0),
    threads: int | None = None,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Floats:
    """Initial illuminance from every lamp at full output at every point, shadows of the boxes included.

    Parameters
    ----------
    lamps, blockers : what shines and what stands in the way, site frame.
    points_m : (n, 3), site frame [m].
    normals : (n, 3) or (3,), site frame, of any length: normal of the plane, axis of the hemisphere, or facing
        direction of the semi-cylinder (its part along `up` does not count). Not used for the cylinder.
    plane : receiver: max(0, cos eps), sin eps / pi, sin eps (1 + cos alpha) / pi or (1 + cos eps) / 4 times I / d^2.
    up : (3,), axis of the cylinders, site frame.
    threads : points are shared out among so many threads; all processors unless stated. Results do not depend on it.
    memory_limit_bytes : LimitError is raised before more than this is allocated.

    Returns
    -------
    (L, n) [lx]. nan only where a point lies nearer to a lamp than 1/40 of its opening's larger side, or at a point
    lamp. An opening that is large for the distance counts by its parts, within 1 % for a diffuse one.

    Source: EN 13201-3 forms of cylindrical, semi-cylindrical and hemispherical illuminance (unconfirmed, re-derived);
    inverse-square law for the rest.

    Example
    -------
    >>> from types import SimpleNamespace
    >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[1000, 1000], [1000, 1000]])
    >>> lamp = Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
    >>> float(illuminance(lamp, Blockers.none(), [[4, 0, 0]], [0, 0, 1])[0, 0])
    24.0
    """
    count = np.shape(points_m)[0] if np.ndim(points_m) else 0
    check_memory((len(lamps) * 8 + BYTES_PER_POINT) * count, memory_limit_bytes, "illuminance")
    places = vectors(points_m, "points_m")
    axis = _units(vectors(np.atleast_2d(np.asarray(up, dtype=np.float64)), "up", 1), "up")
    directions = _directions(normals, count, plane, axis[0])
    lux = np.empty((len(lamps), count))
    fixed = (lamp_arrays(lamps), box_arrays(blockers), places, directions, axis[0], int(plane))
    in_blocks(
        lambda first, last: _fill_lux(*fixed, first, last, lux, panel_stack()), count, count * len(lamps), threads
    )
    return lux


def covered(
    blockers: Blockers, points_m: ArrayLike, floor_up_m: ArrayLike, headroom_m: float = 2.0
) -> NDArray[np.bool_]:
    """Points at which nobody can stand: a body fills part of the headroom above the floor, or holds the point.

    Parameters
    ----------
    blockers : bodies, site frame.
    points_m : (n, 3), site frame [m].
    floor_up_m : (n,) or one number, height of the floor below each point [m].
    headroom_m : height above the floor that must be free [m].

    Returns
    -------
    (n,) bool. Surfaces count as outside: on a roof, or with the back against a wall, one can stand.

    Example
    -------
    >>> truck = Blockers.boxes([[0, 0, 1.5]], [[3, 1, 1]])
    >>> covered(truck, [[0, 0, 0], [4, 0, 0], [0, 0, 2.5]], [0, 0, 2.5]).tolist()
    [True, False, False]
    """
    places = vectors(points_m, "points_m")
    floors = np.array(np.broadcast_to(np.asarray(floor_up_m, dtype=np.float64), len(places)))
    hidden = np.zeros(len(places), dtype=np.bool_)
    _fill_covered(box_arrays(blockers), places, floors, float(headroom_m), hidden)
    return hidden


def in_blocks(fill: Callable[[int, int], None], count: int, work: int, threads: int | None) -> None:
    """Call fill(first, last) for blocks that make up 0..count, on a pool of threads when the work is worth it."""
    workers = (os.cpu_count() or 1) if threads is None else threads
    if workers < 2 or work < SMALL_TASK:
        fill(0, count)
        return
    edges = np.linspace(0, count, min(count, BLOCKS_PER_THREAD * workers) + 1).astype(int).tolist()
    fill(0, 0)  # Compiles, or loads the machine code, before the threads start.
    with ThreadPoolExecutor(workers) as pool:
        list(pool.map(fill, edges[:-1], edges[1:]))


def _directions(normals: ArrayLike, count: int, plane: Plane, up: Floats) -> Floats:
    """Unit normals, one for each point; for a semi-cylinder square to its axis."""
    if plane == Plane.CYLINDRICAL:
        return vectors(np.zeros((count, 3)), "normals")
    given = np.asarray(normals, dtype=np.float64)
    each = np.broadcast_to(given, (count, 3)) if given.shape == (3,) else given
    directions = vectors(each, "normals", count)
    if plane == Plane.SEMI_CYLINDRICAL:
        directions = vectors(directions - (directions @ up)[:, None] * up, "normals")
    return _units(directions, "normals")


def _units(directions: Floats, name: str) -> Floats:
    lengths = np.linalg.norm(directions, axis=1)
    if len(lengths) and lengths.min() < SHORTEST:
        raise UsageError("holds a vector without a direction", key=name)
    return vectors(directions / lengths[:, None], name)
