"""Values and limits in the unit in which the source prints the limit."""

from __future__ import annotations

import math

import pytest

from scenelux.checks.limits import beats, in_unit, margin
from scenelux.units import LUX_PER_FOOT_CANDLE


def test_a_footcandle_is_a_lumen_per_square_foot() -> None:
    assert pytest.approx(1 / (0.3048 * 0.3048), rel=1e-14) == LUX_PER_FOOT_CANDLE
    assert pytest.approx(10.7639104167, abs=1e-9) == LUX_PER_FOOT_CANDLE


def test_three_footcandles_are_not_thirty_lux() -> None:
    assert in_unit(30.0, "fc") < 3.0
    assert in_unit(31.4, "fc") == pytest.approx(2.917, abs=5e-4)


@pytest.mark.parametrize(
    ("unit", "value"), [("lx", 7.0), ("cd/m2", 7.0), ("%", 7.0), ("1", 7.0), ("in", 7 / 0.0254), ("ft", 7 / 0.3048)]
)
def test_other_units(unit: str, value: float) -> None:
    assert in_unit(7.0, unit) == pytest.approx(value, rel=1e-14)


def test_a_limit_just_reached_is_met_even_through_a_conversion() -> None:
    assert beats(in_unit(5 * LUX_PER_FOOT_CANDLE, "fc"), 5.0, "at least")
    assert beats(in_unit(5 * LUX_PER_FOOT_CANDLE, "fc"), 5.0, "at most")
    assert not beats(4.999, 5.0, "at least")
    assert not beats(math.nan, 5.0, "at least") and not beats(math.nan, 5.0, "at most")


def test_a_margin_is_positive_when_better() -> None:
    assert margin(4.0, 5.0, "at most") == 1.0
    assert margin(4.0, 5.0, "at least") == -1.0
