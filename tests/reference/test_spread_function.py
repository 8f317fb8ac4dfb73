"""The total spread function of CIE 135/1:1999 against its printed formula and its integral."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scenelux.vision import veil_form, veil_per_lux

Agreement = Callable[..., None]
CALCULATED = "calculated from the stated formula of CIE 135/1:1999"


def slow_spread(t: float, age: float, p: float) -> float:
    """The formula as printed, term by term."""
    a = (age / 70) ** 4
    first = 9.2e6 / (1 + (t / 0.0046) ** 2) ** 1.5
    second = 1.5e5 / (1 + (t / 0.045) ** 2) ** 1.5
    third = 400 / (1 + (t / 0.1) ** 2)
    fourth = 3e-8 * t**2
    fifth = p * (1300 / (1 + (t / 0.1) ** 2) ** 1.5 + 0.8 / (1 + (t / 0.1) ** 2) ** 0.5)
    return (1 - 0.08 * a) * (first + second) + (1 + 1.6 * a) * (third + fourth + fifth) + 2.5e-3 * p


@pytest.mark.parametrize(("age", "pigmentation"), [(23, 0.0), (25, 0.5), (50, 1.0), (70, 1.2)])
def test_it_is_the_printed_formula(age: float, pigmentation: float) -> None:
    angles = np.concatenate([[0.0], np.geomspace(1e-4, 100.0, 101)])
    ours = veil_per_lux("cie-1999-psf", angles, age_years=age, pigmentation=pigmentation)
    assert ours == pytest.approx([slow_spread(float(t), age, pigmentation) for t in angles], rel=1e-13)


def test_the_sphere_holds_the_light_about_once(agreement: Agreement) -> None:
    """A misprint that puts 0.046 for 0.0046 would make it 37."""
    t = np.concatenate([[0.0], np.geomspace(1e-6, 180.0, 200_001)])
    spread = veil_form("cie-1999-psf").law.per_lux(t, np.float64(25), np.float64(0.5))
    sphere = np.trapezoid(spread * 2.0 * np.pi * np.sin(np.radians(t)), np.radians(t))
    public = "CIE 135/1:1999, sphere integral as quoted by public code"
    agreement("spread function, 25 y, p 0.5: integral over the sphere", 1.047, sphere, public, "quoted", 5e-4)
    agreement("spread function, integral to five digits", 1.0466, sphere, CALCULATED, "calculated", 5e-5)


def test_it_hardly_departs_from_the_general_form_beyond_a_degree() -> None:
    angles = np.geomspace(2.0, 100.0, 50)
    spread, general = (
        veil_per_lux(form, angles, age_years=25, pigmentation=0.5) for form in ("cie-1999-psf", "cie-general")
    )
    assert (np.abs(spread / general - 1.0) < 0.2).all()
