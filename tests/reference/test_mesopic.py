"""Mesopic luminance of CIE 191:2010 against the stated formulas, written out."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.colour.ratio import NIGHT_LM_W
from scenelux.vision import mesopic_luminance, mesopic_vision

Agreement = Callable[..., None]


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
