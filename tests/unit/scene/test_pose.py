"""Vehicles and boxes stand where placement puts them, and a point is inside a box when it is."""

from __future__ import annotations

import math
import random

import pytest

from scenelux.geometry import dot
from scenelux.placement.bodies import place_vehicle
from scenelux.placement.ground import Ground
from scenelux.scene.pose import depth_inside_m, pose_of
from scenelux.scene.site import Site
from scenelux.scene.vehicle import Body, Vehicle


@pytest.mark.parametrize("seed", range(20))
def test_pose_is_that_of_placement(seed: int) -> None:
    draw = random.Random(seed)
    grade, crossfall = draw.uniform(-0.2, 0.2), draw.uniform(-0.1, 0.1)
    vehicle = Vehicle.model_validate(
        {"id": "v", "position": [draw.uniform(-50, 50), draw.uniform(-9, 9)], "heading": draw.uniform(-180, 180),
         "pitch": draw.uniform(-5, 5), "roll": draw.uniform(-5, 5), "ride_height": draw.uniform(-0.2, 0.2)}
    )  # fmt: skip
    pose = pose_of(Site.model_validate({"grade": grade, "crossfall": crossfall}), vehicle)
    placed = place_vehicle(vehicle, Ground(grade, crossfall))
    point = (draw.uniform(-5, 5), draw.uniform(-5, 5), draw.uniform(0, 5))
    assert pose.to_site(point) == pytest.approx(placed.to_site(point), abs=1e-12)
    assert pose.to_vehicle(pose.to_site(point)) == pytest.approx(point, abs=1e-12)
    for i, axis in enumerate(pose.axes):
        for j, other in enumerate(pose.axes):
            assert dot(axis, other) == pytest.approx(float(i == j), abs=1e-12)


def test_a_vehicle_stands_on_the_ground() -> None:
    site = Site.model_validate({"grade": 0.06, "crossfall": 0.03})
    pose = pose_of(site, Vehicle.model_validate({"id": "v", "position": [10, -2]}))
    for forward, left in ((0.0, 0.0), (7.0, 1.2), (7.0, -1.2)):
        along, across, up = pose.to_site((forward, left, 0.0))
        assert up == pytest.approx(0.06 * along + 0.03 * across, abs=1e-12)


BOX = Body.model_validate({"id": "b", "forward": [0, 4], "left": [-1, 1], "up": [1, 3], "turn": 30})


def test_depth_inside_a_turned_box() -> None:
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    for u, v, w in ((0.0, 0.0, 0.0), (1.9, 0.5, 0.2), (0.3, -0.98, 0.9), (2.1, 0.0, 0.0), (0.0, 0.0, 1.5)):
        point = (2.0 + u * c - v * s, u * s + v * c, 2.0 + w)
        expected = min(2.0 - abs(u), 1.0 - abs(v), 1.0 - abs(w))
        assert depth_inside_m(BOX, point) == pytest.approx(expected, abs=1e-12)


def test_surface_points_are_not_inside() -> None:
    assert depth_inside_m(BOX.model_copy(update={"turn_deg": 0.0}), (4.0, 0.0, 2.0)) == 0.0
