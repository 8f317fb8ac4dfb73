"""Approaches: the driver's way on straight, curved and hilly roads, when it begins, and what the headlamps do on it."""

from __future__ import annotations

from math import cos, pi, sin
from pathlib import Path

import numpy as np
import pytest
from broken_scenes import BASE

from scenelux.engine import Plane, illuminance
from scenelux.errors import LimitError
from scenelux.placement import ApproachPath, Ground, PlacedScene, Road, approach_path, eye_path, place
from scenelux.placement.lamps import PlacedLamp, engine_lamps
from scenelux.scene.model import Eye
from scenelux.scene.read import read_scene
from scenelux.units import FOOT_M

OPPOSITE = '{ id = "far", centre_left = "21 ft", width = 11, direction = "opposite" }'


def scene_of(folder: Path, keys: str = "", units: str = "us", more: str = "") -> PlacedScene:
    text = BASE.replace("[variants.flat]", f'[[approaches]]\nid = "a"\nlane = "next"\n{keys}\n{more}\n[variants.flat]')
    text = text.replace('lanes = [{ id = "next"', f'lanes = [{OPPOSITE}, {{ id = "next"')
    (folder / "scene.toml").write_text(text.replace('units = "us"', f'units = "{units}"'))
    return place(read_scene(folder / "scene.toml"))


def path_of(folder: Path, keys: str = "", **more: str) -> ApproachPath:
    placed = scene_of(folder, keys, **more)
    return approach_path(placed, placed.scene.approaches[0])


@pytest.mark.parametrize("lane", ["next", "far"])
def test_a_straight_approach_is_the_way_of_an_eye(tmp_path: Path, lane: str) -> None:
    placed = scene_of(tmp_path, 'from = "152 m"\nto = "20 m"\ngaze = ["road", "1 deg down", "vehicle", "90 deg"]')
    approach = placed.scene.approaches[0].model_copy(update={"lane": lane})
    path = approach_path(placed, approach)
    eye = Eye(id="e", lane=lane, **{"from": 152, "to": 20}, height=1.08, gaze=list(path.gazes))
    same = eye_path(placed.scene, placed.vehicles, placed.ground, eye)
    assert np.array_equal(path.distances_m, same.distances_m)
    assert np.array_equal(path.points_m, same.points_m)
    assert (path.direction, path.lane_name) == (same.direction, same.lane_name)
    for words, directions in path.gazes.items():
        assert np.array_equal(directions, same.gazes[words])


def test_time_runs_with_the_distance(tmp_path: Path) -> None:
    path = path_of(tmp_path, 'from = "120 m"\nspeed = "36 km/h"')
    assert path.speed_m_s == pytest.approx(10.0)
    assert path.times_s == pytest.approx((120.0 - path.distances_m) / 10.0)
    assert path.times_s[0] == 0.0 and path.times_s[-1] == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("speed", "units", "stopping_m", "start_m"),
    [
        ("55 mph", "us", (1.47 * 55 * 2.5 + 1.075 * 55**2 / 11.2) * FOOT_M, 305.0),
        ("100 km/h", "metric", 0.278 * 100 * 2.5 + 0.039 * 100**2 / 3.4, 370.0),
        ("30 km/h", "metric", 0.278 * 30 * 2.5 + 0.039 * 30**2 / 3.4, 300.0),
    ],
)
def test_it_begins_at_twice_the_stopping_sight_distance_and_300_m_at_least(
    tmp_path: Path, speed: str, units: str, stopping_m: float, start_m: float
) -> None:
    path = path_of(tmp_path, f'speed = "{speed}"', units=units)
    assert path.stopping_distance_m == pytest.approx(stopping_m)
    assert (path.distances_m[0], path.distances_m[-1]) == (start_m, 20.0)
    assert np.diff(path.distances_m) == pytest.approx(-5.0)
    assert start_m >= 2.0 * stopping_m or start_m == 300.0


def test_reaction_time_and_a_fall_make_the_stopping_distance_longer(tmp_path: Path) -> None:
    usual = path_of(tmp_path).stopping_distance_m
    late = path_of(tmp_path, 'reaction_time = "3.5 s"').stopping_distance_m
    assert late - usual == pytest.approx(1.47 * 55.0 * FOOT_M)
    downhill = path_of(tmp_path, 'profile = [["100 m", "5 m"], ["200 m", "5 m"]]').stopping_distance_m
    braking_ft = 55**2 / 30.0 / (11.2 / 32.2 - 0.05)
    assert downhill == pytest.approx((1.47 * 55 * 2.5 + braking_ft) * FOOT_M)


def test_a_start_of_its_own_counts_and_too_many_stations_are_refused(tmp_path: Path) -> None:
    assert path_of(tmp_path, 'from = "99 m"').distances_m[0] == 99.0
    with pytest.raises(LimitError, match=r"scene\.toml:\d+:\d+: approaches\[0\]\.step .* larger step"):
        path_of(tmp_path, 'speed = "200 mph"\nstep = "30 mm"')


def test_a_curve_without_a_start_stays_within_half_a_circle(tmp_path: Path) -> None:
    path = path_of(tmp_path, 'radius = "100 m"\nspeed = "90 mph"')
    assert path.distances_m[0] == pytest.approx(100.0 * pi)


@pytest.mark.parametrize("radius", [250.0, -250.0])
@pytest.mark.parametrize("travel", [1, -1])
@pytest.mark.parametrize("ground", [Ground(), Ground(0.04, 0.03)])
def test_a_curve_is_an_arc_that_ends_along_the_site(radius: float, travel: int, ground: Ground) -> None:
    road = Road(ground, (7.0, 3.0), travel, radius, ())
    distances = np.linspace(300.0, 0.0, 61)
    points, axes = road.points_m(distances), road.axes(distances)
    assert points[-1] == pytest.approx((7.0, 3.0, ground.height_m(7.0, 3.0)))
    assert axes[-1, 0, :2] / np.linalg.norm(axes[-1, 0, :2]) == pytest.approx((travel, 0.0))
    centre = np.array([7.0, 3.0 + travel * radius])  # left of the driver where the road turns left
    assert np.linalg.norm(points[:, :2] - centre, axis=1) == pytest.approx(abs(radius))
    assert points[:, 2] == pytest.approx(ground.heights_m(points[:, 0], points[:, 1]))
    near, far = road.points_m(distances - 0.01), road.points_m(distances + 0.01)
    driven = (near - far) / np.linalg.norm(near - far, axis=1, keepdims=True)
    assert axes[:, 0] == pytest.approx(driven, abs=1e-6)
    # Where the road turns left, the driver's left side comes round: the last direction lies left of the first.
    assert np.sign(np.cross(axes[0, 0], axes[-1, 0])[2]) == np.sign(radius)


@pytest.mark.parametrize(
    "road", [Road(Ground(0.04, 0.03), (0.0, 3.0), 1), Road(Ground(0.04, 0.03), (0.0, 3.0), -1, -80.0)]
)
def test_a_vehicle_lies_on_the_inclined_ground(road: Road) -> None:
    axes = road.axes(np.linspace(0.0, 100.0, 11))
    assert np.einsum("nij,nkj->nik", axes, axes) == pytest.approx(np.tile(np.eye(3), (11, 1, 1)), abs=1e-12)
    assert axes[:, 2] == pytest.approx(np.tile(road.ground.normal, (11, 1)), abs=1e-12)


def test_a_profile_lies_above_the_ground_and_tilts_the_way() -> None:
    road = Road(Ground(), (0.0, 0.0), 1, None, ((100.0, 4.0), (200.0, 1.0)))
    distances = np.array([300.0, 200.0, 150.0, 100.0, 50.0, 0.0])
    assert road.points_m(distances)[:, 2] == pytest.approx((1.0, 1.0, 2.5, 4.0, 2.0, 0.0))
    forward = road.axes(distances)[:, 0]
    assert forward[:, 2] / forward[:, 0] == pytest.approx((0.0, 0.03, 0.03, -0.04, -0.04, 0.0))
    assert road.steepest_fall() == pytest.approx(-0.04)
    assert Road(Ground(-0.06), (0.0, 0.0), 1).steepest_fall() == -0.06
    assert Road(Ground(-0.06), (0.0, 0.0), -1).steepest_fall() == 0.06


def test_the_top_of_a_hill_hides_what_is_low_behind_it() -> None:
    road = Road(Ground(), (0.0, 0.0), 1, None, ((100.0, 4.0), (200.0, 0.0)))
    distances = np.array([250.0, 150.0, 99.0, 20.0])
    eyes = road.points_m(distances) + np.array([0.0, 0.0, 1.08])
    assert road.hides(eyes, distances, (-2.0, 0.0, 1.0)).tolist() == [True, True, False, False]
    assert not road.hides(eyes, distances, (-2.0, 0.0, 9.0)).any()
    assert not Road(Ground(0.1), (0.0, 0.0), 1).hides(eyes, distances, (-2.0, 0.0, 0.0)).any()


def test_headlamps_stand_before_the_driver_on_the_side_of_the_passenger(tmp_path: Path) -> None:
    path = path_of(tmp_path)
    assert path.headlamps is not None
    away = path.headlamps.position_m - path.points_m[:, None]
    assert away[0] == pytest.approx(np.array([(2.0, -0.35 + 0.65, 0.6 - 1.08), (2.0, -0.35 - 0.65, 0.6 - 1.08)]))
    assert np.allclose(away, away[0])
    left = path_of(tmp_path, "headlamps = { left_of_eye = 0, spacing = 0, ahead_of_eye = 0, height = 3 }").headlamps
    assert left is not None
    assert left.position_m[0, 0] == pytest.approx(path.points_m[0] + (0.0, 0.0, 3 * FOOT_M - 1.08))


def test_headlamps_light_the_same_place_before_them_at_every_station(tmp_path: Path) -> None:
    path = path_of(tmp_path, 'radius = "-300 m"\nheadlamps = { tilt = "-1 deg" }')
    assert path.headlamps is not None
    placed = scene_of(tmp_path)
    found = []
    for station in (0, 17, len(path.distances_m) - 1):
        feet, axes = path.points_m[station] - (0.0, 0.0, 1.08), path.axes[station]
        target = feet + np.array([30.0, -1.0, 0.2]) @ axes
        lamps = path.headlamps.at(station)
        assert lamps.tables.candela is path.headlamps.lamps.tables.candela
        lux = illuminance(lamps, placed.blockers, target[None], -axes[:1], Plane.PLANE)
        found.append(lux[:, 0])
    assert found[0].min() > 0.1
    assert np.array(found[1:]) == pytest.approx(np.array([found[0]] * 2), rel=1e-6)


def test_headlamps_are_those_that_a_vehicle_would_have(tmp_path: Path) -> None:
    """The same lamps hung one by one, as those of a vehicle."""
    path = path_of(tmp_path, 'radius = "300 m"')
    assert path.headlamps is not None
    luminaire = path.headlamps.luminaire
    for station in (0, 9):
        lamps = path.headlamps.at(station)
        rows = tuple(tuple(row) for row in path.axes[station].tolist())
        hung = engine_lamps([
            PlacedLamp(name, "", "", luminaire, 1.0, 0.0, 0.0, tuple(at.tolist()), rows)
            for name, at in zip("ab", path.headlamps.position_m[station], strict=True)
        ])  # fmt: skip
        for name in ("position_m", "axes", "opening_m", "opening_axes", "table"):
            assert np.allclose(getattr(lamps, name), getattr(hung, name)), name
        assert np.array_equal(lamps.tables.candela, hung.tables.candela)


def test_who_is_looked_for_and_when(tmp_path: Path) -> None:
    crew = "".join(f'[[people]]\nid = "p{i}"\nposition = [-2, {i}]\n' for i in range(3))
    cones = "".join(f'[[objects]]\nid = "c{i}"\nkind = "cone"\nposition = [-9, {i}]\n' for i in range(2))
    everybody = path_of(tmp_path, more=crew + cones)
    assert (everybody.people, everybody.objects) == (("p0", "p1", "p2"), ("c0", "c1"))
    assert (everybody.states, everybody.lights) == (("working",), ("night",))
    some = path_of(tmp_path, 'people = ["p2", "p0"]\nobjects = []\nstates = ["working"]', more=crew + cones)
    assert (some.people, some.objects) == (("p0", "p2"), ())
    assert path_of(tmp_path, 'headlamps = "none"').headlamps is None


def test_boxes_keep_their_numbers_with_and_without_people(tmp_path: Path) -> None:
    crew = '[[people]]\nid = "p"\nposition = [-6, 1]\n[[objects]]\nid = "c"\nkind = "cone"\nposition = [-9, 3]\n'
    bare, placed = scene_of(tmp_path), scene_of(tmp_path, more=crew)
    count = len(placed.blockers)
    assert [box.owner for box in placed.boxes] == ["vehicle"] * 2 + ["object"] * 4 + ["person"] * 4
    assert count == 6 and len(placed.blockers_with_people) == 10
    assert len(bare.blockers) == len(bare.blockers_with_people) == 2
    assert np.array_equal(placed.blockers.centre_m, placed.blockers_with_people.centre_m[:count])
    assert np.array_equal(placed.blockers.centre_m[:2], bare.blockers.centre_m)
    assert placed.reflectances.tolist()[:2] == [0.05, 0.4] and len(placed.reflectances) == 11
    torso = next(patch for patch in placed.patches if patch.part == "torso")
    assert placed.boxes[placed.surface_of(torso) - 1].part == "torso"
    assert len(placed.patches) == sum(len(one.patches) for one in (*placed.objects, *placed.people))


def test_bodies_reflect_what_they_state(tmp_path: Path) -> None:
    text = BASE.replace('up = ["1 ft 6 in", "8 ft"]', 'up = ["1 ft 6 in", "8 ft"]\nreflectance = 0.7')
    (tmp_path / "scene.toml").write_text(text)
    box = place(read_scene(tmp_path / "scene.toml")).boxes[0]
    assert (box.reflectance.value, box.reflectance.status) == (0.7, "own")


def test_eyes_of_people_and_of_a_mirror(tmp_path: Path) -> None:
    more = """
[[people]]
id = "crew"
of = "second"
position = ["-2 m", "1 m"]
heading = 30
[[eyes]]
id = "crew-eye"
person = "crew"
gaze = ["ahead", "road", "90 deg", { point = [0, 0, 0] }]
[[eyes]]
id = "mirror"
of = "second"
at = ["5 m", "1.4 m", "1.8 m"]
gaze = ["180 deg", { point = ["-10 m", "1.4 m", "1.8 m"] }]
"""
    text = BASE.replace("[variants.flat]", f"{more}\n[variants.flat]")
    (tmp_path / "scene.toml").write_text(text.replace('["20 m", "0 m"]', '["20 m", "0 m"]\nheading = 90'))
    placed = place(read_scene(tmp_path / "scene.toml"))
    crew, mirror = (eye_path(placed.scene, placed.vehicles, placed.ground, eye) for eye in placed.scene.eyes[1:])
    assert crew.points_m[0] == pytest.approx(placed.people[0].eye_m)
    assert crew.eye.height_m == placed.people[0].eye_height_m
    turned = pi / 180.0 * (90 + 30)
    assert crew.gazes["ahead"][0] == pytest.approx((cos(turned), sin(turned), 0.0))
    assert crew.gazes["90 deg"][0] == pytest.approx((-1.0, 0.0, 0.0))
    away = np.array((20.0, 0.0, 0.0)) - crew.points_m[0]
    assert crew.gazes["at (0, 0, 0) m"][0] == pytest.approx(away / np.linalg.norm(away))
    assert mirror.points_m[0] == pytest.approx((20.0 - 1.4, 5.0, 1.8))
    for directions in mirror.gazes.values():
        assert directions[0] == pytest.approx((0.0, -1.0, 0.0))
