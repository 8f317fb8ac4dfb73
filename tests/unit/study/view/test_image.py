"""The luminance image of a placed scene against what one calculates for its parts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Blockers, Camera, hit_points, illuminance
from scenelux.placement import ApproachPath, PlacedScene, approach_path
from scenelux.study.view.image import Seen, Setting, by_lamp, luminance, setting
from scenelux.study.view.lamps import lamps_seen
from tests.driver_scenes import placed_scene

Floats = NDArray[np.float64]

WORKER = '{ id = "worker", position = [-3, 0.5], heading = 180, clothing = 0.5 }'


def before(
    placed: PlacedScene, distance_m: float = 60.0, *, headlamps: bool = True
) -> tuple[Setting, ApproachPath, int]:
    path = approach_path(placed, placed.scene.approaches[0])
    at = int(np.argmin(np.abs(path.distances_m - distance_m)))
    own = path.headlamps.at(at) if headlamps and path.headlamps is not None else None
    return setting(placed, own), path, at


def zoom(path: ApproachPath, at: int, target: Floats, field_deg: float = 4.0, width: int = 128) -> Camera:
    return Camera.towards(path.points_m[at], target, width, width, field_deg=field_deg)


def seen_of(placed: PlacedScene, *, level: float = 1.0, ambient: float = 0.0, headlamps: bool = True) -> Seen:
    scene, path, at = before(placed, headlamps=headlamps)
    camera = zoom(path, at, np.array([-1.0, 0.0, 1.2]))
    levels = [level, level, *([1.0] * scene.own)]
    return luminance(scene, camera, levels, ambient)


def test_matt_parts_have_luminance_rho_e_over_pi(tmp_path: Path) -> None:
    """Every pixel of a person, of the truck's rear and of the road, by the exact point illuminance of all lamps."""
    placed = placed_scene(tmp_path, people=WORKER)
    scene, path, at = before(placed)
    camera = zoom(path, at, np.array([-1.0, 0.0, 1.2]))
    seen = luminance(scene, camera, np.ones(4), 0.0)
    surface = seen.hits.surface
    points, normals = hit_points(seen.hits, surface >= 0)
    lux = illuminance(scene.lamps, scene.blockers, points, normals).sum(axis=0)
    found, number = seen.luminance_cd_m2[surface >= 0], surface[surface >= 0]
    coefficient = placed.surface.luminance_coefficient
    assert coefficient is not None
    expected = np.where(number == 0, coefficient.value, placed.reflectances[number] / np.pi) * lux
    unpainted = (number != 0) | (np.abs(points[:, 1] - 1.5) > 0.3)
    plain = unpainted & ~_lamp_pixels(seen)[surface >= 0] & np.isfinite(lux)
    apart = np.abs(found - expected)[plain] > 0.01 * expected[plain] + 1e-4 * expected[plain].max()
    assert apart.mean() < 1e-3, "pixels on the edge of a shadow"
    for part, rho in (("torso", 0.5), ("body", 0.4)):
        pixels = plain & (number == 1 + next(i for i, box in enumerate(placed.boxes) if box.part == part))
        assert pixels.sum() > 100
        assert found[pixels].mean() == pytest.approx(rho * lux[pixels].mean() / np.pi, rel=0.01)
        assert found[pixels].min() > 0.0


def test_illuminance_of_the_picture_is_that_of_the_lamps(tmp_path: Path) -> None:
    """Lamps as bright openings: over the picture they add up to intensity over distance squared."""
    placed = placed_scene(tmp_path, tilt=0)
    scene, path, at = before(placed, 100.0, headlamps=False)
    for field in (40.0, 4.0, 1.6):
        camera = zoom(path, at, np.array([0.0, 0.0, 2.4]), field, 256)
        seen = luminance(replace(scene, blockers=Blockers.none()), camera, [1.0, 1.0], 0.0)
        dark = luminance(replace(scene, blockers=Blockers.none()), camera, [0.0, 0.0], 0.0)
        assert not dark.luminance_cd_m2.any()
        sky = seen.hits.surface < 0
        weights = camera.solid_angles_sr() * (camera.directions() @ camera.axes[0])
        toward = lamps_seen(placed.lamps, Blockers.none(), camera.eye_m, np.ones(2))
        direct = (toward.illuminance_lx * (toward.direction @ camera.axes[0])).sum()
        assert direct > 0.1
        assert (seen.luminance_cd_m2 * weights)[sky].sum() == pytest.approx(direct, rel=0.02)


def test_wide_opening_has_intensity_over_projected_area(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path, tilt=0)
    lamps = replace(placed.lamps, opening_m=np.array([[0.4, 0.2, 0.0]] * 2))
    scene, path, at = before(placed, 20.0, headlamps=False)
    camera = zoom(path, at, placed.lamps.position_m[0], 2.0, 200)
    seen = luminance(replace(scene, lamps=lamps, blockers=Blockers.none()), camera, [1.0, 0.0], 0.0)
    toward = lamps_seen(lamps, Blockers.none(), camera.eye_m, np.array([1.0, 0.0]))
    facing = np.cross(*lamps.opening_axes[0][:2]) @ toward.direction[0]
    area = 0.4 * 0.2 * abs(facing)
    expected = toward.illuminance_lx[0] * toward.distance_m[0] ** 2 / area
    assert seen.luminance_cd_m2[98:102, 98:102] == pytest.approx(expected, rel=0.05)


def test_clear_weather_changes_no_byte_and_fog_does(tmp_path: Path) -> None:
    pictures = [
        seen_of(placed_scene(tmp_path, people=WORKER, weather=weather), ambient=0.1).luminance_cd_m2.tobytes()
        for weather in ("", 'weather = { kind = "clear" }', 'weather = { kind = "fog", visibility = "200 m" }')
    ]
    assert pictures[0] == pictures[1]
    assert pictures[0] != pictures[2]


def test_fog_takes_its_share_of_daylight_surfaces_and_gives_that_of_the_sky(tmp_path: Path) -> None:
    clear = seen_of(placed_scene(tmp_path), level=0.0, ambient=1000.0, headlamps=False)
    fog = 'weather = { kind = "fog", visibility = "150 m" }'
    foggy = seen_of(placed_scene(tmp_path, weather=fog), level=0.0, ambient=1000.0, headlamps=False)
    through = np.exp(-3.0 * clear.hits.distance_m / 150.0)
    expected = through * clear.luminance_cd_m2 + (1.0 - through) * 1000.0 / np.pi
    assert foggy.luminance_cd_m2 == pytest.approx(expected, rel=1e-5)


def test_states_are_weighted_sums_of_lamps(tmp_path: Path) -> None:
    """The picture of a state, without the openings, is the sum of the pictures of its lamps, wet or dry, in any air."""
    for parts in ({}, {"surface": "wet asphalt"}, {"weather": 'weather = { kind = "fog", visibility = "150 m" }'}):
        placed = placed_scene(tmp_path, people=WORKER[:-2] + ', vest = "class 2" }', **parts)
        scene, path, at = before(placed)
        camera = zoom(path, at, np.array([-3.0, 0.5, 0.9]), 1.5, 48)
        apart = by_lamp(scene, camera)
        levels = np.array([0.7, 0.2, 1.0, 0.5])
        whole = luminance(scene, camera, levels, 2.0)
        total = np.tensordot(levels, apart.luminance_cd_m2, 1) + 2.0 * apart.per_sky_lux
        plain = ~_lamp_pixels(whole)
        assert whole.luminance_cd_m2[plain] == pytest.approx(total[plain], rel=2e-3 if scene.haze else 1e-4, abs=1e-6)


def test_same_bytes_on_any_number_of_threads(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path, people=WORKER, surface="wet asphalt")
    scene, path, at = before(placed)
    camera = zoom(path, at, np.array([0.0, 1.0, 1.0]), 10.0, 300)
    first, second = (luminance(scene, camera, [1, 1, 1, 1], 0.1, threads=threads) for threads in (1, 3))
    assert first.luminance_cd_m2.tobytes() == second.luminance_cd_m2.tobytes()


def test_sheeting_answers_to_the_own_headlamps_only(tmp_path: Path) -> None:
    """A lamp as strong as a headlamp, but off to the side, leaves tape as matt as clothing."""
    vest = '{ id = "worker", position = [-3, 2.5], heading = 180, vest = "class 3" }'
    placed = placed_scene(tmp_path, people=vest)
    scene, path, at = before(placed)
    camera = zoom(path, at, np.array([-3.0, 2.5, 1.1]), 1.0, 64)
    apart = by_lamp(scene, camera)
    torso = 1 + next(i for i, box in enumerate(placed.boxes) if box.part == "torso")
    mask = apart.hits.surface == torso
    matt = by_lamp(replace(scene, own=0), camera)
    assert apart.luminance_cd_m2[:2] == pytest.approx(matt.luminance_cd_m2[:2]), "the truck's lamps: matt either way"
    own, as_others = (one.luminance_cd_m2[2:, mask].mean() for one in (apart, matt))
    assert own > 20 * as_others > 0


def test_natural_light_of_an_even_sky(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path)
    seen = seen_of(placed, level=0.0, ambient=1000.0, headlamps=False)
    assert placed.surface.luminance_coefficient is not None
    assert seen.luminance_cd_m2[seen.hits.surface < 0] == pytest.approx(1000 / np.pi)
    ground = seen.luminance_cd_m2[seen.hits.surface == 0]
    assert np.median(ground) == pytest.approx(1000 * placed.surface.luminance_coefficient.value)
    rear = seen.luminance_cd_m2[seen.hits.surface == 1]
    assert rear == pytest.approx(0.4 / np.pi * 1000 * (0.5 + 0.5 * 0.1))


def _lamp_pixels(seen: Seen) -> NDArray[np.bool_]:
    """Pixels within two of a lamp."""
    camera = seen.hits.camera
    column, row, _ = camera.pixels_of(camera.eye_m + 50.0 * seen.lamps.direction)
    found = np.zeros(seen.hits.surface.shape, bool)
    for j, i, lux in zip(column, row, seen.lamps.illuminance_lx, strict=True):
        if lux > 0.0:
            r = int(0.1 / (50.0 * camera.step)) + 4
            found[max(0, int(i) - r) : int(i) + r + 1, max(0, int(j) - r) : int(j) + r + 1] = True
    return found


def test_surfaces_whose_light_is_not_asked_for_leave_all_others_as_they_are(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path, people=WORKER)
    scene, path, at = before(placed)
    camera = zoom(path, at, np.array([-3.0, 0.5, 0.9]), 1.5, 48)
    whole = by_lamp(scene, camera)
    worker = tuple(np.unique(whole.hits.surface[24 - 8 : 24 + 8, 24 - 3 : 24 + 3]).tolist())
    rest = by_lamp(scene, camera, without=worker)
    skipped = np.isin(whole.hits.surface, worker)
    assert skipped.any() and not skipped.all()
    assert not rest.luminance_cd_m2[:, skipped].any()
    assert rest.luminance_cd_m2[:, ~skipped] == pytest.approx(whole.luminance_cd_m2[:, ~skipped], rel=1e-4, abs=1e-9)
    assert np.array_equal(rest.per_sky_lux, whole.per_sky_lux)
