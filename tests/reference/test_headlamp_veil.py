"""The veil of headlamps after Adrian and Bhanji 1991: the worked example of a public lecture."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.vision import veil_per_lux, veiling_luminance

Agreement = Callable[..., None]
LECTURE = "Adrian and Bhanji 1991, worked example of a public lecture"
CALCULATED = "calculated from the stated formula of Adrian and Bhanji 1991"

AGE_YEARS, EYE_LX, ANGLE_DEG, BACKGROUND_CD_M2 = 20.0, 78.0, 5.0, 22.0


def test_worked_example_of_a_lecture(agreement: Agreement) -> None:
    """Its k and veil are shipped cases; here what it does with them."""
    k = ANGLE_DEG**2 * veil_per_lux("adrian-bhanji", ANGLE_DEG, age_years=AGE_YEARS, pigmentation=0.5)
    veil = veiling_luminance("adrian-bhanji", EYE_LX, ANGLE_DEG, age_years=AGE_YEARS, pigmentation=0.5)
    rise = (BACKGROUND_CD_M2 + veil) / BACKGROUND_CD_M2
    assert veil == pytest.approx(9.05 * (1 + (20 / 66.4) ** 4) * 78 / 25, rel=1e-13)
    rounded = round(float(k), 1) * EYE_LX / ANGLE_DEG**2
    agreement("headlamp veil, 78 lx at 5 deg, with k rounded [cd/m2]", 28.4, rounded, LECTURE, "published", 0.05)
    agreement("headlamp veil: rise of the threshold on 22 cd/m2", 2.3, rise, LECTURE, "published", 0.05)
    agreement("headlamp veil: rise in full", 2.2940, rise, CALCULATED, "calculated", 5e-5)


def test_its_constants_are_not_those_of_the_road_standard() -> None:
    ours, other = (veil_per_lux(f, 5.0, age_years=50, pigmentation=0.5) for f in ("adrian-bhanji", "en13201"))
    assert ours / other == pytest.approx(9.05 / 9.86, rel=1e-13)
