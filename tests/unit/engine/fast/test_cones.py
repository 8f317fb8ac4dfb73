"""The cone of a table holds all of its light, and is not much wider than that."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine.fast.cones import lit_cone
from tests.analytic_lamps import AnalyticTable, cosine_power


def test_all_light_lies_within_the_cone_of_random_tables() -> None:
    generator = np.random.default_rng(2)
    narrower = 0
    for _ in range(300):
        azimuth = np.r_[0.0, np.sort(generator.uniform(1, 359, 6)), 360.0]
        polar = np.r_[0.0, np.sort(generator.uniform(1, 179, 8)), 180.0]
        candela = generator.uniform(0, 100, (8, 10)) * (generator.random((8, 10)) < 0.15)
        cone = lit_cone(azimuth, polar, candela)
        a, p = generator.uniform(0, 360, 4000), generator.uniform(0, 180, 4000)
        i, j = np.searchsorted(azimuth, a) - 1, np.searchsorted(polar, p) - 1
        lit = candela[i, j] + candela[i + 1, j] + candela[i, j + 1] + candela[i + 1, j + 1] > 0.0
        a, p = np.radians(a[lit]), np.radians(p[lit])
        directions = np.stack((np.sin(p) * np.cos(a), np.sin(p) * np.sin(a), np.cos(p)), axis=1)
        assert (directions @ cone.axis >= cone.cosine - 1e-12).all()
        assert cone.cosine**2 + cone.sine**2 == pytest.approx(1.0)
        narrower += cone.cosine > -1.0
    assert narrower > 30


@pytest.mark.parametrize("edge_deg", [10.0, 60.0, 90.0, 140.0])
def test_a_beam_about_its_axis_has_its_own_edge(edge_deg: float) -> None:
    polar = np.arange(0.0, 181.0, 5.0)
    candela = np.where(polar < edge_deg, 100.0, 0.0)
    cone = lit_cone(np.array([0.0, 360.0]), polar, np.array([candela, candela]))
    assert cone.axis == (0.0, 0.0, 1.0)
    assert np.degrees(np.arccos(cone.cosine)) == pytest.approx(edge_deg)


def test_a_spot_to_the_side_has_a_cone_about_it() -> None:
    azimuth, polar = np.arange(0.0, 361.0, 5.0), np.arange(0.0, 181.0, 5.0)
    candela = np.zeros((len(azimuth), len(polar)))
    candela[17:20, 17:20] = 100.0  # 85 to 95 deg in both
    cone = lit_cone(azimuth, polar, candela)
    assert cone.axis[1] > 0.99
    assert np.degrees(np.arccos(cone.cosine)) < 25.0


def test_a_dark_table_and_one_lit_all_round() -> None:
    azimuth, polar = np.array([0.0, 360.0]), np.array([0.0, 90.0, 180.0])
    assert lit_cone(azimuth, polar, np.zeros((2, 3))).cosine == 1.0
    assert lit_cone(azimuth, polar, np.ones((2, 3))).cosine == -1.0


def test_a_beam_with_a_soft_edge_ends_where_it_is_dark() -> None:
    table: AnalyticTable = cosine_power(1000.0, 60.0)
    cone = lit_cone(table.azimuth_deg, table.polar_deg, table.candela)
    assert np.degrees(np.arccos(cone.cosine)) <= 91.0
