"""Glare and conspicuity along a drive, against the glare of a scene's own eye and against formulas written out."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Contributions, illuminance, sight
from scenelux.placement import eye_path
from scenelux.scene.model import Eye
from scenelux.study.approach.eye import glare
from scenelux.study.approach.surround import CELL_M, lit_by_own_lx, surround_by_lamp_lx, under_sky
from scenelux.study.eyes import look
from scenelux.vision import outdoor_discomfort
from tests.unit.study.approach.drives import WORKER, driven, placed_drive

FOG = 'weather = { kind = "fog", visibility = 150 }'


def test_in_clear_air_without_people_it_is_the_glare_of_an_eye_of_the_scene(tmp_path: Path) -> None:
    placed, path, levels = placed_drive(tmp_path, 'gaze = ["road", "1 deg down"]', people="")
    ours = glare(placed, path, levels, Contributions())
    for found in ours:
        eye = Eye(
            id="car", lane="next", height=1.08, age=found.age_years, gaze=["road", "1 deg down"],
            **{"from": 200, "to": 20, "step": 20},
        )  # fmt: skip
        same = look(placed, eye_path(placed.scene, placed.vehicles, placed.ground, eye), levels, Contributions())
        for one, other in zip(found.entries, same.entries, strict=True):
            assert np.array_equal(one.eye_illuminance_lx, other.eye_illuminance_lx)
            assert np.array_equal(one.discomfort_rating, other.discomfort_rating, equal_nan=True)
            assert one.dose_lx_s == other.dose_lx_s and one.notes == other.notes
            for form, veil in one.veil_cd_m2.items():
                assert np.array_equal(veil, other.veil_cd_m2[form], equal_nan=True)


def test_fog_takes_its_share_of_the_light_at_the_eye(tmp_path: Path) -> None:
    placed, path, _ = placed_drive(tmp_path / "a")
    clear, fog = driven(tmp_path / "b"), driven(tmp_path / "c", weather=FOG)
    distance = np.linalg.norm(placed.lamps.position_m.mean(axis=0) - path.points_m, axis=1)
    share = fog.eyes[0].entries[0].eye_illuminance_lx / clear.eyes[0].entries[0].eye_illuminance_lx
    assert share == pytest.approx(np.exp(-3.0 * distance / 150.0), rel=0.02)
    assert fog.entries[0].towards_eye_cd[0] < 0.1 * clear.entries[0].towards_eye_cd[0]
    assert np.isnan(fog.entries[0].outdoor_rating).all() and "clear air" in fog.entries[0].notes[0]


def test_a_rise_of_the_road_hides_the_lamps(tmp_path: Path) -> None:
    found = driven(tmp_path, "profile = [[60, 0], [100, 6], [140, 0]]")
    behind = found.distances_m > 140.0
    assert (found.entries[0].towards_eye_cd[behind] == 0.0).all()
    assert (found.eyes[0].entries[0].eye_illuminance_lx[behind] == 0.0).all()
    assert found.entries[0].brightest_lamp[0] == "" and found.entries[0].towards_eye_cd[~behind].max() > 0.0


def test_a_person_in_the_way_hides_a_lamp(tmp_path: Path) -> None:
    """One who stands right before the eye's line to both lamps."""
    lanes = '{ id = "next", centre_left = 1, width = 3.4 }'
    free = driven(tmp_path / "a", lanes=lanes, people="")
    person = WORKER.replace("-3, 0.5", "-0.4, 1, 1.2")
    hidden = driven(tmp_path / "b", lanes=lanes, people=person)
    assert hidden.entries[0].towards_eye_cd[0] == pytest.approx(0.5 * free.entries[0].towards_eye_cd[0], rel=0.05)


def test_conspicuity_is_the_sum_of_intensities_and_the_brightest_lamp(tmp_path: Path) -> None:
    placed, path, levels = placed_drive(tmp_path)
    found = driven(tmp_path).entries[0]
    view = sight(placed.lamps, placed.blockers_with_people, path.points_m)
    level = levels["on", "night"]
    for at in range(len(path.distances_m)):
        each = [
            float(level[lamp] * view.candela[lamp, at]) if view.clear[lamp, at] else 0.0 for lamp in range(len(level))
        ]
        lux = [cd / float(view.distance_m[lamp, at]) ** 2 for lamp, cd in enumerate(each)]
        assert found.towards_eye_cd[at] == pytest.approx(sum(each))
        assert found.brightest_lux[at] == pytest.approx(max(lux))
        assert found.brightest_lamp[at] == placed.lamp_ids[int(np.argmax(lux))]


def test_dose_and_seconds_are_sums_over_the_time_of_the_drive(tmp_path: Path) -> None:
    found = driven(tmp_path, step=5)
    entry, eye = found.entries[0], found.eyes[0].entries[0]
    assert entry.dose_lx_s == pytest.approx(np.trapezoid(eye.eye_illuminance_lx, found.times_s))
    veil = found.eyes[1].entries[0].veil_cd_m2["cie-general"]
    fine = np.interp(np.linspace(0.0, found.times_s[-1], 200_001), found.times_s, veil)
    seconds = (fine > 0.1).mean() * found.times_s[-1]
    assert entry.seconds_above_adaptation[50.0] == pytest.approx(seconds, abs=1e-3)
    assert entry.worst_veil_cd_m2[50.0] == veil.max()


def test_surroundings_are_a_sum_over_the_ground(tmp_path: Path) -> None:
    """The same cells one by one, with a lit cell as a small matt lamp; no body between in this scene."""
    placed, path, _ = placed_drive(tmp_path, people="")
    ours = surround_by_lamp_lx(placed, path, Contributions())
    eye, coefficient = path.points_m[3], placed.surface.luminance_coefficient.value
    total = 0.0
    for x in np.arange(-59.5, 60.0, CELL_M):
        for y in np.arange(-29.5, 30.0, CELL_M):
            way = np.array([x, y, 0.0]) - eye
            if x > 0.0 and abs(y) < 12.0:
                continue  # behind or under the body, which hides part of it
            length = float(np.linalg.norm(way))
            total_lux = float(
                illuminance(placed.lamps, placed.blockers, np.array([[x, y, 0.0]]), np.array([0.0, 0.0, 1.0]))[0, 0]
            )
            total += coefficient * total_lux * CELL_M**2 * (eye[2] / length) * max(way[0] / length, 0.0) / length**2
    assert ours[0, 3] == pytest.approx(total, rel=0.02)


def test_the_outdoor_rating_is_the_model_with_its_three_inputs(tmp_path: Path) -> None:
    placed, path, levels = placed_drive(tmp_path)
    found = driven(tmp_path)
    view = sight(placed.lamps, placed.blockers_with_people, path.points_m)
    surround = surround_by_lamp_lx(placed, path, Contributions())
    ambient = 0.1 * under_sky(placed) + lit_by_own_lx(placed, path)
    coefficient = placed.surface.luminance_coefficient.value
    assert under_sky(placed) == pytest.approx(0.5 + 0.5 * np.pi * coefficient)
    assert 0.0 < lit_by_own_lx(placed, path) < 1.0
    level, at = levels["on", "night"], 0  # far away, where no opening fills 0.3 deg
    direct = sum(
        level[lamp] * view.candela[lamp, at] / view.distance_m[lamp, at] ** 2 * view.direction[lamp, at, 0]
        for lamp in range(2)
    )
    expected = outdoor_discomfort(direct, float(level @ surround[:, at]), ambient)
    assert found.entries[0].outdoor_rating[at] == pytest.approx(float(expected))
