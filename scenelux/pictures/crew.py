"""What differs for the crew between two variants: glare in their eyes, light on them, the darkest place to stand."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from scenelux.pictures.words import illuminance
from scenelux.study.results import (
    CrewEntry,
    CrewEye,
    PersonEntry,
    PersonLight,
    StandingEntry,
    StandingPlaces,
    VariantResult,
)
from scenelux.units import UnitSystem

__all__ = [
    "CrewChange",
    "crew_changes",
    "eye_pairs",
    "part_lx",
    "person_pairs",
    "place_pairs",
    "rating_text",
    "worst_rating",
]

_Entry = TypeVar("_Entry", bound=CrewEntry | PersonEntry | StandingEntry)

_DARK_LX = 0.1


@dataclass(frozen=True)
class CrewChange:
    """What a comparison says of one subject of the crew, in the duty state that matters most for it.

    Parameters
    ----------
    subject : in words, as a list of what stays the same names it.
    state : duty state.
    sentence : what changes; empty where both print the same.
    """

    subject: str
    state: str
    sentence: str


def rating_text(rating: float) -> str:
    """A glare rating as a whole number; in words where there is none.

    Example
    -------
    >>> rating_text(73.4), rating_text(float("-inf")), rating_text(float("nan"))
    ('73', 'no lamp', 'not valid')
    """
    if rating == -math.inf:
        return "no lamp"
    return f"{rating:.0f}" if math.isfinite(rating) else "not valid"


def worst_rating(entry: CrewEntry) -> float:
    """The largest glare rating over all views; minus infinity where no lamp is seen, nan where none is valid."""
    return entry.worst.glare_rating if entry.worst else math.nan


def part_lx(person: PersonLight, entry: PersonEntry, part: str) -> float:
    """Mean over the sides of a part of a person, maintained [lx].

    Parameters
    ----------
    person, entry : one of its entries.
    part : face, torso or feet.
    """
    lux = [value for side, value in zip(person.sides, entry.illuminance_lx, strict=True) if side.part == part]
    return sum(lux) / len(lux) if lux else math.nan


def eye_pairs(first: VariantResult, second: VariantResult) -> list[tuple[CrewEye, CrewEntry, CrewEntry]]:
    """Eyes of the crew that both variants have, with what they get in each state at each light level."""
    known = {(eye.eye_id, *_case(entry)): entry for eye in first.crew for entry in eye.entries}
    return [(eye, *pair) for eye in second.crew for pair in _pairs(known, eye.eye_id, eye.entries)]


def person_pairs(
    first: VariantResult, second: VariantResult
) -> list[tuple[PersonLight, PersonLight, PersonEntry, PersonEntry]]:
    """People that both variants have, with the light on them; a pose may differ, so that both are given."""
    before = {one.person_id: one for one in first.people}
    known = {(one.person_id, *_case(entry)): entry for one in first.people for entry in one.entries}
    return [
        (before[one.person_id], one, *pair)
        for one in second.people
        for pair in _pairs(known, one.person_id, one.entries)
    ]


def place_pairs(
    first: VariantResult, second: VariantResult
) -> list[tuple[StandingPlaces, StandingEntry, StandingEntry]]:
    """Areas of both variants with their darkest places to stand."""
    known = {(area.area_id, *_case(entry)): entry for area in first.standing for entry in area.entries}
    return [(area, *pair) for area in second.standing for pair in _pairs(known, area.area_id, area.entries)]


def _case(entry: CrewEntry | PersonEntry | StandingEntry) -> tuple[str, str]:
    return entry.state, entry.light


def _pairs(
    known: dict[tuple[str, str, str], _Entry], subject: str, entries: Iterable[_Entry]
) -> list[tuple[_Entry, _Entry]]:
    found = ((known.get((subject, *_case(entry))), entry) for entry in entries)
    return [(before, entry) for before, entry in found if before is not None]


def crew_changes(first: VariantResult, second: VariantResult, light: str, units: UnitSystem) -> list[CrewChange]:
    """What changes for the crew at one light level: eyes that see a lamp, people and areas with any light.

    Parameters
    ----------
    first, second : the variants.
    light : id of the light level.
    units : of the words.

    Each subject is told in the duty state in which most light is about, of those in which anything changes if any does.
    """
    said = _Said((first.name, second.name), units)
    eyes = [said.eye(*pair) for pair in eye_pairs(first, second) if pair[1].light == light]
    people = [said.person(*pair) for pair in person_pairs(first, second) if pair[2].light == light]
    places = [said.place(*pair) for pair in place_pairs(first, second) if pair[1].light == light]
    changes = [*_hardest(eyes), *_hardest(people)]
    areas = _hardest(places)
    changed = [area for area in areas if area.sentence]
    if len(changed) == len(areas):
        return [*changes, *changed]
    rest = "the other areas" if changed else "every area"
    return [*changes, *changed, CrewChange(f"darkest place to stand in {rest}", "", "")]


def _hardest(found: Iterable[tuple[float, CrewChange]]) -> list[CrewChange]:
    """For each subject with any weight the duty state that weighs most, one with a change before all others."""
    best: dict[str, tuple[bool, float, CrewChange]] = {}
    for weight, change in found:
        rank = bool(change.sentence), weight
        if weight > 0.0 and (change.subject not in best or rank > best[change.subject][:2]):
            best[change.subject] = (*rank, change)
    return [change for _, _, change in best.values()]


@dataclass(frozen=True)
class _Said:
    """Sentences with the names of the two variants; each with the light or the glare that it is about."""

    names: tuple[str, str]
    units: UnitSystem

    def eye(self, eye: CrewEye, before: CrewEntry, after: CrewEntry) -> tuple[float, CrewChange]:
        """The rating rises with the glare; it may be in words."""
        ratings = worst_rating(before), worst_rating(after)
        one, other = map(rating_text, ratings)
        sentence = f"{eye.name}: glare rating in the worst view {self._both(one, other)}"
        if all(map(math.isfinite, ratings)):
            more = int(other) - int(one)
            sentence = f"{sentence}: {abs(more)} {'more, worse' if more > 0 else 'less, better'} for the crew's eyes"
        weight = max([0.0, *filter(math.isfinite, ratings)])
        return weight, self._change(f"glare for {eye.name}", after.state, sentence, one != other)

    def person(
        self, one: PersonLight, other: PersonLight, before: PersonEntry, after: PersonEntry
    ) -> tuple[float, CrewChange]:
        """Face, torso and feet, as far as they print differently."""
        parts, weight = [], 0.0
        for part in ("face", "torso", "feet"):
            lux = part_lx(one, before, part), part_lx(other, after, part)
            weight = max([weight, *filter(math.isfinite, lux)])
            first, second = (illuminance(value, self.units) for value in lux)
            parts += [f"{part} {self._both(first, second)}"] if first != second else []
        sentence = f"Light on {other.name}, mean of the sides: {'; '.join(parts)}"
        return weight, self._change(f"light on {other.name}", after.state, sentence, bool(parts))

    def place(self, area: StandingPlaces, before: StandingEntry, after: StandingEntry) -> tuple[float, CrewChange]:
        """The light on the torso at the darkest place, which may move; of areas that have some light."""
        first, second = (self._torso(entry) for entry in (before, after))
        best = [entry.best_torso_lx for entry in (before, after) if entry.best_torso_lx >= _DARK_LX]
        sentence = f"Darkest place to stand, {area.name}: torso {self._both(first, second)}"
        return max([0.0, *best]), self._change(area.area_id, after.state, sentence, first != second)

    def _torso(self, entry: StandingEntry) -> str:
        if math.isnan(entry.torso_lx):
            return "nowhere to stand"
        return f"below {_DARK_LX:g} lx" if entry.torso_lx < _DARK_LX else illuminance(entry.torso_lx, self.units)

    def _both(self, first: str, second: str) -> str:
        return f"{second} with {self.names[1]}, {first} with {self.names[0]}"

    def _change(self, subject: str, state: str, sentence: str, differs: bool) -> CrewChange:
        return CrewChange(subject, state, sentence if differs else "")
