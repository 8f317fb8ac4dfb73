"""Numbers of grid points against the printed table of EN 12464-1 (unconfirmed)."""

from __future__ import annotations

import pytest

from scenelux.grids import cells_of_published_rule, published_spacing_m

POINTS = {1.0: 5, 2.0: 6, 5.0: 8, 10.0: 10, 25.0: 12, 50.0: 17, 100.0: 20}
"""Longer side [m] -> number of points as the table of EN 12464-1 prints it (quoted by a trade page)."""


@pytest.mark.parametrize(("side", "points"), POINTS.items())
def test_printed_numbers_of_points(side: float, points: int) -> None:
    rows, columns = cells_of_published_rule(side, side)
    assert rows == columns
    assert points <= rows <= points + 2  # never coarser than the printed table
    assert side / rows <= published_spacing_m(side) * (1 + 1e-9)


@pytest.mark.parametrize(("side", "printed", "points"), [(0.40, 0.15, 3), (0.60, 0.20, 3)])
def test_small_areas_of_the_table_differ_from_the_formula(side: float, printed: float, points: int) -> None:
    """Below 1 m the table is coarser than its formula; the formula is followed."""
    assert published_spacing_m(side) < printed
    assert cells_of_published_rule(side, side)[0] >= points
