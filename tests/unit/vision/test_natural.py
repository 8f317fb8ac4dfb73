"""Ranges and names of natural light."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.vision import MOON_PHASE_LAWS, moon_phase_factor, twilight_illuminance
from scenelux.vision.natural import NATURAL_LIGHT_SOURCE
from scenelux.vision.tables import vision_table


def test_coefficients_are_marked_unconfirmed() -> None:
    assert NATURAL_LIGHT_SOURCE.status == "unconfirmed"
    assert {row["status"] for row in vision_table("natural-light")["polynomials"]} == {"unconfirmed"}
    assert {law.source.status for law in MOON_PHASE_LAWS} == {"unconfirmed"}


def test_ends_belong_and_beyond_them_it_is_nan() -> None:
    sun = twilight_illuminance([-18.0, 90.0, np.nextafter(-18.0, -90.0), 90.1, np.nan])
    moon = twilight_illuminance([-0.8, 90.0, -0.9, 91.0, np.nan], "full moon")
    for light in (sun, moon):
        assert np.isfinite(light[:2]).all() and np.isnan(light[2:]).all()


def test_it_darkens_with_the_sun() -> None:
    light = twilight_illuminance(np.linspace(-17.9, 89.0, 400))
    assert (np.diff(light) > 0).mean() > 0.99  # the joins of the pieces may step


def test_the_full_moon_is_full_and_the_new_moon_nearly_nothing() -> None:
    for law in MOON_PHASE_LAWS:
        assert moon_phase_factor(0.0, law.name) == 1.0
        assert moon_phase_factor(180.0, law.name) < 1e-3
        assert np.isnan(moon_phase_factor([-1.0, 181.0, np.nan], law.name)).all()


def test_unknown_names_say_which_there_are() -> None:
    with pytest.raises(UsageError, match='"half" is not a law of the phases; give one of circular-171, magnitude'):
        moon_phase_factor(10.0, "half")
    with pytest.raises(UsageError, match='"comet" gives no light here; give "sun" or "full moon"'):
        twilight_illuminance(10.0, "comet")
