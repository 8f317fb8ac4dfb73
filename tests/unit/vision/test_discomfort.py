"""Range and ends of the de Boer scale."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.vision import de_boer
from scenelux.vision.discomfort import DE_BOER_SOURCE


def test_it_is_marked_unconfirmed() -> None:
    assert DE_BOER_SOURCE.status == "unconfirmed"


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
