"""Views, ranges and ends of the glare rating."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.vision import environment_veil, glare_rating, rating_around, rating_gazes
from scenelux.vision.rating import RATING_AZIMUTHS_DEG


def test_views_lie_two_degrees_down_every_fifteen() -> None:
    gazes = rating_gazes()
    assert gazes.shape == (24, 3)
    assert np.degrees(np.arcsin(gazes[:, 2])) == pytest.approx(-2.0)
    assert np.degrees(np.arctan2(gazes[:, 1], gazes[:, 0])) % 360.0 == pytest.approx(RATING_AZIMUTHS_DEG)
    assert np.linalg.norm(gazes, axis=1) == pytest.approx(1.0)


def test_lower_is_better() -> None:
    assert (np.diff(glare_rating([0.01, 0.1, 1.0], 0.05)) > 0).all()
    assert (np.diff(glare_rating(0.1, [0.01, 0.1, 1.0])) < 0).all()


@pytest.mark.parametrize(("lamps", "surroundings"), [(-1.0, 1.0), (1.0, 0.0), (np.nan, 1.0), (1.0, np.inf)])
def test_what_is_no_veil_is_nan(lamps: float, surroundings: float) -> None:
    assert np.isnan(glare_rating(lamps, surroundings))


@pytest.mark.parametrize(("light", "rho"), [(0.0, 0.25), (20.0, 0.0), (20.0, 1.1), (np.nan, 0.25)])
def test_surroundings_that_no_rule_covers_are_nan(light: float, rho: float) -> None:
    assert np.isnan(environment_veil(light, rho))


def lamp_at(azimuth_deg: float) -> np.ndarray:
    apart = np.array(RATING_AZIMUTHS_DEG) - azimuth_deg
    return np.abs((apart + 180.0) % 360.0 - 180.0)[None]


def test_the_worst_view_looks_to_the_lamp() -> None:
    found = rating_around(np.ones((1, 24)), lamp_at(304.0), 0.05)
    assert found.azimuth_deg == 300.0 and found.worst == found.by_view.max()


def test_lamps_beyond_sixty_degrees_do_not_count() -> None:
    found = rating_around(np.ones((1, 24)), lamp_at(5.0), 0.05)
    assert np.isneginf(found.by_view[12]) and np.isfinite(found.by_view[4]) and np.isneginf(found.by_view[5])


def test_a_lamp_on_the_line_of_sight_leaves_its_view_out_and_says_so() -> None:
    found = rating_around(np.ones((1, 24)), lamp_at(46.0), 0.05)
    assert found.left_out == 1 and np.isnan(found.by_view[3])
    assert found.azimuth_deg == 60.0 and np.isfinite(found.worst)
    dark = rating_around(np.zeros((1, 24)), lamp_at(46.0), 0.05)
    assert dark.left_out == 0 and np.isneginf(dark.worst)


def test_several_observers_at_once() -> None:
    angles = np.stack([lamp_at(5.0), lamp_at(130.0)], axis=-1)
    found = rating_around(np.ones((1, 24, 2)), angles, [0.05, 0.1])
    assert found.azimuth_deg.tolist() == [0.0, 135.0]
    assert found.worst[1] == rating_around(np.ones((1, 24)), lamp_at(130.0), 0.1).worst


def test_no_valid_view_is_nan() -> None:
    found = rating_around(np.ones((1, 24)), lamp_at(5.0), np.nan)
    assert np.isnan(found.worst) and np.isnan(found.azimuth_deg) and found.left_out == 24


def test_one_value_for_each_view() -> None:
    with pytest.raises(UsageError, match="one value for each lamp and view"):
        rating_around(np.ones((3, 8)), np.ones((3, 8)), 0.05)
