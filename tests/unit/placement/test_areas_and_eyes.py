"""Areas lie on the ground or on a body's top, in the frame they name; eyes come along their lane."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import Plane
from scenelux.placement import Ground, area_points
from scenelux.placement.bodies import place_vehicle
from scenelux.placement.eyes import eye_path
from scenelux.scene.model import Area, Body, SceneDocument, Vehicle

LEVEL = Ground()


def truck(**changes: object) -> Vehicle:
    body = Body(id="deck", forward=[0, 6], left=[-1, 1], up=[0.5, 1.0])
    return Vehicle(**{"id": "truck", "bodies": (body,), **changes})


def points(area: dict, ground: Ground = LEVEL, **pose: object):
    placed = {"truck": place_vehicle(truck(**pose), ground)}
    return area_points(placed, ground, Area(**{"id": "a", "plane": "horizontal", **area}))


def test_cell_centres_row_by_row() -> None:
    found = points({"forward": [-2, 0], "left": [-1, 1], "grid": {"counts": [2, 2]}})
    assert found.points_m.tolist() == [[-1.5, -0.5, 0], [-1.5, 0.5, 0], [-0.5, -0.5, 0], [-0.5, 0.5, 0]]
    assert (found.shape, found.cell_m, found.size_m) == ((2, 2), (1.0, 1.0), (2.0, 2.0))


def test_an_area_of_a_vehicle_turns_with_it_and_one_of_the_site_does_not() -> None:
    outline = {"forward": [-2, 0], "left": [0, 1], "grid": {"counts": [1, 1]}}
    assert points({**outline, "of": "truck"}, heading=90).points_m[0] == pytest.approx((-0.5, -1.0, 0.0))
    assert points(outline, heading=90).points_m[0] == pytest.approx((-1.0, 0.5, 0.0))


def test_height_counts_from_the_inclined_ground() -> None:
    found = points({"forward": [10, 12], "left": [0, 1], "height": 0.9, "grid": {"counts": [1, 1]}}, Ground(grade=0.1))
    assert found.points_m[0, 2] == pytest.approx(1.1 + 0.9)
    assert found.floor_up_m[0] == pytest.approx(1.1)


def test_planes_and_their_normals() -> None:
    outline = {"forward": [0, 1], "left": [0, 1]}
    slope = Ground(grade=0.1)
    assert points(outline, slope).normal == (0.0, 0.0, 1.0)
    assert points({**outline, "plane": "pavement"}, slope).normal == pytest.approx(slope.normal)
    upright = points({**outline, "of": "truck", "plane": "vertical", "facing": "rear"}, heading=90)
    assert upright.normal == pytest.approx((0.0, -1.0, 0.0)) and upright.facing == "rear"
    assert points({**outline, "plane": "cylindrical"}).plane == Plane.CYLINDRICAL


def test_the_top_of_a_body_pitches_with_its_vehicle() -> None:
    found = points({"of": "truck", "on": "deck", "grid": {"counts": [3, 1]}}, pitch=10)
    assert found.size_m == pytest.approx((6.0, 2.0))
    heights = found.floor_up_m
    assert heights[0] > heights[-1]  # nose down
    level = points({"of": "truck", "on": "deck", "grid": {"counts": [3, 1]}})
    assert level.floor_up_m == pytest.approx(np.full(3, 1.0))


def test_a_polygon_leaves_out_the_cells_outside_it() -> None:
    found = points({"polygon": [[0, 0], [2, 0], [2, 2]], "grid": {"counts": [2, 2]}})
    assert found.outside.tolist() == [False, True, False, False] and found.size_m is None


def scene(**eye: object) -> SceneDocument:
    return SceneDocument(
        format="scenelux scene 1", title="t", data="invented", units="metric", circuits={}, vehicles=(truck(),),
        states={"s": {"say": "s", "circuits": {}}},
        light={"night": {"say": "n", "ambient": 0, "adaptation_luminance": 0.1}},
        site={"posted_speed": 90, "grade": eye.pop("grade", 0), "lanes": [
            {"id": "next", "centre_left": 3.5, "width": 3.5},
            {"id": "opposite", "centre_left": 7.0, "width": 3.5, "direction": "opposite"}]},
        eyes=[{"id": "e", "height": 1.2, "gaze": ["road", "1 deg down", "vehicle"], **eye}],
    )  # fmt: skip


def path(**eye: object):
    document = scene(**eye)
    ground = Ground(document.site.grade, document.site.crossfall)
    placed = {"truck": place_vehicle(document.vehicles[0], ground)}
    return eye_path(document, placed, ground, document.eyes[0])


def test_a_driver_from_behind_meets_the_rear_face() -> None:
    found = path(lane="next", **{"from": 150, "to": 20, "step": 50})
    assert found.distances_m.tolist() == [150, 100, 50, 20]
    assert found.points_m[-1] == pytest.approx((-20.0, 3.5, 1.2))
    assert found.direction == "from behind" and found.speed_m_s == pytest.approx(25.0)
    assert found.gazes["road"][0] == pytest.approx((1.0, 0.0, 0.0))
    assert found.gazes["1 deg down"][0][2] == pytest.approx(-np.sin(np.radians(1.0)))
    towards = np.array((0.0, 0.0, 0.75)) - found.points_m[0]
    assert found.gazes["vehicle"][0] == pytest.approx(towards / np.linalg.norm(towards))


def test_a_driver_from_the_front_meets_the_front_face_and_looks_back() -> None:
    found = path(lane="opposite", offset_left=0.5, **{"from": 40, "to": 20, "step": 20})
    assert found.points_m[-1] == pytest.approx((26.0, 7.5, 1.2)) and found.direction == "from the front"
    assert found.gazes["road"][0] == pytest.approx((-1.0, 0.0, 0.0))


def test_the_road_gaze_follows_the_grade() -> None:
    uphill = path(grade=0.1, lane="next", **{"from": 40, "to": 20})
    assert uphill.gazes["road"][0][2] == pytest.approx(np.sin(np.arctan(0.1)))
    rear = uphill.points_m[0][0] + 40.0  # the lean of the truck on the grade carries its rear face back a little
    assert -0.2 < rear < 0.0 and uphill.points_m[0][2] == pytest.approx(0.1 * uphill.points_m[0][0] + 1.2)
    downhill = path(grade=0.1, lane="opposite", **{"from": 40, "to": 20})
    assert downhill.gazes["road"][0][2] == pytest.approx(-np.sin(np.arctan(0.1)))


def test_a_fixed_eye_has_one_station_and_no_speed() -> None:
    found = path_of_fixed({"at": [-15, 2, 1.6], "gaze": ["90 deg", {"point": [0, 0, 2.0]}]})
    assert found.points_m.tolist() == [[-15.0, 2.0, 1.6]] and found.speed_m_s is None
    assert found.gazes["90 deg"][0] == pytest.approx((0.0, 1.0, 0.0))
    towards = np.array((15.0, -2.0, 0.4))
    assert found.gazes[list(found.gazes)[1]][0] == pytest.approx(towards / np.linalg.norm(towards))


def path_of_fixed(eye: dict):
    document = scene(lane="next", **{"from": 40, "to": 20})
    fixed = type(document.eyes[0])(id="f", **eye)
    placed = {"truck": place_vehicle(document.vehicles[0], LEVEL)}
    return eye_path(document, placed, LEVEL, fixed)
