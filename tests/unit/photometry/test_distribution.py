from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.photometry import IntensityDistribution, Opening, direction


def lamp() -> IntensityDistribution:
    candela = [[10, 20, 30], [40, 80, 20], [7, 9, 11], [10, 20, 30]]
    return IntensityDistribution("C", [0, 90, 200, 360], [0, 10, 90], candela)


def slow_bilinear(d: IntensityDistribution, h: float, v: float) -> float:
    """The four corners around a place, written out."""
    hs, vs, c = d.horizontal_deg.tolist(), d.vertical_deg.tolist(), d.candela.tolist()
    for i in range(len(hs) - 1):
        for j in range(len(vs) - 1):
            if hs[i] <= h <= hs[i + 1] and vs[j] <= v <= vs[j + 1]:
                s, t = (h - hs[i]) / (hs[i + 1] - hs[i]), (v - vs[j]) / (vs[j + 1] - vs[j])
                low = c[i][j] * (1 - t) + c[i][j + 1] * t
                high = c[i + 1][j] * (1 - t) + c[i + 1][j + 1] * t
                return low * (1 - s) + high * s
    return 0.0


def test_bilinear_in_the_angles_of_the_file_also_with_unequal_steps() -> None:
    rng = np.random.default_rng(5)
    for h, v in zip(rng.uniform(0, 360, 200), rng.uniform(0, 120, 200), strict=True):
        assert float(lamp().candela_at(h, v)) == pytest.approx(slow_bilinear(lamp(), h, v), rel=1e-13, abs=1e-13)


def test_zero_outside_and_the_end_angles_belong() -> None:
    assert lamp().candela_at(0, [90, 90 + 5e-7, 90.001]).tolist() == [30, 30, 0]


def test_c_wraps_around() -> None:
    assert lamp().candela_at([-270, 90, 450], 10).tolist() == [80, 80, 80]


@pytest.mark.parametrize("kind", ["A", "B"])
def test_no_light_behind_types_a_and_b(kind: str) -> None:
    flat = IntensityDistribution(kind, [-90, 90], [-90, 90], [[5, 5], [5, 5]])
    beam = np.array((1.0, 0, 0)) if kind == "A" else np.array((0, 0, -1.0))
    assert float(flat.intensity(beam)) == 5
    assert float(flat.intensity(-beam)) == 0
    assert float(flat.intensity(direction(kind, -30, 50))) == pytest.approx(5)


def test_arrays_are_copies_and_read_only() -> None:
    table = np.ones((2, 2))
    made = IntensityDistribution("C", [0, 360], [0, 90], table)
    table[:] = 9
    assert made.candela.max() == 1
    with pytest.raises(ValueError, match="read-only"):
        made.candela[0, 0] = 3


@pytest.mark.parametrize(
    ("kind", "h", "v", "candela"),
    [
        ("C", [0, 350], [0, 90], [[1, 1]] * 2),
        ("C", [0, 360], [0, 190], [[1, 1]] * 2),
        ("C", [0, 360], [90, 0], [[1, 1]] * 2),
        ("C", [0, 360], [0, 0], [[1, 1]] * 2),
        ("C", [0, 360], [0, 90], [[1, 1, 1]] * 2),
        ("C", [0, 360], [0, 90], [[1, -1]] * 2),
        ("C", [0, 360], [0, 90], [[1, np.nan]] * 2),
        ("B", [-91, 90], [-90, 90], [[1, 1]] * 2),
        ("A", [0], [-90, 90], [[1, 1]]),
        ("C", [0, np.nan], [0, 90], [[1, 1]] * 2),
    ],
)
def test_what_is_no_distribution_is_refused(kind: str, h: object, v: object, candela: object) -> None:
    with pytest.raises(UsageError):
        IntensityDistribution(kind, h, v, candela)


def test_an_opening_without_figures_is_a_point() -> None:
    assert Opening().size_m == (0, 0, 0)
