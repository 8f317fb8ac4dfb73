"""Glare along the approach: veil, threshold increment and eye illuminance against distance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.curves import Curve, most, row_of_panels
from scenelux.pictures.levels import approach_lights
from scenelux.pictures.sheet import BODY, Box, Sheet, new_sheet, put
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.pictures.words import comparison, variant_title
from scenelux.study.results import EyeEntry, EyeResult, StudyResult, VariantResult
from scenelux.units import UnitSystem, figure, format_length, format_speed

__all__ = ["approach_sheets", "comparison_approach_sheets"]

Array = NDArray[np.float64]

_QUANTITIES = ("veiling luminance [cd/m²]", "threshold increment, equivalent [%]", "eye illuminance [lx]")


def approach_sheets(
    result: StudyResult, variant: VariantResult, *, every_light: bool = False
) -> Iterator[tuple[str, Sheet]]:
    """Sheets of one variant, a light level each: its duty state with the most veil, every eye, every gaze.

    Parameters
    ----------
    result : the study.
    variant : the one drawn.
    every_light : every light level, not only the most judged and the worst.
    """
    approaching = [one for one in variant.eyes if one.kind == "approach"]
    dark = [one.name for one in approaching if not _veiled(one)]
    eyes = [one for one in approaching if _veiled(one)]
    for light in approach_lights([variant], every_light=every_light):
        state = _harshest(eyes, light)
        for first in range(0, len(eyes) if state else 0, 4):
            name = light if first == 0 else f"{light} {first // 4 + 1}"
            yield name, _eyes_sheet(result, variant, eyes[first : first + 4], state or "", light, dark)


def _say(result: StudyResult, state: str, light: str) -> str:
    where = f"{result.states.get(state) or state} · {result.lights.get(light) or light}"
    return f"{where}   (the duty state with the most veil)"


def _harshest(eyes: Sequence[EyeResult], light: str) -> str | None:
    """The duty state with the largest veil at any eye; None when no lamp veils anything."""
    worst: dict[str, float] = {}
    for eye in eyes:
        for entry in eye.entries:
            if entry.light == light:
                worst[entry.state] = max(worst.get(entry.state, 0.0), most(entry.veil_cd_m2[eye.headline_form]))
    state = max(worst, key=lambda one: worst[one], default=None)
    return state if state is not None and worst[state] > 0.0 else None


def _eyes_sheet(
    result: StudyResult, variant: VariantResult, eyes: list[EyeResult], state: str, light: str, dark: Sequence[str]
) -> Sheet:
    sheet = new_sheet(
        result,
        f"Glare along the approach · {variant_title(result, variant)}",
        _say(result, state, light),
        f"Veiling luminance ({eyes[0].headline_form}), threshold increment (equivalent) and eye illuminance; "
        "initial light (light loss factor 1); up = worse" + _unveiled(dark),
        variant,
    )
    chosen = [[entry for entry in eye.entries if (entry.state, entry.light) == (state, light)] for eye in eyes]
    wide = (BODY.width - _GUTTER_IN - 3 * _GAP_IN) / max(len(eyes), 2)
    heads = [_head_of_eye(eye, entries, result.units, wide) for eye, entries in zip(eyes, chosen, strict=True)]
    columns = _columns(heads)
    for row, name in enumerate(_QUANTITIES):
        curves = [
            [Curve(f"gaze: {entry.gaze}", eye.distances_m, _values(eye, entry)[row]) for entry in entries]
            for eye, entries in zip(eyes, chosen, strict=True)
        ]
        limits = [[_limit(entries)] if row == 0 else [] for entries in chosen]
        boxes = [box[row] for box in columns]
        row_of_panels(sheet, boxes, curves, limits, name, result.units, last=row == 2, named=row == 0)
    for head, boxes in zip(heads, columns, strict=True):
        _write_head(sheet, boxes[0], head)
    return sheet


def _unveiled(names: Sequence[str]) -> str:
    """Which eyes no lamp veils, by name while there is room."""
    text = f". No veil at all for: {'; '.join(names)}"
    short = f". No veil at all for {len(names)} more, named in the report"
    return "" if not names else text if text_width_in(text, 7.5) < 3.0 else short


def _values(eye: EyeResult, entry: EyeEntry) -> tuple[Array, Array, Array]:
    """What the rows of a sheet show, in the order of `_QUANTITIES`."""
    return entry.veil_cd_m2[eye.headline_form], entry.threshold_increment_percent, entry.eye_illuminance_lx


_GAP_IN = 0.14  # between the panels of two eyes
_GUTTER_IN = 0.68  # for the numbers and names at the left
_Head = list[tuple[str, float, bool]]  # text, size and weight of each line


def _columns(heads: list[_Head]) -> list[list[Box]]:
    """For each eye three boxes one below the other, the first the tallest, below the highest head."""
    body = Box(BODY.left + _GUTTER_IN, BODY.bottom + 0.36, BODY.width - _GUTTER_IN, BODY.height - 0.36)
    wide = body.cells(1, max(len(heads), 2), (_GAP_IN, 0.0))[: len(heads)]
    head = max(sum(_step(size) for _, size, _ in one) for one in heads) + 0.05
    heights, gap = (0.5, 0.25, 0.25), 0.1
    room = body.height - head - 2 * gap
    columns = []
    for box in wide:
        top, stack = body.top - head, []
        for share in heights:
            height = share * room
            stack.append(Box(box.left, top - height, box.width, height))
            top -= height + gap
        columns.append(stack)
    return columns


def _step(size: float) -> float:
    return size * 1.5 / 72


def _limit(entries: Sequence[EyeEntry]) -> tuple[float, str] | None:
    """The veil limit of an eye, and in words what it is and where it comes from."""
    found = next((entry for entry in entries if entry.veil_limit_cd_m2 is not None), None)
    if found is None or found.veil_limit_cd_m2 is None:
        return None
    words = f"limit {figure(found.veil_limit_cd_m2)} cd/m² ({found.veil_limit_from})"
    return found.veil_limit_cd_m2, words.replace("cd/m2", "cd/m²")


def _head_of_eye(eye: EyeResult, entries: Sequence[EyeEntry], units: UnitSystem, wide: float) -> _Head:
    """Name of the eye, how it comes, its worst veil, and what is not valid, broken to a width."""
    worst = max(entries, key=lambda one: most(one.veil_cd_m2[eye.headline_form]))
    veil = most(worst.veil_cd_m2[eye.headline_form])
    valid = min(one.valid_stations for one in entries)
    said = [
        _seconds(entries),
        f"{valid} of {eye.distances_m.size} stations valid" if valid < eye.distances_m.size else "",
    ]
    parts: _Head = [
        (eye.name, 8.0, True),
        (_how(eye, units), 6.0, False),
        (f"worst veil {figure(veil)} cd/m² (gaze: {worst.gaze})" if veil else "no veil in this state", 7.0, True),
        ("; ".join(text for text in said if text), 6.0, False),
    ]
    return [(line, size, bold) for text, size, bold in parts for line in wrap(text, wide - 0.1, size, bold)[:3]]


def _write_head(sheet: Sheet, box: Box, head: _Head) -> None:
    y = BODY.top
    for text, size, bold in head:
        put(sheet, box.left, y, text, size, bold=bold)
        y -= _step(size)


def _how(eye: EyeResult, units: UnitSystem) -> str:
    """Direction, height, age and speed of an eye."""
    direction = "" if eye.direction.lower() in eye.name.lower() else eye.direction
    parts = [direction, f"eye {format_length(eye.height_m, units)} up", f"age {eye.age_years:g}"]
    if eye.speed_m_s is not None:
        parts.append(format_speed(eye.speed_m_s, units))
    return ", ".join(part for part in parts if part)


def _seconds(entries: Sequence[EyeEntry]) -> str:
    found = [entry.seconds_above for entry in entries if entry.seconds_above is not None]
    return f"up to {figure(max(found))} s above the limit" if found else ""


def comparison_approach_sheets(
    result: StudyResult, first: VariantResult, second: VariantResult
) -> Iterator[tuple[str, Sheet]]:
    """Sheets with the veil of two variants, an eye a row and a gaze a column, where the variants differ.

    Parameters
    ----------
    result : the study.
    first, second : the variants; eyes are matched by name.
    """
    pairs = [
        (one, other)
        for one in first.eyes
        for other in second.eyes
        if one.eye_id == other.eye_id and one.kind == "approach" and _differ(one, other)
    ]
    for light in approach_lights([first, second]):
        eyes = [one for one, _ in pairs] + [other for _, other in pairs]
        state = _harshest(eyes, light)
        for start in range(0, len(pairs) if state else 0, 2):
            name = light if start == 0 else f"{light} {start // 2 + 1}"
            yield name, _pair_sheet(result, first, second, pairs[start : start + 2], state or "", light)


def _differ(one: EyeResult, other: EyeResult) -> bool:
    """True when the veil of any state, light level and gaze differs by more than a hundredth."""
    known = {(e.state, e.light, e.gaze): e.veil_cd_m2[one.headline_form] for e in one.entries}
    pairs = [(known.get((e.state, e.light, e.gaze)), e.veil_cd_m2[other.headline_form]) for e in other.entries]
    shapes = [(a, b) for a, b in pairs if a is not None]
    return any(a.shape != b.shape or not np.allclose(a, b, rtol=0.01, atol=1e-9, equal_nan=True) for a, b in shapes)


def _veiled(eye: EyeResult) -> bool:
    return any(most(entry.veil_cd_m2[eye.headline_form]) > 0.0 for entry in eye.entries)


def _pair_sheet(
    result: StudyResult,
    first: VariantResult,
    second: VariantResult,
    pairs: list[tuple[EyeResult, EyeResult]],
    state: str,
    light: str,
) -> Sheet:
    sheet = new_sheet(
        result,
        f"Glare along the approach · {first.name} and {second.name}",
        _say(result, state, light),
        f"Veiling luminance ({pairs[0][0].headline_form}), initial light (light loss factor 1); up = worse",
    )
    body = Box(BODY.left + 0.5, BODY.bottom + 0.36, BODY.width - 0.5, BODY.height - 0.36)
    for row, (one, other) in enumerate(pairs):
        entries = [
            (a, b)
            for a in one.entries
            for b in other.entries
            if (a.state, a.light, a.gaze) == (b.state, b.light, b.gaze) == (state, light, a.gaze)
        ][:4]
        strip = body.cells(2, 1, (0.0, 0.3))[row]
        panels = Box(strip.left, strip.bottom, strip.width, strip.height - 0.42)
        boxes = panels.cells(1, max(len(entries), 2), (0.14, 0.0))[: len(entries)]
        curves = [
            [
                Curve(first.name, one.distances_m, a.veil_cd_m2[one.headline_form]),
                Curve(second.name, other.distances_m, b.veil_cd_m2[other.headline_form]),
            ]
            for a, b in entries
        ]
        limits = [[_limit([a, b])] for a, b in entries]
        last = row == len(pairs) - 1
        row_of_panels(sheet, boxes, curves, limits, _QUANTITIES[0], result.units, last=last, named=True)
        put(sheet, strip.left, strip.top, f"{one.name}, {_how(one, result.units)}", 8.5, bold=True)
        for box, (a, _), (before, after) in zip(boxes, entries, curves, strict=False):
            share = comparison(most(before.values), most(after.values))
            text = f"gaze {a.gaze}: worst veil of {second.name} is {share} of {first.name}"
            put(sheet, box.left, box.top + 0.17, fit(text, box.width, 7), 7)
    return sheet
