"""The road in a picture: lane markings by their place across and along the road, as a share of every pixel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Hits
from scenelux.placement.road import Road
from scenelux.scene.model import Lane
from scenelux.study.view.tables import Markings

__all__ = ["Line", "lane_lines", "painted"]

Array = NDArray[np.float64]

SAME_LINE_M = 0.3
"""Edges of two lanes nearer than this have one line between them."""


@dataclass(frozen=True)
class Line:
    """A line on the road: where across it, and whether it is dashed."""

    left_m: float
    dashed: bool


def lane_lines(lanes: Sequence[Lane]) -> tuple[Line, ...]:
    """The lines of a road: between lanes of one direction dashed, all others solid.

    Parameters
    ----------
    lanes : of the site.

    Example
    -------
    >>> lanes = [Lane(id="a", centre_left="2 m", width="4 m"), Lane(id="b", centre_left="6 m", width="4 m")]
    >>> [(line.left_m, line.dashed) for line in lane_lines(lanes)]
    [(0.0, False), (4.0, True), (8.0, False)]
    """
    edges = sorted(
        (lane.centre_left_m + side * 0.5 * lane.width_m, lane.direction) for lane in lanes for side in (-1.0, 1.0)
    )
    lines: list[Line] = []
    while edges:
        left, direction = edges.pop(0)
        if edges and edges[0][0] - left < SAME_LINE_M:
            other, beside = edges.pop(0)
            lines.append(Line(0.5 * (left + other), beside == direction))
        else:
            lines.append(Line(left, False))
    return tuple(lines)


def painted(hits: Hits, lines: Sequence[Line], look: Markings, road: Road | None) -> NDArray[np.float32]:
    """Share of every pixel that is painted, (h, w).

    Parameters
    ----------
    hits : what the picture shows.
    lines : across the road.
    look : widths and dashes.
    road : the one that is driven, for its curve; none is straight along the site.

    A pixel sees a piece of road, and counts by how much of it is paint.
    """
    share = np.zeros(hits.surface.shape, np.float32)
    rows = np.flatnonzero((hits.surface == 0).any(axis=1))
    if not lines or hits.ground is None or not len(rows):
        return share
    view, (x, y) = hits.camera.view, hits.camera.places()
    normal = hits.ground.normal
    above = float((hits.ground.point_m - view.eye) @ normal)
    reach = max(abs(line.left_m) for line in lines) + 1.0
    for top in range(rows[0], rows[-1] + 1, STRIP):
        part = slice(top, min(top + STRIP, rows[-1] + 1))
        down = y[part, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = above / (view.forward @ normal + x * (view.right @ normal) + down * (view.down @ normal))
        along, left = (
            view.eye[axis] + depth * (view.forward[axis] + x * view.right[axis] + down * view.down[axis])
            for axis in (0, 1)
        )
        if road is not None and road.radius_m is not None:
            along, left = _unrolled(along, left, road)
        seen = (hits.surface[part] == 0) & (depth > 0.0) & (np.abs(left) < reach)
        at = np.nonzero(seen)
        flat = depth[at] * hits.camera.step
        long = flat * depth[at] / max(abs(above), 0.1)
        share[part][at] = _share(along[at], left[at], flat, long, lines, look)
    return share


STRIP = 64


def _share(
    along: Array, left: Array, wide: Array, long: Array, lines: Sequence[Line], look: Markings
) -> NDArray[np.float32]:
    total = np.zeros(along.shape)
    period = look.line_m + look.gap_m
    for line in lines:
        near = np.abs(left - line.left_m) < 0.5 * (look.width_m + wide)
        across = _overlap(left[near] - line.left_m, wide[near], 0.5 * look.width_m)
        if line.dashed:
            across *= _dashes(along[near] + 0.5 * long[near], look.line_m, period, long[near])
        total[near] += across
    return np.minimum(total, 1.0).astype(np.float32)


def _overlap(away: Array, wide: Array, half: float) -> Array:
    """Share of a piece of road as wide as this that lies within half a line's width of its middle."""
    low, high = np.maximum(away - 0.5 * wide, -half), np.minimum(away + 0.5 * wide, half)
    return np.asarray(np.maximum(high - low, 0.0) / wide)


def _dashes(end: Array, line: float, period: float, long: Array) -> Array:
    """Mean paint along a piece of road that ends here."""

    def paint(place: Array) -> Array:
        whole = np.floor(place / period)
        return np.asarray(whole * line + np.minimum(place - whole * period, line))

    return np.asarray((paint(end) - paint(end - long)) / long)


def _unrolled(along: Array, left: Array, road: Road) -> tuple[Array, Array]:
    """Places along and left of a straight road that stand for those on a curve before the vehicle."""
    assert road.radius_m is not None
    radius = road.radius_m
    ahead = road.travel * (along - road.end_m[0])
    aside = road.travel * (left - road.end_m[1])
    from_middle = np.hypot(ahead, radius - aside)
    across = radius - np.sign(radius) * from_middle
    turned = np.arctan2(-ahead * np.sign(radius), (radius - aside) * np.sign(radius)) * radius
    curved = (ahead < 0.0) & (np.abs(across) < abs(radius))
    return (
        np.where(curved, road.end_m[0] - road.travel * np.abs(turned), along),
        np.where(curved, road.end_m[1] + road.travel * across, left),
    )
