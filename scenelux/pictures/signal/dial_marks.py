"""What stands on a dial: the vehicle, curves, limits, and words where they cover least."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from scenelux.pictures.sheet import Box, Sheet
from scenelux.pictures.signal.dial import INNER, Array, Dial, Style, on_white, word_box
from scenelux.pictures.signal.vehicle import Drawing
from scenelux.pictures.text import text_width_in

__all__ = ["draw_arc", "draw_band", "draw_curve", "draw_short", "draw_vehicle", "name_point"]

BESIDE_IN = 0.5
"""How far words may stand out beside a dial."""


def draw_vehicle(sheet: Sheet, dial: Dial, vehicle: Drawing, lit: NDArray[np.bool_]) -> float:
    """The vehicle to scale inside the inner circle, front up, its lamps that flash as dots; sheet inches per metre.

    Parameters
    ----------
    sheet, dial : to draw on.
    vehicle : from above, front up.
    lit : (lamps,) those drawn as dots.
    """
    left, bottom, right, top = vehicle.limits
    farthest = max(math.hypot(x, y) for x in (left, right) for y in (bottom, top))
    per_m = 0.86 * INNER * dial.radius / max(farthest, 0.5)
    for outline in vehicle.outlines:
        shape = Polygon(
            outline * per_m + (dial.x, dial.y), closed=True, facecolor="#cfcfcf", edgecolor="black", linewidth=0.6
        )
        shape.set(transform=sheet.dpi_scale_trans, zorder=2)
        sheet.add_artist(shape)
    x, y = vehicle.nose_m * per_m + (dial.x, dial.y)
    wedge = [(x, y - 0.03), (x - 0.07, y - 0.15), (x + 0.07, y - 0.15)]
    arrow = Polygon(wedge, closed=True, facecolor="black", edgecolor="none")
    arrow.set(transform=sheet.dpi_scale_trans, zorder=2.5)
    sheet.add_artist(arrow)
    dots = vehicle.lamps_m[lit & vehicle.mine] * per_m + (dial.x, dial.y)
    if len(dots):
        line = Line2D(*dots.T, ls="none", marker="o", ms=3.2, mfc="white", mec="black", mew=0.7, zorder=3)
        line.set_transform(sheet.dpi_scale_trans)
        sheet.add_artist(line)
    return per_m


def draw_band(sheet: Sheet, dial: Dial, heading_deg: Array, low_cd: Array, high_cd: Array) -> None:
    """A pale band between two values in every direction, with thin edges.

    Parameters
    ----------
    sheet, dial : to draw on.
    heading_deg : (n,) all around.
    low_cd, high_cd : (n,).
    """
    outer, inner = (_closed(dial.places(heading_deg, np.nan_to_num(one))) for one in (high_cd, low_cd))
    band = PolyCollection([np.concatenate((outer, inner[::-1]))], facecolors="#dedede", edgecolors="none", zorder=0.3)
    band.set_transform(sheet.dpi_scale_trans)
    sheet.add_artist(band)
    for edge in (outer, inner):
        sheet.add_artist(_line(sheet, edge, ("#8c8c8c", "solid", 0.7), 1.0))


def draw_curve(sheet: Sheet, dial: Dial, heading_deg: Array, values_cd: Array, style: Style) -> None:
    """A closed curve around the vehicle.

    Parameters
    ----------
    sheet, dial : to draw on.
    heading_deg, values_cd : (n,) all around; nan leaves a gap.
    style : colour, dashes and width.
    """
    points = _closed(dial.places(heading_deg, values_cd))
    sheet.add_artist(_line(sheet, points, style, 2.2))
    dial.crowd.append(_dense(points))


def draw_arc(
    sheet: Sheet, dial: Dial, headings_deg: Iterable[float], limit_cd: float, style: Style, *, core: bool
) -> Array:
    """A limit over the directions in which it holds, (n, 2); with a white core, or dashes on a white ground.

    Parameters
    ----------
    sheet, dial : to draw on.
    headings_deg : of directions of a ring; those that lie within 7.5 deg of each other are joined.
    limit_cd : intensity.
    style : colour, dashes and width.
    core : draw a white line along its middle.
    """
    colour, _, width = style
    ground: Style = (colour, "solid", width + 2.0) if core else ("white", "solid", width + 1.6)
    points = _arcs(dial, headings_deg, float(dial.reach(limit_cd)))
    for part in points:
        sheet.add_artist(_line(sheet, part, ground, 1.5))
        sheet.add_artist(_line(sheet, part, ("white", "solid", width) if core else style, 1.6))
    found = np.concatenate(points) if points else np.empty((0, 2))
    if len(found):
        dial.crowd.append(found)
    return found


def draw_short(sheet: Sheet, dial: Dial, headings_deg: Iterable[float], colour: str) -> None:
    """A bar outside the dial over directions in which a limit is not kept.

    Parameters
    ----------
    sheet, dial : to draw on.
    headings_deg : of directions of a ring.
    colour : of the bar.
    """
    for part in _arcs(dial, headings_deg, dial.radius + 0.035):
        line = _line(sheet, part, (colour, "solid", 4.0), 4.5)
        dial.crowd.extend([part] * 3)
        line.set_solid_capstyle("butt")
        sheet.add_artist(line)


def _arcs(dial: Dial, headings_deg: Iterable[float], reach_in: float) -> list[Array]:
    """Places along stretches of neighbouring directions at one distance from the middle."""
    return [
        dial.at(np.linspace(first, last, max(2, int((last - first) / 1.5) + 1)), reach_in)
        for first, last in _runs(sorted(headings_deg))
    ]


def _runs(headings: Sequence[float]) -> list[tuple[float, float]]:
    """First and last of every stretch of neighbours; a lone direction gets 2 deg to both sides."""
    if not headings:
        return []
    breaks = [0, *(at for at in range(1, len(headings)) if headings[at] - headings[at - 1] > 7.5), len(headings)]
    found = [(headings[a], headings[b - 1]) for a, b in pairwise(breaks)]
    if headings[0] + 360.0 - headings[-1] <= 7.5:
        if len(found) == 1:
            return [(0.0, 360.0)]
        found = [*found[1:-1], (found[-1][0], found[0][1] + 360.0)]
    return [(a - 2.0, b + 2.0) if a == b else (a, b) for a, b in found]


def name_point(sheet: Sheet, dial: Dial, point: Array, text: str, *, bold: bool = False, colour: str = "black") -> None:
    """Words near a place, where they cover least.

    Parameters
    ----------
    sheet, dial : to draw on.
    point : (2,) or several to choose from, (n, 2).
    text : one line.
    bold, colour : of the letters.
    """
    size = 7.0
    half = text_width_in(text, size, bold) / 2 + 0.1
    beside = [(side * half, up) for side in (1.0, -1.0) for up in (0.0, 0.12, -0.12)]
    shifts = [(0.0, 0.14), (0.0, -0.14), *beside]
    if np.ndim(point) == 1:  # one place alone: look farther around
        shifts += [(share * half, up) for share in (0.5, -0.5) for up in (0.14, -0.14)]
        shifts += [(share * half, up) for share in (0.0, 1.0, -1.0) for up in (0.26, -0.26, 0.38, -0.38)]
    options = [
        (_cost(dial, word_box(x + dx, y + dy, text, size, bold)) + 5.0 * abs(dy), x + dx, y + dy)
        for x, y in np.atleast_2d(point).tolist()
        for dx, dy in shifts
    ]
    _, x, y = min(options, key=lambda one: one[0])
    on_white(sheet, dial, x, y, text, size, colour, bold)


def _cost(dial: Dial, box: Box) -> float:
    """How much a box of words would cover."""
    hidden = 0.0
    for points in dial.crowd:
        inside = (
            (points[:, 0] > box.left)
            & (points[:, 0] < box.right)
            & (points[:, 1] > box.bottom)
            & (points[:, 1] < box.top)
        )
        hidden += float(np.count_nonzero(inside))
    for other in dial.words:
        across = min(box.right, other.right) - max(box.left, other.left)
        up = min(box.top, other.top) - max(box.bottom, other.bottom)
        hidden += 1000.0 if across > 0.0 and up > 0.0 else 0.0
    near = (min(max(dial.x, box.left), box.right), min(max(dial.y, box.bottom), box.top))
    inside_vehicle = math.hypot(near[0] - dial.x, near[1] - dial.y) < INNER * dial.radius
    aside = max(box.right - dial.x, dial.x - box.left) - dial.radius
    beyond = 100.0 * (aside > 0.0) + 5000.0 * (aside > BESIDE_IN)
    return hidden + 2000.0 * inside_vehicle + beyond


def _closed(points: Array) -> Array:
    return np.concatenate((points, points[:1]))


def _dense(points: Array) -> Array:
    """Places about a hundredth of an inch apart along a curve."""
    steps = np.linspace(0.0, 1.0, 12, endpoint=False)[:, np.newaxis]
    parts = [a + (b - a) * steps for a, b in pairwise(points)]
    found = np.concatenate(parts)
    return np.asarray(found[np.isfinite(found).all(axis=1)])


def _line(sheet: Sheet, points: Array, style: Style, order: float) -> Line2D:
    colour, dashes, width = style
    return Line2D(*points.T, color=colour, ls=dashes, lw=width, transform=sheet.dpi_scale_trans, zorder=order)
