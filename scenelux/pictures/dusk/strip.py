"""Strip chart of an evening: light on the ground, what the sensor reads with its thresholds, levels of circuits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.lines import Line2D
from numpy.typing import ArrayLike, NDArray

from scenelux.pictures.frames import Ticks, draw_grid, draw_ticks
from scenelux.pictures.sheet import BODY, GREY, Box, Sheet, fill_box, new_sheet, put
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.study.results.dusk import DuskResult, LevelChange, SensorFacts, Timeline
from scenelux.units import figure

__all__ = ["strip_sheet", "window_of"]

Array = NDArray[np.float64]

NAMES_IN, FACTS_IN, GAP_IN = 1.5, 2.1, 0.14
LIGHT_IN = 2.75
LIT, PALE = "#3c3c3c", "#e4e4e4"
LEAST_LX = 1e-3
MOST_CIRCUITS = 14
MOST_FLUTTERS, FLUTTER_S, AROUND_S = 40, 20.0, 120.0
DASHES, DOTS = (0, (5, 2)), (0, (1, 1.6))
MINUTE_S = 60
STEPS_S = (1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 10800, 21600)


@dataclass(frozen=True)
class _Time:
    """Where an instant stands across the sheet."""

    one: Timeline
    box: Box
    window_s: tuple[float, float]

    def x_in(self, times_s: ArrayLike) -> Array:
        start, end = self.window_s
        share = (np.asarray(times_s, np.float64) - start) / (end - start)
        return np.asarray(self.box.left + np.clip(share, 0.0, 1.0) * self.box.width)

    def cut(self, times_s: Array, values: Array) -> tuple[Array, Array]:
        """A curve within the window, with both of its ends."""
        start, end = self.window_s
        times = np.unique(np.r_[start, times_s[(times_s > start) & (times_s < end)], end])
        return times, np.interp(times, times_s, values)

    def ticks(self, *, named: bool = True) -> Ticks:
        """Whole clock times in UTC."""
        hour, minute, second = (int(part) for part in self.one.start_utc.split(" ")[1].split(":"))
        start = hour * 3600 + minute * 60 + second + self.window_s[0]
        length = self.window_s[1] - self.window_s[0]
        step = next((step for step in STEPS_S if length / step <= (10.0 if step >= MINUTE_S else 8.0)), STEPS_S[-1])
        marks = []
        for number in range(math.ceil(start / step), math.floor((start + length) / step) + 1):
            clock = number * step % 86_400
            text = f"{clock // 3600:02d}:{clock // 60 % 60:02d}" + (f":{clock % 60:02d}" if step < MINUTE_S else "")
            marks.append(((number * step - start) / length, text if named else ""))
        return Ticks(tuple(marks), f"UTC, {self.one.start_utc.split(' ')[0]}" if named else "", inside=True)


def strip_sheet(result: DuskResult, one: Timeline) -> Sheet:
    """An evening on one sheet.

    Parameters
    ----------
    result : for the words around it.
    one : the evening.
    """
    flutters = "no flutter" if one.flutters == 0 else f"{one.flutters:,} flutter{'s' if one.flutters > 1 else ''}"
    flutters += "" if one.endless_from_s is None else ", at the end without end: levels switch without time between"
    sheet = new_sheet(
        result.about,
        f"Levels over the evening · {one.name}",
        f"{one.says}: {one.turns:,} turn{'' if one.turns == 1 else 's'} of the sensor, {flutters}",
        f"Meanwhile {one.inputs}. Levels are shares of luminous output; natural light by an unconfirmed formula",
        command="dusk",
    )
    wide = BODY.width - NAMES_IN - FACTS_IN - 2 * GAP_IN
    light = Box(BODY.left + NAMES_IN + GAP_IN, BODY.top - 0.42 - LIGHT_IN, wide, LIGHT_IN)
    window = window_of(one)
    _draw_light(sheet, _Time(one, light, window), result.sensor)
    names = list(result.circuits)[:MOST_CIRCUITS]
    room = light.bottom - 0.2 - BODY.bottom - 0.36
    levels = Box(light.left, light.bottom - 0.2 - room, wide, room)
    _draw_levels(sheet, _Time(one, levels, window), names)
    if len(result.circuits) > len(names):
        more = len(result.circuits) - len(names)
        put(sheet, BODY.left, BODY.bottom + 0.05, f"{more} more circuits are in the results", 6.5, color=GREY)
    return sheet


def window_of(one: Timeline) -> tuple[float, float]:
    """From when to when an evening is drawn: the disturbance with some time around it; of many flutters the first.

    Parameters
    ----------
    one : the evening; an undisturbed one is drawn whole.
    """
    start, end = one.window_s
    if one.flutters > MOST_FLUTTERS:
        times = [change.time_s for change in one.changes]
        first = next((a for a, b in pairwise(times[1:]) if b - a <= one.within_s), times[-1])
        start, end = first - 0.3 * FLUTTER_S, first + FLUTTER_S
    elif end - start < one.duration_s:
        around = max(AROUND_S, end - start)
        start, end = start - around, end + around
    last = one.duration_s if one.endless_from_s is None else one.endless_from_s
    start, end = max(0.0, start), min(last, end)
    return (start, end) if start < end else (max(0.0, last - AROUND_S), last)


def _draw_light(sheet: Sheet, time: _Time, sensor: SensorFacts | None) -> None:
    """Light and reading on a logarithmic scale, thresholds, and what happens when."""
    box, one = time.box, time.one
    times, ambient = time.cut(one.times_s, one.ambient_lx)
    reading_times, reading = time.cut(one.reading_times_s, one.reading_lx)
    low, high = _ends(ambient, reading, sensor)
    up = Ticks(tuple(((n - low) / (high - low), _power(n)) for n in range(low, high + 1)), "illuminance [lx]")
    across = time.ticks(named=False)
    draw_grid(sheet, box, across, up)

    def y_in(lux: ArrayLike) -> Array:
        share = (np.log10(np.maximum(np.asarray(lux, np.float64), LEAST_LX)) - low) / (high - low)
        return np.asarray(box.bottom + np.clip(share, 0.0, 1.0) * box.height)

    _line(sheet, time.x_in(times), y_in(ambient), "#9a9a9a", 2.4)
    _line(sheet, time.x_in(reading_times), y_in(reading), "black", 0.9)
    fill_box(sheet, box, facecolor="none", linewidth=0.6, zorder=3.5)
    draw_ticks(sheet, box, across, up)
    _events(sheet, time)
    _legend(sheet, box)
    if sensor is not None:
        _thresholds(sheet, box, sensor, y_in)


def _ends(ambient: Array, reading: Array, sensor: SensorFacts | None) -> tuple[int, int]:
    """Whole powers of ten around all that is drawn."""
    values = [*ambient[ambient > LEAST_LX].tolist(), *reading[reading > LEAST_LX].tolist(), 1.0]
    values += [] if sensor is None else [sensor.dark_below_lx, sensor.bright_above_lx]
    low, high = math.floor(math.log10(min(values))), math.ceil(math.log10(max(values)) + 0.15)
    return low, max(high, low + 1)


def _power(power: int) -> str:
    return f"{10.0**power:,.0f}" if power >= 0 else f"{10.0**power:g}"


def _thresholds(sheet: Sheet, box: Box, sensor: SensorFacts, y_in: object) -> None:
    assert callable(y_in)
    for lux, words, delay, dashes, lift in (
        (sensor.bright_above_lx, "day above", sensor.bright_delay_s, DASHES, 0.05),
        (sensor.dark_below_lx, "night below", sensor.dark_delay_s, DOTS, -0.05),
    ):
        y = float(y_in(lux))
        _line(sheet, np.array([box.left, box.right]), np.array([y, y]), "black", 1.1, dashes)
        text = f"{words} {lux:g} lx, after {delay:g} s"
        put(sheet, box.right + GAP_IN, y + lift, text, 7, va="baseline" if lift > 0.0 else "top")


def _legend(sheet: Sheet, box: Box) -> None:
    for number, (colour, width, words) in enumerate(
        (("#9a9a9a", 2.4, "light on level ground"), ("black", 0.9, "reading of the sensor"))
    ):
        y, left = box.top + 0.3 - 0.15 * number, BODY.left
        _line(sheet, np.array([left, left + 0.3]), np.array([y, y]), colour, width)
        put(sheet, left + 0.36, y, words, 7, va="center")


def _events(sheet: Sheet, time: _Time) -> None:
    """Lines with their words above the panel; words that would touch go up to two rows higher or are left out."""
    ends, (first, last) = [-math.inf] * 3, time.window_s
    for at, words in time.one.events:
        if not first <= at <= last:
            continue
        x = float(time.x_in(at))
        _line(sheet, np.array([x, x]), np.array([time.box.bottom, time.box.top]), GREY, 0.7, DASHES)
        half = text_width_in(words, 6.5) / 2 + 0.04
        middle = min(max(x, time.box.left + half), time.box.right - half)
        row = next((number for number, end in enumerate(ends) if middle - half >= end), None)
        if row is not None:
            ends[row] = middle + half
            put(sheet, middle, time.box.top + 0.16 + 0.12 * row, words, 6.5, ha="center")


def _draw_levels(sheet: Sheet, time: _Time, names: list[str]) -> None:
    """A strip for each circuit, as high as its level."""
    box, one = time.box, time.one
    tall = box.height / max(len(names), 1)
    across = time.ticks()
    draw_grid(sheet, box, across, Ticks(()))
    shown, edges = _in_window(time)
    for number, name in enumerate(names):
        foot = box.top - (number + 1) * tall
        levels = np.array([change.levels[name] for change in shown])
        _blocks(sheet, edges, levels, foot, 0.78 * tall)
        _line(sheet, np.array([box.left, box.right]), np.array([foot, foot]), "black", 0.5)
        middle = foot + 0.4 * tall
        put(sheet, BODY.left, middle, fit(name, NAMES_IN, 7.5), 7.5, va="center")
        put(sheet, box.right + GAP_IN, middle, fit(_levels_words(levels), FACTS_IN, 7), 7, va="center")
    draw_ticks(sheet, Box(box.left, box.top - tall * len(names), box.width, tall * len(names)), across, Ticks(()))
    put(sheet, BODY.left, box.top + 0.1, "Level: height of the dark blocks", 6.5, color=GREY, va="center")
    _times(sheet, box, one)


def _in_window(time: _Time) -> tuple[list[LevelChange], Array]:
    """Changes whose levels hold at some time of the window, and the edges between them on the sheet."""
    one, (first, last) = time.one, time.window_s
    end = one.duration_s if one.endless_from_s is None else one.endless_from_s
    starts = [change.time_s for change in one.changes]
    ends = [*starts[1:], end]
    shown = [at for at, (begin, until) in enumerate(zip(starts, ends, strict=True)) if until > first and begin < last]
    return [one.changes[at] for at in shown], time.x_in([*(starts[at] for at in shown), ends[shown[-1]]])


def _blocks(sheet: Sheet, edges: Array, levels: Array, foot: float, height: float) -> None:
    x = np.repeat(edges, 2)[1:-1]
    y = foot + height * np.repeat(levels, 2)
    corners = np.column_stack((np.r_[x[0], x, x[-1]], np.r_[foot, y, foot]))
    blocks = PolyCollection([corners], facecolors=LIT, edgecolors="black", linewidths=0.3, zorder=2)
    blocks.set_transform(sheet.dpi_scale_trans)
    sheet.add_artist(blocks)


def _levels_words(levels: Array) -> str:
    """The different levels in order of first use."""
    shown = [f"{100.0 * level:.3g} %" if level > 0.0 else "off" for level in dict.fromkeys(levels.tolist())]
    return ", then ".join(shown)


def _times(sheet: Sheet, box: Box, one: Timeline) -> None:
    """Time at each set of levels and its energy, on the right above the strips."""
    lines = ["Over the whole evening:"]
    for part in one.times:
        energy = "" if math.isnan(part.energy_wh) else f", {figure(part.energy_wh)} Wh"
        lines += wrap(f"{part.name}: {part.seconds / 60.0:.1f} min{energy}", FACTS_IN, 6.5)
    for number, line in enumerate(lines[:5]):
        put(sheet, box.right + GAP_IN, box.top + 0.74 - 0.12 * number, line, 6.5)


def _line(sheet: Sheet, x: Array, y: Array, colour: str, width: float, dashes: object = "-") -> None:
    line = Line2D(x, y, color=colour, lw=width, ls=dashes, transform=sheet.dpi_scale_trans, zorder=3)
    sheet.add_artist(line)
