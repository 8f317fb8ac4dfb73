"""People and objects along a drive: every station is what the target itself says, state by state and age by age."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.study.approach import targets
from scenelux.study.view.image import setting
from scenelux.study.view.targets import target_light
from scenelux.study.view.view import view
from scenelux.vision import stopping_sight_distance_m
from tests.unit.study.approach.drives import CONE, WORKER, driven, placed_drive, scene_with


def test_every_station_is_what_the_target_says_there(tmp_path: Path) -> None:
    placed, path, levels = placed_drive(tmp_path)
    found = driven(tmp_path, light="")
    target = found.targets[0]
    for station in (0, 4, 9):
        scene = setting(placed, path.headlamps.at(station), road=path.road)
        light = target_light(placed, scene, path.points_m[station], "worker")
        for entry in target.entries:
            ambient = placed.scene.light[entry.light].ambient_lx
            for at, age in enumerate(found.ages_years):
                full = np.append(levels[entry.state, entry.light], [1.0, 1.0])
                seen = light.seen(full, ambient, age_years=age)
                assert entry.level[at, station] == pytest.approx(float(seen.level), rel=1e-9)
                assert (entry.seen_by[at][station],) == seen.seen_by
                assert entry.whole_level[at, station] == pytest.approx(seen.levels[0], rel=1e-9)
                assert entry.veil_cd_m2[at, station] == pytest.approx(seen.veil_cd_m2, rel=1e-9)
                assert entry.target_cd_m2[station] == pytest.approx(seen.target_cd_m2[0], rel=1e-9)


@pytest.mark.parametrize("keys", ["", "profile = [[40, 0], [100, 3], [160, 0]]"])
def test_picture_and_curve_agree_at_the_same_distance(tmp_path: Path, keys: str) -> None:
    """`view` and `approach` of one scene: levels, signs, parts and veil, also where a rise hides."""
    more = f"ages = [50]\n{keys}"
    way = driven(tmp_path, more, objects=CONE)
    scene = scene_with(tmp_path, more, objects=CONE)
    named = set()
    for station in (1, 4, 7, 9):
        picture = view(scene, distance_m=float(way.distances_m[station]), frame_px=(32, 18))
        assert picture.distance_m == way.distances_m[station]
        for target, pictured in zip(way.targets, picture.cases[0].targets, strict=True):
            entry = target.entries[0]
            assert pictured.level == pytest.approx(entry.level[0, station], rel=1e-9, nan_ok=True)
            assert pictured.whole.level == pytest.approx(entry.whole_level[0, station], rel=1e-9, nan_ok=True)
            assert pictured.seen_by == entry.seen_by[0][station]
            assert (pictured.sighting == "hidden") == np.isnan(entry.level[0, station])
            named.add(pictured.seen_by)
    assert named > {"whole"} if not keys else named >= {""}


def test_who_is_looked_for_and_where(tmp_path: Path) -> None:
    found = driven(tmp_path, objects=CONE)
    worker, cone = found.targets
    assert (worker.kind, cone.kind) == ("person", "object")
    assert worker.before_vehicle_m == pytest.approx(3.0, abs=0.1)
    assert cone.before_vehicle_m == pytest.approx(12.0, abs=0.1)
    assert "vest class 2" in worker.says
    assert worker.ahead.all()


def test_the_margin_counts_to_the_target(tmp_path: Path) -> None:
    found = driven(tmp_path, "visibility_level = 0.5", objects=CONE)
    stopping = float(stopping_sight_distance_m(90.0))
    assert found.stopping_distance_m == pytest.approx(stopping)
    for target in found.targets:
        for seen in target.entries[0].seen:
            if seen.outcome == "seen":
                assert seen.to_target_m == pytest.approx(seen.distance_m - target.before_vehicle_m)
                assert seen.margin_m == pytest.approx(seen.to_target_m - stopping)
                assert seen.margin_s == pytest.approx(seen.margin_m / 25.0)


def test_a_target_beside_the_driver_is_no_longer_looked_for(tmp_path: Path) -> None:
    found = driven(tmp_path, people=WORKER.replace("-3, 0.5", "-50, 0.5"))
    target = found.targets[0]
    near = found.distances_m < 52.0
    assert not target.ahead[near].any() and target.ahead[~near].all()
    assert np.isnan(target.entries[0].level[:, near]).all() and np.isfinite(target.entries[0].level[:, ~near]).all()
    assert "beside or behind the driver at 40 to 20 m" in target.notes[0]


def test_hidden_by_a_body(tmp_path: Path) -> None:
    """A worker before the truck, as wide as it is, is not seen from behind on the same line."""
    found = driven(
        tmp_path, people=WORKER.replace("-3, 0.5", "7, 0"), lanes='{ id = "next", centre_left = 0, width = 3.4 }'
    )
    target = found.targets[0]
    assert target.hidden_by_body.all()
    assert {seen.outcome for seen in target.entries[0].seen} == {"never"}
    assert "hidden" in target.entries[0].seen[0].why


def test_hidden_by_a_rise_of_the_road(tmp_path: Path) -> None:
    found = driven(tmp_path, "profile = [[60, 0], [100, 3], [140, 0]]")
    target = found.targets[0]
    assert target.hidden_by_road[found.distances_m > 140.0].any()
    assert not target.hidden_by_road[found.distances_m <= 100.0].any()
    assert np.isnan(target.entries[0].level[:, target.hidden_by_road]).all()
    farthest = float(found.distances_m[~target.hidden_by_road].max())
    assert all(not seen.distance_m > farthest for seen in target.entries[0].seen)


def test_an_eye_below_the_ground_of_the_site_has_no_picture_and_no_answer(tmp_path: Path) -> None:
    found = driven(tmp_path, "profile = [[40, 0], [120, -4]]")
    target = found.targets[0]
    assert "no picture" in " ".join(target.notes)
    assert {seen.outcome for seen in target.entries[0].seen} == {"not valid"}


def test_beyond_the_ages_of_the_model_there_is_no_answer(tmp_path: Path) -> None:
    found = driven(tmp_path, "ages = [25, 80]")
    young, old = found.targets[0].entries[0].seen
    assert young.outcome != "not valid"
    assert (old.outcome, "no visibility level" in old.why) == ("not valid", True)


def test_without_people_lamps_or_headlamps(tmp_path: Path) -> None:
    assert driven(tmp_path / "a", people="").targets == ()
    scene = driven(tmp_path / "b", 'headlamps = "none"')
    assert scene.headlamps == "none" and np.isfinite(scene.targets[0].entries[0].level).all()


def test_threads_change_no_byte(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one_by_one, shared = [], []
    for threads, found in ((1, one_by_one), (3, shared)):
        monkeypatch.setattr(targets, "cpu_count", lambda threads=threads: threads)
        found += [entry.level.tobytes() for entry in driven(tmp_path, objects=CONE).targets[0].entries]
    assert one_by_one == shared
