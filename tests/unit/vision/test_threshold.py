"""Range of the threshold increment and of the veiling ratio."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.vision import threshold_increment_percent


@pytest.mark.parametrize("road", [0.0, np.nextafter(0.05, 0.0), -1.0, np.nan, np.inf])
def test_a_road_too_dark_for_the_formula_is_nan(road: float) -> None:
    assert np.isnan(threshold_increment_percent(0.1, road))


def test_the_darkest_road_in_range_is_a_number() -> None:
    assert threshold_increment_percent(0.1, 0.05) == pytest.approx(65 * 0.1 / 0.05**0.8)


def test_five_belongs_to_the_lower_branch() -> None:
    at, above = threshold_increment_percent(1.0, [5.0, 5.0000001])
    assert at == pytest.approx(65 / 5**0.8)
    assert above == pytest.approx(95 / 5**1.05, rel=1e-6)


def test_a_veil_that_is_not_valid_stays_so_and_no_veil_is_zero() -> None:
    assert np.isnan(threshold_increment_percent([np.nan, 0.0], 1.0)).tolist() == [True, False]
    assert threshold_increment_percent(0.0, 1.0) == 0.0
