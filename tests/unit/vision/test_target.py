"""Ranges, polarity and sums of the visibility of targets."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.vision import (
    contrast_reversal,
    target_arcmin,
    threshold_luminance_difference,
    visibility,
    visibility_level,
    weighted_visibility_level,
)
from scenelux.vision.target import TARGET_UNCONFIRMED


def test_what_is_from_memory_is_named() -> None:
    assert TARGET_UNCONFIRMED.status == "unconfirmed" and "2.6" in TARGET_UNCONFIRMED.clause


@pytest.mark.parametrize(
    ("light", "size", "age", "exposure"),
    [(0.0, 7.0, 30, 0.2), (-1.0, 7.0, 30, 0.2), (1.0, 0.0, 30, 0.2), (1.0, 7.0, 75, 0.2), (1.0, 7.0, -1, 0.2),
     (1.0, 7.0, 30, 0.0), (np.nan, 7.0, 30, 0.2), (np.inf, 7.0, 30, 0.2), (1.0, 7.0, np.nan, 0.2)],
)  # fmt: skip
def test_outside_its_range_it_is_nan(light: float, size: float, age: float, exposure: float) -> None:
    assert np.isnan(threshold_luminance_difference(light, size, age_years=age, exposure_s=exposure))


def test_targets_wider_than_a_degree_count_as_a_degree() -> None:
    one, more = threshold_luminance_difference(1.0, [60.0, 600.0], age_years=30)
    assert one == more


def test_the_young_eye_does_not_gain_below_twenty_three() -> None:
    ages = threshold_luminance_difference(1.0, 7.0, age_years=[18, 23, 50, 70])
    assert ages[0] == ages[1] < ages[2] < ages[3]


def test_a_smaller_a_shorter_and_a_brighter_target_needs_more() -> None:
    smaller = threshold_luminance_difference(1.0, [4.0, 7.0, 20.0], age_years=30)
    shorter = threshold_luminance_difference(1.0, 7.0, age_years=30, exposure_s=[0.1, 0.2, 2.0])
    brighter, darker = threshold_luminance_difference(1.0, 7.0, age_years=30, negative=[False, True])
    assert (np.diff(smaller) < 0).all() and (np.diff(shorter) < 0).all() and darker < brighter


def test_a_veil_counts_for_adaptation_and_not_for_the_difference() -> None:
    seen = visibility(0.3, 0.1, 10.0, age_years=30, veil_cd_m2=0.4)
    threshold = threshold_luminance_difference(0.5, 10.0, age_years=30)
    assert seen.threshold_cd_m2 == threshold and seen.level == pytest.approx(0.2 / threshold)
    assert seen.form == "adrian-1989"


def test_polarity_is_the_sign() -> None:
    seen = visibility([0.05, 0.1, 0.2], 0.1, 10.0, age_years=30)
    assert seen.negative.tolist() == [True, False, False]
    assert np.sign(seen.level).tolist() == [-1.0, 0.0, 1.0]


@pytest.mark.parametrize(("target", "background", "veil"), [(-0.1, 0.1, 0.0), (0.1, 0.0, 1.0), (0.1, 0.1, -1.0)])
def test_what_is_no_luminance_is_nan(target: float, background: float, veil: float) -> None:
    assert np.isnan(visibility_level(target, background, 10.0, age_years=30, veil_cd_m2=veil))


def test_everything_broadcasts() -> None:
    seen = visibility(np.ones((3, 1)), 0.5, np.array([5.0, 10.0]), age_years=30, veil_cd_m2=np.zeros((2, 1, 1)))
    assert seen.level.shape == seen.threshold_cd_m2.shape == seen.negative.shape == (2, 3, 2)


def test_reversal_is_told_for_each_row_and_never_across_a_gap() -> None:
    rows = contrast_reversal([[-1.0, 1.0, 2.0], [1.0, np.nan, -1.0], [2.0, 3.0, 4.0]])
    assert rows.tolist() == [[True, True, False], [False, False, False], [False, False, False]]
    assert contrast_reversal([]).shape == (0,)


def test_weighted_level_lies_below_the_mean() -> None:
    levels = np.array([1.0, -4.0, 9.0])
    slow = -2.5 * np.log10(sum(10 ** (-0.4 * abs(level)) for level in levels) / 3)
    assert weighted_visibility_level(levels) == pytest.approx(slow, rel=1e-13) and slow < np.abs(levels).mean()


def test_size_and_distance_that_give_no_angle() -> None:
    assert np.isnan(target_arcmin([0.5, -0.5], [0.0, 10.0])).all()
    assert target_arcmin(0.0, 10.0) == 0.0
