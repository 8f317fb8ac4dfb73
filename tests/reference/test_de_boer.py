"""De Boer rating against values calculated from the stated formula, which itself is unconfirmed."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from scenelux.vision import de_boer

Agreement = Callable[..., None]
CALCULATED = "calculated from the stated formula (1974, unconfirmed)"


def slow_rating(lamps: list[tuple[float, float]], adaptation: float) -> float:
    """Illuminance [lx] and angle in minutes of arc of each lamp."""
    total = 0.0
    for light, arcmin in lamps:
        total += light / (0.003 * (1 + math.sqrt(adaptation / 0.04)) * arcmin**0.46)
    return min(9.0, max(1.0, 5.0 - 2.0 * math.log10(total)))


@pytest.mark.parametrize(("adaptation", "printed"), [(0.1, 2.914), (1.0, 3.647)])
def test_one_lux_at_210_arcmin(agreement: Agreement, adaptation: float, printed: float) -> None:
    ours = de_boer([1.0], [210 / 60], adaptation)
    agreement(f"de Boer, 1 lx, 210 arcmin, adaptation {adaptation}", printed, ours, CALCULATED, "calculated", 5e-4)
    assert ours == pytest.approx(slow_rating([(1.0, 210.0)], adaptation), rel=1e-12)


def test_illuminance_that_is_just_admissible(agreement: Agreement) -> None:
    low, high = 0.01, 10.0
    for _ in range(60):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if de_boer([middle], [3.5], 1.0) > 5.0 else (low, middle)
    agreement("de Boer 5, 210 arcmin, adaptation 1: illuminance [lx]", 0.21062, low, CALCULATED, "calculated", 5e-6)


@pytest.mark.parametrize(
    ("ahead", "light", "angle", "printed"), [(20, 4.73302, 11.2110, 2.03), (100, 0.19948, 2.7337, 4.22)]
)
def test_chain(agreement: Agreement, ahead: float, light: float, angle: float, printed: float) -> None:
    ours = de_boer([light], [angle], 0.1)
    agreement(f"chain, {ahead} m: de Boer, adaptation 0.1", printed, ours, CALCULATED, "calculated", 5e-3)


def test_lamps_add_inside_the_logarithm() -> None:
    ours = de_boer([0.2, 0.5, 0.0], [2.0, 8.0, 50.0], 0.3)
    assert ours == pytest.approx(slow_rating([(0.2, 120.0), (0.5, 480.0)], 0.3), rel=1e-12)
