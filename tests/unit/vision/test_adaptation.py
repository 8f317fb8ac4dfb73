"""Ranges of what light does to the eye, and the course of the indicative lag."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.vision import bleached_share, greatest_fall, indicative_adaptation, pupil_diameter_mm
from scenelux.vision.adaptation import INDICATIVE_LAG_SOURCE


def test_the_lag_is_marked_unconfirmed() -> None:
    assert INDICATIVE_LAG_SOURCE.status == "unconfirmed"


def test_what_is_no_light_is_nan() -> None:
    assert np.isnan(pupil_diameter_mm([0.0, -1.0, np.nan])).all()
    assert np.isnan(bleached_share([-1.0, np.nan])).all() and np.isnan(greatest_fall(-0.1))


def test_steady_light_stays() -> None:
    assert indicative_adaptation([0, 1, 5, 9], [0.3] * 4) == pytest.approx([0.3] * 4)


def test_it_rises_quickly_and_falls_slowly_and_never_passes_the_light() -> None:
    times = np.linspace(0.0, 60.0, 601)
    light = np.where((times >= 10.0) & (times < 20.0), 30.0, 0.1)
    eye = indicative_adaptation(times, light)
    assert eye[105] > 28.0 and eye[205] > 5.0 and 0.1 < eye[-1] < 0.2
    assert (eye >= 0.1 - 1e-12).all() and (eye <= 30.0 + 1e-12).all()
    falling = eye[200:]
    assert (np.diff(falling) <= 0.0).all()
    assert (falling >= eye[199] * greatest_fall(times[200:] - times[199]) * (1 - 1e-12))[:60].all()


def test_from_the_first_dark_sample_on_it_is_nan() -> None:
    eye = indicative_adaptation([0, 1, 2, 3], [[1.0, 1.0, 0.0, 1.0], [1.0, 1.0, 1.0, 1.0]])
    assert np.isnan(eye[0]).tolist() == [False, False, True, True] and np.isfinite(eye[1]).all()


@pytest.mark.parametrize(
    ("times", "light"), [([0, 0], [1, 1]), ([1, 0], [1, 1]), ([0, 1], [1, 1, 1]), ([[0, 1]], [[1, 1]])]
)
def test_a_course_needs_rising_times(times: list[float], light: list[float]) -> None:
    with pytest.raises(UsageError, match="is no course of time"):
        indicative_adaptation(times, light)


def test_a_lag_needs_a_time() -> None:
    with pytest.raises(UsageError, match="is not a time"):
        indicative_adaptation([0, 1], [1, 1], fall_s=0.0)
