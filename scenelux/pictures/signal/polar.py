"""Polar sheets: what goes to all sides of a vehicle, day and night side by side, with the limits that hold."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from scenelux.names import slug
from scenelux.pictures.sheet import BODY, GREY, Box, Sheet, new_sheet, put
from scenelux.pictures.signal.courses import DARK_CD, Looks, candela_words, light_words, looks_of, model_words
from scenelux.pictures.signal.dial import INNER, Dial, Style, dial_scale, draw_dial
from scenelux.pictures.signal.dial_marks import draw_arc, draw_band, draw_curve, draw_short, draw_vehicle, name_point
from scenelux.pictures.signal.strip import level_ring
from scenelux.pictures.signal.vehicle import drawing
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.study.results.signal import (
    SignalCase,
    SignalRing,
    SignalStudy,
    SignalVariant,
)
from scenelux.study.results.signal_facts import SignalVerdict
from scenelux.units import figure, format_length

__all__ = ["polar_sheets"]

Array = NDArray[np.float64]

CURVES: tuple[Style, ...] = (
    ("black", "solid", 2.4),
    ("#c4501b", (0, (5, 1.6)), 1.6),
    ("#2f6fb5", (0, (1.2, 1.2)), 1.8),
)
"""Of the main ring, and of two more; the dashes alone tell them apart in grey."""

LIMIT_DASHES = (0, (3.2, 1.6))
DRAWN = ("effective intensity", "mean intensity", "peak intensity", "darkest intensity", "on-state intensity")
SIGNS = {"at least": "≥", "at most": "≤"}
MOST_LIMITS = 3
EVERY_LAMP = "all lamps that flash"
SHORT = ("black", "#9a9a9a")
"""Bars outside a dial where a limit is not kept: one whose source was read, an unconfirmed one."""
LEGEND_IN, LIST_IN = 0.46, 0.96


@dataclass(frozen=True, eq=False)
class _Choice:
    """The rings of a sheet, the main one first, and how the sheet is called."""

    name: str
    title: str
    rings: tuple[SignalRing, ...]


def polar_sheets(study: SignalStudy, variant: SignalVariant) -> Iterator[tuple[str, Sheet]]:
    """A sheet of directions far away and one of eyes around, for each duty state and two of its light levels.

    Parameters
    ----------
    study : gives the one scale of all sheets.
    variant : what is drawn.
    """
    scale = dial_scale(study)
    for state in dict.fromkeys(case.state for case in variant.cases):
        cases = [looks for looks in looks_of(variant) if looks.case.state == state]
        for choice in _choices(variant):
            for start in range(0, len(cases), 2):
                part = [str(start // 2 + 1)] if len(cases) > 2 else []
                several = [variant.name] if len(study.variants) > 1 else []
                yield (
                    f"{slug(choice.name, *several, state, *part)}.png",
                    _sheet(study, variant, cases[start : start + 2], choice, scale),
                )


def _choices(variant: SignalVariant) -> list[_Choice]:
    level = level_ring(variant)
    far = [ring for ring in variant.rings if ring.kind == "far" and ring is not level]
    near = [ring for ring in variant.rings if ring.kind == "near"]
    found = [_Choice("polar", "Light to all sides, far away", (level, *_beside(variant, far)))]
    if near:
        some = dict.fromkeys(ring.ring_id for ring in (near[0], near[len(near) // 2], near[-1]))
        found.append(_Choice("polar-eyes", "Light to eyes all around", tuple(variant.ring(one) for one in some)))
    return found


def _beside(variant: SignalVariant, far: Sequence[SignalRing]) -> list[SignalRing]:
    """One ring above level and one below: the farthest for which something is asked, else the farthest."""
    asked = {angle for row in variant.verdicts for angle in row.elevations_deg}
    found = []
    for sign in (1.0, -1.0):
        rings = sorted(
            (ring for ring in far if sign * ring.elevation_deg > 0.0), key=lambda one: abs(one.elevation_deg)
        )
        wanted = [ring for ring in rings if ring.elevation_deg in asked]
        found += wanted[-1:] or rings[-1:]
    return found


def _sheet(
    study: SignalStudy, variant: SignalVariant, cases: Sequence[Looks], choice: _Choice, scale: tuple[float, float]
) -> Sheet:
    about = study.about
    state = cases[0].case.state
    lights = " · ".join(light_words(study, looks) for looks in cases)
    sheet = new_sheet(
        about,
        f"{choice.title} · {variant.name}",
        f"{about.states.get(state) or state} · {lights}",
        f"Initial intensity of all lamps that flash; effective: {model_words(study.models[0])}, holds at the threshold "
        "of sight. Heading, counter-clockwise from the front as seen from above, as aims are",
        command="signal",
    )
    wide = BODY.width / 2.0
    foot = BODY.bottom + LEGEND_IN + LIST_IN
    radius = min(wide / 2.0 - 0.62, (BODY.top - 0.24 - 0.32 - foot - 0.34) / 2.0)
    across = (
        [BODY.left + wide * (number + 0.5) for number in range(2)] if len(cases) > 1 else [BODY.left + BODY.width / 2.0]
    )
    per_m = 0.0
    for x, looks in zip(across, cases, strict=True):
        dial = Dial(x, foot + 0.34 + radius, radius, *scale)
        title = about.lights.get(looks.case.light) or looks.case.light
        put(sheet, x - wide / 2.0, BODY.top, fit(title, wide - 0.2, 10, True), 10, bold=True)
        per_m = _draw_case(sheet, dial, study, variant, looks, choice)
        _list_limits(sheet, study, Box(x - wide / 2.0, BODY.bottom, wide - 0.2, LIST_IN), variant, looks, choice)
    across_m = 2.0 * INNER * radius / per_m
    _legend(sheet, foot - 0.02, choice, format_length(across_m, about.units))
    return sheet


def _draw_case(
    sheet: Sheet, dial: Dial, study: SignalStudy, variant: SignalVariant, looks: Looks, choice: _Choice
) -> float:
    """One dial; sheet inches per metre of its vehicle."""
    model, main, case = study.models[0], choice.rings[0], looks.case
    level = case.measures_of(main.ring_id, "flashing")
    draw_band(sheet, dial, main.heading_deg, level.mean_cd, level.peak_cd)
    draw_dial(sheet, dial)
    per_m = draw_vehicle(sheet, dial, drawing(variant, "above, front up"), case.flashing)
    for ring, style in reversed(list(zip(choice.rings, CURVES, strict=False))):
        values = case.measures_of(ring.ring_id, "flashing").effective_cd[model]
        draw_curve(sheet, dial, ring.heading_deg, values, style)
    _draw_limits(sheet, dial, variant, looks, choice)
    _mark_least(sheet, dial, main, level.effective_cd[model])
    return per_m


def _mark_least(sheet: Sheet, dial: Dial, ring: SignalRing, values: Array) -> None:
    """A diamond at the smallest value of the main curve, with the value and one place of it."""
    if not np.isfinite(values).any():
        return
    at = int(np.nanargmin(values))
    (place,) = dial.places(ring.heading_deg[at : at + 1], values[at : at + 1])
    mark = Line2D(*place[:, np.newaxis], marker="D", ms=7, mfc="white", mec="black", mew=1.6, ls="none", zorder=5)
    mark.set_transform(sheet.dpi_scale_trans)
    sheet.add_artist(mark)
    name_point(sheet, dial, place, f"{candela_words(values[at])} at {ring.heading_deg[at]:g} deg", bold=True)


def _least_words(ring: SignalRing, values: Array) -> str:
    """The least of the main curve in a sentence."""
    if not np.isfinite(values).any():
        return f"◇ There is no value, {ring.says}."
    at = int(np.nanargmin(values))
    return f"◇ Least effective intensity, {ring.says}: {candela_words(values[at])}, {_where(ring, values, at)}."


def _where(ring: SignalRing, values: Array, at: int) -> str:
    """The heading of the least, or all neighbours that have no more."""
    alike, count = values <= max(float(values[at]) * 1.001, DARK_CD), len(values)
    first = last = at
    while alike[(first - 1) % count] and last - first < count - 1:
        first -= 1
    while alike[(last + 1) % count] and last - first < count - 1:
        last += 1
    if last - first == count - 1:
        return "all round"
    elsewhere = " and elsewhere" if np.count_nonzero(alike) > last - first + 1 else ""
    if first == last:
        return f"heading {ring.heading_deg[at]:g} deg{elsewhere}"
    return f"heading {ring.heading_deg[first % count]:g} to {ring.heading_deg[last % count]:g} deg{elsewhere}"


def _limits(variant: SignalVariant, looks: Looks, choice: _Choice) -> list[tuple[SignalVerdict, int]]:
    """Limits on intensity that hold for a ring of the sheet, and which ring that is."""
    found, seen = [], set()
    for row in variant.verdicts:
        mine = (
            row.state == looks.case.state and row.light in looks.lights and row.quantity in DRAWN and row.unit == "cd"
        )
        if not mine or not math.isfinite(row.limit) or not row.headings_deg:
            continue
        rings = [at for at, ring in enumerate(choice.rings) if _holds(row, ring)]
        key = (row.rule, row.sense, row.limit, row.subject)
        if rings and key not in seen:
            seen.add(key)
            found.append((row, rings[0]))
    return found


def _holds(row: SignalVerdict, ring: SignalRing) -> bool:
    if ring.kind == "far":
        return ring.elevation_deg in row.elevations_deg
    return not row.elevations_deg and math.isclose(row.worst.height_m, ring.height_m)


def _draw_limits(sheet: Sheet, dial: Dial, variant: SignalVariant, looks: Looks, choice: _Choice) -> None:
    """Each limit as a line at its angles: with a white core where its source was read, dashed where unconfirmed."""
    limits = _limits(variant, looks, choice)
    for open_one in (True, False):  # bars of confirmed limits over those of others
        rows = [row for row, ring in limits if ring == 0 and (row.source_status == "unconfirmed") == open_one]
        missed = {heading for row in rows for heading in _short(looks.case, choice.rings[0], row)}
        draw_short(sheet, dial, missed, SHORT[open_one])
    for number, (row, ring) in enumerate(limits[:MOST_LIMITS], 1):
        colour = CURVES[ring][0]
        open_one = row.source_status == "unconfirmed"
        style: Style = (colour, LIMIT_DASHES if open_one else "solid", 1.6 if open_one else 1.0)
        points = draw_arc(sheet, dial, row.headings_deg, row.limit, style, core=not open_one)
        if len(points):
            choices = points[:: max(1, len(points) // 24)]
            name_point(sheet, dial, choices, f"[{number}] {SIGNS[row.sense]} {figure(row.limit)} cd", colour=colour)


def _short(case: SignalCase, ring: SignalRing, row: SignalVerdict) -> list[float]:
    """Headings in which even all lamps that flash do not keep a limit."""
    found = case.measures_of(ring.ring_id, "flashing")
    values = {
        "effective intensity": found.effective_cd.get(row.model),
        "mean intensity": found.mean_cd,
        "peak intensity": found.peak_cd,
        "on-state intensity": found.peak_cd,
        "darkest intensity": found.least_cd,
    }[row.quantity]
    if values is None or (row.sense == "at most" and row.subject != EVERY_LAMP):
        return []
    missed = values < row.limit if row.sense == "at least" else values > row.limit
    return [float(at) for at in ring.heading_deg[missed & np.isin(ring.heading_deg, row.headings_deg)]]


def _list_limits(
    sheet: Sheet, study: SignalStudy, box: Box, variant: SignalVariant, looks: Looks, choice: _Choice
) -> None:
    """The least of the bold curve, then what each number on the dial is, where from, and what was found."""
    limits = _limits(variant, looks, choice)
    main = choice.rings[0]
    values = looks.case.measures_of(main.ring_id, "flashing").effective_cd[study.models[0]]
    more = [f"{len(limits) - MOST_LIMITS} more limits are in the results."] if len(limits) > MOST_LIMITS else []
    lines = wrap(" ".join([_least_words(main, values), *looks.case.notes, *more]), box.width, 6.5)
    for number, (row, _) in enumerate(limits[:MOST_LIMITS], 1):
        lines += wrap(f"[{number}] {_limit_words(row)}", box.width, 6.5)
    if not limits:
        lines.append("No limit on intensity is asked for in these directions.")
    room = int((box.height - 0.12) / 0.118)
    for number, text in enumerate(lines[:room]):
        cut = number == room - 1 and len(lines) > room
        put(sheet, box.left, box.top - 0.118 * number, fit(f"{text} …", box.width, 6.5) if cut else text, 6.5)


def _limit_words(row: SignalVerdict) -> str:
    kind = row.quantity.removesuffix(" intensity")
    model = f", {model_words(row.model)}" if row.model else ""
    of = "" if row.subject == EVERY_LAMP else f", {row.subject} alone"
    found = f"found {candela_words(row.value)}"
    if math.isfinite(row.worst.heading_deg):
        found += f" at heading {row.worst.heading_deg:g} deg"
    if math.isfinite(row.worst.elevation_deg) and row.worst.elevation_deg:
        found += f", {abs(row.worst.elevation_deg):g} deg {'above' if row.worst.elevation_deg > 0 else 'below'} level"
    limit = f"{SIGNS[row.sense]} {figure(row.limit)} cd {kind}{model} ({row.source_status})"
    return f"{row.name or row.rule}{of}: {limit}; {found}: {row.verdict}"


def _legend(sheet: Sheet, top: float, choice: _Choice, across: str) -> None:
    """Samples of all lines in rows under the dials."""
    items: list[tuple[list[Style], str]] = [
        *(([style], f"effective, {ring.says}") for ring, style in zip(choice.rings, CURVES, strict=False)),
        ([("#8c8c8c", "solid", 7.0), ("#dedede", "solid", 5.6)], "from mean to peak, of the bold curve"),
        ([("black", LIMIT_DASHES, 1.6)], "limit, unconfirmed: decides nothing"),
        ([("black", "solid", 3.0), ("white", "solid", 1.0)], "limit, confirmed or own"),
        ([("#777777", (0, (6, 3)), 0.9)], "zones (unconfirmed)"),
        ([("black", "solid", 4.0)], "misses a limit there"),
        ([("#9a9a9a", "solid", 4.0)], "misses an unconfirmed limit there"),
    ]
    x, y = BODY.left, top - 0.07
    for styles, words in items:
        wide = 0.4 + text_width_in(words, 6.5)
        if x > BODY.left and x + wide > BODY.right:
            x, y = BODY.left, y - 0.14
        _sample(sheet, x, y, styles, words)
        x += wide + 0.22
    words = f"Inner circle: the vehicle to scale, {across} across; ○ lamps that flash"
    put(sheet, BODY.left, BODY.bottom + 0.02, words, 6.5, va="baseline", color=GREY)


def _sample(sheet: Sheet, x: float, y: float, styles: Sequence[Style], words: str) -> None:
    """A sample of a line with its name."""
    for colour, dashes, width in styles:
        line = Line2D((x, x + 0.34), (y, y), color=colour, ls=dashes, lw=width, transform=sheet.dpi_scale_trans)
        line.set_solid_capstyle("butt")
        sheet.add_artist(line)
    put(sheet, x + 0.4, y, words, 6.5, va="center")
