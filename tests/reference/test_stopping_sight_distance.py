"""Stopping sight distance against the stated formulas, written out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scenelux.vision import stopping_sight_distance_ft, stopping_sight_distance_m

Agreement = Callable[..., None]
US = "calculated from 1.47 V t + 1.075 V^2/a of the TxDOT Roadway Design Manual, 4.11.1"


def test_a_level_grade_in_the_formula_for_grades(agreement: Agreement) -> None:
    """Nearly level, so that the formula for grades is used and not that for level roads."""
    whole = stopping_sight_distance_ft(60, grade=1e-12)
    reacting = stopping_sight_distance_ft(60, deceleration_ft_s2=1e15)
    agreement("braking at 60 mph by the formula for grades [ft]", 345.0, whole - reacting, US, "calculated", 0.05)


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
