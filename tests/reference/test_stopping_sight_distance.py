"""Stopping sight distance against design tables and public calculators."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scenelux.vision import design_distance, stopping_sight_distance_ft, stopping_sight_distance_m

Agreement = Callable[..., None]
US = "calculated from 1.47 V t + 1.075 V^2/a of the TxDOT Roadway Design Manual, 4.11.1"
METRIC = "calculated from the stated metric formula (unconfirmed)"
TABLE = "AASHTO design table, as quoted by a web page"
CALCULATOR = "public calculator pages"


@pytest.mark.parametrize(
    ("mph", "feet", "design"),
    [(15, 76.7, 80), (20, 111.9, 115), (30, 196.6, 200), (35, 246.2, 250), (45, 359.7, 360), (50, 423.7, 425),
     (60, 566.0, 570), (65, 644.4, 645), (75, 815.5, 820), (80, 908.3, 910)],
)  # fmt: skip
def test_feet(agreement: Agreement, mph: float, feet: float, design: float) -> None:
    ours = stopping_sight_distance_ft(mph)
    agreement(f"stopping sight distance at {mph} mph [ft]", feet, ours, US, "calculated", 0.05)
    source, status = (TABLE, "quoted") if mph in (35, 45, 50) else (US, "calculated")
    agreement(f"the same, design value at {mph} mph [ft]", design, design_distance(ours), source, status, 1e-9)


@pytest.mark.parametrize(
    ("km_h", "metres", "design"),
    [(30, 31.2, 35), (50, 63.4, 65), (60, 83.0, 85), (80, 129.0, 130), (100, 184.2, 185), (110, 215.2, 220),
     (130, 284.2, 285)],
)  # fmt: skip
def test_metres(agreement: Agreement, km_h: float, metres: float, design: float) -> None:
    ours = stopping_sight_distance_m(km_h)
    agreement(f"stopping sight distance at {km_h} km/h [m]", metres, ours, METRIC, "calculated", 0.05)
    quantity = f"the same, design value at {km_h} km/h [m]"
    agreement(quantity, design, design_distance(ours), METRIC, "calculated", 1e-9)


def test_grade(agreement: Agreement) -> None:
    uphill = stopping_sight_distance_ft(60, grade=0.05)
    agreement("stopping at 60 mph, +5 % [ft]", 522.14, uphill, CALCULATOR, "published", 5e-3)
    metric = stopping_sight_distance_m(100, grade=0.03)
    agreement("stopping at 100 km/h, +3 % [m]", 174.045, metric, METRIC, "calculated", 5e-4)


def test_a_level_grade_in_the_formula_for_grades(agreement: Agreement) -> None:
    """Nearly level, so that the formula for grades is used and not that for level roads."""
    whole = stopping_sight_distance_ft(60, grade=1e-12)
    reacting = stopping_sight_distance_ft(60, deceleration_ft_s2=1e15)
    agreement("reaction at 60 mph [ft]", 220.5, reacting, US, "calculated", 0.05)
    agreement("braking at 60 mph by the formula for grades [ft]", 345.0, whole - reacting, US, "calculated", 0.05)
    agreement("stopping at 60 mph by the formula for grades [ft]", 565.5, whole, US, "calculated", 0.05)


def slow_feet(v: float, g: float, t: float, a: float) -> float:
    return 1.47 * v * t + (1.075 * v**2 / a if g == 0 else v**2 / (30 * (a / 32.2 + g)))


def slow_metres(v: float, g: float, t: float, a: float) -> float:
    return 0.278 * v * t + (0.039 * v**2 / a if g == 0 else v**2 / (254 * (a / 9.81 + g)))


def test_both_equal_the_slow_formula() -> None:
    generator = np.random.default_rng(7)
    v, g, t = generator.uniform(0, 90, 300), generator.uniform(-0.1, 0.1, 300), generator.uniform(0, 4, 300)
    a = generator.uniform(5, 15, 300)
    g[::5] = 0.0
    rows = list(zip(v, g, t, a, strict=True))
    feet = stopping_sight_distance_ft(v, grade=g, reaction_s=t, deceleration_ft_s2=a)
    metres = stopping_sight_distance_m(v, grade=g, reaction_s=t, deceleration_m_s2=a)
    assert feet == pytest.approx([slow_feet(*map(float, row)) for row in rows], rel=1e-12)
    assert metres == pytest.approx([slow_metres(*map(float, row)) for row in rows], rel=1e-12)


def test_both_systems_agree_within_a_percent() -> None:
    """The forms differ by the rounding of their factors."""
    feet, metres = stopping_sight_distance_ft(60.0), stopping_sight_distance_m(60.0 * 1.609344)
    assert metres == pytest.approx(feet * 0.3048, rel=0.01)
