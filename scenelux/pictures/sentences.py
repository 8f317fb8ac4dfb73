"""What differs between two variants, in sentences that a customer understands."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from scenelux.pictures.crew import crew_changes
from scenelux.pictures.levels import judged_lights
from scenelux.pictures.words import comparison, illuminance, limit_text, value_text
from scenelux.study.results import AreaEntry, EyeEntry, EyeResult, StudyResult, VariantResult, VerdictRow
from scenelux.units import UnitSystem, figure

__all__ = ["comparison_sentences", "flips", "worst_veil", "worst_veils"]

_Veil = tuple[EyeResult, EyeEntry, float, float]


def flips(first: VariantResult, second: VariantResult) -> list[tuple[VerdictRow, VerdictRow]]:
    """Verdicts that differ between two variants, matched by rule, subject, statistic, state and light level."""
    before = {_identity(row): row for row in first.verdicts}
    pairs = [(before[_identity(row)], row) for row in second.verdicts if _identity(row) in before]
    return [(one, other) for one, other in pairs if one.verdict != other.verdict]


def _identity(row: VerdictRow) -> tuple[str, ...]:
    return row.rule, row.subject, row.quantity, row.statistic, row.plane, row.state, row.light


def worst_veil(eye: EyeResult, entry: EyeEntry) -> float:
    """The largest valid veil along the stations, headline form [cd/m2]; nan when none is valid."""
    values = entry.veil_cd_m2[eye.headline_form]
    return float(np.nanmax(values)) if np.isfinite(values).any() else math.nan


def worst_veils(first: VariantResult, second: VariantResult) -> list[tuple[EyeResult, EyeEntry, float, float]]:
    """For every eye, state, light level and gaze of both variants: eye, entry, worst veil before and after [cd/m2]."""
    known = {(eye.eye_id, e.state, e.light, e.gaze): worst_veil(eye, e) for eye in first.eyes for e in eye.entries}
    return [
        (eye, e, known[eye.eye_id, e.state, e.light, e.gaze], worst_veil(eye, e))
        for eye in second.eyes
        for e in eye.entries
        if (eye.eye_id, e.state, e.light, e.gaze) in known
    ]


def comparison_sentences(result: StudyResult, first: VariantResult, second: VariantResult) -> list[str]:
    """What the second variant changes against the first: verdicts that flip, narrow verdicts, areas, glare, crew.

    All figures belong to the light level that the rules judge most.

    Parameters
    ----------
    result : the study, for units and words.
    first, second : the variants.
    """
    light = next(iter(judged_lights([first, second])), "")
    crew = crew_changes(first, second, light, result.units)
    told = [*_areas(result, first, second, light), *_eyes(result, first, second, light)]
    told += [(one.state, one.sentence) for one in crew if one.sentence]
    states = {state for state, _ in told}
    common = f", {_state(result, min(states))}" if len(states) == 1 else ""
    lines = [f"{_say_light(result, light)}{common}:"] if told else []
    lines += [f"{text}." if common else f"{text} ({_state(result, state)})." for state, text in told]
    verdicts = [*_flip_sentences(result, first, second), *_narrow(result, first, second)]
    return [*verdicts, *lines, *_alike(first, second, light, [one.subject for one in crew if not one.sentence])]


def _say_light(result: StudyResult, light: str) -> str:
    return result.lights.get(light) or light


def _state(result: StudyResult, state: str) -> str:
    text = result.states.get(state) or state
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def _areas(result: StudyResult, first: VariantResult, second: VariantResult, light: str) -> list[tuple[str, str]]:
    """For each area that changes: the duty state with the most light there, and a sentence."""
    sentences = []
    for area, pair in _area_pairs(first, second, light):
        one, other = pair
        if not _same_light(one, other):
            sentences.append((other.state, _area_sentence(area, (first.name, one), (second.name, other), result.units)))
    return sentences


def _area_pairs(
    first: VariantResult, second: VariantResult, light: str
) -> list[tuple[str, tuple[AreaEntry, AreaEntry]]]:
    """Areas of both variants in the duty state that lights them most."""
    known = {(area.area_id, e.state): e for area in first.areas for e in area.entries if e.light == light}
    found = []
    for area in second.areas:
        entries = [e for e in area.entries if e.light == light and (area.area_id, e.state) in known]
        pairs = [(known[area.area_id, entry.state], entry) for entry in entries]
        lit = [pair for pair in pairs if _brightest(pair) > 0.0]
        if lit:
            found.append((area.name, max(lit, key=_brightest)))
    return found


def _brightest(pair: tuple[AreaEntry, AreaEntry]) -> float:
    return max(_or(one.maintained.average) for one in pair)


def _same_light(one: AreaEntry, other: AreaEntry) -> bool:
    """True when average and minimum print the same."""
    a, b = one.maintained, other.maintained
    return (figure(a.average), figure(a.minimum)) == (figure(b.average), figure(b.minimum))


def _area_sentence(area: str, before: tuple[str, AreaEntry], after: tuple[str, AreaEntry], units: UnitSystem) -> str:
    (first, one), (second, other) = before, after
    average, least = other.maintained.average, other.maintained.minimum
    return (
        f"{area}: {second} puts {illuminance(average, units)} on average, "
        f"{first} {illuminance(one.maintained.average, units)}; weakest "
        f"{illuminance(least, units)} against {illuminance(one.maintained.minimum, units)}"
    )


def _or(value: float) -> float:
    """A value that can be put in order; nan counts as nothing."""
    return value if math.isfinite(value) else 0.0


def _eyes(result: StudyResult, first: VariantResult, second: VariantResult, light: str) -> list[tuple[str, str]]:
    """For each eye whose veil changes: its hardest duty state, and a sentence that tells every gaze."""
    sentences = []
    for case in _eye_cases(first, second, light):
        if any(figure(before) != figure(after) for _, _, before, after in case):
            sentences.append((case[0][1].state, _veil_sentence(case, first.name, second.name)))
    return sentences


def _eye_cases(first: VariantResult, second: VariantResult, light: str) -> list[list[_Veil]]:
    """For each eye that any lamp veils, its gazes in the duty state that veils it most."""
    cases: dict[str, dict[str, list[_Veil]]] = {}
    for eye, entry, before, after in worst_veils(first, second):
        if entry.light == light and max(_or(before), _or(after)) > 0.0:
            cases.setdefault(eye.eye_id, {}).setdefault(entry.state, []).append((eye, entry, before, after))
    return [max(states.values(), key=lambda case: max(_or(one[2]) for one in case)) for states in cases.values()]


def _veil_sentence(case: list[_Veil], first: str, second: str) -> str:
    """The veil with the first gaze, and how far the gaze alone changes the share."""
    eye, entry, before, after = case[0]
    shares = [one[3] / one[2] for one in case if _or(one[2]) > 0.0 and math.isfinite(one[3])]
    text = (
        f"{eye.name}: the driver's veil with {second} is {comparison(before, after)} of {first}, {figure(after)} "
        f"against {figure(before)} cd/m² at the worst station (gaze: {entry.gaze})"
    )
    return f"{text}; all gazes {figure(min(shares))} to {figure(max(shares))}" if len(shares) > 1 else text


def _alike(first: VariantResult, second: VariantResult, light: str, crew: list[str]) -> list[str]:
    """What does not change, of the crew as given, and which eyes no lamp veils."""
    same = [name for name, pair in _area_pairs(first, second, light) if _same_light(*pair)]
    cases = _eye_cases(first, second, light)
    same += [case[0][0].name for case in cases if all(figure(before) == figure(after) for _, _, before, after in case)]
    same += crew
    veiled = {case[0][0].eye_id for case in cases}
    unlit = [eye.name for eye in second.eyes if eye.eye_id not in veiled]
    lines = [f"The same in both: {'; '.join(same)}."] if same else []
    return [*lines, f"No veil in either for: {'; '.join(unlit)}."] if unlit else lines


def _flip_sentences(result: StudyResult, first: VariantResult, second: VariantResult) -> list[str]:
    grouped: dict[tuple[str, str, str, str], list[VerdictRow]] = {}
    for before, after in flips(first, second):
        key = (after.rule, _subject(second, after), before.verdict, after.verdict)
        grouped.setdefault(key, []).append(after)
    if not grouped:
        return ["No verdict flips."]
    return [
        f"Verdict that flips: {rule}, {subject}: {_verb(before)} in {first.name}, {_verb(after)} in {second.name} "
        f"({_say_all(result, rows)})."
        for (rule, subject, before, after), rows in grouped.items()
    ]


def _narrow(result: StudyResult, first: VariantResult, second: VariantResult) -> list[str]:
    """Verdicts that stand closer to their limit than the lamp data are certain."""
    grouped: dict[str, list[VerdictRow]] = {}
    for variant in (first, second):
        for row in variant.verdicts:
            if row.inside_uncertainty and row.verdict != "not assessed":
                text = f"{_subject(variant, row)}, {row.rule}: {variant.name} {row.verdict} narrowly: {_reason(row)}"
                grouped.setdefault(text, []).append(row)
    return [f"{text} ({_say_all(result, rows)})." for text, rows in grouped.items()]


def _reason(row: VerdictRow) -> str:
    """Why a verdict is what it is, to stand inside a sentence."""
    because = row.because or f"{row.statistic} {value_text(row)} against {limit_text(row)}"
    text = f"{because[:1].lower()}{because[1:]}".removesuffix(".").replace("cd/m2", "cd/m²")
    return text if "inside data uncertainty" in text else f"{text}; margin inside data uncertainty"


def _subject(variant: VariantResult, row: VerdictRow) -> str:
    names = {one.area_id: one.name for one in variant.areas} | {one.eye_id: one.name for one in variant.eyes}
    return names.get(row.subject, row.subject)


def _verb(verdict: str) -> str:
    return "is not assessed" if verdict == "not assessed" else verdict


def _say_all(result: StudyResult, rows: Sequence[VerdictRow]) -> str:
    """Each duty state once, with its light levels."""
    lights: dict[str, list[str]] = {}
    for row in rows:
        lights.setdefault(_state(result, row.state), []).append(_say_light(result, row.light))
    return "; ".join(f"{state}: {', and '.join(dict.fromkeys(words))}" for state, words in lights.items())
