"""What differs between two variants, in sentences that a customer understands."""

from __future__ import annotations

import math

import numpy as np

from scenelux.pictures.words import comparison, figure, illuminance
from scenelux.study.results import AreaEntry, EyeEntry, EyeResult, StudyResult, VariantResult, VerdictRow
from scenelux.units import UnitSystem

__all__ = ["comparison_sentences", "flips", "worst_veil", "worst_veils"]

Key = tuple[str, str]
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
    """What the second variant changes against the first: areas, glare, and verdicts that flip.

    Parameters
    ----------
    result : the study, for units and words.
    first, second : the variants.
    """
    told = [*_area_sentences(result, first, second), *_eye_sentences(result, first, second)]
    cases = sorted({case for _, case in told})
    if len(cases) == 1:
        figures = [f"{_upper(cases[0])}:", *(f"{text}." for text, _ in told)]
    else:
        figures = [f"{text} ({case})." for text, case in told]
    return [*figures, *_unlit_sentence(first, second), *_flip_sentences(result, first, second)]


def _area_sentences(result: StudyResult, first: VariantResult, second: VariantResult) -> list[tuple[str, str]]:
    """A sentence for each area, and the duty state and light level it holds for."""
    before = {one.area_id: one for one in first.areas}
    sentences = []
    for area in second.areas:
        pair = _telling_pair(before[area.area_id].entries, area.entries) if area.area_id in before else None
        if pair is not None:
            one, other = pair
            text = _area_sentence(_the(area.name), (first.name, one), (second.name, other), result.units)
            sentences.append((text, _lower(_say(result, pair[1].state, pair[1].light))))
    return sentences


def _area_sentence(area: str, before: tuple[str, AreaEntry], after: tuple[str, AreaEntry], units: UnitSystem) -> str:
    (first, one), (second, other) = before, after
    average, least = other.maintained.average, other.maintained.minimum
    return (
        f"{_upper(second)} puts {illuminance(average, units)} on average on {area}, "
        f"{first} {illuminance(one.maintained.average, units)}; at the weakest point "
        f"{illuminance(least, units)} against {illuminance(one.maintained.minimum, units)}"
    )


def _telling_pair(first: tuple[AreaEntry, ...], second: tuple[AreaEntry, ...]) -> tuple[AreaEntry, AreaEntry] | None:
    """The entries of the darkest surroundings and there the brightest duty state."""
    known = {(one.state, one.light): one for one in first}
    pairs = [(known[one.state, one.light], one) for one in second if (one.state, one.light) in known]
    lit = [pair for pair in pairs if max(pair[0].maintained.average, pair[1].maintained.average) > 0.0]
    return max(
        lit,
        default=None,
        key=lambda pair: (-_or(pair[1].ambient_lx), max(_or(one.maintained.average) for one in pair)),
    )


def _or(value: float) -> float:
    """A value that can be put in order; nan counts as nothing."""
    return value if math.isfinite(value) else 0.0


def _eye_sentences(result: StudyResult, first: VariantResult, second: VariantResult) -> list[tuple[str, str]]:
    """For each eye its hardest duty state at the darkest light level, with every gaze told."""
    dark = min((entry.road_luminance_cd_m2 for eye in second.eyes for entry in eye.entries), default=0.0)
    cases: dict[str, dict[Key, list[_Veil]]] = {}
    for eye, entry, before, after in worst_veils(first, second):
        if entry.road_luminance_cd_m2 <= dark and max(_or(before), _or(after)) > 0.0:
            states = cases.setdefault(eye.eye_id, {})
            states.setdefault((entry.state, entry.light), []).append((eye, entry, before, after))
    hardest = [max(states.values(), key=lambda case: max(_or(one[2]) for one in case)) for states in cases.values()]
    entries = [case[0][1] for case in hardest]
    return [
        (_veil_sentence(case, first.name), _lower(_say(result, entry.state, entry.light)))
        for case, entry in zip(hardest, entries, strict=True)
    ]


def _veil_sentence(case: list[_Veil], first: str) -> str:
    """The veil with the first gaze, and how far the gaze alone changes the share."""
    eye, entry, before, after = case[0]
    shares = [one[3] / one[2] for one in case if _or(one[2]) > 0.0 and math.isfinite(one[3])]
    text = (
        f"The veil for {_the(eye.name)} is {comparison(before, after)} of {first}: {figure(after)} against "
        f"{figure(before)} cd/m² at the worst station (gaze: {entry.gaze})"
    )
    return f"{text}; over all gazes {figure(min(shares))} to {figure(max(shares))}" if len(shares) > 1 else text


def _unlit_sentence(first: VariantResult, second: VariantResult) -> list[str]:
    """The eyes that no lamp veils in either variant."""
    lit = {eye.eye_id for eye, _, before, after in worst_veils(first, second) if max(_or(before), _or(after)) > 0.0}
    unlit = [eye.name for eye in second.eyes if eye.eye_id not in lit]
    return [f"No veil in either for: {'; '.join(unlit)}."] if unlit else []


def _flip_sentences(result: StudyResult, first: VariantResult, second: VariantResult) -> list[str]:
    found = flips(first, second)
    if not found:
        return ["No verdict flips."]
    names = {one.area_id: one.name for one in second.areas} | {one.eye_id: one.name for one in second.eyes}
    grouped: dict[tuple[str, str, str, str], list[str]] = {}
    for before, after in found:
        key = (after.rule, after.subject, before.verdict, after.verdict)
        grouped.setdefault(key, []).append(_lower(_say(result, after.state, after.light)))
    return [
        f"Verdict that flips: {rule} for {_the(names.get(subject, subject))} {_verb(before)} in {first.name} "
        f"and {_verb(after)} in {second.name} ({'; '.join(how)})."
        for (rule, subject, before, after), how in grouped.items()
    ]


def _verb(verdict: str) -> str:
    return "is not assessed" if verdict == "not assessed" else verdict


def _say(result: StudyResult, state: str, light: str) -> str:
    return f"{result.states.get(state) or state}, {_lower(result.lights.get(light) or light)}"


def _lower(text: str) -> str:
    """The text with a small first letter, unless its first word is an abbreviation."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def _the(name: str) -> str:
    """A name with its article, as it stands inside a sentence."""
    return _lower(name) if name.lower().startswith(("the ", "a ", "an ")) else f"the {_lower(name)}"


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
