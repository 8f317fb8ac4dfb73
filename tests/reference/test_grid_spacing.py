"""Spacing of grid points against the rule p = 0.2 * 5^log10(d) and its printed table (EN 12464, unconfirmed)."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from scenelux.grids import cells_of_published_rule, published_spacing_m

Agreement = Callable[..., None]


@pytest.mark.parametrize(
    ("side", "exact", "rounding"),
    [(0.4, 0.1054, 5e-5), (1, 0.2, 1e-12), (2, 0.3247, 5e-5), (10, 1.0, 1e-12), (25, 1.8974, 5e-5), (100, 5.0, 1e-12)],
)
def test_exact_spacing(agreement: Agreement, side: float, exact: float, rounding: float) -> None:
    source = "calculated from the stated formula of EN 12464"
    agreement(f"grid spacing, side {side} m [m]", exact, published_spacing_m(side), source, "calculated", rounding)
    assert published_spacing_m(side) == pytest.approx(0.2 * math.exp(math.log(5) * math.log10(side)), rel=1e-12)


TABLE = [  # longer side, printed spacing, half of its one significant figure, printed number of points
    (1.0, 0.20, 0.05, 5),
    (2.0, 0.30, 0.05, 6),
    (5.0, 0.60, 0.05, 8),
    (10.0, 1.00, 0.5, 10),
    (25.0, 2.00, 0.5, 12),
    (50.0, 3.00, 0.5, 17),
    (100.0, 5.00, 0.5, 20),
]


@pytest.mark.parametrize(("side", "printed", "rounding", "points"), TABLE)
def test_printed_table(agreement: Agreement, side: float, printed: float, rounding: float, points: int) -> None:
    source = "EN 12464-1 table, as quoted by a trade page, one significant figure"
    ours = published_spacing_m(side)
    agreement(f"grid spacing by the printed table, side {side:g} m [m]", printed, ours, source, "unconfirmed", rounding)
    rows, columns = cells_of_published_rule(side, side)
    assert rows == columns
    assert points <= rows <= points + 2  # never coarser than the printed table
    assert side / rows <= ours * (1 + 1e-9)


@pytest.mark.parametrize(("side", "printed", "points"), [(0.40, 0.15, 3), (0.60, 0.20, 3)])
def test_small_areas_of_the_table_differ_from_the_formula(side: float, printed: float, points: int) -> None:
    """Below 1 m the table is coarser than its formula; the formula is followed."""
    assert published_spacing_m(side) < printed
    assert cells_of_published_rule(side, side)[0] >= points
