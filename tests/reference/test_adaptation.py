"""Pupil, bleaching and the lag of adaptation against a library and the stated formulas, written out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from colour.contrast import pupil_diameter_Barten1999

from scenelux.vision import (
    bleached_share,
    indicative_adaptation,
    pupil_diameter_mm,
    retinal_illuminance_td,
)


def test_pupil_equals_the_library_for_every_field() -> None:
    luminance, width = np.geomspace(1e-4, 1e4, 60)[:, None], np.array([5.0, 40.0, 60.0])
    theirs = pupil_diameter_Barten1999(luminance, width, 30.0)
    assert pupil_diameter_mm(luminance, width, 30.0) == pytest.approx(theirs, rel=1e-13)


def test_bleaching_is_the_stated_formula() -> None:
    for trolands in (0.0, 200.0, 20000.0, 1e6):
        assert bleached_share(trolands) == pytest.approx(trolands / (trolands + 10**4.3), rel=1e-13)


def test_a_veil_bleaches_less_than_two_percent() -> None:
    veil = np.array([1.0, 10.0, 30.0])
    assert (bleached_share(retinal_illuminance_td(veil, pupil_diameter_mm(veil))) < 0.02).all()
    assert retinal_illuminance_td(2.0, 4.0) == pytest.approx(2.0 * math.pi * 4.0, rel=1e-13)


def slow_course(times: list[float], light: list[float], rise: float, fall: float) -> list[float]:
    """Second by second: the logarithm moves towards the light, and a fall is held up by its limit."""
    state, peak, since = [math.log(light[0])], light[0], times[0]
    for i in range(1, len(times)):
        goal, step = math.log(light[i]), times[i] - times[i - 1]
        if goal < state[-1]:
            moved = goal + (state[-1] - goal) * math.exp(-step / fall)
            limit = math.log(peak * (1.9 + times[i] - since) ** -1.4)
            state.append(max(moved, min(limit, state[-1])))
        else:
            state.append(goal + (state[-1] - goal) * math.exp(-step / rise))
            peak, since = math.exp(state[-1]), times[i]
    return [math.exp(value) for value in state]


def test_the_lag_equals_the_slow_course() -> None:
    generator = np.random.default_rng(88)
    times = np.cumsum(generator.uniform(0.02, 0.8, 200))
    light = 10 ** generator.uniform(-1, 2, (3, 200))
    ours = indicative_adaptation(times, light, rise_s=0.1, fall_s=2.0)
    for row in range(3):
        slow = slow_course(times.tolist(), light[row].tolist(), 0.1, 2.0)
        assert ours[row] == pytest.approx(slow, rel=1e-11)
