"""The area of an opening as it is seen, beside the outline of its corners on a plane square to the way to the eye."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.engine import Lamps
from scenelux.geometry import aim_axes
from scenelux.study.openings import seen_area_m2
from tests.analytic_lamps import isotropic

SIZE = (0.4, 0.2, 0.1)


def lamps(heading: float, tilt: float, size: tuple[float, float, float], is_round: bool) -> Lamps:
    axes = aim_axes(heading, tilt)
    return Lamps.from_tables(
        [isotropic(1.0)], table=[0], position_m=[[0.0, 0.0, 0.0]], axes=[np.eye(3)],
        opening_m=[size], opening_axes=[axes], opening_round=[is_round],
    )  # fmt: skip


def outline_m2(lamp: Lamps, points: np.ndarray, towards: np.ndarray) -> float:
    """Area of the convex outline of points of an opening, by the shoelace of its corners in order."""
    from scipy.spatial import ConvexHull

    site = points * lamp.opening_m[0] @ lamp.opening_axes[0]
    across = np.cross(towards, [0.0, 0.0, 1.0])
    across /= np.linalg.norm(across)
    flat = np.stack((site @ across, site @ np.cross(across, towards)), axis=1)
    return float(ConvexHull(flat).volume)


@given(st.floats(-180, 180), st.floats(-80, 80), st.floats(-180, 180), st.floats(-80, 80))
def test_it_is_the_outline(heading: float, tilt: float, azimuth: float, elevation: float) -> None:
    towards = np.array(aim_axes(azimuth, elevation)[0])
    corners = np.array([(x, y, z) for x in (-0.5, 0.5) for y in (-0.5, 0.5) for z in (-0.5, 0.5)])
    box = lamps(heading, tilt, SIZE, False)
    assert seen_area_m2(box, towards[None])[0] == pytest.approx(outline_m2(box, corners, towards), rel=1e-9)
    turn = np.linspace(0, 2 * np.pi, 4001)
    rim = np.concatenate([np.stack((np.cos(turn) / 2, np.sin(turn) / 2, turn * 0 + z), axis=1) for z in (-0.5, 0.5)])
    drum = lamps(heading, tilt, SIZE, True)
    assert seen_area_m2(drum, towards[None])[0] == pytest.approx(outline_m2(drum, rim, towards), rel=1e-5)


def test_straight_on_it_is_the_face_and_from_the_side_nothing() -> None:
    flat = lamps(0.0, 0.0, (0.4, 0.2, 0.0), False)
    up, ahead = np.array([[0.0, 0.0, 1.0]]), np.array([[1.0, 0.0, 0.0]])
    assert seen_area_m2(flat, up)[0] == pytest.approx(0.08)
    assert seen_area_m2(flat, ahead)[0] == pytest.approx(0.0)
    assert seen_area_m2(lamps(0.0, 0.0, (0.4, 0.2, 0.0), True), up)[0] == pytest.approx(0.08 * np.pi / 4)
    assert seen_area_m2(lamps(0.0, 0.0, (0.0, 0.0, 0.0), False), up)[0] == 0.0


def test_several_eyes_at_once() -> None:
    flat = lamps(0.0, 0.0, (0.4, 0.2, 0.0), False)
    towards = np.array([[[0.0, 0.0, 1.0], [0.6, 0.0, 0.8]]])
    np.testing.assert_allclose(seen_area_m2(flat, towards), [[0.08, 0.064]])
