"""People and objects as targets: luminances, size and visibility against what one calculates."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.ndimage import maximum_filter

from scenelux.engine import Camera
from scenelux.errors import UsageError
from scenelux.placement import PlacedScene, approach_path
from scenelux.study.view.image import luminance, setting
from scenelux.study.view.targets import target_light, target_surfaces
from scenelux.study.view.veil import veil
from scenelux.study.view.visible import TargetLight
from scenelux.vision import target_arcmin, visibility
from tests.driver_scenes import APPROACH, placed_scene

WORKER = '{ id = "worker", position = [-3, 0.5], heading = 180, clothing = 0.5 }'
ON = np.array([1.0, 1.0, 1.0, 1.0])


def looked_at(placed: PlacedScene, distance_m: float = 60.0, who: str = "worker") -> TargetLight:
    path = approach_path(placed, placed.scene.approaches[0])
    at = int(np.argmin(np.abs(path.distances_m - distance_m)))
    assert path.headlamps is not None
    return target_light(placed, setting(placed, path.headlamps.at(at)), path.points_m[at], who)


def test_size_of_a_person(tmp_path: Path) -> None:
    found = looked_at(placed_scene(tmp_path, people=WORKER))
    assert found.size_arcmin[0] == pytest.approx(float(target_arcmin(0.26 * 1.75, 57.1)), rel=0.05)


def test_visibility_is_that_of_vision(tmp_path: Path) -> None:
    """From a picture of the state itself: means over the person and its surroundings, and the picture's own veil."""
    placed = placed_scene(tmp_path, people=WORKER, tilt=-35)
    found = looked_at(placed)
    seen = found.seen(ON, 0.1, age_years=50)
    path = approach_path(placed, placed.scene.approaches[0])
    at = int(np.argmin(np.abs(path.distances_m - 60.0)))
    assert path.headlamps is not None
    middle = np.array([-3.0, 0.5, 0.875])
    camera = Camera.towards(path.points_m[at], middle, 1201, 1201, field_deg=1.8)
    picture = luminance(setting(placed, path.headlamps.at(at)), camera, ON, 0.1)
    mask = np.isin(picture.hits.surface, target_surfaces(placed, "worker"))
    assert seen.target_cd_m2[0] == pytest.approx(picture.luminance_cd_m2[mask].mean(), rel=0.03)
    assert seen.veil_cd_m2 == pytest.approx(float(veil(picture, age_years=50)[600, 600]), rel=0.01)
    for part in range(len(seen.parts)):
        again = visibility(
            seen.target_cd_m2[part], seen.background_cd_m2[part], seen.size_arcmin[part], age_years=50,
            veil_cd_m2=seen.veil_cd_m2,
        )  # fmt: skip
        assert seen.levels[part] == pytest.approx(float(again.level))
        assert seen.thresholds_cd_m2[part] == pytest.approx(float(again.threshold_cd_m2))


def test_a_veil_lowers_visibility_and_age_raises_the_veil(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path, people=WORKER, tilt=0)
    found = looked_at(placed, 100.0)
    dark, bright = (found.seen([level, level, 1, 1], 0.1, age_years=50) for level in (0.0, 1.0))
    assert dark.veil_cd_m2 == 0.0 < bright.veil_cd_m2
    assert found.veil_cd_m2(ON, age_years=70) > 1.5 * found.veil_cd_m2(ON, age_years=25)
    assert found.seen([0, 0, 1, 1], 0.1, age_years=50).levels[0] > 0.0, "brighter than the road by the own headlamps"


def test_a_vest_is_seen_from_farther(tmp_path: Path) -> None:
    levels = [0.0, 0.0, 1.0, 1.0]
    vest = WORKER.replace("clothing = 0.5", 'vest = "class 3"')
    dark = WORKER.replace("clothing = 0.5", "clothing = 0.05")
    with_vest, without = (
        looked_at(placed_scene(tmp_path, people=one), 150.0).seen(levels, 0.0, age_years=50) for one in (vest, dark)
    )
    assert with_vest.target_cd_m2[0] > 10 * without.target_cd_m2[0]


def test_hidden_target_has_no_luminance(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path, people=WORKER.replace("[-3, 0.5]", "[7, -0.5]"))
    found = looked_at(placed, 100.0)
    assert np.isnan(found.target_cd_m2).all()
    assert np.isnan(found.seen(ON, 0.1, age_years=50).level)


def test_objects_are_targets_too_and_others_are_refused(tmp_path: Path) -> None:
    cone = '{ id = "cone", kind = "cone", position = [-10, 1.5] }'
    placed = placed_scene(tmp_path, objects=cone)
    assert looked_at(placed, 60.0, "cone").seen(ON, 0.1, age_years=50).target_cd_m2[0] > 0.0
    with pytest.raises(UsageError, match="known: cone"):
        target_surfaces(placed, "truck")


def test_fog_hides(tmp_path: Path) -> None:
    levels = {}
    for visibility_m in (None, 400, 60):
        weather = f'weather = {{ kind = "fog", visibility = {visibility_m} }}' if visibility_m else ""
        placed = placed_scene(tmp_path, people=WORKER, weather=weather)
        levels[visibility_m] = abs(looked_at(placed, 100.0).seen([0, 0, 1, 1], 0.1, age_years=50).level)
    assert levels[None] > levels[400] > levels[60]


def test_parts_are_measured_as_one_sees_them_in_a_picture(tmp_path: Path) -> None:
    """Bright vest, dark legs: each part by its own pixels, and the pixels around it that are not the person's."""
    vest = WORKER.replace("clothing = 0.5", 'clothing = 0.03, vest = "class 2"')
    placed = placed_scene(tmp_path, people=vest, tilt=0)
    found = looked_at(placed).seen(ON, 0.1, age_years=50)
    assert found.parts == ("whole", "legs", "torso", "head")
    path = approach_path(placed, placed.scene.approaches[0])
    at = int(np.argmin(np.abs(path.distances_m - 60.0)))
    assert path.headlamps is not None
    camera = Camera.towards(path.points_m[at], [-3.0, 0.5, 0.875], 1401, 1401, field_deg=2.6)
    picture = luminance(setting(placed, path.headlamps.at(at)), camera, ON, 0.1)
    person = np.isin(picture.hits.surface, target_surfaces(placed, "worker"))
    within = {"legs": 0.03, "torso": 0.03, "head": 0.15}  # two columns of pixels of the head see its bright side
    for number, name in enumerate(found.parts[1:], 1):
        boxes = [1 + box for box, one in enumerate(placed.boxes) if one.part.split()[-1] in (name, name[:-1])]
        mask = np.isin(picture.hits.surface, boxes)
        assert found.target_cd_m2[number] == pytest.approx(picture.luminance_cd_m2[mask].mean(), rel=within[name])
        half = round(0.5 * np.radians(found.size_arcmin[number] / 60.0) / camera.step)
        ring = maximum_filter(mask, size=2 * half + 1) & ~person
        assert found.background_cd_m2[number] == pytest.approx(picture.luminance_cd_m2[ring].mean(), rel=0.1)


def test_size_of_parts(tmp_path: Path) -> None:
    """Two legs are no wider than their area, whatever the gap between them; so are two posts behind boards."""
    placed = placed_scene(
        tmp_path, people=WORKER, objects='{ id = "gate", kind = "barricade", position = [-3, -2], heading = 180 }'
    )
    worker, gate = (looked_at(placed, who=who) for who in ("worker", "gate"))
    for light, part, size_m in (
        (worker, "legs", 0.18 * 1.75),
        (worker, "head", 0.09 * 1.75),
        (gate, "posts", 0.08 * 0.56),
    ):
        found = light.size_arcmin[light.parts.index(part)]
        assert found == pytest.approx(float(target_arcmin(size_m, 57.1)), rel=0.12), part


def test_one_part_is_the_whole(tmp_path: Path) -> None:
    panel = '{ id = "panel", kind = "panel", position = [-3, 0.5, 1], heading = 180 }'
    assert looked_at(placed_scene(tmp_path, objects=panel), who="panel").parts == ("whole",)


def test_a_rise_of_the_road_hides_the_target_and_then_the_own_headlamps(tmp_path: Path) -> None:
    placed = placed_scene(
        tmp_path, people=WORKER, more=APPROACH.replace("step = 5", "step = 5\nprofile = [[40, 0], [70, 1], [100, 0]]")
    )
    path = approach_path(placed, placed.scene.approaches[0])
    assert path.headlamps is not None
    seen, lit = [], []
    for at in range(len(path.distances_m)):
        scene, along = setting(placed, path.headlamps.at(at), road=path.road), float(path.distances_m[at])
        found = target_light(placed, scene, path.points_m[at], "worker", along_m=along)
        seen.append(bool(np.isfinite(found.size_arcmin[0])))
        lit.append(bool(found.target_cd_m2[0, -1] > 0.0))
    middle = (-3.0, 0.5, 0.875)
    assert seen == (~path.hidden(middle)).tolist()
    behind = path.road.hides(path.headlamps.position_m[:, 1], path.distances_m, middle)
    assert lit == (np.array(seen) & ~behind).tolist() and 0 < sum(lit) < sum(seen) < len(seen)
