"""Illuminance at the eye and glare angle."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.vision import eye_light


def test_light_from_behind_the_eye_does_not_count() -> None:
    light = eye_light([[100.0], [100.0]], [[2.0], [2.0]], [[[-2.0, 0.1, 0.0]], [[0.0, 2.0, 0.0]]], (1.0, 0.0, 0.0))
    assert light.illuminance_lx.tolist() == [[0.0], [0.0]]
    assert light.angle_deg.ravel() == pytest.approx([180.0 - np.degrees(np.arctan(0.05)), 90.0])


def test_small_angles_are_exact() -> None:
    """The arc cosine would lose half of the digits here."""
    small = np.radians(1e-5)
    light = eye_light([[1.0]], [[1.0]], [[[np.cos(small), np.sin(small), 0.0]]], (1.0, 0.0, 0.0))
    assert light.angle_deg[0, 0] == pytest.approx(1e-5, rel=1e-9)


def test_one_gaze_for_all_stations_or_one_for_each() -> None:
    to_lamp = np.array([[[10.0, 0.0, 0.0], [10.0, 0.0, 0.0]]])
    each = eye_light([[5.0, 5.0]], [[10.0, 10.0]], to_lamp, [[1.0, 0.0, 0.0], [0.0, 2.0, 2.0]])
    assert each.angle_deg.tolist() == [[0.0, pytest.approx(90.0)]]
    assert each.illuminance_lx == pytest.approx(np.array([[0.05, 0.0]]))


def test_length_of_gaze_and_direction_do_not_matter() -> None:
    one = eye_light([[5.0]], [[10.0]], [[[9.0, 3.0, 1.0]]], (1.0, 0.2, 0.0))
    other = eye_light([[5.0]], [[10.0]], [[[18.0, 6.0, 2.0]]], (5.0, 1.0, 0.0))
    assert one.illuminance_lx == pytest.approx(other.illuminance_lx, rel=1e-15)
    assert one.angle_deg == pytest.approx(other.angle_deg, rel=1e-13)
