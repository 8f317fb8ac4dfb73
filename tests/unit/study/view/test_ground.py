"""Lane markings: where they lie, how much of a pixel they fill, and how they follow a curve."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Blockers, Camera, GroundPlane, first_hits, hit_points
from scenelux.placement import Ground, Road
from scenelux.scene.model import Lane
from scenelux.study.view.ground import Line, lane_lines, painted
from scenelux.study.view.image import setting
from scenelux.study.view.tables import markings
from tests.driver_scenes import placed_scene

LOOK = markings()
GROUND = GroundPlane.through()


def lane(left: float, direction: str = "same") -> Lane:
    return Lane(id=f"at {left}", centre_left=left, width=3.5, direction=direction)  # type: ignore[call-arg]


def test_lines_between_and_beside_lanes() -> None:
    lines = lane_lines([lane(1.75), lane(5.25), lane(8.75, "opposite")])
    assert [(line.left_m, line.dashed) for line in lines] == [(0.0, False), (3.5, True), (7.0, False), (10.5, False)]
    assert lane_lines([]) == ()


def test_no_lines_on_snow(tmp_path: Path) -> None:
    lines = {name: setting(placed_scene(tmp_path, surface=name)).lines for name in ("snow", "concrete")}
    assert lines["snow"] == () and len(lines["concrete"]) == 2


def test_paint_from_above_covers_its_width_and_its_share_of_dashes() -> None:
    eye = Camera.pinhole((0.0, 0.0, 2000.0), [[0, 0, -1], [0, 1, 0], [1, 0, 0]], 400, 960, field_deg=0.2864789)
    hits = first_hits(eye, Blockers.none(), GROUND)
    solid, dashed = (painted(hits, [Line(1.0, one)], LOOK, None) for one in (False, True))
    square_m = (2.0 * np.tan(np.radians(0.5 * 0.2864789)) / 400 * 2000.0) ** 2
    assert solid.sum() * square_m == pytest.approx(LOOK.width_m * 24.0, rel=1e-3)
    assert dashed.sum() / solid.sum() == pytest.approx(LOOK.line_m / (LOOK.line_m + LOOK.gap_m), rel=0.01)


def test_a_line_thinner_than_a_pixel_is_a_share_of_it() -> None:
    """Far away no line jumps in and out of pixels: over a row its paint is its width, whatever the pixels."""
    for width in (64, 160, 640):
        camera = Camera.pinhole((0.0, 0.5, 1.2), np.eye(3), width, width // 2, field_deg=20)
        hits = first_hits(camera, Blockers.none(), GROUND)
        share = painted(hits, [Line(0.0, False)], LOOK, None)
        row = int(0.6 * width // 2)
        points, _ = hit_points(hits, np.arange(width // 2)[:, None] == np.full((1, width), row))
        across = np.abs(np.diff(points[:, 1])).mean()
        assert share[row].sum() * across == pytest.approx(LOOK.width_m, rel=0.01)


def test_lines_follow_the_curve_that_is_driven() -> None:
    road = Road(Ground(), (0.0, 3.0), 1, 300.0, ())
    at = np.array([20.0, 60.0, 100.0])
    centre, axes = road.points_m(at), road.axes(at)
    edge = centre + 1.75 * axes[:, 1]
    camera = Camera.towards(road.points_m(np.array([140.0]))[0] + [0, 0, 30.0], centre[1], 800, 600, field_deg=70)
    hits = first_hits(camera, Blockers.none(), GROUND)
    curved = painted(hits, [Line(4.75, False)], LOOK, road)
    straight = painted(hits, [Line(4.75, False)], LOOK, None)
    columns, rows, _ = camera.pixels_of(edge)
    for column, row in zip(columns, rows, strict=True):
        near = np.s_[int(row) - 1 : int(row) + 3, int(column) - 1 : int(column) + 3]
        assert curved[near].max() > 0.3
    far = np.s_[int(rows[2]) - 2 : int(rows[2]) + 4, int(columns[2]) - 2 : int(columns[2]) + 4]
    assert straight[far].max() == 0.0
