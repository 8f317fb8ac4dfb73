"""Threshold increment against values calculated from EN 13201-3, and its jump where the branches join."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.vision import eye_light, sum_veil, threshold_increment_percent
from scenelux.vision.threshold import OBSERVER_AGE_YEARS, OBSERVER_GAZE_DOWN_DEG, VEIL_FORM

Agreement = Callable[..., None]
CALCULATED = "calculated from the stated formula of EN 13201-3:2015"


def slow_increment(veil: float, road: float) -> float:
    return 65 * veil / road**0.80 if road <= 5 else 95 * veil / road**1.05


@pytest.mark.parametrize(("road", "printed", "rounding"), [(1, 9.75, 5e-5), (5, 2.69047, 5e-6), (10, 1.27003, 5e-6)])
def test_both_branches(agreement: Agreement, road: float, printed: float, rounding: float) -> None:
    ours = threshold_increment_percent(0.15, road)
    agreement(f"threshold increment, veil 0.15, road {road} [%]", printed, ours, CALCULATED, "calculated", rounding)


def test_the_branches_jump_at_five(agreement: Agreement) -> None:
    below, above = threshold_increment_percent(1.0, [5.0, np.nextafter(5.0, 6.0)])
    agreement("threshold increment per veil at road 5 [%]", 17.936, below, CALCULATED, "calculated", 5e-4)
    agreement("threshold increment per veil above road 5 [%]", 17.531, above, CALCULATED, "calculated", 5e-4)
    agreement(
        "jump of the threshold increment at 5 [%]", 2.3, 100 * (below / above - 1), CALCULATED, "calculated", 0.05
    )


@pytest.mark.parametrize(
    ("ahead", "printed"),
    [
        (20, ((1.0, 24.48, 5e-3), (0.5, 42.63, 5e-3), (0.1, 154.5, 0.05))),
        (100, ((1.0, 17.35, 5e-3), (0.5, 30.22, 5e-3), (0.1, 109.5, 0.05))),
    ],
)
def test_chain_from_lamp_to_threshold_increment(
    agreement: Agreement, ahead: float, printed: tuple[tuple[float, float, float], ...]
) -> None:
    """Lamp 3.0 m high with 2000 cd to the eye, eye 1.5 m, 3.5 m beside."""
    to_lamp = np.array([[[ahead, 3.5, 1.5]]])
    down = math.radians(OBSERVER_GAZE_DOWN_DEG)
    eye = eye_light([[2000.0]], np.linalg.norm(to_lamp, axis=-1), to_lamp, (math.cos(down), 0.0, -math.sin(down)))
    veil = sum_veil(VEIL_FORM, eye.illuminance_lx, eye.angle_deg, age_years=OBSERVER_AGE_YEARS, pigmentation=0.5)
    for road, percent, rounding in printed:
        ours = threshold_increment_percent(veil.total_cd_m2[0], road)
        agreement(
            f"chain, {ahead} m: threshold increment, road {road} [%]", percent, ours, CALCULATED, "calculated", rounding
        )
        assert ours == pytest.approx(slow_increment(float(veil.total_cd_m2[0]), road), rel=1e-13)


def test_older_form_is_nearly_the_same_for_the_observer_of_the_standard() -> None:
    """650 E/(angle^2 L^0.8), from memory: equal at 23 years within the rounding of its factor."""
    veil = sum_veil(VEIL_FORM, [2.0], [10.0], age_years=23, pigmentation=0.5).total_cd_m2
    assert threshold_increment_percent(veil, 1.5) == pytest.approx(650 * 2.0 / (10.0**2 * 1.5**0.8), rel=3e-4)
