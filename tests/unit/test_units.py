"""Factors are exact, and results are written as people read them."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux import units
from scenelux.scene.quantities import parse_quantity


def test_factors_are_those_of_the_definitions() -> None:
    assert units.FOOT_M == 12 * 254 / 10_000
    assert units.INCH_M == 0.0254
    assert abs(units.YARD_M - 3 * units.FOOT_M) < 1e-15
    assert abs(units.MPH_M_S - Fraction(1609344, 3600 * 1000)) < 1e-15
    assert abs(units.LUX_PER_FOOT_CANDLE * units.FOOT_M**2 - 1.0) < 1e-15


@pytest.mark.parametrize(
    ("metres", "metric", "us"),
    [
        (2.3622, "2.36 m", "7 ft 9 in"),
        (0.2413, "0.24 m", "9 1/2 in"),
        (0.0127, "0.01 m", "1/2 in"),
        (0.0, "0.00 m", "0 in"),
        (-0.9652, "-0.97 m", "-3 ft 2 in"),
        (3.6576, "3.66 m", "12 ft"),
        (0.3047, "0.30 m", "1 ft"),  # 11.996 in is a foot, not 12 in
        (-0.001, "0.00 m", "0 in"),
        (150.0, "150 m", "492 ft"),
        (math.nan, "not valid", "not valid"),
    ],
)
def test_lengths(metres: float, metric: str, us: str) -> None:
    assert units.format_length(metres) == metric
    assert units.format_length(metres, "us") == us


@pytest.mark.parametrize(
    ("lux", "metric", "us"),
    [
        (31.42, "31.4 lx", "2.92 fc"),
        (263.4, "263 lx", "24.5 fc"),
        (0.0512, "0.0512 lx", "0.00476 fc"),
        (10.763910416709722, "10.8 lx", "1.00 fc"),
        (99.96, "100 lx", "9.29 fc"),  # rounding up takes no fourth digit
        (12345.6, "12346 lx", "1147 fc"),
        (0.0, "0 lx", "0 fc"),
        (math.nan, "not valid", "not valid"),
    ],
)
def test_illuminance(lux: float, metric: str, us: str) -> None:
    assert units.format_illuminance(lux) == metric
    assert units.format_illuminance(lux, "us") == us


def test_other_quantities() -> None:
    assert units.format_speed(24.5872, "us") == "55 mph"
    assert units.format_speed(50 / 3.6) == "50 km/h"
    assert units.format_distance(7.25, "us") == "23.8 ft"
    assert units.format_speed(math.nan) == "not valid"


@given(st.floats(min_value=1e-6, max_value=1e9))
def test_numbers_keep_three_digits_and_no_powers_of_ten(value: float) -> None:
    text = units.format_number(value)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=0.00501)


@given(st.floats(min_value=-29.9, max_value=29.9))
def test_written_lengths_are_read_again_within_their_rounding(metres: float) -> None:
    assert parse_quantity(units.format_length(metres), "length") == pytest.approx(metres, abs=0.005 + 1e-9)
    half_inch_m = 0.0127
    again = parse_quantity(units.format_length(metres, "us"), "length")
    assert again == pytest.approx(metres, abs=half_inch_m / 2 + 1e-9)


@pytest.mark.parametrize(
    ("value", "limit", "text"),
    [
        (31.416, 30.0, "31.4"),
        (29.98, 30.0, "29.98"),
        (30.04, 30.0, "30.04"),
        (30.0, 30.0, "30"),
        (0.00186, 5.0, "0.00186"),
        (math.inf, 10.0, "without bound"),
        (math.nan, 5.0, "not valid"),
        (2.5e-5, math.nan, "0.000025"),
        (20480.4, 20000.0, "20480"),
    ],
)
def test_a_printed_value_never_seems_to_be_on_the_other_side_of_its_limit(
    value: float, limit: float, text: str
) -> None:
    assert units.figure(value, limit) == text
