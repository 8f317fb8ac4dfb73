"""The result of a driver's view in one sentence for each light level, as a customer reads it first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from scenelux.pictures.view.facts import SAME, changed_areas
from scenelux.study.results import ViewCase, ViewResult, ViewTarget
from scenelux.units import figure

__all__ = ["headlines", "people_alike"]

_TWICE = 2.0
"""From so many times on a change is told in times, below it in percent."""

_SAME_GLARE, _ALIKE = "the same glare", "no difference in how people are seen"


def headlines(result: ViewResult) -> list[str]:
    """What a change brings and costs, light level by light level; of one variant alone, who is seen.

    Parameters
    ----------
    result : the pictures.

    Less and more are told alike, and so is what stays the same.
    """
    lines = []
    for light in dict.fromkeys(case.light for case in result.cases):
        first, *others = [case for case in result.cases if case.light == light]
        say = result.about.lights.get(light) or light
        lines += [f"{say}, {other.variant} against {first.variant}: {_change(first, other)}." for other in others]
        if not others:
            lines.append(f"{say}: {_state(first)}.")
    return lines


def people_alike(first: ViewCase, second: ViewCase) -> bool:
    """True when everybody is seen as well in both cases."""
    return all(
        _step(one, other) == 0 and one.sighting == other.sighting != "not valid"
        for one, other in _people(first, second)
    )


def _state(case: ViewCase) -> str:
    people = [one for one in case.targets if one.kind == "person"]
    words = [f"{_and(one.name for one in group)} {sighting}" for sighting, group in _by_sighting(people)]
    return "; ".join([*words, f"veil of glare {figure(case.veil_cd_m2)} cd/m²"])


def _by_sighting(people: Sequence[ViewTarget]) -> list[tuple[str, list[ViewTarget]]]:
    words = dict.fromkeys(one.said for one in people)
    return [(word, [one for one in people if one.said == word]) for word in words]


def _change(first: ViewCase, second: ViewCase) -> str:
    areas = changed_areas(first, second)
    glare = _amount(first.veil_cd_m2, second.veil_cd_m2, "glare")
    people = _people(first, second)
    if people and people_alike(first, second):
        return "no difference" if glare == _SAME_GLARE and not areas else f"{_ALIKE}; {glare}"
    parts = [f"{glare} for the driver", *_people_words(people)]
    for more in (True, False):  # the largest gain and the largest loss
        found = [pair for pair in areas if (pair[1].maintained.average > pair[0].maintained.average) is more]
        for one, other in found[:1]:
            light = _amount(one.maintained.average, other.maintained.average, "light")
            parts.append(f"{light} for the crew ({other.name})")
    return "; ".join(parts)


def _people(first: ViewCase, second: ViewCase) -> list[tuple[ViewTarget, ViewTarget]]:
    """People of both cases; those who are hidden in both are not told."""
    before = {one.target_id: one for one in first.targets if one.kind == "person"}
    pairs = [(before[one.target_id], one) for one in second.targets if one.target_id in before]
    return [(one, other) for one, other in pairs if not one.sighting == other.sighting == "hidden"]


def _people_words(people: list[tuple[ViewTarget, ViewTarget]]) -> list[str]:
    """Everybody once, those together to whom the same happens."""
    said: dict[str, list[str]] = {}
    for one, other in people:
        said.setdefault(_person(one, other), []).append(other.name)
    return [f"{_and(names)} {words}" for words, names in said.items()]


def _person(one: ViewTarget, other: ViewTarget) -> str:
    if one.sighting != other.sighting:
        return f"{other.said} instead of {one.said}"
    if one.sighting == "not valid":
        return "not valid in both"
    words = {1: "seen better", 0: "seen alike", -1: "seen less well"}[_step(one, other)]
    return f"{words} ({other.said} in both)"


def _step(one: ViewTarget, other: ViewTarget) -> int:
    """1 when a person is seen better, -1 less well, 0 alike or hidden."""
    before, after = abs(one.level), abs(other.level)
    if math.isnan(before) or math.isnan(after) or math.isclose(before, after, rel_tol=SAME):
        return 0
    return 1 if after > before else -1


def _amount(before: float, after: float, what: str) -> str:
    """How much more or less of something.

    Example
    -------
    >>> _amount(3.63, 2.13, "glare"), _amount(1.0, 1.5, "glare"), _amount(39.0, 190.0, "light")
    ('41 % less glare', '50 % more glare', '4.87 times the light')
    >>> _amount(1.0, 1.01, "glare"), _amount(0.0, 1.0, "glare"), _amount(1.0, float("nan"), "glare")
    ('the same glare', 'glare where there was none', 'glare not valid')
    """
    if math.isnan(before) or math.isnan(after):
        return f"{what} not valid"
    if math.isclose(before, after, rel_tol=SAME):
        return f"the same {what}"
    if before == 0.0:
        return f"{what} where there was none"
    if after == 0.0:
        return f"no {what} any more"
    times = after / before
    if times >= _TWICE:
        return f"{figure(times)} times the {what}"
    return f"{100.0 * abs(times - 1.0):.0f} % {'more' if times > 1.0 else 'less'} {what}"


def _and(names: Iterable[str]) -> str:
    """Names in a row.

    Example
    -------
    >>> _and(["A"]), _and(["A", "B", "C"])
    ('A', 'A, B and C')
    """
    *before, last = names
    return f"{', '.join(before)} and {last}" if before else last
