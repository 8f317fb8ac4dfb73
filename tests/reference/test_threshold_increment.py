"""Threshold increment against the formula of EN 13201-3, and its jump where the branches join."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scenelux.vision import sum_veil, threshold_increment_percent
from scenelux.vision.threshold import VEIL_FORM

Agreement = Callable[..., None]
CALCULATED = "calculated from the stated formula of EN 13201-3:2015"


def slow_increment(veil: float, road: float) -> float:
    return 65 * veil / road**0.80 if road <= 5 else 95 * veil / road**1.05


def test_the_branches_jump_at_five(agreement: Agreement) -> None:
    below, above = threshold_increment_percent(1.0, [5.0, np.nextafter(5.0, 6.0)])
    agreement(
        "jump of the threshold increment at 5 [%]", 2.3, 100 * (below / above - 1), CALCULATED, "calculated", 0.05
    )


def test_both_branches_are_the_printed_formula() -> None:
    generator = np.random.default_rng(13201)
    veil, road = generator.uniform(0, 3, 200), 10 ** generator.uniform(-1.3, 1.5, 200)
    slow = [slow_increment(float(light), float(dark)) for light, dark in zip(veil, road, strict=True)]
    assert threshold_increment_percent(veil, road) == pytest.approx(slow, rel=1e-13)


def test_older_form_is_nearly_the_same_for_the_observer_of_the_standard() -> None:
    """650 E/(angle^2 L^0.8), from memory: equal at 23 years within the rounding of its factor."""
    veil = sum_veil(VEIL_FORM, [2.0], [10.0], age_years=23, pigmentation=0.5).total_cd_m2
    assert threshold_increment_percent(veil, 1.5) == pytest.approx(650 * 2.0 / (10.0**2 * 1.5**0.8), rel=3e-4)
