"""Laws of an approach: what speed, weather, a bend and the distance of the lane must do, and must not do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.study.results.approach import ApproachResult
from scenelux.vision import stopping_sight_distance_m
from tests.unit.study.approach.drives import WORKER, driven


def same_light(one: ApproachResult, other: ApproachResult, rel: float) -> None:
    for a, b in zip(one.eyes, other.eyes, strict=True):
        for x, y in zip(a.entries, b.entries, strict=True):
            np.testing.assert_allclose(x.eye_illuminance_lx, y.eye_illuminance_lx, rtol=rel)
            np.testing.assert_allclose(x.veil_cd_m2["cie-general"], y.veil_cd_m2["cie-general"], rtol=rel)
    for p, q in zip(one.targets, other.targets, strict=True):
        for m, n in zip(p.entries, q.entries, strict=True):
            np.testing.assert_allclose(m.target_cd_m2, n.target_cd_m2, rtol=rel)
            np.testing.assert_allclose(m.level, n.level, rtol=20.0 * rel, atol=20.0 * rel)


def test_twice_the_speed_changes_margins_by_the_formula_and_nothing_that_is_seen(tmp_path: Path) -> None:
    keys = "visibility_level = 0.3\n"
    slow = driven(tmp_path / "a", f'{keys}speed = "45 km/h"')
    fast = driven(tmp_path / "b", f'{keys}speed = "90 km/h"')
    same_light(slow, fast, 1e-12)
    told = 0
    for one, other in zip(slow.targets[0].entries[0].seen, fast.targets[0].entries[0].seen, strict=True):
        assert other.to_target_m == pytest.approx(one.to_target_m, nan_ok=True)
        for seen, speed in ((one, 45.0), (other, 90.0)):
            margin_s = (seen.to_target_m - float(stopping_sight_distance_m(speed))) / (speed / 3.6)
            assert seen.margin_s == pytest.approx(margin_s, nan_ok=True)
            told += seen.outcome == "seen"
    assert told
    assert fast.entries[0].dose_lx_s == pytest.approx(slow.entries[0].dose_lx_s / 2.0)


def test_a_lane_farther_off_has_less_veil_at_every_station(tmp_path: Path) -> None:
    near = driven(tmp_path / "a", lanes='{ id = "next", centre_left = 3.2, width = 3.4 }')
    far = driven(tmp_path / "b", lanes='{ id = "next", centre_left = 9.0, width = 3.4 }')
    for one, other in zip(near.eyes, far.eyes, strict=True):
        veils = (entry.entries[0].veil_cd_m2["cie-general"] for entry in (one, other))
        before, after = veils
        assert (after < before).all()


def test_clear_weather_is_no_weather(tmp_path: Path) -> None:
    """Byte for byte."""
    without, clear = driven(tmp_path / "a"), driven(tmp_path / "b", weather='weather = { kind = "clear" }')
    same_light(without, clear, 0.0)
    assert np.array_equal(without.entries[0].outdoor_rating, clear.entries[0].outdoor_rating)


def test_very_thin_air_is_nearly_none(tmp_path: Path) -> None:
    clear = driven(tmp_path / "a")
    thin = driven(tmp_path / "b", weather='weather = { kind = "fog", visibility = 100000 }')
    same_light(clear, thin, 0.05)


def test_a_bend_becomes_straight_as_its_radius_grows(tmp_path: Path) -> None:
    """Twice the radius, half of the difference from the straight road; turned either way, about the same amount."""
    straight, wide, wider, other_way = (
        driven(tmp_path / name, keys, people="").eyes[0].entries[0].veil_cd_m2["cie-general"]
        for name, keys in (
            ("a", ""), ("b", "radius = 50000"), ("c", "radius = 100000"), ("d", "radius = -100000"),
        )
    )  # fmt: skip
    part = (wider - straight) / (wide - straight)
    assert part == pytest.approx(0.5, abs=0.1)
    assert (wider - straight) == pytest.approx(straight - other_way, rel=0.3)


def test_more_light_on_the_person_alone_never_makes_the_driver_see_the_person_later(tmp_path: Path) -> None:
    """Brighter clothing on somebody who is brighter than the background already."""
    dull = driven(tmp_path / "a", people=WORKER.replace("0.5, vest", "0.6, vest"), tilt=-20)
    bright = driven(tmp_path / "b", people=WORKER.replace("0.5, vest", "0.9, vest"), tilt=-20)
    one, other = dull.targets[0].entries[0], bright.targets[0].entries[0]
    above = one.level > 0.0
    assert (other.level[above] >= one.level[above]).all()
