"""Vehicles stand on the pavement, turned by heading, pitch, roll and ride height, and know their faces."""

from __future__ import annotations

from math import atan, degrees

import numpy as np
import pytest

from scenelux.placement import Ground
from scenelux.placement.bodies import place_vehicle
from scenelux.placement.boxes import blockers_of
from scenelux.scene.model import Body, Vehicle


def vehicle(**changes: object) -> Vehicle:
    body = Body(id="box", forward=[0, 6], left=[-1, 1], up=[0.5, 2.5])
    return Vehicle(**{"id": "truck", "bodies": (body,), **changes})


def test_a_vehicle_at_pose_zero_on_level_ground_has_the_site_frame() -> None:
    placed = place_vehicle(vehicle(), Ground())
    assert placed.to_site((1.0, 2.0, 3.0)) == pytest.approx((1.0, 2.0, 3.0))
    assert placed.reach_m() == pytest.approx((0.0, 6.0))
    assert placed.face_centre_m(rear=True) == pytest.approx((0.0, 0.0, 1.5))


def test_heading_turns_the_vehicle_about_its_origin() -> None:
    placed = place_vehicle(vehicle(position=[10, 3], heading=90), Ground())
    assert placed.to_site((2.0, 0.0, 1.0)) == pytest.approx((10.0, 5.0, 1.0))
    assert placed.to_site((0.0, 1.0, 1.0)) == pytest.approx((9.0, 3.0, 1.0))


def test_pitch_is_nose_down_and_roll_right_side_down() -> None:
    assert place_vehicle(vehicle(pitch=5), Ground()).to_site((6.0, 0.0, 0.0))[2] < 0.0
    assert place_vehicle(vehicle(roll=5), Ground()).to_site((0.0, -1.0, 0.0))[2] < 0.0


def test_ride_height_lifts_square_to_the_pavement() -> None:
    ground = Ground(grade=0.2)
    low, high = (place_vehicle(vehicle(ride_height=h), ground).to_site((3.0, 0.0, 1.0)) for h in (0.0, 0.1))
    assert np.subtract(high, low) == pytest.approx(0.1 * np.array(ground.normal))


@pytest.mark.parametrize("heading", [0, 37, 180, 251])
def test_wheels_stay_on_an_inclined_plane(heading: float) -> None:
    ground = Ground(grade=0.08, crossfall=0.025)
    placed = place_vehicle(vehicle(position=[4, -2], heading=heading), ground)
    for point in ((0, 0, 0), (6, 1, 0), (6, -1, 0)):
        along, left, up = placed.to_site(tuple(map(float, point)))
        assert up == pytest.approx(ground.height_m(along, left))
    forward = placed.axes[0]
    assert degrees(np.arctan2(forward[1], forward[0])) % 360 == pytest.approx(heading)


def test_grade_is_uphill_and_crossfall_falls_to_the_right() -> None:
    assert Ground(grade=0.1).height_m(10.0, 0.0) == pytest.approx(1.0)
    assert Ground(crossfall=0.02).height_m(0.0, -10.0) == pytest.approx(-0.2)
    forward = place_vehicle(vehicle(), Ground(grade=0.1)).axes[0]
    assert degrees(np.arcsin(forward[2])) == pytest.approx(degrees(atan(0.1)))


def test_blockers_carry_the_turned_boxes() -> None:
    door = Body(id="door", forward=[0, 1], left=[1, 1.1], up=[0.5, 2], turn=90)
    placed = place_vehicle(Vehicle(id="truck", bodies=(door,)), Ground())
    boxes = blockers_of(placed.bodies)
    assert boxes.centre_m[0] == pytest.approx((0.5, 1.05, 1.25))
    assert boxes.axes[0, 0] == pytest.approx((0.0, 1.0, 0.0))
    assert len(blockers_of(())) == 0


def test_a_raised_boom_is_no_part_of_the_faces() -> None:
    box = Body(id="box", forward=[0, 6], left=[-1, 1], up=[0.5, 2.5])
    boom = Body(id="boom", forward=[-3, 9], left=[1, 2], up=[5, 6])
    placed = place_vehicle(Vehicle(id="truck", bodies=(box, boom)), Ground())
    assert placed.reach_m() == pytest.approx((0.0, 6.0))
    assert placed.face_centre_m(rear=True) == pytest.approx((0.0, 0.0, 1.5))
    assert placed.face_centre_m(rear=False) == pytest.approx((6.0, 0.0, 1.5))


def test_height_above_the_ground_decides_what_is_low() -> None:
    box = Body(id="box", forward=[0, 6], left=[-1, 1], up=[0.5, 2.5])
    board = Body(id="board", forward=[-1, 0], left=[-1, 1], up=[1.9, 2.5])
    uphill = place_vehicle(Vehicle(id="truck", position=[200, 0], bodies=(box, board)), Ground(grade=0.05))
    assert uphill.rear_face_m() == pytest.approx(-1.1, abs=0.05)
    raised = Body(id="board", forward=[-1, 0], left=[-1, 1], up=[2.1, 2.5])
    assert place_vehicle(Vehicle(id="truck", bodies=(box, raised)), Ground()).rear_face_m() == 0.0


def test_a_vehicle_of_raised_bodies_alone_keeps_them() -> None:
    boom = Body(id="boom", forward=[-3, 9], left=[1, 2], up=[5, 6])
    assert place_vehicle(Vehicle(id="truck", bodies=(boom,)), Ground()).reach_m() == pytest.approx((-3.0, 9.0))
    assert place_vehicle(Vehicle(id="bare", position=[4, 0]), Ground()).reach_m() == (4.0, 4.0)


def test_the_rear_face_is_told_in_the_vehicles_own_plan() -> None:
    bumper = Body(id="bumper", forward=[-0.25, 6], left=[-1, 1], up=[0.5, 1])
    turned = place_vehicle(Vehicle(id="truck", position=[10, 3], heading=120, bodies=(bumper,)), Ground())
    assert turned.rear_face_m() == pytest.approx(-0.25)
    assert turned.plan_m(np.array([turned.to_site((2.0, -1.5, 0.7))]))[0] == pytest.approx((2.0, -1.5))
