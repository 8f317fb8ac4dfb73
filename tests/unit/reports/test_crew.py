"""The people around the vehicle in tables, on pages and in JSON: the same numbers, and a reason for what is missing."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from rich.console import Console

from scenelux.reports import print_study, summary_document
from scenelux.reports.crew import crew_tables, glare_table, people_table, standing_table, tables_at
from scenelux.reports.crew_pages import crew_pages
from scenelux.reports.documents import json_text
from scenelux.reports.rows import variant_tables
from scenelux.study.results import StudyResult, VariantResult
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
[[areas]]
id = "front"
of = "truck"
forward = [7, 10]
left = [-2, 2]
plane = "horizontal"
grid = { spacing = 1 }
[[eyes]]
id = "mirror"
name = "Mirror"
of = "truck"
at = [5, 1.4, 1.9]
gaze = ["180 deg"]
"""
ANNA = '{ id = "anna", name = "Anna", of = "truck", position = [-5, 0.5], heading = 180, vest = "class 2" }'


@cache
def study(people: str = ANNA, more: str = MORE) -> StudyResult:
    with TemporaryDirectory() as folder:
        return simulate(driver_scene(Path(folder), people=people, more=more))


def variant() -> VariantResult:
    return study().variants[0]


def test_glare_has_a_row_for_each_line_of_sight() -> None:
    table = glare_table(study(), variant())
    assert [(row[0], row[2]) for row in table.rows] == [
        ("Mirror (age 25)", "180 deg"), ("Mirror (age 25)", "towards truck"),
        ("Anna (age 25)", "worst of 24 views: heading 345 deg"), ("Anna (age 25)", "ahead"),
        ("Anna (age 25)", "towards truck"),
    ]  # fmt: skip
    worst = variant().crew[1].entries[0].worst
    assert worst is not None
    assert table.rows[2][3] == f"{worst.glare_rating:.0f}" and table.rows[3][3] == "no lamp"
    assert "area Behind the truck, reflectance 0.1 (dry asphalt, published)" in table.rows[2][7]
    numbers = {int(part) for row in table.rows for part in row[8].split(", ") if part}
    assert numbers == set(range(1, len(table.numbered) + 1))
    assert any("10000 lx of natural light" in note for note in table.numbered)


def test_light_on_people_has_a_column_for_each_side() -> None:
    table = people_table(study(), variant())
    assert table.header[2:] == (
        "face, front", "torso, front", "torso, rear", "torso, left", "torso, right",
        "feet, front", "feet, rear", "feet, left", "feet, right",
    )  # fmt: skip
    assert table.rows[0][0] == "Anna (standing, dark coat or denim, vest class 2)"
    assert float(table.rows[0][3]) == 0.0 and float(table.rows[0][4]) > 100  # she looks away from the truck


def test_where_it_is_dark_everywhere_no_place_is_named() -> None:
    rows = {row[0]: row for row in standing_table(study(), variant()).rows}
    assert rows["Behind the truck"][3].startswith("along -")
    assert rows["front"][2:4] == ("below 0.1 everywhere", "")


def test_a_window_shows_the_level_that_is_judged_and_no_dark_area() -> None:
    glare, people, standing = tables_at(study(), variant())
    assert [row[0] for row in glare.rows] == ["Mirror", "Anna"]
    assert [row[0] for row in people.rows] == ["Anna"]
    assert [row[0] for row in standing.rows] == ["Behind the truck"]
    out = StringIO()
    print_study(study(), Console(file=out, width=100))
    text = out.getvalue()
    assert "Glare rating for the crew, lower is better" in text and "Worst place to stand" in text
    assert "Note: glare rating" not in text  # formulas stand in the report


def test_tables_stand_with_the_others_and_without_people_there_are_fewer() -> None:
    titles = [table.title for table in variant_tables(study(), variant())]
    assert [title.split(",")[0] for title in titles[2:5]] == [
        "Glare for the crew", "Light on people", "Worst place to stand",
    ]  # fmt: skip
    alone = study("", "[[areas]]" + MORE.split("[[areas]]")[1])
    assert [table.title.split(",")[0] for table in crew_tables(alone, alone.variants[0])] == ["Worst place to stand"]
    nobody = study("", "")
    assert crew_tables(nobody, nobody.variants[0]) == [] and list(crew_pages(nobody, nobody.variants[0])) == []


def test_pages_run_on_when_there_is_more_than_one_holds() -> None:
    many = replace(variant(), people=variant().people * 30)
    assert len(list(crew_pages(study(), variant()))) == 1
    pages = list(crew_pages(study(), many))
    assert len(pages) == 3 and "(continued)" in str(pages[1].get_label())


def test_json_holds_every_eye_person_and_area_in_every_state() -> None:
    document = json.loads(json_text(summary_document(study())))["variants"][0]
    assert [(one["eye"], one["light"]) for one in document["crew"]] == [
        ("mirror", "night"), ("mirror", "day"), ("anna", "night"), ("anna", "day"),
    ]  # fmt: skip
    anna = document["crew"][2]
    entry = variant().crew[1].entries[0]
    assert entry.worst is not None
    assert anna["worst"]["glare_rating"] == pytest.approx(entry.worst.glare_rating, rel=1e-5)
    assert anna["worst"]["heading_deg"] == 345 and len(anna["views"]["glare_rating"]) == 24
    assert anna["surroundings"]["area"] == "rear" and anna["surroundings"]["reflectance_status"] == "published"
    ahead = anna["gazes"][0]
    assert ahead["glare_rating"] is None and ahead["brightest_opening"] is None
    assert ahead["reason"].startswith("no lamp is seen within the range of the glare rating; no lamp with an opening")
    lit = document["people"][0]
    assert lit["vertical_maintained_lx"]["torso"]["rear"] == pytest.approx(
        variant().people[0].entries[0].illuminance_lx[2], rel=1e-5
    )
    rear, front = document["standing"][0], document["standing"][2]
    assert rear["torso_mean_maintained_lx"] < rear["best_torso_mean_maintained_lx"]
    assert (rear["lane"], rear["towards_driver_maintained_lx"]) == ("next", 0.0)
    assert front["torso_mean_maintained_lx"] == 0.0


def test_nothing_is_null_without_a_reason() -> None:
    inside = ANNA.replace("[-5, 0.5]", "[0.04, 0]").replace("heading = 180", "heading = 0")  # the face is in the body
    stuck = study(inside, MORE.replace("[7, 10]", "[1, 5]").replace("[-2, 2]", "[-1, 1]"))
    document = json.loads(json_text(summary_document(stuck)))["variants"][0]

    def check(value: object) -> None:
        if isinstance(value, dict):
            if None in value.values():
                assert value.get("reason"), value
            for one in value.values():
                check(one)
        elif isinstance(value, list):
            for one in value:
                check(one)

    for name in ("crew", "people", "standing"):
        assert document[name]
        check(document[name])
