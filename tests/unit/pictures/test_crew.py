"""What a comparison says of the crew, and the signs of people and places on the sheet of a pair."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from scenelux.pictures.crew import crew_changes, eye_pairs, part_lx, person_pairs, place_pairs, worst_rating
from scenelux.pictures.levels import levels_drawn
from scenelux.pictures.pair import pair_sheet
from scenelux.pictures.scale import lux_scale
from scenelux.pictures.sentences import comparison_sentences
from scenelux.reports.compare import comparison_tables, difference_document
from scenelux.reports.documents import json_text
from scenelux.study.results import CrewEye, PersonLight, StandingPlaces, StudyResult, VariantResult
from scenelux.study.simulate import simulate
from tests.driver_scenes import driver_scene

MORE = """
[[areas]]
id = "rear"
name = "Behind the truck"
of = "truck"
forward = [-8, 0]
left = [-2, 2]
plane = "horizontal"
grid = { spacing = 1 }
[variants.up]
say = "Floods raised"
changes = [{ circuit = "tail", tilt = -10 }]
"""
ANNA = '{ id = "anna", name = "Anna", of = "truck", position = [-5, 0.5], heading = 0, vest = "class 2" }'
CONE = '{ id = "cone-9", kind = "cone", position = [-6, -1] }'


@cache
def study() -> StudyResult:
    with TemporaryDirectory() as folder:
        scene = driver_scene(Path(folder), people=ANNA, objects=CONE, more=MORE)
        return simulate(scene, [scene.base, "up"])


def pair() -> tuple[VariantResult, VariantResult]:
    first, second = study().variants
    return first, second


def scaled(variant: VariantResult, factor: float, rating: float, name: str) -> VariantResult:
    """The variant with another amount of light on people and places, and other ratings."""

    def eye(one: CrewEye) -> CrewEye:
        return replace(
            one,
            entries=tuple(
                replace(entry, worst=replace(entry.worst, glare_rating=entry.worst.glare_rating + rating))
                for entry in one.entries
                if entry.worst
            ),
        )

    def person(one: PersonLight) -> PersonLight:
        lit = (
            replace(entry, illuminance_lx=tuple(factor * lux for lux in entry.illuminance_lx)) for entry in one.entries
        )
        return replace(one, entries=tuple(lit))

    def places(one: StandingPlaces) -> StandingPlaces:
        lit = (
            replace(entry, torso_lx=factor * entry.torso_lx, best_torso_lx=factor * entry.best_torso_lx)
            for entry in one.entries
        )
        return replace(one, entries=tuple(lit))

    return replace(
        variant,
        name=name,
        crew=tuple(map(eye, variant.crew)),
        people=tuple(map(person, variant.people)),
        standing=tuple(map(places, variant.standing)),
    )


def said(first: VariantResult, second: VariantResult) -> list[str]:
    return [one.sentence for one in crew_changes(first, second, "night", "metric") if one.sentence]


def test_more_glare_is_worse_and_less_is_better() -> None:
    base = pair()[0]
    worse, better = scaled(base, 1.0, 10.0, "worse"), scaled(base, 1.0, -10.0, "better")
    assert any(line.endswith("10 more, worse for the crew's eyes") for line in said(base, worse))
    assert any(line.endswith("10 less, better for the crew's eyes") for line in said(base, better))
    assert said(base, scaled(base, 1.0, 0.0, "same")) == []


def test_light_on_people_and_the_darkest_place_are_told() -> None:
    base = pair()[0]
    entry = next(one for one in base.people[0].entries if one.light == "night")
    torso = part_lx(base.people[0], entry, "torso")
    sides = [lux for side, lux in zip(base.people[0].sides, entry.illuminance_lx, strict=True) if side.part == "torso"]
    assert torso == pytest.approx(np.mean(sides)) and torso > 0.0
    lines = said(base, scaled(base, 2.0, 0.0, "double"))
    assert any(line.startswith("Light on Anna, mean of the sides: ") and "torso" in line for line in lines)
    place = next(line for line in lines if line.startswith("Darkest place to stand, Behind the truck: torso "))
    assert place.count(" lx with ") == 2


def test_what_stays_the_same_is_named_once() -> None:
    base = pair()[0]
    subjects = [one.subject for one in crew_changes(base, base, "night", "metric")]
    assert subjects == ["glare for Anna", "light on Anna", "darkest place to stand in every area"]
    assert "darkest place to stand in every area." in comparison_sentences(study(), base, base)[-1]


def test_a_rating_that_is_not_valid_is_said_and_not_reckoned_with() -> None:
    base = pair()[0]
    dark = replace(base, name="dark", crew=tuple(
        replace(eye, entries=tuple(replace(entry, worst=None) for entry in eye.entries)) for eye in base.crew
    ))  # fmt: skip
    assert math.isnan(worst_rating(dark.crew[0].entries[0]))
    (line,) = said(base, dark)
    assert "not valid with dark" in line and "better" not in line and "worse" not in line


def test_the_json_of_a_comparison_has_every_pair() -> None:
    first, second = pair()
    document = json.loads(json_text(difference_document(study(), first.name, second.name)))
    assert len(document["crew_differences"]) == len(eye_pairs(first, second)) > 0
    assert len(document["people_differences"]) == len(person_pairs(first, second)) > 0
    assert len(document["standing_differences"]) == len(place_pairs(first, second)) > 0
    for row in document["crew_differences"]:
        if row["second_less_first"] is None:
            assert row["reason"]
        else:
            less = row["second_worst_glare_rating"] - row["first_worst_glare_rating"]
            assert row["second_less_first"] == pytest.approx(less, abs=1e-3)
    titles = " ".join(table.title for table in comparison_tables(study(), first, second))
    assert "Glare rating for the crew" in titles and "Light on people" in titles and "darkest place" in titles


def test_the_sheet_of_a_pair_has_the_signs_of_the_plan() -> None:
    first, second = pair()
    level = next(one for one in levels_drawn([first, second]) if one.light == "night")
    sheet = pair_sheet(study(), first, second, level, lux_scale(study(), "inferno"), ["words"])
    maps = [axes for axes in sheet.axes if axes.get_label() == "map"]
    assert len(maps) == 3
    for axes in maps[:2]:
        texts = [text.get_text() for text in axes.texts]
        assert "cone-9" in texts and "anna" in texts and any(text.startswith("× ") for text in texts)
    assert any(line.text.startswith("× darkest place to stand") for line in sheet.writing.lines)
