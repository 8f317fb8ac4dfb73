"""How visible a target is, whole and by parts: against the model written out here, and what decides between them."""

from __future__ import annotations

from dataclasses import replace
from math import copysign, isnan, log10, nan, sqrt

import numpy as np
import pytest

from scenelux.study.view.visible import TargetLight, stacked

NO_LAMP = np.zeros(1)


def written_out(target: float, background: float, arcmin: float, age: float, veil: float) -> float:
    """Signed level by the model of 1989 for 0.2 s, line by line, for an adaptation of 0.6 cd/m2 or more."""
    light, size = background + veil, min(arcmin, 60.0)
    assert light >= 0.6 and 23.0 < age <= 64.0
    flux = log10(4.1925 * light**0.1556) + 0.1684 * light**0.5867
    luminance = 0.05946 * light**0.466

    def threshold(seconds: float) -> float:
        b, c = log10(size) + 0.523, log10(light) + 6.0
        of_size = 0.36 - 0.0972 * b * b / (b * b - 2.513 * b + 2.7895)
        of_light = 0.355 - 0.1217 * c * c / (c * c - 10.4 * c + 52.28)
        wait = sqrt(of_size**2 + of_light**2) / 2.1
        return 2.6 * (flux / size + luminance) ** 2 * (wait + seconds) / seconds

    found = threshold(0.2) * ((age - 19.0) ** 2 / 2160.0 + 0.99)
    if target < background:
        share = 10.0 ** (-(10.0 ** -(0.125 * (log10(light) + 1.0) ** 2 + 0.0245)))
        found *= 1.0 - share * size ** (-0.6 * light**-0.1488) / (2.4 * threshold(2.0))
    return (target - background) / found


def person(
    torso: float, legs: float, *, behind: float = 1.0, arcmin: tuple[float, float, float] = (20.0, 20.0, 14.0)
) -> TargetLight:
    """Torso and legs of one area by one lamp, its veil included: 0.001 lx at 10 deg."""
    parts = np.array([(torso + legs) / 2.0, torso, legs])
    return TargetLight(
        ("whole", "torso", "legs"),
        parts[:, None],
        np.full((3, 1), behind),
        np.zeros((3, 1)),
        np.zeros(3),
        np.zeros(3),
        np.zeros(3),
        np.array(arcmin),
        np.array([0.001]),
        np.array([10.0]),
        np.array(0.0),
    )


def test_torso_and_legs_that_cancel_are_visible_by_the_one_that_stands_out_most() -> None:
    light = person(torso=1.6, legs=0.4)
    found = light.seen([1.0], 0.0, age_years=50)
    assert found.levels[0] == 0.0, "in the mean exactly as bright as what is behind"
    veil = float(found.veil_cd_m2)
    assert veil > 0.0
    by_hand = [written_out(target, 1.0, size, 50.0, veil) for target, size in ((1.0, 20.0), (1.6, 20.0), (0.4, 14.0))]
    assert found.levels.tolist() == pytest.approx(by_hand, rel=1e-9)
    best = max((1, 2), key=lambda at: abs(by_hand[at]))
    assert abs(found.level) == pytest.approx(max(abs(level) for level in by_hand), rel=1e-9) and abs(found.level) > 1.0
    assert found.seen_by == (light.parts[best],)


@pytest.mark.parametrize(("torso", "legs", "by", "sign"), [(3.0, 0.4, "torso", 1.0), (1.1, 0.1, "legs", -1.0)])
def test_the_sign_is_that_of_the_part(torso: float, legs: float, by: str, sign: float) -> None:
    found = person(torso, legs).seen([1.0], 0.0, age_years=50)
    assert found.seen_by == (by,) and copysign(1.0, float(found.level)) == sign


@pytest.mark.parametrize("luminance", [0.3, 1.0, 4.0])
def test_the_whole_wins_where_all_parts_are_alike(luminance: float) -> None:
    found = person(luminance, luminance).seen([1.0], 0.0, age_years=50)
    assert found.seen_by == ("whole",)
    assert float(found.level) == float(found.levels[0])
    assert abs(found.levels[2]) <= abs(found.levels[0]), "the narrower part needs more"


def test_each_part_has_its_own_background() -> None:
    """A person of one luminance, the torso before the dark and the legs before the lit road."""
    light = replace(person(1.0, 1.0), background_cd_m2=np.array([[1.0], [0.7], [2.0]]))
    found = light.seen([1.0], 0.0, age_years=50)
    veil = float(found.veil_cd_m2)
    assert found.levels.tolist() == pytest.approx(
        [0.0, written_out(1.0, 0.7, 20.0, 50.0, veil), written_out(1.0, 2.0, 14.0, 50.0, veil)], rel=1e-9
    )
    assert found.levels[2] < 0.0 < found.levels[1]


def test_a_part_below_a_minute_of_arc_never_wins_and_the_whole_may_be_as_small() -> None:
    tiny = person(torso=500.0, legs=0.4, arcmin=(1.2, 0.99, 1.0)).seen([1.0], 0.0, age_years=50)
    assert isnan(tiny.levels[1]) and "torso" not in tiny.seen_by
    assert "torso" in person(torso=500.0, legs=0.4, arcmin=(1.2, 1.0, 1.0)).seen([1.0], 0.0, age_years=50).seen_by
    far = person(torso=500.0, legs=0.4, arcmin=(0.9, 0.8, 0.5)).seen([1.0], 0.0, age_years=50)
    assert far.seen_by == ("whole",) and far.level > 0.0


def test_outside_its_range_the_model_has_no_level_and_no_part_is_named() -> None:
    old = person(1.6, 0.4).seen([1.0], 0.0, age_years=80)
    assert isnan(old.level) and old.seen_by == ("",)
    nothing = TargetLight.hidden(1).seen([1.0], 0.1, age_years=50)
    assert isnan(nothing.level) and nothing.seen_by == ("",)
    part = replace(person(1.6, 0.4), size_arcmin=np.array([20.0, nan, 14.0])).seen([1.0], 0.0, age_years=50)
    assert part.seen_by == ("legs",), "a part that is hidden leaves the others"


def test_stations_together_are_each_station_alone() -> None:
    alone = [person(1.6, 0.4), TargetLight.hidden(1), person(1.0, 0.2)]
    one_part = replace(alone[0], parts=("whole", "head", "legs"))
    together = stacked([*alone, one_part])
    assert together.parts == ("whole", "torso", "legs", "head")
    found = together.seen([0.8], 0.3, age_years=60)
    for station, light in enumerate([*alone, one_part]):
        single = light.seen([0.8], 0.3, age_years=60)
        assert found.seen_by[station] == single.seen_by[0]
        assert found.level[station] == pytest.approx(float(single.level), rel=1e-12, nan_ok=True)
        assert found.veil_cd_m2[station] == pytest.approx(float(single.veil_cd_m2), rel=1e-12)
    assert np.isnan(found.levels[3, :3]).all() and np.isfinite(found.levels[3, 3])
