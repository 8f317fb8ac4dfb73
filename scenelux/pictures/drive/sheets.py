"""Curves along an approach: visibility of everybody, veil, light at the eye and towards it, on one scale."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.names import slug
from scenelux.pictures.curves import BAND, Curve, SignedAxis, most, row_of_panels, sample_of_line
from scenelux.pictures.drive.spans import lost_words
from scenelux.pictures.sheet import BODY, GREY, Box, Sheet, fill_box, new_sheet, put
from scenelux.pictures.text import text_width_in, wrap
from scenelux.pictures.view.facts import by_part
from scenelux.study.results.approach import (
    ApproachEntry,
    ApproachResult,
    ApproachStudy,
    ApproachVariant,
    SeenFrom,
    TargetEntry,
    TargetPath,
)
from scenelux.units import UnitSystem, figure, format_distance, format_speed

__all__ = ["approach_study_sheets", "seen_sentence"]

Array = NDArray[np.float64]

MOST_COLUMNS = 3
OLDEST_YEARS = 75.0
MOST_TARGETS = 5
"""Curves of one panel that stay apart; people come first."""

HEIGHTS = (0.46, 0.2, 0.17, 0.17)
NAMES_IN = 0.19
GAP_IN, GUTTER_IN = 0.14, 0.68


@dataclass(frozen=True)
class _Column:
    """One column of a sheet: an approach in one variant, duty state and light level."""

    title: str
    variant: ApproachVariant
    approach: ApproachResult
    state: str
    light: str

    @property
    def entry(self) -> ApproachEntry:
        return next(one for one in self.approach.entries if (one.state, one.light) == (self.state, self.light))

    def of(self, target: TargetPath) -> TargetEntry:
        return next(one for one in target.entries if (one.state, one.light) == (self.state, self.light))

    @property
    def age(self) -> int:
        """Which age is drawn: the oldest that the model of visibility covers."""
        ages = self.approach.ages_years
        covered = [at for at, age in enumerate(ages) if age < OLDEST_YEARS]
        return max(covered, key=lambda at: ages[at], default=0)


def approach_study_sheets(study: ApproachStudy) -> Iterator[tuple[str, Sheet]]:
    """Every sheet of an approach study with its file name.

    Parameters
    ----------
    study : one variant gives a sheet for each duty state with its light levels side by side; several variants stand
        side by side, a sheet for each duty state and light level.
    """
    first = study.variants[0]
    for number, approach in enumerate(first.approaches):
        for name, columns in _columns_of(study, number, approach):
            for start in range(0, len(columns), MOST_COLUMNS):
                part = f"{start // MOST_COLUMNS + 1}" if len(columns) > MOST_COLUMNS else ""
                parts = ("approach", approach.approach_id, *name, *([part] if part else []))
                yield f"{slug(*parts)}.png", _sheet(study, columns[start : start + MOST_COLUMNS])


def _columns_of(
    study: ApproachStudy, number: int, approach: ApproachResult
) -> Iterator[tuple[tuple[str, ...], list[_Column]]]:
    cases = [(one.state, one.light) for one in approach.entries]
    lights = study.about.lights
    if len(study.variants) == 1:
        only = study.variants[0]
        for state in dict.fromkeys(state for state, _ in cases):
            own = [light for duty, light in cases if duty == state]
            yield (state,), [_Column(lights.get(light) or light, only, approach, state, light) for light in own]
        return
    for case in cases:
        yield case, [_Column(_titled(one), one, one.approaches[number], *case) for one in study.variants]


def _titled(variant: ApproachVariant) -> str:
    return f"{variant.name}: {variant.say}" if variant.say else variant.name


def _sheet(study: ApproachStudy, columns: Sequence[_Column]) -> Sheet:
    first = columns[0]
    approach, about = first.approach, study.about
    state = about.states.get(first.state) or first.state
    several = len(study.variants) > 1
    where = f"{state} · {about.lights.get(first.light) or first.light}" if several else state
    sheet = new_sheet(
        about,
        f"Approach · {approach.name}" + ("" if several else f" · {first.variant.name}"),
        f"{where}   ({_driver(approach, about.units)})",
        f"Initial light (light loss factor 1), {approach.weather}. Visibility: eye of "
        f"{approach.ages_years[first.age]:g} years, {approach.exposure_s:g} s, by the part that stands out most; "
        f"constants unconfirmed, no verdict. Veil: {approach.eyes[0].headline_form}, worst gaze",
        command="approach",
    )
    heads = [_head(column, about.units, _width(len(columns)) - 0.1) for column in columns]
    rows = _boxes(len(columns), max(len(head) for head in heads))
    marks = [column.approach.stopping_distance_m for column in columns]
    _draw_levels(sheet, rows[0], columns, marks, about.units)
    _draw_glare(sheet, rows[1:], columns, marks, about.units)
    for box, head in zip(rows[0], heads, strict=True):
        _write(sheet, box.left, head)
    return sheet


def _driver(approach: ApproachResult, units: UnitSystem) -> str:
    stopping = format_distance(approach.stopping_distance_m, units)
    return (
        f"{approach.lane}, {approach.direction}, {format_speed(approach.speed_m_s, units)}; "
        f"double line: stopping sight distance {stopping}; lamps that flash count as lit"
    )


_Line = tuple[str, float, bool]


def _head(column: _Column, units: UnitSystem, wide: float) -> list[_Line]:
    """Title, then for each person from where on it stays seen."""
    lines: list[_Line] = [(column.title, 8.0, True)]
    people = [target for target in column.approach.targets if target.kind == "person"]
    for target in people[:MOST_TARGETS]:
        lines.append((seen_sentence(target, column.of(target).seen[column.age], units), 6.5, False))
    return [(line, size, bold) for text, size, bold in lines for line in wrap(text, wide, size, bold)[:2]]


def seen_sentence(target: TargetPath, seen: SeenFrom, units: UnitSystem) -> str:
    """From where on a target stays seen, and what that leaves.

    Parameters
    ----------
    target : who or what.
    seen : for an eye of some age.
    units : "metric" or "us".
    """
    if seen.outcome != "seen":
        lost = lost_words(seen, units) or "not seen at the last station"
        return f"{target.name}: {lost if seen.outcome == 'never' else 'no answer'}"
    more = f"{' or more' if seen.at_least else ''}{' (in doubt)' if seen.in_doubt else ''}"
    start = f"{target.name}: seen{by_part(seen.seen_by)} from {format_distance(seen.to_target_m, units)}{more} on"
    if math.isnan(seen.margin_m):
        return start
    words = "too late" if seen.margin_m < 0.0 else "to spare"
    return f"{start}, {format_distance(abs(seen.margin_m), units)} ({abs(seen.margin_s):.1f} s) {words}"


def _width(columns: int) -> float:
    return (BODY.width - GUTTER_IN - (columns - 1) * GAP_IN) / columns


def _boxes(columns: int, lines: int) -> list[list[Box]]:
    """Rows of boxes below the head; strips under the first two rows are left for names."""
    wide, gap = _width(columns), 0.09
    top = BODY.top - 0.02 - 0.145 * lines
    room = top - BODY.bottom - 0.36 - 3 * gap - 2 * NAMES_IN
    rows = []
    for number, share in enumerate(HEIGHTS):
        height = share * room
        rows.append(
            [Box(BODY.left + GUTTER_IN + at * (wide + GAP_IN), top - height, wide, height) for at in range(columns)]
        )
        top -= height + gap + (NAMES_IN if number < 2 else 0.0)
    return rows


def _write(sheet: Sheet, left: float, head: Sequence[_Line]) -> None:
    for number, (text, size, bold) in enumerate(head):
        put(sheet, left, BODY.top - 0.145 * number, text, size, bold=bold)


def _draw_levels(
    sheet: Sheet, boxes: Sequence[Box], columns: Sequence[_Column], marks: Sequence[float], units: UnitSystem
) -> None:
    """Signed visibility levels; inside the grey band nobody counts as visible."""
    curves = [
        [
            _level_curve(target.name, column.approach.distances_m, column.of(target), column.age)
            for target in column.approach.targets[:MOST_TARGETS]
        ]
        for column in columns
    ]
    chosen = [column.approach.visibility_level for column in columns]
    top = max([30.0, 3.0 * max(chosen), *(most(np.abs(curve.values)) for row in curves for curve in row)])
    name = "visibility level: − darker, + brighter"
    if not any(curves):
        curves = [
            [Curve("", column.approach.distances_m, np.full(len(column.approach.distances_m), np.nan))]
            for column in columns
        ]
    row_of_panels(
        sheet, boxes, curves, [[] for _ in boxes], name, units,
        last=False, named=False, axis=SignedAxis(min(top * 1.1, 300.0)), bands=chosen, marks_m=marks,
    )  # fmt: skip
    for box in boxes:
        put(sheet, box.left + 0.06, box.top - 0.06, "visible, brighter than what is behind", 6, color=GREY)
        put(
            sheet,
            box.left + 0.06,
            box.bottom + 0.13,
            "visible, darker than what is behind",
            6,
            color=GREY,
        )
    _name_targets(sheet, boxes, columns[0].approach)


def _level_curve(name: str, distances_m: Array, entry: TargetEntry, age: int) -> Curve:
    """A line with a gap where another part takes over on the other side of nothing: no part passes through it there."""
    level, by = entry.level[age], entry.seen_by[age]
    gaps = [at for at in range(1, len(by)) if level[at - 1] * level[at] < 0.0 and by[at - 1] != by[at]]
    return Curve(name, np.insert(distances_m, gaps, distances_m[gaps]), np.insert(level, gaps, np.nan))


def _name_targets(sheet: Sheet, boxes: Sequence[Box], approach: ApproachResult) -> None:
    """What the band is and samples of the lines in a strip below the first row, the same in all panels of it."""
    x, y = boxes[0].left, boxes[0].bottom - 0.12
    fill_box(sheet, Box(x, y - 0.05, 0.35, 0.1), facecolor=BAND, edgecolor="none")
    words = f"1 to {figure(approach.visibility_level)}: marginal, below not visible; line cut: another part"
    put(sheet, x + 0.4, y + 0.035, words, 6.5, color=GREY)
    x += 0.6 + text_width_in(words, 6.5)
    shown = approach.targets[:MOST_TARGETS]
    free = BODY.right - x - 0.6 * len(shown)
    enough = sum(text_width_in(target.name, 6.5) for target in shown) + 0.1 * len(shown) <= free
    room = free if enough else free / max(len(shown), 1)  # where not all names fit, each has the same room
    for number, target in enumerate(shown):
        x = sample_of_line(sheet, x, y, number, target.name, room) + 0.2
    if len(approach.targets) > len(shown):
        put(sheet, x, y + 0.035, f"{len(approach.targets) - len(shown)} more in the report", 6.5, color=GREY)


def _draw_glare(
    sheet: Sheet, rows: Sequence[Sequence[Box]], columns: Sequence[_Column], marks: Sequence[float], units: UnitSystem
) -> None:
    """Veil by age with the adaptation luminance, light at the eye, and intensity towards it."""
    kinds: tuple[tuple[str, Callable[[_Column], list[Curve]]], ...] = (
        ("veil [cd/m²]", _veils),
        ("eye [lx]", _eye_light),
        ("towards the eye [cd]", _towards),
    )
    for number, (boxes, (name, make)) in enumerate(zip(rows, kinds, strict=True)):
        curves = [make(column) for column in columns]
        none: list[list[tuple[float, str] | None]] = [[] for _ in columns]
        row_of_panels(sheet, boxes, curves, none, name, units, last=number == 2, named=False, marks_m=marks)
    _name_ages(sheet, rows[0], columns)


def _name_ages(sheet: Sheet, boxes: Sequence[Box], columns: Sequence[_Column]) -> None:
    """Samples of the lines of the ages in a strip below the veil, and what eyes are used to in each panel."""
    x, y = boxes[0].left, boxes[0].bottom - 0.12
    for at, age in enumerate(columns[0].approach.ages_years[:MOST_TARGETS]):
        x = sample_of_line(sheet, x, y, at, f"{age:g} years", 1.0) + 0.2
    for box, column in zip(boxes, columns, strict=True):
        words = f"adaptation luminance {figure(column.entry.adaptation_luminance_cd_m2)} cd/m²"
        put(sheet, box.left + 0.06, box.bottom + 0.12, words, 6, color=GREY)


def _veils(column: _Column) -> list[Curve]:
    form = column.approach.eyes[0].headline_form
    return [
        Curve(
            f"{eye.age_years:g} years",
            column.approach.distances_m,
            _worst(
                column, [e.veil_cd_m2[form] for e in eye.entries if (e.state, e.light) == (column.state, column.light)]
            ),
        )
        for eye in column.approach.eyes[:5]
    ]


def _worst(column: _Column, series: Sequence[Array]) -> Array:
    """The largest of several gazes at each station; nan where none is valid."""
    found = np.full(len(column.approach.distances_m), np.nan)
    for one in series:
        found = np.fmax(found, one)
    return found


def _eye_light(column: _Column) -> list[Curve]:
    entries = [e for e in column.approach.eyes[0].entries if (e.state, e.light) == (column.state, column.light)]
    return [Curve("", column.approach.distances_m, _worst(column, [e.eye_illuminance_lx for e in entries]))]


def _towards(column: _Column) -> list[Curve]:
    return [Curve("", column.approach.distances_m, column.entry.towards_eye_cd)]
