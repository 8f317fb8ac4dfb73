"""Mesopic luminance of CIE 191:2010 against a library at 1 cd/m2 and values calculated from the stated formulas."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.colour.ratio import NIGHT_LM_W
from scenelux.vision import mesopic_gain_percent, mesopic_luminance, mesopic_vision

Agreement = Callable[..., None]
LIBRARY = "CIE 191:2010, as computed by the library luxpy 1.12.5 (right at 1 cd/m2 only)"
CALCULATED = "calculated from the stated formulas of CIE 191:2010"


def slow_mesopic(day: float, ratio: float) -> tuple[float, float]:
    m, k = 0.5, 683 / 1699
    while True:
        mesopic_light = (m * day + (1 - m) * ratio * day * k) / (m + (1 - m) * k)
        if mesopic_light >= 5:
            after = 1.0
        elif mesopic_light <= 0.005:
            after = 0.0
        else:
            after = min(1.0, max(0.0, 0.7670 + 0.3334 * math.log10(mesopic_light)))
        if abs(after - m) < 1e-12:
            return mesopic_light, after
        m = after


@pytest.mark.parametrize(
    ("ratio", "luminance", "state"), [(0.65, 0.96081, 0.76121), (1.0, 1.0, 0.7670), (1.72, 1.0743, 0.77738)]
)
def test_against_the_library_at_one(agreement: Agreement, ratio: float, luminance: float, state: float) -> None:
    ours = mesopic_vision(1.0, ratio)
    rounding = 5e-5 if ratio > 1 else 5e-6
    agreement(
        f"mesopic luminance of 1 cd/m2, S/P {ratio}", luminance, ours.luminance_cd_m2, LIBRARY, "quoted", rounding
    )
    agreement(f"mesopic state of the eye, 1 cd/m2, S/P {ratio}", state, ours.adaptation, LIBRARY, "quoted", 5e-6)


LUMINANCES = (0.01, 0.03, 0.1, 0.3, 0.5, 1, 2, 3)
GAINS = {
    0.25: (-75.0, -51.6, -29.5, -17.8, -13.6, -8.7, -4.6, -2.5),
    0.65: (-31.3, -20.2, -12.7, -7.9, -6.1, -3.9, -2.1, -1.1),
    1.05: (3.9, 2.6, 1.7, 1.1, 0.8, 0.5, 0.3, 0.2),
    1.65: (44.8, 31.5, 20.8, 13.3, 10.3, 6.7, 3.6, 1.9),
    1.85: (56.9, 40.3, 26.7, 17.1, 13.3, 8.7, 4.7, 2.5),
    2.05: (68.6, 48.8, 32.4, 20.8, 16.2, 10.6, 5.7, 3.1),
    2.65: (101.4, 72.6, 48.5, 31.3, 24.4, 16.1, 8.6, 4.7),
}


@pytest.mark.parametrize("ratio", GAINS)
@pytest.mark.parametrize("column", range(8))
def test_table_of_gains(agreement: Agreement, ratio: float, column: int) -> None:
    ours = mesopic_gain_percent(LUMINANCES[column], ratio)
    quantity = f"mesopic gain, S/P {ratio}, {LUMINANCES[column]} cd/m2 [%]"
    agreement(quantity, GAINS[ratio][column], ours, CALCULATED, "calculated", 0.05)


def test_every_field_equals_the_slow_iteration() -> None:
    generator = np.random.default_rng(191)
    day, ratio = 10 ** generator.uniform(-4, 2, 400), generator.uniform(0.2, 4, 400)
    ours = mesopic_vision(day, ratio)
    slow = np.array([slow_mesopic(float(light), float(share)) for light, share in zip(day, ratio, strict=True)])
    assert ours.luminance_cd_m2 == pytest.approx(slow[:, 0], rel=1e-10)
    assert ours.adaptation == pytest.approx(slow[:, 1], abs=1e-10)
    assert ours.luminance_cd_m2[day > 10] == pytest.approx(day[day > 10], rel=1e-15)


def test_an_even_ratio_changes_nothing() -> None:
    day = np.geomspace(1e-4, 50, 60)
    assert mesopic_luminance(day, 1.0) == pytest.approx(day, rel=1e-12)


def test_the_rounded_efficacy_of_night_vision_hardly_matters_for_the_ratio(agreement: Agreement) -> None:
    less = 100 * (1699 / NIGHT_LM_W - 1)
    agreement(
        "S/P with 1699 for 1700.06 lm/W [%]", -0.06, less, "calculated from the two constants", "calculated", 5e-3
    )
