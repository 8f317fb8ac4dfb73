"""Points in compact tiles of 256, each with its own origin, so that single precision is enough inside a tile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled, merged

__all__ = ["CENTRE", "HALF", "HIGH", "LOW", "LOWEST", "ROWS", "SIZE", "TileArrays", "Tiles", "tiles_of"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]

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
    """Tiles of points with unit normals about an up axis (for cylinders); what comes out depends on nothing else.

    Points are halved along their longest extent until at most 256 remain, so a tile is about as wide as it is long.
    """
    total = -(-len(points) // SIZE)
    order = np.arange(len(points), dtype=np.int32)
    _halve(points, order, np.empty((128, 2), dtype=np.int64))
    rows, bounds = np.empty(total * ROWS * SIZE, dtype=np.float32), np.empty((total, 13))
    _fill(points, normals, order, rows, bounds)
    return Tiles(TileArrays(rows, bounds, order, points, normals, _frame(up), plane))


def _frame(up: Floats) -> Floats:
    """Two level axes and the up axis."""
    level = np.cross(up, np.eye(3)[np.argmin(np.abs(up))])
    level /= np.linalg.norm(level)
    frame = np.stack((level, np.cross(up, level), up))
    frame.flags.writeable = False  # As the arrays of points are, so that one version of each kernel is enough.
    return frame


@compiled
def _halve(points: Floats, order: Shorts, waiting: NDArray[np.int64]) -> None:
    """Order the points so that every run of 256 lies close together; only the last run may be shorter."""
    waiting[0, 0], waiting[0, 1] = 0, len(order)
    top = 1
    while top > 0:
        top -= 1
        first, last = waiting[top, 0], waiting[top, 1]
        if last - first <= SIZE:
            continue
        middle = first + SIZE * (((last - first + SIZE - 1) // SIZE + 1) // 2)
        _select(points, order, _longest(points, order, first, last), first, last - 1, middle)
        waiting[top, 0], waiting[top, 1] = first, middle
        waiting[top + 1, 0], waiting[top + 1, 1] = middle, last
        top += 2


@merged
def _longest(points: Floats, order: Shorts, first: int, last: int) -> int:
    """The axis along which points reach farthest."""
    best, widest = 0, -1.0
    for axis in range(3):
        low = high = points[order[first], axis]
        for i in range(first + 1, last):
            x = points[order[i], axis]
            low, high = min(low, x), max(high, x)
        if high - low > widest:
            best, widest = axis, high - low
    return best


@merged
def _select(points: Floats, order: Shorts, axis: int, left: int, right: int, wanted: int) -> None:
    """Bring the points that are least along an axis before place `wanted`, by quickselect."""
    while left < right:
        pivot = points[order[(left + right) >> 1], axis]
        i, j = left, right
        while i <= j:
            while points[order[i], axis] < pivot:
                i += 1
            while points[order[j], axis] > pivot:
                j -= 1
            if i <= j:
                order[i], order[j] = order[j], order[i]
                i += 1
                j -= 1
        if wanted <= j:
            right = j
        elif wanted >= i:
            left = i
        else:
            return


@compiled
def _fill(points: Floats, normals: Floats, order: Shorts, rows: Singles, bounds: Floats) -> None:
    for tile in range(len(bounds)):
        first, last = tile * SIZE, min((tile + 1) * SIZE, len(order))
        _bound(points, normals, order[first:last], bounds[tile])
        for k in range(SIZE):
            i = order[min(first + k, last - 1)]  # The last tile is filled up with its last point.
            along = 0.0
            for axis in range(3):
                offset = points[i, axis] - bounds[tile, CENTRE + axis]
                along += offset * normals[i, axis]
                rows[(tile * ROWS + axis) * SIZE + k] = offset
                rows[(tile * ROWS + 3 + axis) * SIZE + k] = normals[i, axis]
            rows[(tile * ROWS + 6) * SIZE + k] = along
            bounds[tile, LOWEST] = min(bounds[tile, LOWEST], along)


@merged
def _bound(points: Floats, normals: Floats, order: Shorts, bounds: Floats) -> None:
    """All bounds of one tile but the last, which waits to be lowered."""
    for axis in range(3):
        low = high = points[order[0], axis]
        least = most = normals[order[0], axis]
        for k in range(1, len(order)):
            x, n = points[order[k], axis], normals[order[k], axis]
            low, high = min(low, x), max(high, x)
            least, most = min(least, n), max(most, n)
        bounds[CENTRE + axis], bounds[HALF + axis] = 0.5 * (low + high), 0.5 * (high - low)
        bounds[LOW + axis], bounds[HIGH + axis] = least, most
    bounds[LOWEST] = np.inf
