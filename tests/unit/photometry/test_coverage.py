"""What a lamp is warned of, and what of it is not known because its data end where it is still bright."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.photometry import IntensityDistribution, default_orientation, flux_lm, parse_orientation, summarise
from scenelux.photometry.coverage import covered, not_known, upward_not_known
from scenelux.photometry.lamp_checks import check_lamp

AHEAD = default_orientation("A")


def table(edge_up_cd: float, edge_side_cd: float = 0.0) -> IntensityDistribution:
    """Type A, 100 cd in the middle, H to 20 deg and V to 10 deg, with these values at the upper and the side edges."""
    candela = np.zeros((3, 3))
    candela[1, 1], candela[1, 2] = 100.0, edge_up_cd
    candela[0, 1] = candela[2, 1] = edge_side_cd
    return IntensityDistribution("A", [-20, 0, 20], [-10, 0, 10], candela)


def test_beyond_a_bright_edge_nothing_is_known() -> None:
    bright, dark = table(30.0), table(2.0)
    assert not_known(bright, AHEAD, 90.0, [9.0, 10.0, 11.0, 80.0]).tolist() == [False, False, True, True]
    assert not_known(dark, AHEAD, 90.0, [9.0, 10.0, 11.0, 80.0]).tolist() == [False] * 4
    assert not_known(bright, AHEAD, 270.0, [11.0, 80.0]).tolist() == [False, False]  # dark at the lower edge
    assert covered(dark, AHEAD, 90.0, [9.0, 11.0]).tolist() == [True, False]


@pytest.mark.parametrize(
    ("up_cd", "side_cd", "tilt_deg", "unknown"),
    [
        (30.0, 0.0, 0.0, True),
        (30.0, 0.0, -35.0, True),  # the light may go on from 25 deg below the horizontal to above it
        (2.0, 0.0, 0.0, False),
        (2.1, 0.0, 0.0, True),
        (0.0, 30.0, 0.0, True),  # at the sides, just above the level plane
        (0.0, 30.0, -35.0, True),
    ],
)
def test_upward_light_is_known_only_where_no_bright_edge_leads_up(
    up_cd: float, side_cd: float, tilt_deg: float, unknown: bool
) -> None:
    assert upward_not_known(table(up_cd, side_cd), AHEAD, tilt_deg) is unknown
    assert (summarise(table(up_cd, side_cd), AHEAD, tilt_deg=tilt_deg).flux_above_lm is None) is unknown


def test_a_bright_edge_below_tells_nothing_of_the_light_above() -> None:
    """Gamma 0 to 30 with the lamp aimed straight down: beyond the edge anything may be, in all directions."""
    open_edge = IntensityDistribution("C", [0, 360], [0, 30], [[100, 60]] * 2)
    whole = IntensityDistribution("C", [0, 360], [0, 30, 90], [[100, 60, 0]] * 2)
    assert upward_not_known(open_edge, default_orientation("C"), -90.0)
    assert not upward_not_known(whole, default_orientation("C"), 0.0)


def test_light_ahead_is_none_where_it_is_not_known() -> None:
    found = summarise(table(30.0), AHEAD, tilt_deg=-12.0).elevations
    assert found[0] == (0.0, None)
    assert found[1][1] == pytest.approx(30.0)
    assert summarise(table(2.0), AHEAD, tilt_deg=-12.0).elevations[0] == (0.0, 0.0)


def test_a_dark_beam_axis_is_told_with_what_to_do() -> None:
    behind = IntensityDistribution("C", [0, 360], [90, 180], [[0, 1000]] * 2)
    (warning,) = check_lamp(behind, default_orientation("C"), 1000.0, None)
    assert warning.code == 120 and '"face" and "top" in its card' in warning.sentence
    assert check_lamp(behind, parse_orientation("C", "gamma 180", "C 90"), 1000.0, None) == ()
    dim = IntensityDistribution("C", [0, 360], [0, 30, 90], [[9, 1000, 0]] * 2)
    (warning,) = check_lamp(dim, default_orientation("C"), 1000.0, None)
    assert "the beam axis is dark, 0.9 % of the peak" in warning.sentence
    just = IntensityDistribution("C", [0, 360], [0, 30, 90], [[10, 1000, 0]] * 2)
    null = IntensityDistribution("C", [0, 360], [0, 180], np.zeros((2, 2)))
    assert [check_lamp(one, default_orientation("C"), 0.0, 5.0) for one in (just, null)] == [(), ()]


@pytest.mark.parametrize(
    ("efficacy", "words"),
    [
        (249.0, None),
        (251.0, "251 lm/W is more than any LED luminaire gives, about 250 lm/W (common practice, no source)"),
        (684.0, "684 lm/W is more than any light can give, 683 lm/W (SI Brochure, published)"),
    ],
)
def test_lumens_that_the_watts_cannot_give(efficacy: float, words: str | None) -> None:
    lamp = IntensityDistribution("C", [0, 360], [0, 90], [[100, 0]] * 2)
    found = summarise(lamp, default_orientation("C"), power_w=flux_lm(lamp) / efficacy).warnings
    assert [one.code for one in found] == ([] if words is None else [121])
    assert words is None or words in found[0].sentence
