"""Regions of signal colours in the chromaticity diagram, as documents print them, closed along the spectrum locus."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scenelux.colour.chromaticity import planckian_y, spectrum_locus
from scenelux.colour.limits import Limit, parse_limit
from scenelux.colour.tables import colour_table
from scenelux.sources import Source

__all__ = ["Region", "in_region", "is_real_colour", "regions_of", "signal_regions"]

Array = NDArray[np.float64]

_CARRIED = 0.1  # how far edges run on past the spectrum locus, which then closes the region
_CORNER_ROUNDING = 0.001  # corners on the locus are printed with three decimals
_ON_EDGE = 1e-9


@dataclass(frozen=True, eq=False)
class Region:
    """A signal colour of one document: a polygon or a set of limits, and where it is printed."""

    id: str
    colour: str  # the word that lamps use
    name: str  # the word of the document
    source: Source
    corners: tuple[tuple[float, float], ...] = ()
    outline: Array | None = None  # (n, 2) of a polygon, carried on past the spectrum locus
    limits: tuple[Limit, ...] = ()
    note: str = ""

    def __str__(self) -> str:
        return f"{self.name} of {self.source}"


@cache
def signal_regions() -> tuple[Region, ...]:
    """All shipped regions in the order of their table.

    Example
    -------
    >>> [region.id for region in signal_regions()][:2]
    ['j578_red', 'j578_amber']
    """
    return tuple(_region(row) for row in colour_table("signal-colours")["regions"])


def _region(row: dict[str, Any]) -> Region:
    source = Source(row["title"], row.get("edition", ""), row["clause"], row["status"])
    corners = tuple((float(x), float(y)) for x, y in row.get("corners", ()))
    outline = _outline(np.array(corners), row.get("along_locus", ())) if corners else None
    limits = tuple(parse_limit(text) for text in row.get("limits", ()))
    colour, note = row["colour"], row.get("note", "")
    return Region(row["id"], colour, row.get("name", colour), source, corners, outline, limits, note)


def _outline(corners: Array, along_locus: list[int]) -> Array:
    """Corners with each edge along the locus moved outward, by carrying on the edges beside it."""
    points, count = [], len(corners)
    for at in range(count):
        points.append(corners[at])
        if at in along_locus:
            first, second = corners[at], corners[(at + 1) % count]
            points.append(first + _CARRIED * _unit(first - corners[at - 1]))
            points.append(second + _CARRIED * _unit(second - corners[(at + 2) % count]))
    outline = np.array(points)
    outline.setflags(write=False)
    return outline


def _unit(vector: Array) -> Array:
    return np.asarray(vector / np.hypot(*vector))


def is_real_colour(x: float, y: float) -> bool:
    """Whether a light of this chromaticity exists: inside the spectrum locus and the purple line, within 0.001.

    Parameters
    ----------
    x, y : chromaticity of CIE 1931.

    Example
    -------
    >>> is_real_colour(0.1241, 0.0578), is_real_colour(0.05, 0.05)
    (True, False)
    """
    return math.isfinite(x + y) and _inside(spectrum_locus(), x, y, _CORNER_ROUNDING)


def in_region(x: float, y: float, region: Region) -> bool:
    """Whether a chromaticity lies in a region; its limits belong to it.

    Parameters
    ----------
    x, y : chromaticity of CIE 1931.
    region : one of `signal_regions()`.

    Example
    -------
    >>> amber = signal_regions()[1]
    >>> in_region(0.570, 0.425, amber), in_region(0.3127, 0.3290, amber)
    (True, False)
    """
    if not is_real_colour(x, y):
        return False
    if region.outline is not None:
        return _inside(region.outline, x, y, _ON_EDGE)
    values = {"x": x, "y": y, "z": 1.0 - x - y, "yP": float(planckian_y(x))}
    return all(limit.holds(values) for limit in region.limits)


def regions_of(x: float, y: float) -> tuple[Region, ...]:
    """All shipped regions that hold a chromaticity.

    Parameters
    ----------
    x, y : chromaticity of CIE 1931.

    Example
    -------
    >>> sorted({region.colour for region in regions_of(0.3127, 0.3290)})
    ['white']
    """
    return tuple(region for region in signal_regions() if in_region(x, y, region))


def _inside(polygon: Array, x: float, y: float, tolerance: float) -> bool:
    """Whether a point lies in a polygon of any shape, or as near to its edge as the tolerance."""
    start, end = polygon, np.roll(polygon, -1, axis=0)
    along = end - start
    to_point = np.array([x, y]) - start
    length2 = np.maximum((along**2).sum(axis=1), 1e-30)
    share = np.clip((to_point * along).sum(axis=1) / length2, 0.0, 1.0)
    if np.hypot(*(to_point - share[:, np.newaxis] * along).T).min() <= tolerance:
        return True
    crosses = (start[:, 1] > y) != (end[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        at_x = start[:, 0] + (y - start[:, 1]) * along[:, 0] / along[:, 1]
    return bool((crosses & (x < at_x)).sum() % 2)
