"""Illuminance at points, lamp by lamp at full output; and where nobody can stand."""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import Blockers, Lamps, Plane
from scenelux.engine.cache import compiled
from scenelux.engine.exact import light_all
from scenelux.engine.fast.drive import by_lamp, summed
from scenelux.engine.kernels import BoxArrays, box_arrays, chord, inside, lamp_arrays
from scenelux.engine.numbers import MEMORY_LIMIT_BYTES, check_memory, vectors
from scenelux.engine.rays import mesh_blocks, mesh_holds
from scenelux.engine.receiving import Receivers, checked
from scenelux.errors import UsageError

__all__ = [
    "Precision",
    "check_levels",
    "check_size",
    "covered",
    "illuminance",
    "illuminance_sum",
    "light_by_lamp",
]

Floats = NDArray[np.float64]

Precision: TypeAlias = Literal["exact", "fast"]
"""Double precision point by point, or single precision on tiles; the second differs by 1e-5 of the largest at most."""

BYTES_PER_POINT, BYTES_IN_TILES = 2 * 3 * 8, 32
"""Points and normals, both (n, 3) of float64; and what the fast path keeps of each beside them."""


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
    precision: Precision = "fast",
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
    precision : "exact", the reference in double precision, or "fast", tiles in single precision, within 1e-5 of the
        largest value. Points near a lamp for its opening, or where its table is steep, are computed by the first in
        both, and so is a set of fewer than 64 points.
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
    check_size(len(lamps), _count(points_m), precision, memory_limit_bytes)
    at = checked(points_m, normals, plane, up)
    return light_by_lamp(lamps, blockers, at, precision=precision, threads=threads)


def illuminance_sum(
    lamps: Lamps,
    blockers: Blockers,
    points_m: ArrayLike,
    normals: ArrayLike,
    plane: Plane = Plane.PLANE,
    *,
    levels: ArrayLike,
    up: ArrayLike = (0.0, 0.0, 1.0),
    precision: Precision = "fast",
    threads: int | None = None,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Floats:
    """Illuminance of all lamps together, each at its level; what a single lamp gives is not kept.

    Parameters
    ----------
    lamps, blockers, points_m, normals, plane, up, precision, threads, memory_limit_bytes : as in `illuminance`.
    levels : (L,), 1 is full output. A lamp at level 0 counts for nothing, even where its own value is nan.

    Returns
    -------
    (n,) [lx].

    Example
    -------
    >>> from types import SimpleNamespace
    >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[1000, 1000], [1000, 1000]])
    >>> pair = Lamps.from_tables([bare], table=[0, 0], position_m=[[0, 0, 3], [8, 0, 3]], axes=[np.eye(3)] * 2)
    >>> float(illuminance_sum(pair, Blockers.none(), [[4, 0, 0]], [0, 0, 1], levels=[1.0, 0.5])[0])
    36.0
    """
    shares = check_levels(levels, len(lamps))
    on = np.flatnonzero(shares)
    check_size(1, _count(points_m), precision, memory_limit_bytes)
    at = checked(points_m, normals, plane, up)
    if precision == "fast" and at.fast:
        return summed(lamps, blockers, at.tiles, shares, threads=threads)
    check_size(len(on), len(at), precision, memory_limit_bytes)
    each = light_by_lamp(lamps.only(on), blockers, at, precision="exact", threads=threads)
    total: Floats = np.einsum("l,ln->n", shares[on], each)
    return total


def light_by_lamp(
    lamps: Lamps, blockers: Blockers, at: Receivers, *, precision: Precision, threads: int | None = None
) -> Floats:
    """As `illuminance`, on receivers checked before; what one lamp gives does not depend on the others.

    Parameters
    ----------
    lamps, blockers, precision, threads : as in `illuminance`.
    at : receivers, from `receivers`.
    """
    if precision == "fast" and at.fast:
        return by_lamp(lamps, blockers, at.tiles, threads=threads)
    lit, boxes = lamp_arrays(lamps), box_arrays(blockers)
    return light_all(lit, boxes, at.points_m, at.normals, at.up, at.plane, threads)


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


def check_size(lamps: int, points: int, precision: Precision, limit_bytes: int) -> None:
    """Raises LimitError where results and receivers would take more than a limit."""
    each = lamps * 8 + BYTES_PER_POINT + BYTES_IN_TILES * (precision == "fast")
    check_memory(each * points, limit_bytes, "illuminance")


def check_levels(levels: ArrayLike, lamps: int) -> Floats:
    """Levels as an array: one finite number for each lamp."""
    shares = np.asarray(levels, dtype=np.float64)
    if shares.shape != (lamps,) or not np.isfinite(shares).all():
        raise UsageError(f"is not one finite number for each of {lamps} lamps", key="levels")
    return shares


def _count(points_m: ArrayLike) -> int:
    return np.shape(points_m)[0] if np.ndim(points_m) else 0
