"""Ranges and ends of the atmosphere."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.vision import backscatter_luminance, extinction_per_m, henyey_greenstein, transmittance

RAY = np.linspace(0.0, 80.0, 801)


def test_clear_air_changes_nothing_exactly() -> None:
    distances = np.geomspace(1e-3, 1e5, 50)
    assert (transmittance(distances, np.inf) == 1.0).all()
    light = np.where(RAY > 5.0, 1e4 / (1.0 + RAY**2), 0.0)
    assert backscatter_luminance(RAY, light, RAY, 170.0, visibility_m=np.inf, asymmetry=0.8) == 0.0


@pytest.mark.parametrize(
    ("distance", "visibility"), [(-1.0, 100.0), (np.nan, 100.0), (10.0, 0.0), (10.0, -5.0), (np.inf, np.inf)]
)
def test_what_is_no_way_through_air_is_nan(distance: float, visibility: float) -> None:
    assert np.isnan(transmittance(distance, visibility))


def test_visibility_leaves_a_twentieth() -> None:
    assert transmittance(250.0, 250.0) == pytest.approx(np.exp(-3.0)) and extinction_per_m(300.0) == 0.01


@pytest.mark.parametrize("asymmetry", [-1.0, 1.0, 2.0, np.nan])
def test_an_asymmetry_that_is_none_is_nan(asymmetry: float) -> None:
    assert np.isnan(henyey_greenstein(90.0, asymmetry))


def test_denser_air_throws_more_back_until_it_hides_itself() -> None:
    air = np.array([1e5, 1e4, 1e3, 300.0])
    veil = backscatter_luminance(RAY, np.ones(801), RAY, 180.0, visibility_m=air, asymmetry=0.0)
    assert (np.diff(veil) > 0).all()


def test_lamps_and_rays_stand_in_leading_axes() -> None:
    light = np.ones((3, 1, 801)) * np.array([1.0, 2.0, 0.0])[:, None, None]
    veil = backscatter_luminance(np.stack([RAY, 2 * RAY]), light, 0.0, 150.0, visibility_m=200.0, asymmetry=0.5)
    assert veil.shape == (3, 2)
    assert veil[1] == pytest.approx(2 * veil[0], rel=1e-13) and (veil[2] == 0.0).all()


def test_a_line_of_sight_goes_away_from_the_eye() -> None:
    with pytest.raises(UsageError, match="is no line of sight"):
        backscatter_luminance(RAY[::-1], 1.0, 0.0, 180.0, visibility_m=100.0, asymmetry=0.0)
    with pytest.raises(UsageError, match="is no line of sight"):
        backscatter_luminance(5.0, 1.0, 0.0, 180.0, visibility_m=100.0, asymmetry=0.0)
