"""Grids of points: how many cells an area gets, and where their centres lie."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import LimitError, UsageError

__all__ = [
    "MAXIMUM_CELLS",
    "MAXIMUM_SPACING_M",
    "cell_centres",
    "cells_of_published_rule",
    "cells_of_spacing",
    "inside_polygon",
    "published_spacing_m",
]

MAXIMUM_CELLS = 1_000_000
MAXIMUM_SPACING_M = 10.0

_SLACK = 1e-9  # cells: a side that is a whole number of spacings but for rounding gets no extra cell
_ON_EDGE_M = 1e-9


def published_spacing_m(longer_side_m: float) -> float:
    """Largest spacing of grid points for an area, p = 0.2 * 5^log10(d), at most 10 m.

    Parameters
    ----------
    longer_side_m : longer side of the area, above 0 [m].

    Source
    ------
    EN 12464-1 and -2, as quoted by a trade page, unconfirmed.

    Example
    -------
    >>> [round(published_spacing_m(d), 4) for d in (1, 10, 25, 100, 1000)]
    [0.2, 1.0, 1.8974, 5.0, 10.0]
    """
    if not (math.isfinite(longer_side_m) and longer_side_m > 0.0):
        raise UsageError("is not a side", key="longer_side_m", value=longer_side_m, accepted="give a length above 0 m")
    return min(0.2 * math.pow(5.0, math.log10(longer_side_m)), MAXIMUM_SPACING_M)


def cells_of_published_rule(along_m: float, left_m: float) -> tuple[int, int]:
    """Rows along and columns across of a rectangle by the published rule.

    Cells are no longer than the rule's spacing, and no longer than twice their width.

    Parameters
    ----------
    along_m, left_m : sides of the rectangle, above 0 [m].

    Source
    ------
    EN 12464-1 and -2, as quoted by a trade page, unconfirmed; cell sides 1:2 to 2:1.

    Example
    -------
    >>> cells_of_published_rule(3.048, 3.048), cells_of_published_rule(10.0, 0.2)
    ((7, 7), (25, 1))
    """
    spacing_m = published_spacing_m(max(along_m, left_m))
    rows, columns = cells_of_spacing(along_m, left_m, spacing_m)
    rows = max(rows, _cells(along_m, 2.0 * left_m / columns))
    columns = max(columns, _cells(left_m, 2.0 * along_m / rows))
    return _within_limit(rows, columns)


def cells_of_spacing(along_m: float, left_m: float, spacing_m: float) -> tuple[int, int]:
    """Rows along and columns across of a rectangle with equal cells no larger than a spacing.

    Parameters
    ----------
    along_m, left_m : sides of the rectangle, above 0 [m].
    spacing_m : largest side of a cell, above 0 [m].

    Example
    -------
    >>> cells_of_spacing(7.62, 3.6576, 0.3048)
    (25, 12)
    """
    for key, value in (("along_m", along_m), ("left_m", left_m), ("spacing_m", spacing_m)):
        if not (math.isfinite(value) and value > 0.0):
            raise UsageError("is not a length", key=key, value=value, accepted="give a length above 0 m")
    return _within_limit(_cells(along_m, spacing_m), _cells(left_m, spacing_m))


def cell_centres(
    along_m: tuple[float, float], left_m: tuple[float, float], rows: int, columns: int
) -> NDArray[np.float64]:
    """Centres of the cells of a rectangle, row by row from the lowest coordinates.

    Parameters
    ----------
    along_m, left_m : ends of the rectangle in any order [m], in the frame of the area.
    rows, columns : number of cells along and across, 1 or more.

    Returns
    -------
    (rows * columns, 2) along and left [m].

    Example
    -------
    >>> cell_centres((0.0, -2.0), (-1.0, 1.0), 2, 1).tolist()
    [[-1.5, 0.0], [-0.5, 0.0]]
    """
    _within_limit(rows, columns)
    along, left = _centres(along_m, rows), _centres(left_m, columns)
    return np.stack(np.meshgrid(along, left, indexing="ij"), axis=-1).reshape(-1, 2)


def inside_polygon(points_m: NDArray[np.float64], corners_m: Sequence[tuple[float, float]]) -> NDArray[np.bool_]:
    """True for points inside a polygon or on its edge.

    Parameters
    ----------
    points_m : (n, 2) [m].
    corners_m : three corners or more in order, either way round, not closed [m].

    Example
    -------
    >>> inside_polygon(np.array([[0.5, 0.25], [0.25, 0.5], [0.5, 0.5]]), [(0, 0), (1, 0), (1, 1)]).tolist()
    [True, False, True]
    """
    if len(corners_m) < 3:
        raise UsageError("is not a polygon", value=list(corners_m), accepted="give three corners or more")
    x, y = points_m[:, 0], points_m[:, 1]
    inside = np.zeros(len(points_m), dtype=np.bool_)
    edge = np.zeros_like(inside)
    for (x0, y0), (x1, y1) in zip(corners_m, [*corners_m[1:], corners_m[0]], strict=True):
        crosses = (y0 > y) != (y1 > y)
        if y0 != y1:
            inside ^= crosses & (x < x0 + (y - y0) * (x1 - x0) / (y1 - y0))
        edge |= _on_segment(x, y, (x0, y0), (x1, y1))
    return inside | edge


def _on_segment(
    x: NDArray[np.float64], y: NDArray[np.float64], start: tuple[float, float], end: tuple[float, float]
) -> NDArray[np.bool_]:
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx, dy)
    if length == 0.0:
        return np.hypot(x - start[0], y - start[1]) <= _ON_EDGE_M
    across = np.abs((x - start[0]) * dy - (y - start[1]) * dx) / length
    along = ((x - start[0]) * dx + (y - start[1]) * dy) / length
    return (across <= _ON_EDGE_M) & (along >= -_ON_EDGE_M) & (along <= length + _ON_EDGE_M)


def _cells(side_m: float, spacing_m: float) -> int:
    return max(1, math.ceil(side_m / spacing_m - _SLACK))


def _centres(ends_m: tuple[float, float], cells: int) -> NDArray[np.float64]:
    low, high = min(ends_m), max(ends_m)
    return low + (np.arange(cells, dtype=np.float64) + 0.5) * ((high - low) / cells)


def _within_limit(rows: int, columns: int) -> tuple[int, int]:
    if rows < 1 or columns < 1:
        raise UsageError("is not a grid", value=(rows, columns), accepted="give one row and one column or more")
    if rows * columns > MAXIMUM_CELLS:
        raise LimitError(
            f"would be a grid of {rows} x {columns} points",
            accepted=f"choose a larger spacing or a smaller area, at most {MAXIMUM_CELLS} points",
        )
    return rows, columns
