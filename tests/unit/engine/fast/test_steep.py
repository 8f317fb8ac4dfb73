"""Cells that are too steep for single precision, and the points that look into them."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, illuminance
from scenelux.engine.fast.steep import steep_cells
from tests.analytic_lamps import AnalyticTable, one_lamp, rotational

Floats = NDArray[np.float64]


def steep(table: AnalyticTable) -> list[list[bool]]:
    found: list[list[bool]] = steep_cells(table.azimuth_deg, table.polar_deg, table.candela).tolist()
    return found


@pytest.mark.parametrize("peak", [1e-3, 1.0, 1e6])
@pytest.mark.parametrize(("fall_deg", "is_steep"), [(0.1, True), (1.0, True), (2.0, True), (2.5, False), (20.0, False)])
def test_a_fall_from_all_to_nothing_is_steep_within_two_degrees(peak: float, fall_deg: float, is_steep: bool) -> None:
    assert steep(rotational([0, 20, 20 + fall_deg, 180], [peak, peak, 0, 0])) == [[False, is_steep, False]]


def test_a_small_step_may_be_narrow() -> None:
    assert steep(rotational([0, 20, 20.01, 180], [1000, 1000, 990, 990])) == [[False, True, False]]
    assert steep(rotational([0, 20, 20.01, 180], [1000, 1000, 999, 999])) == [[False, False, False]]


def test_round_the_axis_steps_grow_towards_the_poles() -> None:
    around = np.array([[0.0, 1.0, 1.0, 1.0, 0.0], [0.0, 0.0, 0.0, 0.0, 0.0], [0.0, 1.0, 1.0, 1.0, 0.0]])
    table = AnalyticTable(np.array([0.0, 10.0, 360.0]), np.array([0.0, 5.0, 90.0, 170.0, 180.0]), around)
    assert steep(table)[0] == [True, True, True, True] and steep(table)[1] == [False, False, False, False]
    wide = AnalyticTable(np.array([0.0, 90.0, 360.0]), np.array([0.0, 5.0, 90.0, 170.0, 180.0]), around)
    assert steep(wide) == [[False] * 4] * 2


def test_a_pole_with_several_intensities_is_steep_and_one_with_one_is_not() -> None:
    azimuth, polar = np.array([0.0, 120.0, 240.0, 360.0]), np.array([0.0, 30.0, 90.0])
    several = np.array([[100, 90, 0], [97, 90, 0], [102, 90, 0], [100, 90, 0]], dtype=float)
    assert steep(AnalyticTable(azimuth, polar, several)) == [[True, False]] * 3
    several[:, 0] = 100.0 + 1e-4 * (several[:, 0] - 100.0)
    assert steep(AnalyticTable(azimuth, polar, several)) == [[False, False]] * 3


def test_dark_tables_are_not_steep() -> None:
    assert steep(rotational([0, 0.1, 90], [0, 0, 0])) == [[False, False]]


def lit(lamp: Lamps, points: Floats) -> tuple[Floats, Floats]:
    at = (lamp, Blockers.none(), points, (0, 0, 1))
    return illuminance(*at, precision="fast")[0], illuminance(*at, precision="exact")[0]


@pytest.mark.parametrize("spacing_deg", [0.25, 0.2537])
def test_points_in_steep_cells_are_those_of_the_exact_path(spacing_deg: float) -> None:
    """A lamp 2 m up with an edge of a quarter of a degree, on a grid of bins and on none."""
    edge = 40 * spacing_deg
    polar = np.r_[0.0, edge, edge + spacing_deg, 180.0]
    lamp = one_lamp(rotational(polar, [100, 100, 0, 0]), [0, 0, 2], [[1, 0, 0], [0, -1, 0], [0, 0, -1]])
    away = 2.0 * np.tan(np.radians(np.linspace(0.0, 1.3 * edge, 4000)))
    turn = np.linspace(0.0, 40.0, 4000)
    fast, exact = lit(lamp, np.c_[away * np.cos(turn), away * np.sin(turn), 0.0 * away])
    angle = np.degrees(np.arctan(away / 2.0))
    inside = (angle > edge) & (angle < edge + spacing_deg)
    assert inside.sum() > 50
    assert (fast[inside] == exact[inside]).all()
    assert (fast[~inside] != exact[~inside]).any()
    assert np.abs(fast - exact).max() <= 1e-6 * exact.max()
