"""Veiling luminance against its formulas as printed in CIE 146, CIE 135/1, EN 13201-3 and RP-8."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.vision import eye_light, sum_veil, veil_form, veil_per_lux, veiling_luminance

Agreement = Callable[..., None]
CALCULATED = "calculated from the stated formula"


def slow_per_lux(form: str, t: float, a: float, p: float) -> float:
    """The formulas as printed, one by one, with nothing shared between them."""
    if form == "stiles-holladay":
        return 10 / t**2
    if form == "age-stiles-holladay":
        return 10 / t**2 * (1 + (a / 70) ** 4)
    if form == "cie-small-angle":
        return 10 / t**3 + 5 / t**2 * (1 + (a / 62.5) ** 4)
    if form == "cie-general":
        return 10 / t**3 + (5 / t**2 + 0.1 * p / t) * (1 + (a / 62.5) ** 4) + 0.0025 * p
    if form == "rp8-fry":
        return 10 / (t**2 + 1.5 * t)
    if t < 1.5:
        return 10 / t**3 + 5 / t**2 * (1 + (a / 62.5) ** 4)
    return 9.86 * (1 + (a / 66.4) ** 4) / t**2


@pytest.mark.parametrize(
    "form", ["stiles-holladay", "age-stiles-holladay", "cie-small-angle", "cie-general", "en13201", "rp8-fry"]
)
@pytest.mark.parametrize(("age", "pigmentation"), [(23, 0.0), (25, 0.5), (50, 1.0), (70, 1.2)])
def test_every_form_is_the_printed_formula(form: str, age: float, pigmentation: float) -> None:
    known = veil_form(form)
    angles = np.geomspace(known.minimum_deg, known.maximum_deg * (1 - 1e-9), 101)
    ours = veil_per_lux(form, angles, age_years=age, pigmentation=pigmentation)
    slow = [slow_per_lux(form, float(t), age, pigmentation) for t in angles]
    assert ours == pytest.approx(slow, rel=1e-13)


def test_en13201_jumps_at_its_join(agreement: Agreement) -> None:
    above = veil_per_lux("en13201", 1.5, age_years=23, pigmentation=0.5)
    below = veil_per_lux("en13201", np.nextafter(1.5, 0), age_years=23, pigmentation=0.5)
    agreement("jump of EN 13201-3 at 1.5 deg [%]", 17.6, 100 * (below / above - 1), CALCULATED, "calculated", 0.05)


@pytest.mark.parametrize("ahead", [20, 100])
def test_from_lamp_to_veil(ahead: float) -> None:
    """Lamp 3.0 m high with 2000 cd to the eye, eye 1.5 m, 3.5 m beside, line of sight 1 deg down."""
    to_lamp = np.array([ahead, 3.5, 1.5])
    gaze = (math.cos(math.radians(1)), 0.0, -math.sin(math.radians(1)))
    d = math.sqrt(ahead**2 + 3.5**2 + 1.5**2)
    eye = eye_light([[2000.0]], [[d]], to_lamp[None, None, :], gaze)
    e, t = eye.illuminance_lx[0, 0], eye.angle_deg[0, 0]
    slow_t = math.degrees(math.acos(sum(a * b for a, b in zip(to_lamp, gaze, strict=True)) / d))
    assert t == pytest.approx(slow_t, rel=1e-9)
    assert e == pytest.approx(2000 * math.cos(math.radians(slow_t)) / d**2, rel=1e-12)
    for form, age in (("en13201", 23), ("cie-general", 25), ("cie-general", 70)):
        ours = sum_veil(form, [e], [t], age_years=age, pigmentation=0.5).total_cd_m2
        assert ours == pytest.approx(e * slow_per_lux(form, float(t), age, 0.5), rel=1e-12)


def test_forms_differ_by_half_between_five_and_twenty_degrees() -> None:
    at_5_deg = veiling_luminance("age-stiles-holladay", 1.0, 5.0, age_years=25, pigmentation=0.5)
    general = veiling_luminance("cie-general", 1.0, 5.0, age_years=25, pigmentation=0.5)
    assert 1.3 < at_5_deg / general < 1.6


def test_plane_square_to_the_line_of_sight_takes_thirteen_percent_at_thirty_degrees(agreement: Agreement) -> None:
    to_lamp = [[[math.cos(math.radians(30)), math.sin(math.radians(30)), 0.0]]]
    taken = 100 * (1 - eye_light([[500.0]], [[10.0]], to_lamp, (1.0, 0.0, 0.0)).illuminance_lx[0, 0] / 5.0)
    agreement("eye illuminance taken by the cosine at 30 deg [%]", 13, taken, CALCULATED, "calculated", 0.5)
