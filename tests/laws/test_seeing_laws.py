"""Laws of seeing: what a veil, time, age and the colour of light may do, and how ratings move with the light."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.vision import (
    diffuse_luminance,
    glare_rating,
    mesopic_luminance,
    outdoor_discomfort,
    retroreflection_coefficient,
    stopping_sight_distance_m,
    threshold_luminance_difference,
    visibility,
)

LUMINANCE = st.floats(0.005, 100.0)
SIZE = st.floats(1.0, 60.0)
AGE = st.floats(20.0, 74.0)


@given(target=LUMINANCE, background=LUMINANCE, veil=st.floats(0.0, 20.0), size=SIZE, age=AGE)
def test_a_veil_hides_and_never_turns_the_contrast(
    target: float, background: float, veil: float, size: float, age: float
) -> None:
    """Where the printed laws join, at 0.6 cd/m2, the threshold drops by up to 4 %: so much may a veil help."""
    clear, veiled = (visibility(target, background, size, age_years=age, veil_cd_m2=part) for part in (0.0, veil))
    assert np.sign(clear.level) == np.sign(veiled.level) and clear.negative == veiled.negative
    if not clear.negative:
        assert abs(veiled.level) <= abs(clear.level) * 1.04


@given(light=LUMINANCE, size=SIZE, age=AGE, seconds=st.floats(0.05, 3.0), more=st.floats(1.0, 5.0))
def test_more_time_a_larger_target_and_a_younger_eye_never_hurt(
    light: float, size: float, age: float, seconds: float, more: float
) -> None:
    """The printed factor of age steps down by 0.26 % at 23 years, so much may the older eye seem to gain."""

    def threshold(size: float, age: float, seconds: float) -> float:
        return float(threshold_luminance_difference(light, size, age_years=age, exposure_s=seconds))

    here = threshold(size, age, seconds)
    assert threshold(size, age, seconds * more) <= here
    assert threshold(size * more, age, seconds) <= here * (1 + 1e-12)
    assert threshold(size, max(age - 5 * more, 0.0), seconds) <= here * 1.0027


@given(lamps=st.floats(1e-4, 1e3), around=st.floats(1e-4, 10.0), level=st.floats(0.01, 1.0))
def test_dimming_takes_twenty_four_logarithms_of_the_rating(lamps: float, around: float, level: float) -> None:
    full, dimmed = glare_rating([lamps, level * lamps], around)
    assert dimmed - full == pytest.approx(24.0 * math.log10(level), abs=1e-9)
    assert glare_rating(level * lamps, level * around) - full == pytest.approx(2.4 * math.log10(level), abs=1e-9)


@given(direct=st.floats(0.01, 100.0), surround=st.floats(0.01, 10.0), ambient=st.floats(0.01, 10.0))
def test_light_that_was_there_before_soothes(direct: float, surround: float, ambient: float) -> None:
    dark, bright = outdoor_discomfort(direct, surround, [ambient, 3.0 * ambient])
    assert bright >= dark


@given(day=st.floats(1e-4, 50.0), ratio=st.floats(0.2, 4.0))
def test_dusk_lies_between_day_and_night(day: float, ratio: float) -> None:
    low, high = sorted((day, ratio * day))
    assert low * (1 - 1e-9) <= mesopic_luminance(day, ratio) <= high * (1 + 1e-9)


@given(speed=st.floats(1.0, 150.0), grade=st.floats(-0.12, 0.12), faster=st.floats(1.001, 1.5))
def test_faster_and_steeper_down_is_longer(speed: float, grade: float, faster: float) -> None:
    here, later, steeper = (
        stopping_sight_distance_m(v, grade=g)
        for v, g in ((speed, grade), (speed * faster, grade), (speed, grade - 0.02))
    )
    assert later > here and steeper > here


@given(observation=st.floats(0.0, 2.0), entrance=st.floats(0.0, 45.0), wider=st.floats(0.0, 1.0))
def test_material_sends_less_back_at_wider_angles_and_dwarfs_matt_white_where_it_works(
    observation: float, entrance: float, wider: float
) -> None:
    here, beside, slanting = retroreflection_coefficient(
        "iso-20471-separate",
        [observation, observation + wider, observation],
        [entrance, entrance, entrance + 9 * wider],
    )
    assert beside <= here * (1 + 1e-12) and slanting <= here * (1 + 1e-12)
    assert here == 0.0 or here > diffuse_luminance(1.0, 1.0)
