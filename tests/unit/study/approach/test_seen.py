"""From where on something stays seen, against a slow walk from the vehicle outwards in small steps."""

from __future__ import annotations

from itertools import pairwise
from math import inf, isnan, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.study.approach.seen import seen_from, spans_above, stays_above

DISTANCES = np.array([100.0, 80.0, 60.0, 40.0, 20.0])


PARTS = ("whole", "legs")
LEVELS = st.lists(st.floats(-20.0, 20.0) | st.just(nan), min_size=5, max_size=5)


def walked(distances: np.ndarray, levels: np.ndarray, chosen: float) -> float:
    """Out from the nearest place in steps of a centimetre, until every part is below for the first time."""
    found = nan
    for distance in np.arange(distances[-1], distances[0] + 0.005, 0.01):
        parts = [abs(between(distance, distances[::-1], part[::-1])) for part in levels]
        if not any(level >= chosen - 1e-9 for level in parts):
            return found
        found = float(distance)
    return found


def between(distance: float, rising: np.ndarray, levels: np.ndarray) -> float:
    """Straight between stations, nothing beside a station without a level."""
    near = int(np.clip(np.searchsorted(rising, distance + 1e-9, side="right") - 1, 0, len(rising) - 2))
    at = [number for number in (near, near + 1) if abs(rising[number] - distance) < 1e-6]
    if at:
        return float(levels[at[0]])
    share = (distance - rising[near]) / (rising[near + 1] - rising[near])
    return float(levels[near] + share * (levels[near + 1] - levels[near]))


@settings(deadline=None, max_examples=60)
@given(st.lists(LEVELS, min_size=1, max_size=3))
def test_as_a_slow_walk_finds_it(levels: list[list[float]]) -> None:
    found, from_the_first, part = stays_above(DISTANCES, np.array(levels), 7.0)
    slow = walked(DISTANCES, np.array(levels), 7.0)
    assert isnan(found) == isnan(slow)
    if not isnan(found):
        assert found == pytest.approx(slow, abs=0.0101)
        assert from_the_first == (found == 100.0 and slow > 99.98 and (np.abs(np.array(levels)[:, 0]) >= 7.0).any())
        assert part < len(levels)


def test_what_is_lost_again_does_not_count() -> None:
    levels = np.array([[9.0, 9.0, 3.0, 9.0, 9.0]])
    assert stays_above(DISTANCES, levels, 7.0)[0] == pytest.approx(40.0 + 20.0 * 2.0 / 6.0)


def test_a_turn_of_the_contrast_is_a_break_even_where_both_stations_are_above() -> None:
    found, from_the_first, _ = stays_above(DISTANCES, np.array([[20.0, 20.0, 20.0, -20.0, -20.0]]), 7.0)
    assert found == pytest.approx(60.0 - 20.0 * 27.0 / 40.0)
    assert not from_the_first


def test_another_part_bridges_the_turn_of_one() -> None:
    whole, legs = [20.0, 20.0, 20.0, -20.0, -20.0], [0.0, 0.0, -14.0, -14.0, 0.0]
    found, _, part = stays_above(DISTANCES, np.array([whole, legs]), 7.0)
    assert (found, part) == (100.0, 0)
    gap = [0.0, 0.0, -14.0, 0.0, 0.0]  # below 7 from 50 m on, where the whole is still on its way through nothing
    found, _, part = stays_above(DISTANCES, np.array([whole, gap]), 7.0)
    assert (found, part) == (pytest.approx(60.0 - 20.0 * 27.0 / 40.0), 0)


def test_who_takes_over_is_named_where_it_begins() -> None:
    torso, legs = [0.0, 0.0, 0.0, 20.0, 20.0], [0.0, 0.0, -14.0, -14.0, 0.0]
    found, _, part = stays_above(DISTANCES, np.array([torso, legs]), 7.0)
    assert (found, part) == (70.0, 1)


def test_hidden_stations_end_it_at_the_next_one() -> None:
    assert stays_above(DISTANCES, np.array([[9.0, nan, 9.0, 9.0, 9.0]]), 7.0) == (60.0, False, 0)


def test_from_the_first_station_on() -> None:
    assert stays_above(DISTANCES, np.full((1, 5), -8.0), 7.0) == (100.0, True, 0)


def found_at(levels: list[float], hidden: list[bool] | None = None, **more: float) -> object:
    values = {"before_vehicle_m": 3.0, "stopping_distance_m": 70.0, "speed_m_s": 20.0, **more}
    lost = np.array(hidden or [False] * 5)
    return seen_from(
        DISTANCES, np.array([levels, [nan] * 5]), PARTS, np.array([True, True, True, True, False]), lost,
        age_years=50.0, chosen=7.0, **values,
    )  # fmt: skip


def test_margin_is_to_the_target_and_in_seconds_at_that_speed() -> None:
    found = found_at([1.0, 7.0, 8.0, 9.0, 0.0])
    assert (found.outcome, found.distance_m, found.to_target_m, found.seen_by) == ("seen", 80.0, 77.0, "whole")
    assert found.margin_m == pytest.approx(77.0 - 70.0)
    assert found.margin_s == pytest.approx((77.0 - 70.0) / 20.0)
    late = found_at([1.0, 7.0, 8.0, 9.0, 0.0], stopping_distance_m=100.0)
    assert (late.margin_m, late.margin_s) == pytest.approx((-23.0, -1.15))


def test_the_last_station_that_counts_is_the_last_before_the_driver_passes() -> None:
    assert found_at([9.0, 9.0, 9.0, 9.0, nan]).outcome == "seen"
    never = found_at([9.0, 9.0, 9.0, 2.0, 9.0])
    assert (never.outcome, isnan(never.margin_m)) == ("never", True)
    assert "40 m" in never.why and "level 2" in never.why


def test_no_answer_is_not_never() -> None:
    assert found_at([9.0, nan, 9.0, 9.0, 9.0]).outcome == "not valid"
    assert found_at([9.0, nan, 9.0, 9.0, 9.0], [False, True, False, False, False]).distance_m == 60.0
    assert found_at([9.0, 9.0, 9.0, nan, 9.0], [False, False, False, True, False]).outcome == "never"


def test_without_brakes_no_margin() -> None:
    found = found_at([9.0] * 5, stopping_distance_m=nan)
    assert (found.outcome, isnan(found.margin_s)) == ("seen", True) and "brakes" in found.why


def test_never_above_an_endless_level() -> None:
    assert isnan(stays_above(DISTANCES, np.full((1, 5), 9.0), inf)[0])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(st.floats(-20, 20), min_size=6, max_size=6), min_size=1, max_size=2))
def test_stretches_against_many_points(levels: list[list[float]]) -> None:
    """Between stations levels are straight; a place belongs to a stretch where some part is at 7 or above there."""
    where, of = np.linspace(100.0, 50.0, 6), np.array(levels)
    spans = spans_above(where, of, 7.0)
    assert all(a >= b for a, b in spans) and all(first[1] > second[0] for first, second in pairwise(spans))
    for at in np.linspace(50.0, 100.0, 997)[1:-1]:
        straight = [float(np.interp(at, where[::-1], one[::-1])) for one in of]
        inside = any(b - 1e-6 <= at <= a + 1e-6 for a, b in spans)
        best = max(abs(one) for one in straight)
        if abs(best - 7.0) > 1e-3:
            assert inside == (best >= 7.0), (at, straight, spans)


def test_a_stretch_that_is_lost_again_is_told() -> None:
    found = found_at([1.0, 9.0, 9.0, 5.0, 0.0])
    assert found.outcome == "never"
    assert len(found.seen_spans_m) == 1  # straight lines meet 7 a quarter and a half of the way between stations
    far, near = found.seen_spans_m[0]
    step = DISTANCES[0] - DISTANCES[1]
    assert far == pytest.approx(DISTANCES[0] - 0.75 * step - 3.0) and near == pytest.approx(
        DISTANCES[2] - 0.5 * step - 3.0
    )
