"""Laws of the veil: nearly constant along an approach, additive, linear in light."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.vision import VEIL_FORMS, eye_light, sum_veil, veil_form, veil_per_lux

FORMS = [form.name for form in VEIL_FORMS]


@given(beside_m=st.floats(2.7, 6.0), candela=st.floats(1.0, 1e5), turn=st.floats(0.0, 6.28))
def test_veil_of_one_lamp_hardly_changes_along_an_approach(beside_m: float, candela: float, turn: float) -> None:
    """Exactly [10 I/(57.2958 b)^2] cos(t) (sin(t)/t)^2, with b the distance of the lamp from the line of sight."""
    ahead = np.linspace(30.0, 150.0, 25)
    to_lamp = np.stack([ahead, np.full(25, beside_m * math.cos(turn)), np.full(25, beside_m * math.sin(turn))], axis=-1)
    eye = eye_light(np.full((1, 25), candela), np.linalg.norm(to_lamp, axis=-1)[None], to_lamp[None], (1.0, 0.0, 0.0))
    veil = sum_veil("stiles-holladay", eye.illuminance_lx, eye.angle_deg, age_years=25, pigmentation=0.5).total_cd_m2
    t = np.arctan2(beside_m, ahead)
    law = 10.0 * candela / (math.degrees(1.0) * beside_m) ** 2 * np.cos(t) * (np.sin(t) / t) ** 2
    assert veil == pytest.approx(law, rel=1e-6)
    assert veil.max() / veil.min() < 1.07  # the angle is 11 deg at most


@given(
    form=st.sampled_from(FORMS),
    light=st.lists(st.floats(0.0, 1e4), min_size=1, max_size=6),
    level=st.floats(0.0, 1.0),
    age=st.floats(20.0, 80.0),
)
def test_veil_is_linear_in_light_and_adds(form: str, light: list[float], level: float, age: float) -> None:
    angles = np.linspace(1.0, 29.0, len(light))
    full = sum_veil(form, light, angles, age_years=age, pigmentation=0.5)
    dimmed = sum_veil(form, level * np.array(light), angles, age_years=age, pigmentation=0.5)
    assert dimmed.total_cd_m2 == pytest.approx(level * full.total_cd_m2, rel=1e-12)
    one_by_one = [
        sum_veil(form, [e], [t], age_years=age, pigmentation=0.5).total_cd_m2
        for e, t in zip(light, angles, strict=True)
    ]
    assert full.total_cd_m2 == pytest.approx(sum(one_by_one), rel=1e-12)


@given(form=st.sampled_from(FORMS), near=st.floats(0.1, 59.0), wider=st.floats(1.0001, 2.0), older=st.floats(0.0, 50.0))
def test_veil_falls_with_angle_and_grows_with_age(form: str, near: float, wider: float, older: float) -> None:
    one, other = veil_per_lux(form, [near, near * wider], age_years=25, pigmentation=0.5)
    join = veil_form(form).join_deg
    if not (np.isnan(one) or np.isnan(other) or near < join <= near * wider):
        assert other < one
    old = veil_per_lux(form, near, age_years=25 + older, pigmentation=0.5)
    assert np.isnan(old) or old >= one
