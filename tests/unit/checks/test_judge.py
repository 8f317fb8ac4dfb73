"""Verdicts: what decides, what does not, and the sentence that says why."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.checks import (
    AreaPlace,
    GazeSeries,
    Rule,
    counts,
    judge_area,
    judge_eye,
    judge_value,
    own_rule,
    shipped_rules,
)
from scenelux.study.results import Statistics, VerdictRow
from scenelux.units import LUX_PER_FOOT_CANDLE

RULES = shipped_rules()
WORST = (-3.0, 1.0, 0.0)
POINTS = np.array([[-150.0, 3.0, 1.08], [-85.0, 3.0, 1.08], [-20.0, 3.0, 1.08]])


BEHIND = AreaPlace(vehicle="truck", gap_m=0.0, offset_m=0.0)


def light_of(minimum: float, average: float, maximum: float = 100.0, valid: int = 49) -> Statistics:
    uniformity = minimum / average if average else math.nan
    return Statistics(minimum, average, maximum, uniformity, WORST, valid, 49)


def on_area(rule: str | Rule, maintained: Statistics, **changes: Any) -> VerdictRow:
    given_: dict[str, Any] = {
        "area_id": "rear",
        "plane": "horizontal",
        "height_m": 0.0,
        "size_m": (3.048, 3.048),
        "place": BEHIND,
        "maintained": maintained,
        "initial": light_of(1e3, 1e3, 1e3),
        "state": "working",
        "light": "night",
        "data_uncertainty": 0.1,
    }
    return judge_area(RULES[rule] if isinstance(rule, str) else rule, **{**given_, **changes})


def on_eye(rule: str | Rule, veils: dict[str, list[float]], **changes: Any) -> VerdictRow:
    gazes = [GazeSeries(gaze, np.array(veil), 100 * np.array(veil)) for gaze, veil in veils.items()]
    given_: dict[str, Any] = {
        "eye_id": "car-next",
        "state": "working",
        "light": "night",
        "gazes": gazes,
        "form": "cie-general",
        "road_luminance_cd_m2": 1.0,
        "points_m": POINTS,
        "data_uncertainty": 0.1,
    }
    return judge_eye(RULES[rule] if isinstance(rule, str) else rule, **{**given_, **changes})


def own(quantity: str, statistic: str, sense: str, limit: float, unit: str) -> Rule:
    return own_rule(
        rule_id="own", quantity=quantity, statistic=statistic, sense=sense, limit=limit, unit=unit, because="Agreed."
    )


FLAT, TILTED = light_of(0.02, 31.4), light_of(84.0, 263.0)


def test_the_flat_lamps_meet_the_average_narrowly_and_would_miss_three_footcandles() -> None:
    row = on_area("nfpa_rear_average", FLAT)
    assert (row.verdict, row.inside_uncertainty) == ("meets", True)
    assert row.margin == pytest.approx(1.4)
    assert row.because == (
        "Average 31.4 lx against at least 30 lx, though 2.92 fc would miss the 3 fc printed beside it; "
        "margin inside data uncertainty (10 %)."
    )


def test_the_flat_lamps_miss_the_minimum_and_the_tilted_meet_both() -> None:
    row = on_area("nfpa_rear_minimum", FLAT)
    assert (row.verdict, row.because) == ("misses", "Minimum 0.02 lx against at least 30 lx.")
    assert row.worst_point_m == WORST
    for rule in ("nfpa_rear_average", "nfpa_rear_minimum"):
        row = on_area(rule, TILTED)
        assert (row.verdict, row.inside_uncertainty) == ("meets", False)
        assert "uncertainty" not in row.because and "beside" not in row.because


def test_a_verdict_carries_the_address_of_its_rule() -> None:
    row = on_area("nfpa_rear_minimum", TILTED)
    assert (row.rule, row.clause, row.source_status) == ("nfpa_rear_minimum", "13.10.1.1", "quoted")
    assert row.source_title.startswith("NFPA 1901")
    assert (row.quantity, row.statistic, row.plane, row.sense, row.limit, row.unit) == (
        "illuminance", "minimum", "horizontal", "at least", 30.0, "lx",
    )  # fmt: skip
    assert (row.subject, row.state, row.light) == ("rear", "working", "night")


def test_a_limit_in_footcandles_is_compared_in_footcandles() -> None:
    row = on_area("osha_access", light_of(31.0, 60.0))
    assert (row.verdict, row.unit) == ("misses", "fc")
    assert row.value == pytest.approx(31.0 * 0.3048**2)
    assert on_area("osha_access", light_of(3 * LUX_PER_FOOT_CANDLE, 60.0)).verdict == "meets"


def test_the_other_figure_is_named_where_it_turns_a_miss_too() -> None:
    """107.7 lx is more than 10 fc (107.6 lx) and less than the 108 lx printed beside it."""
    row = on_area("mdot_work", light_of(107.7, 150.0), height_m=0.91)
    assert row.verdict == "meets"
    assert "though 107.7 lx would miss the 108 lx printed beside it" in row.because
    assert row.because.startswith("Minimum 10.01 fc against at least 10 fc")
    assert "to be confirmed by a meter reading" in row.because


def test_an_unconfirmed_source_decides_nothing_but_shows_its_figures() -> None:
    row = on_area("en12464_construction_average", light_of(60.0, 100.0))
    assert (row.verdict, row.value, row.limit, row.inside_uncertainty) == ("not assessed", 100.0, 50.0, False)
    assert row.because == (
        "Not assessed: the source is unconfirmed, so its limit decides nothing (average 100 lx against at least 50 lx)."
    )


@pytest.mark.parametrize(
    "rule", [rule for rule in RULES.values() if rule.source.status == "unconfirmed"], ids=lambda r: r.id
)
def test_no_unconfirmed_rule_ever_decides(rule: Rule) -> None:
    rows = [
        on_area(rule, light_of(1e6, 1e6, 1e6), plane="pavement", size_m=(100.0, 100.0)),
        on_area(rule, light_of(0.0, 0.0, 0.0)),
        on_eye(rule, {"road": [0.0, 0.0, 0.0]}),
        judge_value(rule, subject="lamp", state="", light="", value=1e9, data_uncertainty=0.0),
    ]
    assert {row.verdict for row in rows} == {"not assessed"}


def test_a_document_without_a_figure_is_not_assessed() -> None:
    row = on_area("flagger", TILTED)
    assert (row.verdict, row.because) == ("not assessed", "Not assessed: the document states no figure.")
    assert math.isnan(row.limit)


def test_the_height_must_be_that_of_the_rule_within_five_centimetres() -> None:
    row = on_area("mdot_work", light_of(200.0, 300.0))
    assert (row.verdict, row.because) == (
        "not assessed",
        "Not assessed: the rule asks for the horizontal plane at 0.91 m; this area is horizontal at 0 m.",
    )
    assert on_area("mdot_work", light_of(200.0, 300.0), height_m=0.9144 - 0.049).verdict == "meets"
    assert on_area("mdot_work", light_of(200.0, 300.0), height_m=0.9144 + 0.051).verdict == "not assessed"


def test_the_plane_must_be_that_of_the_rule() -> None:
    row = on_area("nfpa_rear_minimum", TILTED, plane="vertical", height_m=1.5)
    assert row.because == "Not assessed: the rule asks for the ground plane at 0 m; this area is vertical at 1.5 m."
    assert on_area("nfpa_rear_minimum", TILTED, plane="pavement").verdict == "meets"
    assert on_area("mdot_work", light_of(200.0, 300.0), plane="pavement", height_m=0.9144).verdict == "not assessed"


def test_a_rule_without_a_plane_is_judged_on_the_areas_own_and_says_so() -> None:
    row = on_area("osha_general", TILTED, plane="vertical", height_m=1.5)
    assert row.verdict == "meets"
    assert (
        row.because
        == "Minimum 7.8 fc against at least 5 fc, on the vertical plane at 1.5 m (the rule names no plane), "
        'the zone ("general construction") is not checked.'
    )
    assert "on the horizontal plane at 0 m (the rule names no height)" in on_area("asr_site_general", TILTED).because


def test_an_own_rule_names_the_plane_without_a_complaint() -> None:
    row = on_area(own("illuminance", "minimum", "at least", 50.0, "lx"), TILTED)
    assert row.because == "Minimum 84 lx against at least 50 lx, on the horizontal plane at 0 m."


@pytest.mark.parametrize(
    ("size", "words"), [((3.0, 3.048), "3 m x 3.05 m"), ((3.048, 3.0), "3.05 m x 3 m"), ((30.0, 1.0), "30 m x 1 m")]
)
def test_an_area_smaller_than_the_zone_is_not_assessed(size: tuple[float, float], words: str) -> None:
    row = on_area("nfpa_rear_minimum", TILTED, size_m=size)
    assert row.verdict == "not assessed"
    assert row.because == (
        f"Not assessed: the rule asks for 3.05 m x 3.05 m directly behind the vehicle; this area is only {words}."
    )


def test_an_area_of_unknown_size_is_not_assessed_where_the_rule_has_a_rectangle() -> None:
    row = on_area("nfpa_rear_minimum", TILTED, size_m=None)
    assert row.verdict == "not assessed" and "is not known, as it is no rectangle" in row.because
    assert on_area("osha_general", TILTED, size_m=None).verdict == "meets"


def test_an_area_larger_than_the_zone_is_judged_and_said() -> None:
    row = on_area("nfpa_rear_average", TILTED, size_m=(7.62, 3.6576))
    assert row.verdict == "meets" and "over more than the rule's 3.048 x 3.048 m" in row.because


def test_points_left_out_are_counted_and_an_area_without_any_is_not_assessed() -> None:
    assert on_area("nfpa_rear_minimum", light_of(84.0, 263.0, valid=46)).because.endswith(", on 46 valid points of 49.")
    none = Statistics(math.nan, math.nan, math.nan, math.nan, (0.0, 0.0, 0.0), 0, 49)
    row = on_area("nfpa_rear_minimum", none)
    assert (row.verdict, row.because) == (
        "not assessed",
        "Not assessed: the area has no valid point, all lie under or inside a body.",
    )
    assert math.isnan(row.value) and math.isnan(row.margin)


def test_initial_light_is_used_only_where_the_rule_speaks_of_it() -> None:
    assert on_area("nfpa_rear_minimum", FLAT).value == 0.02
    rule = RULES["nfpa_rear_minimum"]
    initial = Rule(**{**{name: getattr(rule, name) for name in rule.__dataclass_fields__}, "lighting": "initial"})
    assert on_area(initial, FLAT).value == 1e3


def test_uniformity_both_ways_round() -> None:
    low = own("uniformity", "minimum over average", "at least", 0.25, "1")
    high = own("uniformity", "average over minimum", "at most", 4.0, "1")
    assert [on_area(rule, light_of(30.0, 100.0)).verdict for rule in (low, high)] == ["meets", "meets"]
    assert [on_area(rule, light_of(20.0, 100.0)).verdict for rule in (low, high)] == ["misses", "misses"]
    assert on_area(low, light_of(30.0, 100.0)).because.startswith("Minimum over average 0.3 against at least 0.25, ")


def test_a_dark_spot_makes_the_ratio_boundless_and_a_dark_area_makes_none() -> None:
    rule = own("uniformity", "average over minimum", "at most", 4.0, "1")
    row = on_area(rule, light_of(0.0, 100.0))
    assert row.verdict == "misses" and row.because.startswith("Average over minimum without bound against at most 4")
    for dark_rule in (rule, own("uniformity", "minimum over average", "at least", 0.25, "1")):
        dark = on_area(dark_rule, light_of(0.0, 0.0, 0.0))
        assert (dark.verdict, dark.because) == ("not assessed", "Not assessed: there is no light to take a ratio of.")


def test_the_largest_veil_over_stations_and_gazes_decides_and_is_named() -> None:
    row = on_eye(
        own("veiling luminance", "maximum", "at most", 0.3, "cd/m2"),
        {"road": [0.1, 0.2, 0.15], "1 deg down": [0.1, 0.31, 0.2]},
    )
    assert (row.verdict, row.value, row.worst_point_m) == ("misses", 0.31, (-85.0, 3.0, 1.08))
    assert row.because == (
        "Largest veiling luminance 0.31 cd/m2 against at most 0.3 cd/m2, with the gaze 1 deg down, "
        "the gaze road (0.2) would meet it, form cie-general; margin inside data uncertainty (10 %)."
    )


def test_a_gaze_beside_the_rule_is_told_where_it_would_turn_the_verdict() -> None:
    rule = own("veiling luminance", "maximum", "at most", 0.3, "cd/m2")
    aside = [GazeSeries("vehicle", np.array([0.2, 16.9, 0.2]), np.zeros(3))]
    row = on_eye(rule, {"road": [0.1, 0.2, 0.15]}, beside=aside)
    assert row.verdict == "meets" and "the gaze vehicle (16.9) would miss it" in row.because
    calm = [GazeSeries("vehicle", np.array([0.2, 0.1, 0.2]), np.zeros(3))]
    assert "vehicle" not in on_eye(rule, {"road": [0.1, 0.2, 0.15]}, beside=calm).because
    assert (row.plane, row.subject) == ("line of sight", "car-next")


def test_the_veiling_ratio_is_taken_of_the_road_luminance_that_is_printed() -> None:
    row = on_eye("road_freeway_veil_ratio", {"road": [0.01, 0.02, 0.015]}, road_luminance_cd_m2=0.1)
    assert row.verdict == "meets" and row.value == pytest.approx(0.2)
    assert row.because.endswith("form cie-general, road luminance 0.1 cd/m2.")
    for dark in (0.0, math.nan):
        row = on_eye("road_freeway_veil_ratio", {"road": [0.01, 0.02, 0.015]}, road_luminance_cd_m2=dark)
        assert row.verdict == "not assessed"


def test_a_station_that_is_not_valid_could_hold_the_largest_value() -> None:
    rule = own("veiling luminance", "maximum", "at most", 0.3, "cd/m2")
    hidden = on_eye(rule, {"road": [0.1, math.nan, 0.1], "1 deg down": [0.1, 0.1, 0.1]})
    assert hidden.verdict == "not assessed"
    assert hidden.because == (
        "Not assessed: 1 of 6 values along the path are not valid, and one of them could be the largest."
    )
    missed = on_eye(rule, {"road": [0.5, math.nan, 0.1]})
    assert missed.verdict == "misses" and "1 of 3 values along the path not valid" in missed.because
    none = on_eye(rule, {"road": [math.nan] * 3})
    assert (none.verdict, none.worst_point_m) == ("not assessed", None)
    assert none.because == "Not assessed: no station is valid, for the reason in the notes of the eye."


def test_threshold_increment_by_an_own_limit_and_by_an_unconfirmed_one() -> None:
    veils = {"road": [0.05, 0.12, 0.1]}
    row = on_eye(own("threshold increment", "maximum", "at most", 15.0, "%"), veils)
    assert (
        row.because
        == "Largest threshold increment 12 % against at most 15 %, with the gaze road, road luminance 1 cd/m2."
    )
    assert on_eye("en13201_m3_threshold_increment", veils).verdict == "not assessed"


def test_a_rule_on_an_area_is_not_evaluable_on_an_eye_and_the_other_way() -> None:
    assert on_eye("nfpa_rear_minimum", {"road": [0.1, 0.1, 0.1]}).because == (
        "Not assessed: illuminance belongs to an area and is not evaluable for an eye."
    )
    assert on_area("road_freeway_veil_ratio", TILTED).because == (
        "Not assessed: veiling ratio belongs to an eye and is not evaluable for an area."
    )
    assert on_area("kkk_flood_side", TILTED).verdict == "not assessed"


def test_intensities_heights_and_aims_are_judged_where_the_study_gives_them() -> None:
    common: dict[str, Any] = {"subject": "left side", "state": "working", "light": "night"}
    row = judge_value(RULES["kkk_flood_side"], value=790.0, data_uncertainty=0.1, **common)
    assert (row.verdict, row.because) == (
        "misses",
        "Luminous intensity 790 cd against at least 800 cd; margin inside data uncertainty (10 %).",
    )
    absent = judge_value(RULES["kkk_flood_side"], value=math.nan, data_uncertainty=0.1, **common)
    assert absent.because == "Not assessed: the study gives no luminous intensity to hold against it."
    assert judge_value(RULES["kkk_flood_height"], value=1.905, data_uncertainty=0.0, **common).verdict == "meets"
    assert judge_value(RULES["kkk_flood_height"], value=1.90, data_uncertainty=0.0, **common).verdict == "misses"
    aims = [
        judge_value(RULES[f"kkk_flood_aim_{end}"], value=20.0, data_uncertainty=0.0, **common)
        for end in ("least", "most")
    ]
    assert [row.verdict for row in aims] == ["meets", "misses"]


def test_the_point_of_the_maximum_is_not_known() -> None:
    assert on_area(own("illuminance", "maximum", "at most", 500.0, "lx"), TILTED).worst_point_m is None


def test_counts() -> None:
    rows = [on_area("nfpa_rear_average", FLAT), on_area("nfpa_rear_minimum", FLAT), on_area("flagger", FLAT)]
    found = counts([*rows, rows[0]])
    assert (found.meets, found.misses, found.not_assessed) == (2, 1, 1)


@given(value=st.floats(0.0, 1e4), limit=st.floats(0.1, 1e3), sense=st.sampled_from(["at least", "at most"]))
def test_verdict_margin_and_uncertainty_agree(value: float, limit: float, sense: str) -> None:
    row = on_area(own("illuminance", "average", sense, limit, "lx"), light_of(0.0, value))
    close = abs(value - limit) <= 1e-9 * limit
    assert close or (row.verdict == "meets") == (value > limit if sense == "at least" else value < limit)
    assert close or (row.margin > 0) == (row.verdict == "meets")
    assert row.inside_uncertainty == (abs(row.margin) < 0.1 * value)
    assert row.because.endswith("(10 %).") == row.inside_uncertainty


def test_no_upper_limit_is_met_by_lamps_of_which_only_the_least_light_is_known() -> None:
    """Where data are a lower limit a miss is certain, and nothing is ever met."""
    rule = own("veiling luminance", "maximum", "at most", 0.3, "cd/m2")
    veils = {"road": [0.01] * len(POINTS)}
    known, least = on_eye(rule, veils), on_eye(rule, veils, data_uncertainty=math.inf)
    assert known.verdict == "meets" and least.verdict == "not assessed"
    assert least.because == (
        "Not assessed: the data of a lamp are a lower limit there: more light may go to the eye "
        "(largest veiling luminance 0.01 cd/m2 against at most 0.3 cd/m2)."
    )
    assert on_eye(rule, {"road": [0.9] * len(POINTS)}, data_uncertainty=math.inf).verdict == "misses"
