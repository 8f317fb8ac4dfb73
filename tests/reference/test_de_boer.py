"""De Boer rating against the stated formula, written out; the formula itself is unconfirmed."""

from __future__ import annotations

import math

import pytest

from scenelux.vision import de_boer


def slow_rating(lamps: list[tuple[float, float]], adaptation: float) -> float:
    """Illuminance [lx] and angle in minutes of arc of each lamp."""
    total = 0.0
    for light, arcmin in lamps:
        total += light / (0.003 * (1 + math.sqrt(adaptation / 0.04)) * arcmin**0.46)
    return min(9.0, max(1.0, 5.0 - 2.0 * math.log10(total)))


def test_lamps_add_inside_the_logarithm() -> None:
    ours = de_boer([0.2, 0.5, 0.0], [2.0, 8.0, 50.0], 0.3)
    assert ours == pytest.approx(slow_rating([(0.2, 120.0), (0.5, 480.0)], 0.3), rel=1e-12)
