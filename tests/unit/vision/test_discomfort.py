"""Range and ends of the discomfort ratings."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.vision import de_boer, outdoor_discomfort, outdoor_glare_index
from scenelux.vision.discomfort import DE_BOER_SOURCE, OUTDOOR_DISCOMFORT_SOURCE


def test_it_is_marked_unconfirmed() -> None:
    assert DE_BOER_SOURCE.status == OUTDOOR_DISCOMFORT_SOURCE.status == "unconfirmed"


def test_more_light_is_worse_and_the_scale_ends_at_one_and_nine() -> None:
    ratings = de_boer([[1e-9, 0.01, 1.0, 1e6]], [[5.0] * 4], 1.0)
    assert (np.diff(ratings) < 0).all()
    assert ratings[0] == 9.0 and ratings[-1] == 1.0


def test_darkness_is_unnoticeable_whatever_the_angle() -> None:
    assert de_boer([[0.0], [0.0]], [[0.0], [90.0]], 1.0).tolist() == [9.0]


@pytest.mark.parametrize(
    ("angle", "adaptation"), [(0.99, 1.0), (30.01, 1.0), (5.0, 0.0149), (5.0, 15.1), (5.0, np.nan)]
)
def test_outside_its_data_it_is_nan(angle: float, adaptation: float) -> None:
    assert np.isnan(de_boer([1.0], [angle], adaptation))


def test_the_angle_counts_in_minutes_of_arc() -> None:
    """With degrees put in for minutes the rating would be 2 log10(60^0.46) = 1.64 lower."""
    wrong = 5 - 2 * np.log10(1.0 / (0.003 * (1 + np.sqrt(1.0 / 0.04)) * 3.5**0.46))
    assert de_boer([1.0], [3.5], 1.0) - wrong == pytest.approx(0.92 * np.log10(60), abs=1e-9)


def test_adaptation_may_differ_from_station_to_station() -> None:
    together = de_boer([[1.0, 1.0, 1.0]], [[3.5, 3.5, 3.5]], [0.1, 1.0, 0.001])
    assert together[:2].tolist() == [de_boer([1.0], [3.5], 0.1), de_boer([1.0], [3.5], 1.0)]
    assert np.isnan(together[2])


def test_outdoor_rating_ends_at_one_and_nine() -> None:
    ratings = outdoor_discomfort([1e-6, 1.0, 1e9], [1e-6, 0.1, 1.0], [10.0, 0.1, 1e-6])
    assert ratings[0] == 9.0 and 1.0 < ratings[1] < 9.0 and ratings[2] == 1.0


def test_an_index_of_zero_or_below_is_unnoticeable() -> None:
    """EL = ES and EL + ES = sqrt(EA): the index is zero, and its logarithm must not be taken."""
    assert outdoor_glare_index(0.5, 0.5, 1.0) == 0.0
    assert outdoor_discomfort([0.5, 0.25], [0.5, 0.5], 1.0).tolist() == [9.0, 9.0]


@pytest.mark.parametrize("light", [(-1.0, 0.1, 0.1), (1.0, 0.0, 0.1), (1.0, 0.1, 0.0), (0.0, 0.1, 0.0), (np.nan,) * 3])
def test_what_the_outdoor_formula_cannot_take_is_nan(light: tuple[float, float, float]) -> None:
    assert np.isnan(outdoor_discomfort(*light))


def test_only_a_large_source_counts_by_its_luminance() -> None:
    light = (20.0, 1.0, 1.0)
    small, large = (
        outdoor_discomfort(*light, source_width_deg=width, source_luminance_cd_m2=5000.0) for width in (0.3, 0.31)
    )
    assert large - small == pytest.approx(1.4)
    assert np.isnan(outdoor_discomfort(*light, source_width_deg=0.31))
    assert np.isnan(outdoor_discomfort(*light, source_width_deg=-1.0))
