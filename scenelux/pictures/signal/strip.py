"""Strip charts: every circuit over one common cycle, and what of it goes to the front, the sides and the rear."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from scenelux.pictures.frames import Ticks, draw_grid, draw_ticks
from scenelux.pictures.sheet import BODY, GREY, Box, Sheet, fill_box, new_sheet, put
from scenelux.pictures.signal.courses import (
    DARK_CD,
    Course,
    Excerpt,
    Looks,
    candela_words,
    courses,
    darkest,
    excerpt_of,
    light_words,
    longest_run,
    model_words,
    share_words,
)
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.study.results.signal import RingMeasures, SignalCase, SignalRing, SignalStudy, SignalVariant
from scenelux.units import figure

__all__ = ["DIRECTIONS", "direction_at", "level_ring", "strip_sheet"]

Array = NDArray[np.float64]

DIRECTIONS = ((180.0, "rear"), (0.0, "front"), (90.0, "left"), (270.0, "right"))
"""Headings counter-clockwise from the front; the first decides which part of a long cycle is shown."""

LONGEST_S, MOST_SEGMENTS, MOST_ROWS = 4.0, 400, 12
NAMES_IN, FACTS_IN, GAP_IN = 2.35, 2.3, 0.12
LIT, PALE = "#3c3c3c", "#b9b9b9"
HEADROOM = 1.45
"""Of a panel above its highest wave, for the words on the darkest stretch."""


@dataclass(frozen=True, eq=False)
class _Time:
    """Where an instant stands across the sheet."""

    excerpt: Excerpt
    box: Box

    def x_in(self, times_s: Array) -> Array:
        share = (times_s - self.excerpt.times_s[0]) / self.excerpt.length_s
        return np.asarray(self.box.left + share * self.box.width)

    def ticks(self) -> Ticks:
        start, length = float(self.excerpt.times_s[0]), self.excerpt.length_s
        steps = [base * 10.0**power for power in range(-4, 3) for base in (1.0, 2.0, 5.0)]
        step = next(step for step in steps if length / step <= 10.0)
        first, last = math.ceil(start / step - 1e-9), math.floor((start + length) / step + 1e-9)
        marks = tuple((((n * step) - start) / length, f"{n * step:.9g}") for n in range(first, last + 1))
        return Ticks(marks, "time [s]", inside=True)


def level_ring(variant: SignalVariant) -> SignalRing:
    """The ring of directions nearest to level.

    Parameters
    ----------
    variant : with its rings.
    """
    far = [ring for ring in variant.rings if ring.kind == "far"] or list(variant.rings)
    return min(far, key=lambda ring: abs(ring.elevation_deg) if math.isfinite(ring.elevation_deg) else math.inf)


def direction_at(ring: SignalRing, heading_deg: float) -> int:
    """The direction of a ring that is nearest to a heading.

    Parameters
    ----------
    ring : of directions all around.
    heading_deg : counter-clockwise from the front.
    """
    return int(np.argmin(np.abs((ring.heading_deg - heading_deg + 180.0) % 360.0 - 180.0)))


def strip_sheet(study: SignalStudy, variant: SignalVariant, looks: Looks) -> Sheet:
    """Circuits over time, and the intensity of all that flash towards four directions below them.

    Parameters
    ----------
    study : for the words around it.
    variant, looks : what is drawn; scales of intensity are the same for all cases of the variant.
    """
    ring, about, case = level_ring(variant), study.about, looks.case
    at = direction_at(ring, DIRECTIONS[0][0])
    _, dark = darkest(case.times_s, case.waveform_cd(ring, at, "flashing"))
    excerpt = excerpt_of(case, LONGEST_S, MOST_SEGMENTS, dark.start_s + dark.length_s / 2.0)
    sheet = new_sheet(
        about,
        f"Flashing over time · {variant.name}",
        f"{about.states.get(case.state) or case.state} · {light_words(study, looks)}",
        f"Levels of circuits, and initial intensity (light loss factor 1) of the lamps that flash, {ring.says}; "
        f"{_shown(case, excerpt)}",
        command="signal",
    )
    rows = courses(case)
    shown, head = rows[:MOST_ROWS], 0.2
    tall = min(0.27, 2.3 / max(len(shown), 1))
    wide = BODY.width - NAMES_IN - FACTS_IN - 2 * GAP_IN
    top = BODY.top - head
    levels = Box(BODY.left + NAMES_IN + GAP_IN, top - tall * len(shown), wide, tall * len(shown))
    _head(sheet, levels)
    _draw_levels(sheet, _Time(excerpt, levels), shown)
    said = " ".join([f"{_all_off(case)}{_left_out(case, len(rows) - len(shown))}", *case.notes])
    put(sheet, BODY.left, levels.bottom - 0.1, fit(said, BODY.width, 7), 7)
    panels = Box(levels.left, BODY.bottom + 0.36, wide, levels.bottom - 0.3 - BODY.bottom - 0.36)
    _draw_directions(sheet, panels, study, variant, case, ring, excerpt)
    return sheet


def _shown(case: SignalCase, excerpt: Excerpt) -> str:
    cycle = f"{case.times_s[-1]:.6g} s"
    if excerpt.whole:
        return f"one common cycle of {cycle}"
    return f"{excerpt.length_s:.3g} s of a common cycle of {cycle}, about the darkest towards the rear"


def _all_off(case: SignalCase) -> str:
    """Whether the vehicle goes dark, in a sentence."""
    run = longest_run(case.times_s, np.asarray((case.levels[case.flashing] <= 0.0).all(axis=0)))
    if run is None:
        return "At every instant some lamp that flashes is lit."
    return f"Pale: all lamps that flash are off at once, for up to {run.length_s:.4g} s on end."


def _left_out(case: SignalCase, rows: int) -> str:
    """Lamps that have no row."""
    off = sum(lamp.level == 0.0 for lamp in case.lamps)
    more = f" {rows} more rows are in the results." if rows > 0 else ""
    return f"{more} Off in this state: {off} {'lamp' if off == 1 else 'lamps'}." if off else more


def _head(sheet: Sheet, box: Box) -> None:
    top = box.top + 0.14
    for left, text in (
        (BODY.left, "Circuit and lamps"),
        (box.left, "Level: height of the dark blocks"),
        (box.right + GAP_IN, "Level, pattern"),
    ):
        put(sheet, left, top, text, 7.5, bold=True)


def _draw_levels(sheet: Sheet, time: _Time, rows: Sequence[Course]) -> None:
    """A strip for each course, with its name at the left and its level and pattern at the right."""
    box, tall = time.box, time.box.height / max(len(rows), 1)
    draw_grid(sheet, box, time.ticks(), Ticks(()))
    _shade_dark(sheet, time, rows)
    for number, row in enumerate(rows):
        foot = box.top - (number + 1) * tall
        strip = Box(box.left, foot, box.width, 0.8 * tall)
        _fill(sheet, time, row.levels, strip, LIT if row.flashing else PALE)
        sheet.add_artist(_line(sheet, (box.left, box.right), (foot, foot), "black", 0.5))
        middle = foot + 0.4 * tall
        put(sheet, BODY.left, middle, fit(row.words, NAMES_IN, 7), 7, va="center")
        level = share_words(float(row.levels.max()))
        lines = wrap(f"{level}, {row.pattern}" if row.flashing else f"{level}, steady", FACTS_IN, 6.0)
        room = max(1, int(tall / 0.1))
        lines = [*lines[: room - 1], fit(" ".join(lines[room - 1 :]), FACTS_IN, 6.0)] if len(lines) > room else lines
        for at, line in enumerate(lines):
            y = middle + 0.095 * ((len(lines) - 1) / 2 - at)
            put(sheet, box.right + GAP_IN, y, line, 6.0, va="center")


def _shade_dark(sheet: Sheet, time: _Time, rows: Sequence[Course]) -> None:
    """A pale ground where all that flash are off at once."""
    flashing = [row.levels[time.excerpt.segments] for row in rows if row.flashing]
    dark = np.all(np.array(flashing) <= 0.0, axis=0)
    edges = time.x_in(time.excerpt.times_s)
    for left, right in zip(edges[:-1][dark].tolist(), edges[1:][dark].tolist(), strict=True):
        ground = Box(left, time.box.bottom, right - left, time.box.height)
        fill_box(sheet, ground, facecolor="#e9e9e9", edgecolor="none", zorder=0.4)


def _fill(sheet: Sheet, time: _Time, values: Array, strip: Box, colour: str, top: float = 1.0) -> None:
    """Blocks as high as the values, with an edge that runs along their top."""
    shown = values[time.excerpt.segments]
    edges = time.x_in(time.excerpt.times_s)
    x = np.repeat(edges, 2)[1:-1]
    y = strip.bottom + strip.height * np.repeat(shown, 2) / top
    corners = np.column_stack((np.r_[x[0], x, x[-1]], np.r_[strip.bottom, y, strip.bottom]))
    blocks = PolyCollection([corners], facecolors=colour, edgecolors="black", linewidths=0.4, zorder=2)
    blocks.set_transform(sheet.dpi_scale_trans)
    sheet.add_artist(blocks)


def _line(
    sheet: Sheet, x: Sequence[float], y: Sequence[float], colour: str, width: float, dashes: object = "-"
) -> Line2D:
    return Line2D(x, y, color=colour, lw=width, ls=dashes, transform=sheet.dpi_scale_trans, zorder=3)


def _draw_directions(
    sheet: Sheet,
    box: Box,
    study: SignalStudy,
    variant: SignalVariant,
    case: SignalCase,
    ring: SignalRing,
    excerpt: Excerpt,
) -> None:
    """A panel for each direction, one under another, on the time of the strips above."""
    found = case.measures_of(ring.ring_id, "flashing")
    cells = box.cells(len(DIRECTIONS), 1, (0.0, 0.12))
    for number, ((heading, name), cell) in enumerate(zip(DIRECTIONS, cells, strict=True)):
        at, time = direction_at(ring, heading), _Time(excerpt, cell)
        tops = [one.measures_of(ring.ring_id, "flashing").peak_cd[at] for one in variant.cases]
        top = _round_up(max((float(value) for value in tops if math.isfinite(value)), default=0.0))
        last = number == len(cells) - 1
        ticks = time.ticks()
        across = ticks if last else Ticks(tuple((share, "") for share, _ in ticks.marks))
        marks = [(share / HEADROOM, figure(top * share)) for share in (0.0, 0.5, 1.0)]
        up = Ticks(tuple(marks), "cd")
        draw_grid(sheet, cell, across, up)
        wave = case.waveform_cd(ring, at, "flashing")
        _mark_darkest(sheet, time, case, wave)
        _fill(sheet, time, wave, cell, LIT, top * HEADROOM)
        fill_box(sheet, cell, facecolor="none", linewidth=0.6, zorder=3.5)
        draw_ticks(sheet, cell, across, up)
        y = cell.bottom + cell.height * float(found.mean_cd[at]) / (top * HEADROOM)
        if found.mean_cd[at] > 0.0:
            for colour, width, dashes in (("white", 1.4, "-"), ("black", 1.0, (0, (4, 3)))):
                sheet.add_artist(_line(sheet, (cell.left, cell.right), (y, y), colour, width, dashes))
        _write_direction(sheet, cell, study, case, ring, found, at, name)


def _round_up(value: float) -> float:
    """The next round number."""
    if value <= 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return next(
        step * power for step in (1.0, 1.6, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0) if step * power >= value * (1.0 - 1e-9)
    )


def _mark_darkest(sheet: Sheet, time: _Time, case: SignalCase, wave: Array) -> None:
    """The longest stretch at the least intensity: a pale ground, ended by lines, with its length above the waves."""
    least, dark = darkest(case.times_s, wave)
    cycle, box = float(case.times_s[-1]), time.box
    first, last = time.excerpt.times_s[0], time.excerpt.times_s[-1]
    if dark.length_s >= cycle * (1.0 - 1e-9):
        return
    for turn in (-1, 0, 1):
        start = max(dark.start_s + turn * cycle, first)
        end = min(dark.start_s + turn * cycle + dark.length_s, last)
        if end <= start:
            continue
        left, right = time.x_in(np.array([start, end])).tolist()
        fill_box(
            sheet, Box(left, box.bottom, right - left, box.height), facecolor="#e9e9e9", edgecolor="none", zorder=0.4
        )
        y = box.top - 0.2
        sheet.add_artist(_line(sheet, (left, right), (y, y), "black", 1.6))
        for x in (left, right):
            sheet.add_artist(_line(sheet, (x, x), (y - 0.04, y + 0.04), "black", 1.2))
        words = f"darkest, {candela_words(least)} for {dark.length_s:.4g} s"
        half = text_width_in(words, 6.5) / 2 + 0.03
        middle = min(max((left + right) / 2, box.left + half), box.right - half)
        if right - left > 0.25 or end - start >= 0.999 * dark.length_s:
            put(sheet, middle, box.top - 0.05, words, 6.5, ha="center")
            return


def _write_direction(
    sheet: Sheet,
    cell: Box,
    study: SignalStudy,
    case: SignalCase,
    ring: SignalRing,
    found: RingMeasures,
    at: int,
    name: str,
) -> None:
    """What the direction is at the left; its measures at the right."""
    put(sheet, BODY.left, cell.top - 0.02, f"Towards the {name}", 8.5, bold=True)
    where = fit(f"heading {ring.heading_deg[at]:g} deg, {ring.says}", NAMES_IN - 0.5, 6.5)
    put(sheet, BODY.left, cell.top - 0.18, where, 6.5, color=GREY)
    steady = float(ring.by_lamp_cd[~case.flashing, at] @ case.levels[~case.flashing].max(axis=1, initial=0.0))
    lines = _facts(study, found, at)
    if steady >= DARK_CD:
        lines.append(f"steady lamps, not drawn: {candela_words(steady)}")
    step = min(0.13, cell.height / max(len(lines), 1))
    for number, line in enumerate(lines):
        put(sheet, cell.right + GAP_IN, cell.top - 0.02 - step * number, fit(line, FACTS_IN, 6.5), 6.5)


def _facts(study: SignalStudy, found: RingMeasures, at: int) -> list[str]:
    """Measures of one direction in lines."""
    model = study.models[0]
    if found.peak_cd[at] < DARK_CD:
        return ["no lamp that flashes sends light there"]
    rate = float(found.flash_rate_hz[at])
    flashes = "flashes not parted" if math.isnan(rate) else f"{figure(60.0 * rate)} flashes per minute"
    lit = float(found.longest_lit_s[at])
    return [
        f"peak {candela_words(found.peak_cd[at])}, mean {candela_words(found.mean_cd[at])} (dashed)",
        f"effective {candela_words(found.effective_cd[model][at])} ({model_words(model)})",
        flashes + (f", on up to {lit:.3g} s" if lit > 0.0 else ""),
        f"{100.0 * float(found.dark_share[at]):.3g} % of time below {study.dark_fraction:g} of the mean,",
        f"at most {float(found.longest_dark_s[at]):.3g} s on end",
    ]
