"""Tables made ready: cells hold the listed intensities, every angle finds its cell, what lies outside is dark."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine.fast.tables import MOST_BINS, Axis, fast_table

Floats = NDArray[np.float64]


def _place(axis: Axis, angle_deg: float) -> tuple[int, float]:
    """Interval of an angle and how far along it, the way the stages find it, in double precision."""
    place = angle_deg * axis.quarter / 90.0
    j = int(axis.first[min(int(place), len(axis.first) - 1)])
    for _ in range(axis.steps):
        if j + 1 < len(axis.knots) - 1 and place >= axis.knots[j + 1]:
            j += 1
    return j, (place - axis.knots[j]) / (axis.knots[j + 1] - axis.knots[j])


def _candela(azimuth: Floats, polar: Floats, candela: Floats, at: tuple[float, float]) -> float:
    table = fast_table(azimuth, polar, candela)
    i, u = _place(table.azimuth, at[0])
    j, v = _place(table.polar, at[1])
    one, two, three, four = table.corners[i, j].astype(np.float64)
    return float((1 - u) * ((1 - v) * one + v * two) + u * ((1 - v) * three + v * four))


GRIDS = {
    "even": (np.arange(0.0, 361.0, 15.0), np.arange(0.0, 91.0, 2.5), False),
    "on a grid of 2.5 deg": (np.array([0.0, 45.0, 90.0, 360.0]), np.array([0.0, 2.5, 7.5, 30.0, 90.0]), False),
    "on no grid": (np.array([0.0, 33.3331, 190.12345, 360.0]), np.array([0.0, 1.234567, 7.7, 50.123457, 180.0]), True),
    "a window": (np.array([300.0, 310.0, 360.0]), np.array([40.0, 60.0, 70.0]), False),
}


@pytest.mark.parametrize("name", GRIDS)
def test_any_direction_finds_the_bilinear_intensity(name: str) -> None:
    azimuth, polar, uneven = GRIDS[name]
    generator = np.random.default_rng(1)
    candela = generator.uniform(0, 1000, (len(azimuth), len(polar)))
    assert fast_table(azimuth, polar, candela).uneven == uneven
    for _ in range(200):
        a, p = generator.uniform(azimuth[0], azimuth[-1]), generator.uniform(polar[0], polar[-1])
        i = min(int(np.searchsorted(azimuth, a, side="right")) - 1, len(azimuth) - 2)
        j = min(int(np.searchsorted(polar, p, side="right")) - 1, len(polar) - 2)
        u, v = (a - azimuth[i]) / (azimuth[i + 1] - azimuth[i]), (p - polar[j]) / (polar[j + 1] - polar[j])
        wanted = (1 - u) * ((1 - v) * candela[i, j] + v * candela[i, j + 1])
        wanted += u * ((1 - v) * candela[i + 1, j] + v * candela[i + 1, j + 1])
        assert _candela(azimuth, polar, candela, (a, p)) == pytest.approx(wanted, rel=1e-6, abs=1e-4)


def test_outside_the_table_is_dark() -> None:
    azimuth, polar, _ = GRIDS["a window"]
    candela = np.full((3, 3), 700.0)
    for at in ((299.0, 50.0), (0.0, 50.0), (120.0, 50.0), (320.0, 39.0), (320.0, 71.0), (320.0, 179.0)):
        assert _candela(azimuth, polar, candela, at) == 0.0
    assert fast_table(azimuth, polar, candela).ends


def test_only_loose_ends_need_care() -> None:
    round_about, down = np.array([0.0, 360.0]), np.array([0.0, 45.0, 90.0])
    lit, fading = np.full((2, 3), 5.0), np.array([[5.0, 2.0, 0.0]] * 2)
    assert fast_table(round_about, down, lit).ends  # light falls off a cliff at 90 deg
    assert not fast_table(round_about, down, fading).ends
    assert fast_table(np.array([0.0, 90.0]), down, fading).ends  # a quarter of the circle


def test_the_same_content_is_made_ready_once() -> None:
    azimuth, polar, _ = GRIDS["even"]
    candela = np.ones((len(azimuth), len(polar)))
    assert fast_table(azimuth, polar, candela) is fast_table(azimuth.copy(), polar.copy(), candela.copy())


def test_bins_of_a_table_with_narrow_intervals_are_bounded() -> None:
    polar = np.array([0.0, 1e-4, 2.3e-4, 33.3333337, 180.0])
    table = fast_table(np.array([0.0, 360.0]), polar, np.ones((2, 5)))
    assert table.uneven and table.polar.quarter == MOST_BINS
    assert table.polar.steps == 2  # three listed angles in the first bin
