"""A rule decides only on the zone it speaks of; of a zone in words a verdict says that nobody checked it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scenelux.checks import AreaPlace, Rule, judge_area, read_pack, shipped_rules
from scenelux.errors import DocumentError
from scenelux.study.results import Statistics, VerdictRow

RULES = shipped_rules()
LIGHT = Statistics(84.0, 263.0, 500.0, 84 / 263, (-3.0, 1.0, 0.0), 49, 49)


def judged(rule: str | Rule, place: AreaPlace, height_m: float = 0.0, not_counted: tuple[str, ...] = ()) -> VerdictRow:
    return judge_area(
        RULES[rule] if isinstance(rule, str) else rule, area_id="a", plane="horizontal", height_m=height_m,
        size_m=(3.048, 3.048), place=place, maintained=LIGHT, initial=LIGHT, state="s", light="n",
        data_uncertainty=0.0, not_counted=not_counted,
    )  # fmt: skip


def truck(gap_m: float, offset_m: float = 0.0) -> AreaPlace:
    return AreaPlace(vehicle="truck", gap_m=gap_m, offset_m=offset_m)


@pytest.mark.parametrize("rule", ["nfpa_rear_minimum", "nfpa_rear_average"])
@pytest.mark.parametrize(
    ("place", "words"),
    [
        (truck(2.0), "this area begins 2 m behind the rear face of truck"),
        (truck(0.51), "this area begins 0.51 m behind the rear face of truck"),
        (truck(-10.67), "this area begins 10.7 m ahead of the rear face of truck"),
        (truck(0.0, 1.5), "its middle lies 1.5 m left of the middle of truck"),
        (truck(0.0, -0.6), "its middle lies 0.6 m right of the middle of truck"),
        (AreaPlace(), "whether this area lies there is not known, as it belongs to no vehicle's frame"),
    ],
)
def test_the_square_behind_the_vehicle_must_be_there(rule: str, place: AreaPlace, words: str) -> None:
    row = judged(rule, place)
    assert row.verdict == "not assessed"
    assert row.because == f"Not assessed: the rule asks for an area directly behind the vehicle; {words}."


@pytest.mark.parametrize("place", [truck(0.0), truck(0.5, 0.5), truck(-0.5, -0.5)])
def test_half_a_metre_is_still_directly_behind(place: AreaPlace) -> None:
    row = judged("nfpa_rear_minimum", place)
    assert row.verdict == "meets" and "zone" not in row.because


def test_other_rules_do_not_ask_where_an_area_lies() -> None:
    assert judged("osha_general", truck(-20.0, 5.0)).verdict == "meets"


@pytest.mark.parametrize(("rule", "height_m"), [("nfpa_step", 0.0), ("nfpa_rear_minimum", 0.0), ("mdot_work", 0.9144)])
def test_an_area_on_a_body_is_not_the_ground(rule: str, height_m: float) -> None:
    row = judged(rule, replace(truck(0.0), on="bumper"), height_m)
    assert (row.verdict, row.because) == (
        "not assessed", "Not assessed: this area lies on the body bumper, not on the ground.",
    )  # fmt: skip


@pytest.mark.parametrize("rule", ["osha_general", "asr_site_coarse"])
def test_a_rule_without_plane_or_height_is_judged_on_a_body(rule: str) -> None:
    assert judged(rule, AreaPlace(on="bumper")).verdict == "meets"


@pytest.mark.parametrize(
    ("rule", "zone"),
    [
        ("nfpa_step", "0.76 m from the edge where people climb on or off"),
        ("iowa", "4.57 m beside an open lane where workers or equipment are, and 7.62 m ahead of and beyond them"),
        ("osha_general", "general construction"),
    ],
)
def test_a_zone_in_words_is_judged_and_said_not_to_be_checked(rule: str, zone: str) -> None:
    row = judged(rule, AreaPlace())
    assert row.verdict == "meets" and f'the zone ("{zone}") is not checked' in row.because


def test_a_rectangle_elsewhere_is_not_checked_either() -> None:
    rule = RULES["nfpa_rear_minimum"]
    beside = replace(rule, zone=replace(rule.zone, where="beside the door"))
    row = judged(beside, truck(9.0))
    assert row.verdict == "meets" and 'the zone ("beside the door") is not checked' in row.because


def test_lamps_that_a_rule_does_not_count_are_named() -> None:
    assert {rule.id for rule in RULES.values() if rule.not_counted == ("headlamp",)} == {"mdot_work", "mdot_pass"}
    row = judged("mdot_work", AreaPlace(), 0.9144, ("low-beam-left", "low-beam-right"))
    assert "without low-beam-left, low-beam-right, which the rule does not count" in row.because
    assert "does not count" not in judged("mdot_work", AreaPlace(), 0.9144).because


@pytest.mark.parametrize(
    ("written", "words"),
    [('"headlamp"', r"not_counted .*is not a list"), ('["hedlamp"]', r'not_counted\[0\] "hedlamp".*"headlamp"')],
)
def test_kinds_not_counted_are_checked(tmp_path, written: str, words: str) -> None:
    file = tmp_path / "own.toml"
    file.write_text(f"""
format = "scenelux criteria 1"
title = "t"
edition = "e"
publisher = "p"
read = "r"
[[rules]]
id = "x"
clause = "1"
quantity = "illuminance"
statistic = "minimum"
sense = "at least"
limit = 1
unit = "lx"
plane = "horizontal"
height_m = 0
zone = {{ shape = "words", where = "w" }}
lighting = "not stated"
states = "s"
status = "published"
says = "s"
not_counted = {written}
""")
    with pytest.raises(DocumentError, match=words):
        read_pack(file)
