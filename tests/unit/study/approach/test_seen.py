"""From where on something stays seen, against a slow walk from the vehicle outwards in small steps."""

from __future__ import annotations

from math import inf, isnan, nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.study.approach.seen import seen_from, stays_above

DISTANCES = np.array([100.0, 80.0, 60.0, 40.0, 20.0])


def walked(distances: np.ndarray, levels: np.ndarray, chosen: float) -> float:
    """Out from the nearest place in steps of a centimetre, until the level is below for the first time."""
    found = nan
    for distance in np.arange(distances[-1], distances[0] + 0.005, 0.01):
        level = abs(np.interp(distance, distances[::-1], levels[::-1]))
        if not level >= chosen - 1e-9:
            return found
        found = float(distance)
    return found


@given(st.lists(st.floats(-20.0, 20.0), min_size=5, max_size=5))
def test_as_a_slow_walk_finds_it(levels: list[float]) -> None:
    found, from_the_first = stays_above(DISTANCES, np.array(levels), 7.0)
    slow = walked(DISTANCES, np.array(levels), 7.0)
    assert isnan(found) == isnan(slow)
    if not isnan(found):
        assert found == pytest.approx(slow, abs=0.0101)
        assert from_the_first == (found == 100.0 and abs(levels[0]) >= 7.0 and slow > 99.98)


def test_what_is_lost_again_does_not_count() -> None:
    levels = np.array([9.0, 9.0, 3.0, 9.0, 9.0])
    assert stays_above(DISTANCES, levels, 7.0)[0] == pytest.approx(40.0 + 20.0 * 2.0 / 6.0)


def test_a_turn_of_the_contrast_is_a_break_even_where_both_stations_are_above() -> None:
    found, from_the_first = stays_above(DISTANCES, np.array([20.0, 20.0, 20.0, -20.0, -20.0]), 7.0)
    assert found == pytest.approx(60.0 - 20.0 * 27.0 / 40.0)
    assert not from_the_first


def test_hidden_stations_end_it_at_the_next_one() -> None:
    assert stays_above(DISTANCES, np.array([9.0, nan, 9.0, 9.0, 9.0]), 7.0) == (60.0, False)


def test_from_the_first_station_on() -> None:
    assert stays_above(DISTANCES, np.full(5, -8.0), 7.0) == (100.0, True)


def found_at(levels: list[float], hidden: list[bool] | None = None, **more: float) -> object:
    values = {"before_vehicle_m": 3.0, "stopping_distance_m": 70.0, "speed_m_s": 20.0, **more}
    lost = np.array(hidden or [False] * 5)
    return seen_from(
        DISTANCES, np.array(levels), np.array([True, True, True, True, False]), lost,
        age_years=50.0, chosen=7.0, **values,
    )  # fmt: skip


def test_margin_is_to_the_target_and_in_seconds_at_that_speed() -> None:
    found = found_at([1.0, 7.0, 8.0, 9.0, 0.0])
    assert (found.outcome, found.distance_m, found.to_target_m) == ("seen", 80.0, 77.0)
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
    assert isnan(stays_above(DISTANCES, np.full(5, 9.0), inf)[0])
