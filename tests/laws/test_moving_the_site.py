"""Where a site lies and how it is turned changes nothing; turning the truck on it turns its light."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, Plane, covered, illuminance, sight
from scenelux.geometry import aim_axes
from tests.analytic_lamps import beam_axes, cosine_power

pytestmark = pytest.mark.usefixtures("precision")

NOISE = 0.0  # What the path may lose; the fixture says it.

Floats = NDArray[np.float64]

modest = settings(max_examples=25, deadline=None, derandomize=True, database=None)

angles = st.floats(-180, 180)
lengths = st.floats(-1000, 1000)
UP = np.array([0.0, 0.0, 1.0])


def truck(rotation: Floats, shift: Floats) -> tuple[Lamps, Blockers]:
    """A truck with two tail floods with openings, one side lamp and three bodies, turned and then moved."""
    poses = np.array([beam_axes(180, -35), beam_axes(180, -35, 10), beam_axes(90, -20)])
    places = np.array([[0, 0.97, 2.36], [0, -0.97, 2.36], [3, 1.2, 2.0]])
    lamps = Lamps.from_tables(
        [cosine_power(3900, 4.8), cosine_power(900, 2)],
        table=[0, 0, 1],
        position_m=places @ rotation.T + shift,
        axes=poses @ rotation.T,
        opening_m=[[0.25, 0.1, 0], [0.2, 0.2, 0], [0, 0, 0]],
        opening_axes=poses @ rotation.T,
        opening_round=[False, True, False],
    )
    centres = np.array([[3.5, 0, 1.5], [-0.3, 0, 0.6], [6, 0.5, 2.7]])
    halves = [[3.5, 1.2, 1.0], [0.3, 1.2, 0.1], [0.5, 0.2, 0.2]]
    turned = np.array([aim_axes(0, 0), aim_axes(0, 0), aim_axes(30, 20)])
    return lamps, Blockers.boxes(centres @ rotation.T + shift, halves, turned @ rotation.T)


def some_points() -> tuple[Floats, Floats]:
    generator = np.random.default_rng(9)
    return generator.uniform([-6, -5, 0], [8, 5, 2], (60, 3)), generator.normal(size=(60, 3))


STILL = np.zeros(3)


@modest
@given(heading=angles, tilt=angles, roll=angles, x=lengths, y=lengths, z=lengths, plane=st.sampled_from(list(Plane)))
def test_moving_and_turning_everything_changes_nothing(
    heading: float, tilt: float, roll: float, x: float, y: float, z: float, plane: Plane
) -> None:
    rotation, shift = np.array(aim_axes(heading, tilt, roll)).T, np.array([x, y, z])
    points, normals = some_points()
    before = illuminance(*truck(np.eye(3), STILL), points, normals, plane, up=UP)
    after = illuminance(
        *truck(rotation, shift), points @ rotation.T + shift, normals @ rotation.T, plane, up=rotation @ UP
    )
    assert after == pytest.approx(before, rel=1e-9 + NOISE, abs=(1e-9 + NOISE) * before.max())
    assert 0.1 < (before > 0).mean() < 0.9


@modest
@given(heading=angles, tilt=angles, roll=angles, x=lengths, y=lengths, z=lengths)
def test_eyes_too(heading: float, tilt: float, roll: float, x: float, y: float, z: float) -> None:
    rotation, shift = np.array(aim_axes(heading, tilt, roll)).T, np.array([x, y, z])
    eyes, _ = some_points()
    before = sight(*truck(np.eye(3), STILL), eyes)
    after = sight(*truck(rotation, shift), eyes @ rotation.T + shift)
    assert after.candela == pytest.approx(before.candela, rel=1e-9, abs=1e-6)
    assert after.distance_m == pytest.approx(before.distance_m, rel=1e-9)
    assert after.direction == pytest.approx(before.direction @ rotation.T, abs=1e-9)
    assert (after.clear == before.clear).all()


@modest
@given(turn=angles)
def test_turning_the_truck_turns_the_map(turn: float) -> None:
    """The map of a truck on a level site, read at points turned with it, is the map of the truck as it stood."""
    rotation = np.array(aim_axes(turn, 0)).T
    x, y = np.meshgrid(np.linspace(-8, 10, 19), np.linspace(-7, 7, 15))
    points = np.c_[x.ravel(), y.ravel(), np.zeros(x.size)]
    before = illuminance(*truck(np.eye(3), STILL), points, UP)
    after = illuminance(*truck(rotation, STILL), points @ rotation.T, UP)
    assert after == pytest.approx(before, rel=1e-9 + NOISE, abs=(1e-9 + NOISE) * before.max())
    floor = np.zeros(len(points))
    one, two = truck(np.eye(3), STILL)[1], truck(rotation, STILL)[1]
    # Points on the outline may fall either way; none of these lies on it.
    assert (covered(one, points, floor) == covered(two, points @ rotation.T, floor)).all()
    # The turned map read at the points that did not turn is another one, unless the truck came round.
    if 10 < abs(turn) < 350:
        assert np.abs(illuminance(*truck(rotation, STILL), points, UP) - before).max() > 1.0
