"""Light thrown back by the air in a picture, against the pure function of vision with dense samples."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Blockers, Camera, GroundPlane, first_hits, sight
from scenelux.engine.image.air import Haze, airlight
from scenelux.errors import UsageError
from scenelux.vision import backscatter_luminance, extinction_per_m, henyey_greenstein
from tests.analytic_lamps import beam_axes, cosine_power, isotropic, point_lamps

Floats = NDArray[np.float64]

VISIBILITY_M, ASYMMETRY = 120.0, 0.7
HAZE = Haze.of(float(extinction_per_m(VISIBILITY_M)), lambda angle_deg: henyey_greenstein(angle_deg, ASYMMETRY))
LAMPS = point_lamps(
    [isotropic(800.0), cosine_power(5000.0, 8.0)],
    [[40.0, 2.0, 3.0], [-2.0, -0.6, -0.5]],
    [beam_axes(0.0, 0.0), beam_axes(0.0, -3.0)],
)
"""One ahead of the eye, and one beside it that shines ahead."""


def picture() -> tuple[Camera, NDArray[np.float32]]:
    camera = Camera.pinhole((0.0, 0.0, 1.2), np.eye(3), 40, 24, field_deg=30)
    wall = Blockers.boxes([[60.0, 4.0, 2.0]], [[1.0, 3.0, 3.0]])
    return camera, first_hits(camera, wall, GroundPlane.through()).distance_m


def literal(way: Floats, end_m: float, lamp: int) -> float:
    """One line of sight in 20,000 steps."""
    eye = np.array([0.0, 0.0, 1.2])
    along = np.linspace(0.0, min(end_m, 1500.0), 20001)
    points = eye + along[:, None] * way
    seen = sight(LAMPS, Blockers.none(), points)
    from_lamp, distance = -seen.direction[lamp], seen.distance_m[lamp]
    angle = np.degrees(np.arccos(np.clip(from_lamp @ -way, -1.0, 1.0)))
    lux = seen.candela[lamp] / distance**2
    air = {"visibility_m": VISIBILITY_M, "asymmetry": ASYMMETRY}
    return float(backscatter_luminance(along, lux, distance, angle, **air))


@pytest.mark.parametrize("lamp", [0, 1])
def test_every_line_of_sight_is_the_integral_along_it(lamp: int) -> None:
    camera, distance = picture()
    found = airlight(camera, distance, LAMPS, HAZE, apart=True)[lamp]
    ways = camera.directions()
    for row, column in ((2, 3), (12, 20), (20, 31), (10, 16), (23, 0)):
        expected = literal(ways[row, column], float(distance[row, column]), lamp)
        assert found[row, column] == pytest.approx(expected, rel=0.01)


def test_lamps_add_and_levels_count() -> None:
    camera, distance = picture()
    apart = airlight(camera, distance, LAMPS, HAZE, apart=True)
    both = airlight(camera, distance, LAMPS, HAZE, levels=[0.5, 2.0])[0]
    assert both == pytest.approx(0.5 * apart[0] + 2.0 * apart[1], rel=2e-3)


def test_fewer_lines_of_sight_draw_nearly_the_same() -> None:
    camera = Camera.pinhole((0.0, 0.0, 1.2), np.eye(3), 640, 360, field_deg=30)
    wall = Blockers.boxes([[60.0, 4.0, 2.0]], [[1.0, 3.0, 3.0]])
    distance = first_hits(camera, wall, GroundPlane.through()).distance_m
    each = airlight(camera, distance, LAMPS, HAZE)[0]
    some = airlight(camera, distance, LAMPS, HAZE, every=4)[0]
    apart = np.abs(some / each - 1.0)
    assert np.median(apart) < 1e-3
    assert np.quantile(apart, 0.99) < 0.03


def test_results_do_not_depend_on_threads() -> None:
    camera, distance = picture()
    one, three = (airlight(camera, distance, LAMPS, HAZE, threads=threads).tobytes() for threads in (1, 3))
    assert one == three


def test_clear_air_is_no_haze() -> None:
    with pytest.raises(UsageError, match="clear air"):
        Haze.of(0.0, lambda angle_deg: angle_deg)
    side = Camera.side_view((0, 0, 1), np.eye(3), 4, 4, field_m=2)
    with pytest.raises(UsageError, match="no eye"):
        airlight(side, np.ones((4, 4), np.float32), LAMPS, HAZE)
