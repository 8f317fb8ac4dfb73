"""Levels mean light: conversion of settings both ways, and the trap of dimming on voltage."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import DocumentError
from scenelux.switching.policy import Basis, by_curve, by_duty, by_filament_voltage, level_of, setting_of
from scenelux.switching.tables import constant, dimming_table

CURVE = [(0.1, 0.02), (0.35, 0.3), (0.7, 0.75), (1.0, 1.0)]
BASES = [by_duty(), by_filament_voltage(13.5, 4.0), by_curve("current", CURVE, "A")]


@pytest.mark.parametrize("basis", BASES, ids=lambda basis: basis.kind)
def test_both_ways_and_monotone(basis: Basis) -> None:
    settings = np.linspace(*basis.range, 201)
    levels = level_of(basis, settings)
    assert np.all(np.diff(levels) > 0.0)
    assert np.allclose(setting_of(basis, levels), settings, rtol=0, atol=1e-12)


@pytest.mark.parametrize("basis", BASES, ids=lambda basis: basis.kind)
def test_outside_the_range_there_is_no_answer(basis: Basis) -> None:
    low, high = basis.range
    assert np.isnan(level_of(basis, [low - 0.01, high + 0.01])).all()
    assert np.isnan(setting_of(basis, 1.0001))


def test_half_the_voltage_is_a_tenth_of_the_light() -> None:
    """Calculated from the stated formula: 0.5^3.4 = 9.5 %."""
    basis = by_filament_voltage(12.0)
    assert float(level_of(basis, 6.0)) == pytest.approx(0.5**3.4)
    assert round(float(level_of(basis, 6.0)) * 100.0, 1) == 9.5
    assert float(level_of(by_duty(), 0.5)) == 0.5
    assert basis.source.status == "unconfirmed"


def test_a_level_below_a_curve_asks_for_switching_off() -> None:
    assert np.isnan(setting_of(by_curve("current", CURVE), 0.0))


def test_curves_that_fall_are_refused() -> None:
    for points in ([(0.0, 0.0), (0.5, 0.6), (1.0, 0.5)], [(0.0, 0.0)], [(0.0, 0.0), (1.0, 1.2)]):
        with pytest.raises(DocumentError):
            by_curve("current", points)


def test_night_factor_is_the_inverse_of_the_ratio_of_levels() -> None:
    """The default is 1/2.4, calculated."""
    table = dimming_table()["night_factor"]
    assert table["default"] == round(1.0 / 2.4, 2)
    assert table["low"] <= table["default"] <= table["high"]


def test_thresholds_of_practice_have_the_printed_ratio() -> None:
    """1.5 fc and four times that, in lux."""
    row = dimming_table()["switching"][0]
    assert row["dark_below_lx"] == pytest.approx(1.5 * 10.7639, abs=0.05)
    assert row["bright_above_lx"] == pytest.approx(6.0 * 10.7639, abs=0.05)
    assert constant("copper_resistivity_ohm_mm2_per_m")[0] == pytest.approx(1.0 / 58.0, rel=1e-4)
