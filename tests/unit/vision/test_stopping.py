"""Ranges and rounding of the stopping sight distance."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.vision import design_distance, stopping_sight_distance_ft, stopping_sight_distance_m
from scenelux.vision.stopping import STOPPING_METRIC_SOURCE


def test_what_is_from_memory_says_so() -> None:
    assert STOPPING_METRIC_SOURCE.status == "unconfirmed"


def test_downhill_is_longer() -> None:
    uphill, level, downhill = stopping_sight_distance_m(80.0, grade=[0.05, 0.0, -0.05])
    assert uphill < level < downhill


def test_a_grade_on_which_nobody_stops_is_nan() -> None:
    assert np.isnan(stopping_sight_distance_m(80.0, grade=[-3.4 / 9.81, -0.5])).all()
    assert np.isnan(stopping_sight_distance_ft(50.0, grade=-0.4))


@pytest.mark.parametrize("given", [{"speed_km_h": -1.0}, {"speed_km_h": np.nan}, {"reaction_s": -1.0},
                                   {"deceleration_m_s2": 0.0}, {"grade": np.nan}])  # fmt: skip
def test_what_is_no_input_is_nan(given: dict[str, float]) -> None:
    assert np.isnan(stopping_sight_distance_m(**({"speed_km_h": 50.0} | given)))


def test_standing_still_needs_nothing() -> None:
    assert stopping_sight_distance_m(0.0) == 0.0 and stopping_sight_distance_ft(0.0) == 0.0


def test_design_values_round_up_and_keep_what_is_round() -> None:
    assert design_distance([0.1, 5.0, 5.0 + 1e-10, 5.1, np.nan]).tolist()[:4] == [5.0, 5.0, 5.0, 10.0]
    assert design_distance(3 * 0.1 * 50) == 15.0


def test_speeds_and_grades_broadcast() -> None:
    assert stopping_sight_distance_m(np.array([[50.0], [80.0]]), grade=[0.0, 0.03, 0.06]).shape == (2, 3)
