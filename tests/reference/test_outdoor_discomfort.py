"""Outdoor discomfort rating against the stated formula, written out; the formula itself is unconfirmed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scenelux.vision import outdoor_discomfort, outdoor_glare_index


def slow_rating(direct: float, surround: float, ambient: float, luminance: float | None) -> float:
    index = math.log10(direct + surround) + 0.6 * math.log10(direct / surround) - 0.5 * math.log10(ambient)
    if index <= 0:
        return 9.0
    rating = 6.6 - 6.4 * math.log10(index)
    if luminance is not None:
        rating += 1.4 * math.log10(50000 / luminance)
    return min(9.0, max(1.0, rating))


def test_it_is_the_stated_formula() -> None:
    light = 10.0 ** np.random.default_rng(2008).uniform(-2, 2, (3, 500))
    slow = [slow_rating(*map(float, row), None) for row in light.T]
    assert outdoor_discomfort(*light) == pytest.approx(slow, rel=1e-12)
    slow = [slow_rating(*map(float, row), 8e4) for row in light.T]
    ours = outdoor_discomfort(*light, source_width_deg=0.5, source_luminance_cd_m2=8e4)
    at_the_guard = outdoor_glare_index(*light) <= 0.0
    assert ours[~at_the_guard] == pytest.approx(np.array(slow)[~at_the_guard], rel=1e-12)
