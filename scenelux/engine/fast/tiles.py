"""Points in compact tiles of 256, each with its own origin, so that single precision is enough inside a tile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled, merged
from scenelux.engine.fast.gather import next_turn
from scenelux.engine.threads import together

__all__ = [
    "CENTRE",
    "HALF",
    "HIGH",
    "LOW",
    "LOWEST",
    "ROWS",
    "SIZE",
    "TileArrays",
    "Tiles",
    "tiles_in_order",
    "tiles_of",
]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]

WORTH = 4
"""Making a point ready is about as much work as so many lamps on it."""

SIZE = 256
ROWS = 7
"""Rows of a tile: x, y, z from its centre, the normal's three parts, and normal times position from the centre."""

CENTRE, HALF, LOW, HIGH, LOWEST = 0, 3, 6, 9, 12
"""Bounds of a tile: centre and half sizes of the box around its points [m], the least and the largest of each part of
their normals, and the least of normal times position from the centre [m]."""


class TileArrays(NamedTuple):
    """The arrays of `Tiles` in the form in which kernels take them."""

    rows: Singles
    bounds: Floats
    order: Shorts
    points: Floats
    normals: Floats
    frame: Floats
    plane: int


@dataclass(frozen=True, eq=False)
class Tiles:
    """Receivers made ready once, for any number of lamps and boxes.

    Parameters
    ----------
    arrays : rows (T * 7 * 256) in single precision, bounds (T, 13), which point stands where (n,), points and unit
        normals (n, 3) as given, two level axes and the up axis (3, 3), and the kind of receiver.
    """

    arrays: TileArrays

    def __len__(self) -> int:
        return len(self.arrays.points)

    @property
    def count(self) -> int:
        """How many tiles there are."""
        return len(self.arrays.bounds)


def tiles_of(points: Floats, normals: Floats, up: Floats, plane: int) -> Tiles:
    """Tiles of points with unit normals about an up axis (for cylinders); what comes out depends on nothing else."""
    order = np.arange(len(points), dtype=np.int32)
    if len(points) > SIZE:
        spots = np.empty((3, len(points)), np.float32)
        np.subtract(points.T, points[0][:, None], out=spots, casting="same_kind")
        order = _close_together(spots, order)
    return tiles_in_order(points, normals, order, up, plane)


def _close_together(spots: Singles, order: Shorts) -> Shorts:
    """An order in which every 256 points lie close together; only the last run may be shorter.

    Points are cut across their longest extent into slabs as thick as a tile should be, and these in the same way, so
    that a tile becomes about as wide as it is long.
    """
    tiles = -(-len(order) // SIZE)
    here = spots.take(order, axis=1)
    extents = (here.max(axis=1) - here.min(axis=1)).astype(np.float64)
    short, middle, long = np.sort(extents)
    if tiles == 1 or long == 0.0:
        return order
    side = max(np.sqrt(long * middle / tiles), np.cbrt(long * middle * short / tiles), long / tiles)
    slabs = int(np.clip(np.rint(long / side), 2, tiles))
    order = order[np.argsort(here[np.argmax(extents)])]
    if slabs == tiles:
        return order
    cuts = np.rint(np.linspace(0, tiles, slabs + 1)[1:-1]).astype(np.int64) * SIZE
    return np.concatenate([_close_together(spots, slab) for slab in np.split(order, cuts)])


def tiles_in_order(
    points: Floats, normals: Floats, order: Shorts, up: Floats, plane: int, room: Singles | None = None,
    threads: int | None = None,
) -> Tiles:  # fmt: skip
    """Tiles of points that are known to lie close together: every 256 of the order. It may name a point repeatedly.

    The rows are written into `room` when it is given; it must be large enough.
    """
    total = -(-len(order) // SIZE)
    rows = np.empty(total * ROWS * SIZE, np.float32) if room is None else room[: total * ROWS * SIZE]
    bounds = np.empty((total, 13))
    turns = np.zeros(1, np.int64)
    together(lambda: _fill(points, normals, order, rows, bounds, turns), WORTH * len(order), threads)
    return Tiles(TileArrays(rows, bounds, order, points, normals, _frame(up), plane))


def _frame(up: Floats) -> Floats:
    """Two level axes and the up axis."""
    level = np.cross(up, np.eye(3)[np.argmin(np.abs(up))])
    level /= np.linalg.norm(level)
    frame = np.stack((level, np.cross(up, level), up))
    frame.flags.writeable = False  # As the arrays of points are, so that one version of each kernel is enough.
    return frame


@compiled
def _fill(
    points: Floats, normals: Floats, order: Shorts, rows: Singles, bounds: Floats, turns: NDArray[np.int64]
) -> None:
    while True:
        tile = next_turn(turns)
        if tile >= len(bounds):
            return
        first, last = tile * SIZE, min((tile + 1) * SIZE, len(order))
        _bound(points, normals, order[first:last], bounds[tile])
        _write(points, normals, order[first:last], bounds[tile], rows[tile * ROWS * SIZE : (tile + 1) * ROWS * SIZE])


@merged
def _bound(points: Floats, normals: Floats, order: Shorts, bounds: Floats) -> None:
    """All bounds of one tile but the last."""
    i = order[0]
    x0, y0, z0, u0, v0, w0 = points[i, 0], points[i, 1], points[i, 2], normals[i, 0], normals[i, 1], normals[i, 2]
    x1, y1, z1, u1, v1, w1 = x0, y0, z0, u0, v0, w0
    for k in range(1, len(order)):
        i = order[k]
        x, y, z, u, v, w = points[i, 0], points[i, 1], points[i, 2], normals[i, 0], normals[i, 1], normals[i, 2]
        x0, y0, z0, u0, v0, w0 = min(x0, x), min(y0, y), min(z0, z), min(u0, u), min(v0, v), min(w0, w)
        x1, y1, z1, u1, v1, w1 = max(x1, x), max(y1, y), max(z1, z), max(u1, u), max(v1, v), max(w1, w)
    bounds[CENTRE], bounds[CENTRE + 1], bounds[CENTRE + 2] = 0.5 * (x0 + x1), 0.5 * (y0 + y1), 0.5 * (z0 + z1)
    bounds[HALF], bounds[HALF + 1], bounds[HALF + 2] = 0.5 * (x1 - x0), 0.5 * (y1 - y0), 0.5 * (z1 - z0)
    bounds[LOW], bounds[LOW + 1], bounds[LOW + 2] = u0, v0, w0
    bounds[HIGH], bounds[HIGH + 1], bounds[HIGH + 2] = u1, v1, w1


@merged
def _write(points: Floats, normals: Floats, order: Shorts, bounds: Floats, rows: Singles) -> None:
    """The rows of one tile, and its last bound; a last tile is filled up with its last point."""
    x, y, z, lowest = bounds[CENTRE], bounds[CENTRE + 1], bounds[CENTRE + 2], np.inf
    for k in range(SIZE):
        i = order[min(k, len(order) - 1)]
        dx, dy, dz = points[i, 0] - x, points[i, 1] - y, points[i, 2] - z
        u, v, w = normals[i, 0], normals[i, 1], normals[i, 2]
        along = dx * u + dy * v + dz * w
        rows[k], rows[SIZE + k], rows[2 * SIZE + k] = dx, dy, dz
        rows[3 * SIZE + k], rows[4 * SIZE + k], rows[5 * SIZE + k], rows[6 * SIZE + k] = u, v, w, along
        lowest = min(lowest, along)
    bounds[LOWEST] = lowest
