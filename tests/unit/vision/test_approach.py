"""Sums along an approach against brute force, with gaps and with wrong paths."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.errors import UsageError
from scenelux.vision import dose_lx_s, seconds_above, worst_station

VALUES = st.lists(st.floats(0.0, 10.0), min_size=2, max_size=12)


@given(values=VALUES, limit=st.floats(0.0, 10.0), speed=st.floats(1.0, 40.0))
def test_seconds_and_dose_equal_a_fine_sum(values: list[float], limit: float, speed: float) -> None:
    stations = np.linspace(150.0, 20.0, len(values))
    steps = 20_000
    middle = 150.0 - (np.arange(steps) + 0.5) * 130.0 / steps
    fine = np.interp(-middle, -stations, values)
    step_s = 130.0 / steps / speed
    above = seconds_above(stations, values, limit, speed)
    assert above.seconds == pytest.approx((fine > limit).sum() * step_s, abs=2 * len(values) * step_s)
    dose = dose_lx_s(stations, values, speed)
    assert dose.dose_lx_s == pytest.approx(fine.sum() * step_s, rel=1e-4, abs=1e-4)
    assert above.stations_left_out == dose.stations_left_out == 0


@given(values=VALUES, limit=st.floats(0.0, 10.0))
def test_driving_the_path_the_other_way_takes_the_same_time(values: list[float], limit: float) -> None:
    stations = np.linspace(20.0, 150.0, len(values))
    there = seconds_above(stations, values, limit, 20.0).seconds
    assert there == pytest.approx(seconds_above(stations[::-1], values[::-1], limit, 20.0).seconds, abs=1e-9)


def test_a_gap_is_neither_dark_nor_bridged() -> None:
    stations, values = [100.0, 75.0, 50.0, 25.0, 0.0], [1.0, 1.0, np.nan, 1.0, 1.0]
    above = seconds_above(stations, values, 0.5, 25.0)
    assert (above.seconds, above.seconds_not_valid, above.stations_left_out) == (2.0, 2.0, 1)
    dose = dose_lx_s(stations, values, 25.0)
    assert (dose.dose_lx_s, dose.seconds_not_valid, dose.stations_left_out) == (2.0, 2.0, 1)


def test_a_value_that_only_reaches_its_limit_is_not_above_it() -> None:
    assert seconds_above([0.0, 10.0], [0.3, 0.3], 0.3, 10.0).seconds == 0.0
    assert seconds_above([0.0, 10.0], [0.2, 0.3], 0.3, 10.0).seconds == 0.0
    assert seconds_above([0.0, 10.0], [0.3, 0.3], 0.29, 10.0).seconds == 1.0


def test_a_path_without_a_valid_station() -> None:
    above = seconds_above([0.0, 10.0], [np.nan, np.nan], 0.3, 10.0)
    assert np.isnan(above.seconds) and (above.seconds_not_valid, above.stations_left_out) == (1.0, 2)
    dose = dose_lx_s([0.0, 10.0], [np.nan, 1.0], 10.0)
    assert np.isnan(dose.dose_lx_s) and (dose.seconds_not_valid, dose.stations_left_out) == (1.0, 1)


def test_a_single_station_takes_no_time() -> None:
    assert seconds_above([5.0], [1.0], 0.3, 10.0).seconds == 0.0


@pytest.mark.parametrize(
    ("stations", "values", "speed", "message"),
    [
        ([0.0, 1.0, 1.0], [1.0, 1.0, 1.0], 1.0, "only rise or only fall"),
        ([0.0, 2.0, 1.0], [1.0, 1.0, 1.0], 1.0, "only rise or only fall"),
        ([0.0, 1.0], [1.0], 1.0, "one value for each station"),
        ([0.0, 1.0], [1.0, 1.0], 0.0, "give a speed above 0"),
        ([0.0, 1.0], [1.0, 1.0], np.nan, "give a speed above 0"),
    ],
)
def test_what_is_no_path(stations: list[float], values: list[float], speed: float, message: str) -> None:
    with pytest.raises(UsageError, match=message):
        dose_lx_s(stations, values, speed)


def test_worst_station_is_the_first_of_equal_ones_among_the_valid() -> None:
    assert worst_station([np.nan, 0.2, 0.5, 0.5]) == 2
    assert worst_station([]) is None
