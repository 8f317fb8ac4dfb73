"""What a driver's view says in words: glare, people and the crew's light of each case, and what a change costs."""

from __future__ import annotations

import math

from scenelux.pictures.words import illuminance
from scenelux.study.results import ViewArea, ViewCase, ViewResult, ViewTarget
from scenelux.units import UnitSystem, figure, format_length

__all__ = [
    "SAME",
    "by_part",
    "caption",
    "case_title",
    "changed_areas",
    "crew_line",
    "difference_lines",
    "eye_words",
    "glare_line",
    "level_lines",
    "model_line",
    "person_line",
]

MOST_AREAS = 3
"""Changed areas that a sheet tells, those that change most first."""

SAME = 0.03
"""A change of less than this share is none."""


def level_lines(result: ViewResult) -> tuple[str, str]:
    """How people are outlined by the level of visibility, and what a level is.

    Parameters
    ----------
    result : the pictures.
    """
    least = f"{result.visible_level:g}"
    return (
        f"solid: visible, level {least} or more (from {result.visible_from}); dashed: marginal, 1 to {least}; "
        "dotted: not visible. In words beside each.",
        "Level: how many times the difference in brightness that this eye just sees.",
    )


def model_line(result: ViewResult) -> str:
    """How far the model of visibility is confirmed.

    Parameters
    ----------
    result : the pictures.
    """
    return (
        f"A visualisation, not evidence. Model of visibility: {result.target_form}; constants from memory, "
        "unconfirmed, named in the results. It enters no verdict."
    )


def caption(result: ViewResult) -> str:
    """The eye, its age, the veil, and that it is no evidence.

    Parameters
    ----------
    result : the pictures.
    """
    return (
        f"Eye of {result.age_years:g} years; veil in the eye by {result.veil_form}; initial light; {result.weather}; "
        f"{result.headlamps}. Road: {result.ground}."
    )


def eye_words(result: ViewResult) -> str:
    """Who looks, from where, at which age.

    Parameters
    ----------
    result : the pictures.
    """
    units = result.about.units
    height, distance = format_length(result.height_m, units), format_length(result.distance_m, units)
    return f"{result.eye} · {distance} before the vehicle, eye {height} up, {result.age_years:g} years"


def case_title(result: ViewResult, case: ViewCase) -> str:
    """Variant and light level of a case.

    Parameters
    ----------
    result, case : the pictures.
    """
    return f"{case.variant} · {result.about.lights.get(case.light) or case.light}"


def glare_line(case: ViewCase, gaze: str) -> str:
    """Illuminance at the eye and veil along the line of sight.

    Parameters
    ----------
    case : the pictures of one variant at one light level.
    gaze : in words.
    """
    return f"Glare (gaze {gaze}): veil {figure(case.veil_cd_m2)} cd/m², {figure(case.eye_illuminance_lx)} lx at the eye"


def person_line(target: ViewTarget) -> str:
    """How well a person is seen, in words and by level.

    Parameters
    ----------
    target : the person.
    """
    if target.sighting in ("hidden", "not valid"):
        return f"{target.name}: {target.caution or 'hidden'}"
    side = "darker" if target.level < 0.0 else "brighter"
    level = f"level {figure(abs(target.level))}"
    if by_part(target.seen_by):
        best = target.said if target.sighting == "visible" else f"{target.said}, at best"
        return f"{target.name}: {best} by {side} {target.seen_by} ({level}, whole {figure(abs(target.whole.level))})"
    return f"{target.name}: {target.said}, {side} than what is behind ({level})"


def by_part(seen_by: str) -> str:
    """By which part something is seen, in words; nothing where it is the whole.

    Parameters
    ----------
    seen_by : name of the part.
    """
    return "" if seen_by in ("", "whole") else f" by the {seen_by}"


def crew_line(area: ViewArea, units: UnitSystem) -> str:
    """Light for the crew on an area.

    Parameters
    ----------
    area : with its statistics.
    units : "metric" or "us".
    """
    least, mean = (illuminance(value, units) for value in (area.maintained.minimum, area.maintained.average))
    return f"{area.name}: average {mean}, least {least}"


def difference_lines(result: ViewResult, first: ViewCase, second: ViewCase) -> list[str]:
    """What the second case has more or less of than the first: glare, people and the crew's light beside each other.

    Parameters
    ----------
    result : the pictures.
    first, second : of one light level.
    """
    lines = [_ratio("Veil", first.veil_cd_m2, second.veil_cd_m2, "cd/m²", ("more glare", "less glare"))]
    before = {one.target_id: one for one in first.targets}
    for one in second.targets:
        if one.kind == "person" and one.target_id in before:
            lines.append(_person(before[one.target_id], one))
    changed = changed_areas(first, second)
    for area, other in changed[:MOST_AREAS]:
        words = ("more light", "less light")
        name = f"{other.name}, average"
        lines.append(_ratio(name, area.maintained.average, other.maintained.average, "lx", words))
    if not changed:
        lines.append("Light for the crew: the same on every area")
    elif len(changed) > MOST_AREAS:
        rest = len(changed) - MOST_AREAS
        lines.append(f"{rest} more {'areas change' if rest > 1 else 'area changes'}, in the results")
    return lines


def _person(first: ViewTarget, second: ViewTarget) -> str:
    before, after = abs(first.level), abs(second.level)
    if first.sighting == second.sighting == "not valid":
        return f"{second.name}: not valid in both"
    then, now = (f"{one.said}{by_part(one.seen_by)}" for one in (first, second))
    words = now if then == now else f"{then} before, {now} now"
    if math.isnan(before) or math.isnan(after):
        return f"{second.name}: {words}"
    change = _change(before, after, ("seen better", "seen less well"))
    return f"{second.name}: {words}, level {figure(before)} to {figure(after)}: {change}"


def _ratio(name: str, before: float, after: float, unit: str, words: tuple[str, str]) -> str:
    return f"{name}: {figure(before)} to {figure(after)} {unit}: {_change(before, after, words)}"


def _change(before: float, after: float, words: tuple[str, str]) -> str:
    if math.isclose(before, after, rel_tol=SAME) or math.isnan(before) or math.isnan(after):
        return "the same"
    if before == 0.0:
        return words[0]
    times = after / before
    return f"{words[0]}, {figure(times)} times" if times > 1.0 else f"{words[1]}, {figure(times)} of it"


def changed_areas(first: ViewCase, second: ViewCase) -> list[tuple[ViewArea, ViewArea]]:
    """Areas of both cases whose average changes, those that change most first.

    Parameters
    ----------
    first, second : of one light level.
    """
    after = {one.area_id: one for one in second.areas}
    pairs = [(one, after[one.area_id]) for one in first.areas if one.area_id in after]
    changed = [
        (one, other)
        for one, other in pairs
        if not math.isclose(one.maintained.average, other.maintained.average, rel_tol=SAME, abs_tol=0.05)
    ]
    return sorted(changed, key=lambda pair: -_times(pair[0].maintained.average, pair[1].maintained.average))


def _times(before: float, after: float) -> float:
    """How many times more or less; a loss counts as a gain of the same size."""
    least, most = sorted((max(before, 0.01), max(after, 0.01)))
    return most / least
