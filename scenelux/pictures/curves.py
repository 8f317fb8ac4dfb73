"""Panels of curves over the distance on one scale, told apart without colour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.transforms import Bbox, TransformedBbox
from numpy.typing import NDArray

from scenelux.pictures.frames import Ticks, draw_grid, draw_ticks, signed
from scenelux.pictures.sheet import Box, Sheet, fill_box, put
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.units import FOOT_M, UnitSystem, figure

__all__ = ["BAND", "Curve", "LogAxis", "SignedAxis", "most", "row_of_panels", "sample_of_line"]

Array = NDArray[np.float64]

_STYLES = (
    ("#1b1b1b", "solid", 1.9),
    ("#c4501b", (0, (6, 2)), 1.9),
    ("#2f6fb5", (0, (1.5, 1.5)), 2.0),
    ("#777777", (0, (6, 2, 1, 2)), 1.6),
    ("#6a3d9a", (0, (10, 3)), 1.4),
)
"""Colour, dashes and width of the curves; the dashes alone tell them apart in grey."""

_Style = tuple[str, object, float]

BAND = "#e6e6e6"
"""Ground of a band in which values do not count."""


@dataclass(frozen=True, eq=False)
class Curve:
    """One curve: its name and values over the stations."""

    name: str
    distances_m: Array
    values: Array


@dataclass(frozen=True)
class LogAxis:
    """Equal ratios take equal room."""

    low: float
    high: float

    def shares(self, values: Array) -> Array:
        """Places up the axis, 0 to 1 between its ends."""
        found = np.log(np.maximum(values, self.low * 1e-3) / self.low) / math.log(self.high / self.low)
        return np.asarray(found, np.float64)

    def ticks(self) -> list[tuple[float, str]]:
        """1, 2, 5 while there is room, else decades."""
        first, last = math.floor(math.log10(self.low)), math.ceil(math.log10(self.high))
        steps = (1.0, 2.0, 5.0) if last - first <= 3 else (1.0,)
        levels = [step * 10.0**power for power in range(first, last + 1) for step in steps]
        return [(level, figure(level)) for level in levels if self.low * 0.999 <= level <= self.high * 1.001]


@dataclass(frozen=True)
class SignedAxis:
    """Zero in the middle; both ways even near it, and in ratios farther out."""

    top: float

    def shares(self, values: Array) -> Array:
        """Places up the axis, 0 to 1 between its ends."""
        away = np.log1p(np.minimum(np.abs(values), 2.0 * self.top)) / math.log1p(self.top)
        return np.asarray(0.5 + 0.5 * np.sign(values) * away, np.float64)

    def ticks(self) -> list[tuple[float, str]]:
        """Zero, and 1, 3, 10 ... both ways."""
        sizes = [size for size in (1.0, 3.0, 10.0, 30.0, 100.0, 300.0) if size <= self.top * 1.001]
        return [(0.0, "0"), *((sign * size, signed(sign * size)) for size in sizes for sign in (1.0, -1.0))]


Axis = LogAxis | SignedAxis


@dataclass(frozen=True)
class _Panel:
    """Where a distance and a value stand on the sheet: far on the left, near on the right, as the drive goes."""

    box: Box
    far_m: float
    near_m: float
    axis: Axis

    def places_in(self, curve: Curve) -> tuple[Array, Array]:
        return self.x_in(curve.distances_m), self.box.bottom + self.box.height * self.axis.shares(curve.values)

    def x_in(self, distances_m: Array) -> Array:
        across = (self.far_m - distances_m) / (self.far_m - self.near_m)
        return np.asarray(self.box.left + self.box.width * across)

    def y_in(self, value: float) -> float:
        return self.box.bottom + self.box.height * self.share_up(value)

    def share_up(self, value: float) -> float:
        return float(self.axis.shares(np.array(value)))


def most(values: Array) -> float:
    """The largest valid value; 0 when there is none."""
    return float(np.nanmax(values)) if np.isfinite(values).any() else 0.0


def row_of_panels(
    sheet: Sheet,
    boxes: Sequence[Box],
    curves: Sequence[Sequence[Curve]],
    limits: Sequence[Sequence[tuple[float, str] | None]],
    name: str,
    units: UnitSystem,
    *,
    last: bool,
    named: bool,
    axis: Axis | None = None,
    bands: Sequence[float] = (),
    marks_m: Sequence[float] = (),
) -> None:
    """One quantity in several panels side by side on one scale.

    Parameters
    ----------
    sheet : to draw on.
    boxes : of the panels.
    curves : for each panel its curves.
    limits : for each panel its limits with their words; None where there is none.
    name : of the quantity with its unit.
    units : of the distances.
    last : the lowest row, which has the distances.
    named : write the names of the curves.
    axis : up the panels; by the values when not given.
    bands : for each panel a value within which, on both sides of zero, the ground is grey; for a signed axis.
    marks_m : for each panel a distance that an upright line marks; nan for none [m].
    """
    names = max(len(row) for row in curves) if named else 0
    if axis is None:
        values = [limit[0] for row in limits for limit in row if limit]
        room = (0.05 + 0.14 * names) / boxes[0].height
        axis = LogAxis(*_span([curve.values for row in curves for curve in row], values, room))
    for number, (box, row, limit) in enumerate(zip(boxes, curves, limits, strict=True)):
        panel = _panel(box, row, axis)
        _draw_frame(sheet, panel, units, name if number == 0 else "", last)
        if number < len(bands):
            _draw_band(sheet, panel, bands[number])
        if number < len(marks_m):
            _draw_mark(sheet, panel, marks_m[number])
        for curve, style in zip(row, _styles(len(row)), strict=True):
            _draw_curve(sheet, panel, curve, style)
        for one in limit:
            if one:
                _draw_limit(sheet, panel, *one, row)
        if named:
            _name_curves(sheet, box, row)


def _styles(count: int) -> list[_Style]:
    return [_STYLES[number % len(_STYLES)] for number in range(count)]


def _span(values: Sequence[Array], marks: Sequence[float], names: float) -> tuple[float, float]:
    """Ends of the axis: at most four decades below the largest value, with a share for names above it."""
    found = np.concatenate([np.ravel(one) for one in values] or [np.empty(0)])
    found = found[np.isfinite(found) & (found > 0.0)]
    top = max([float(found.max()) if found.size else 1.0, *marks])
    low = min([float(found.min()) if found.size else top / 10.0, *marks])
    low = 10.0 ** (np.floor(np.log10(max(low, top * 1e-4)) * 2 - 0.4) / 2)
    return float(low), float(low * (1.15 * top / low) ** (1.0 / (1.0 - names)))


def _panel(box: Box, curves: Sequence[Curve], axis: Axis) -> _Panel:
    distances = np.concatenate([curve.distances_m for curve in curves])
    far, near = float(distances.max()), float(distances.min())
    return _Panel(box, far + 1e-6, min(near, far - 1e-3), axis)


def _draw_band(sheet: Sheet, panel: _Panel, size: float) -> None:
    low, high = panel.y_in(-size), panel.y_in(size)
    band = Box(panel.box.left, low, panel.box.width, high - low)
    fill_box(sheet, band, facecolor=BAND, edgecolor="none", zorder=0.2)


def _draw_mark(sheet: Sheet, panel: _Panel, distance_m: float) -> None:
    if panel.near_m <= distance_m <= panel.far_m:
        x = float(panel.x_in(np.array(distance_m)))
        for colour, width in (("black", 3.0), ("white", 1.2)):
            line = _line(sheet, (x, x), (panel.box.bottom, panel.box.top), (colour, "solid", width))
            line.set_zorder(1.4)
            sheet.add_artist(line)


def _draw_frame(sheet: Sheet, panel: _Panel, units: UnitSystem, name: str, last: bool) -> None:
    """Grid, frame and ticks; numbers and names only at the left and at the foot of all panels."""
    unit_m, unit = (FOOT_M, "ft") if units == "us" else (1.0, "m")
    far, near = panel.far_m / unit_m, panel.near_m / unit_m
    step = next(step for step in (1, 5, 10, 20, 50, 100, 200, 500, 1e3, 1e5) if (far - near) / step <= 5)
    places = [number * step for number in range(math.ceil(near / step), math.floor(far / step) + 1)]
    shares = [(far - place) / (far - near) for place in places]
    texts = [f"{place:g}" if last else "" for place in places]
    name_across = f"distance to the vehicle [{unit}]" if last else ""
    across = Ticks(tuple(zip(shares, texts, strict=True)), name_across, inside=True)
    levels = [(panel.share_up(level), text if name else "") for level, text in _roomy(panel)]
    up = Ticks(tuple(levels), name)
    draw_grid(sheet, panel.box, across, up)
    fill_box(sheet, panel.box, facecolor="none", linewidth=0.6, zorder=3)
    draw_ticks(sheet, panel.box, across, up)


def _roomy(panel: _Panel) -> list[tuple[float, str]]:
    """Ticks that keep their numbers apart: decades alone where others would touch."""
    ticks = panel.axis.ticks()
    places = sorted(panel.y_in(level) for level, _ in ticks)
    if isinstance(panel.axis, SignedAxis) or all(b - a > 0.1 for a, b in pairwise(places)):
        return ticks
    return [(level, text) for level, text in ticks if math.log10(level) % 1.0 in (0.0, 1.0)] or ticks


def _draw_curve(sheet: Sheet, panel: _Panel, curve: Curve, style: _Style) -> None:
    box = panel.box
    frame = TransformedBbox(Bbox.from_bounds(box.left, box.bottom, box.width, box.height), sheet.dpi_scale_trans)
    line = _line(sheet, *panel.places_in(curve), style)
    line.set_clip_box(frame)
    sheet.add_artist(line)


def _line(sheet: Sheet, x_in: Array | Sequence[float], y_in: Array | Sequence[float], style: _Style) -> Line2D:
    colour, dashes, width = style
    transform = sheet.dpi_scale_trans
    return Line2D(x_in, y_in, color=colour, ls=dashes, lw=width, transform=transform, zorder=2)


def _draw_limit(sheet: Sheet, panel: _Panel, value: float, words: str, curves: Sequence[Curve]) -> None:
    """A white line with dark edges, and in full below it what limit it is and where it comes from."""
    box, y = panel.box, panel.y_in(value)
    for colour, width in (("black", 3.2), ("white", 1.5)):
        line = _line(sheet, (box.left, box.right), (y, y), (colour, "solid", width))
        line.set_zorder(1.5)  # under the curves that cross it
        sheet.add_artist(line)
    lines = wrap(words, box.width - 0.1, 6.0)
    wide, tall = max(text_width_in(text, 6.0) for text in lines), 0.11 * len(lines)
    rooms = [
        Box(left, bottom, wide, tall)
        for bottom in (y - 0.05 - tall, y + 0.06, y - 0.35 - tall, y + 0.35)
        for left in (box.right - 0.05 - wide, box.left + 0.07)
        if box.bottom + 0.02 < bottom < box.top - 0.6
    ]
    drawn = [panel.places_in(curve) for curve in curves]
    room = min(rooms, key=lambda one: sum(_crossed(one, *places) for places in drawn))
    for number, text in enumerate(lines):
        _put_on_white(sheet, room.left, room.top - 0.11 * number, text, 6.0, "black")


def _crossed(room: Box, x_in: Array, y_in: Array) -> int:
    """How far a curve runs through a place for words, in points two hundredths of an inch apart."""
    order = np.argsort(x_in)
    x = np.arange(room.left, room.right, 0.02)
    y = np.interp(x, x_in[order], y_in[order])
    return int(np.count_nonzero((y > room.bottom - 0.03) & (y < room.top + 0.03)))


def _put_on_white(sheet: Sheet, x: float, y: float, text: str, size: float, colour: str) -> None:
    """A line of text with its capitals' top at y, on a ground that keeps curves out of it."""
    ground = Box(x - 0.02, y - size / 72 - 0.01, text_width_in(text, size) + 0.04, size / 72 + 0.03)
    fill_box(sheet, ground, facecolor="white", edgecolor="none", alpha=0.85, zorder=4)
    put(sheet, x, y, text, size, color=colour)


def sample_of_line(sheet: Sheet, x: float, y: float, number: int, name: str, room: float) -> float:
    """A sample of the line of a curve with its name at the right of it; where the name ends [in].

    Parameters
    ----------
    sheet : to draw on.
    x, y : left end of the line [in].
    number : of the curve in its panel.
    name : of the curve.
    room : for the name [in].
    """
    style = _STYLES[number % len(_STYLES)]
    sheet.add_artist(_line(sheet, (x, x + 0.35), (y, y), style))
    text = fit(name, room, 6.5)
    put(sheet, x + 0.4, y + 0.035, text, 6.5, color=style[0])
    return x + 0.4 + text_width_in(text, 6.5)


def _name_curves(sheet: Sheet, box: Box, curves: Sequence[Curve]) -> None:
    """Names in the upper left corner with a sample of each line, in the order of the curves at that side."""
    shown = [(curve, style) for curve, style in zip(curves, _styles(len(curves)), strict=True) if most(curve.values)]
    for number, (curve, style) in enumerate(shown):
        y = box.top - 0.1 - 0.14 * number
        sheet.add_artist(_line(sheet, (box.left + 0.07, box.left + 0.42), (y, y), style))
        _put_on_white(sheet, box.left + 0.47, y + 0.035, fit(curve.name, box.width - 0.55, 6.5), 6.5, style[0])
