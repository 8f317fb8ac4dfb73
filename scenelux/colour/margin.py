"""How far a chromaticity lies from the boundary of a region of signal colours."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

from scenelux.colour.chromaticity import planckian_y, spectrum_locus
from scenelux.colour.limits import Limit
from scenelux.colour.regions import Region, in_region, is_real_colour

__all__ = ["boundary_distance"]

Array = NDArray[np.float64]

_STEP = 0.004
_HALVINGS = 12


def boundary_distance(x: float, y: float, region: Region) -> float:
    """Distance in the CIE 1931 diagram to the nearest boundary of a region: positive inside, negative outside.

    Within 0.0001. The spectrum locus and the purple line are boundaries where they end the region.

    Parameters
    ----------
    x, y : chromaticity of CIE 1931 of a light that exists, else nan.
    region : one of `signal_regions()`.

    Example
    -------
    >>> from scenelux.colour.regions import signal_regions
    >>> amber = signal_regions()[1]
    >>> [round(boundary_distance(*point, amber), 4) for point in ((0.570, 0.425), (0.3127, 0.3290))]
    [0.0031, -0.2514]
    """
    if not is_real_colour(x, y):
        return math.nan
    start, end = _boundary(region)
    along, to_point = end - start, np.array([x, y]) - start
    share = np.clip((to_point * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-30), 0.0, 1.0)
    nearest = float(np.hypot(*(to_point - share[:, np.newaxis] * along).T).min())
    return nearest if in_region(x, y, region) else -nearest


@cache
def _boundary(region: Region) -> tuple[Array, Array]:
    """Starts and ends of the short lines that make the boundary: those parts of all edges that lie in the region."""
    lines = [line for curve in _curves(region) for line in _kept(curve, region)]
    start, end = np.array(lines, np.float64).transpose(1, 0, 2)
    return start, end


def _curves(region: Region) -> list[Array]:
    locus = spectrum_locus()
    curves = [locus, _between(locus[-1], locus[0])]
    if region.outline is not None:
        ends = np.roll(region.outline, -1, axis=0)
        return curves + [_between(first, last) for first, last in zip(region.outline, ends, strict=True)]
    return curves + [_edge(limit, at) for limit in region.limits for at in range(len(limit.right))]


def _between(first: Array, last: Array) -> Array:
    count = int(np.hypot(*(last - first)) / _STEP) + 2
    return np.asarray(np.linspace(first, last, count))


def _edge(limit: Limit, at: int) -> Array:
    """Where one side of a limit equals the other: left - right = a x + b y + c + d yP(x)."""
    sums = {"x": 0.0, "y": 0.0, "z": 0.0, "yP": 0.0, "one": 0.0}
    sums[limit.left] += 1.0
    for factor, symbol in limit.right[at]:
        sums[symbol] -= factor
    a, b, c = sums["x"] - sums["z"], sums["y"] - sums["z"], sums["one"] + sums["z"]
    grid = np.arange(0.0, 0.9, _STEP)
    if b == 0.0:
        return np.column_stack([np.full_like(grid, -c / a), grid])
    lifted = sums["yP"] * planckian_y(grid) if sums["yP"] else 0.0
    edge = np.column_stack([grid, -(a * grid + c + lifted) / b])
    return edge[np.isfinite(edge).all(axis=1)]


def _kept(curve: Array, region: Region) -> list[tuple[Array, Array]]:
    """Lines of a curve with both ends in the region; where one end is, the line up to the boundary."""
    held = [in_region(float(x), float(y), region) for x, y in curve]
    lines = []
    for first, last, first_in, last_in in zip(curve, curve[1:], held, held[1:], strict=False):
        if first_in and last_in:
            lines.append((first, last))
        elif first_in or last_in:
            inside, outside = (first, last) if first_in else (last, first)
            lines.append((inside, _last_inside(inside, outside, region)))
    return lines


def _last_inside(inside: Array, outside: Array, region: Region) -> Array:
    for _ in range(_HALVINGS):
        middle = 0.5 * (inside + outside)
        if in_region(float(middle[0]), float(middle[1]), region):
            inside = middle
        else:
            outside = middle
    return inside
