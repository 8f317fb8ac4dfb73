"""Numbers of cells, their centres, and polygons."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.errors import LimitError, UsageError
from scenelux.grids import (
    cell_centres,
    cells_of_published_rule,
    cells_of_spacing,
    inside_polygon,
    published_spacing_m,
)

SIDE = st.floats(0.2, 300.0)


@given(along=SIDE, left=SIDE)
def test_published_rule_keeps_spacing_and_shape_of_cells(along: float, left: float) -> None:
    rows, columns = cells_of_published_rule(along, left)
    cell = (along / rows, left / columns)
    assert max(cell) <= published_spacing_m(max(along, left)) * (1 + 1e-6)
    assert 0.5 - 1e-6 <= cell[0] / cell[1] <= 2.0 + 1e-6


@given(along=SIDE, left=SIDE)
def test_published_rule_treats_both_sides_alike(along: float, left: float) -> None:
    assert cells_of_published_rule(along, left) == cells_of_published_rule(left, along)[::-1]


def test_published_spacing_stops_at_ten_metres() -> None:
    assert published_spacing_m(268.0) < 10.0
    assert published_spacing_m(270.0) == published_spacing_m(5000.0) == 10.0


@pytest.mark.parametrize(
    ("along", "left", "spacing", "cells"), [(7.62, 3.6576, 0.3048, (25, 12)), (1, 1, 0.3, (4, 4)), (0.3, 5, 1, (1, 5))]
)
def test_fixed_spacing_gives_equal_cells_no_larger(
    along: float, left: float, spacing: float, cells: tuple[int, int]
) -> None:
    assert cells_of_spacing(along, left, spacing) == cells


def test_centres_of_the_check_case_lie_in_the_middle_of_their_cells_row_by_row() -> None:
    centres = cell_centres((0.0, -3.048), (-1.524, 1.524), 7, 7)
    slow = [(-3.048 + (r + 0.5) * 3.048 / 7, -1.524 + (c + 0.5) * 3.048 / 7) for r in range(7) for c in range(7)]
    assert centres == pytest.approx(np.array(slow), abs=1e-15)
    assert centres.shape == (49, 2)


@given(rows=st.integers(1, 40), columns=st.integers(1, 40))
def test_centres_average_to_the_middle(rows: int, columns: int) -> None:
    assert cell_centres((2.0, 5.0), (-1.0, 4.0), rows, columns).mean(axis=0) == pytest.approx([3.5, 1.5])


def test_too_many_points_are_refused_before_they_are_made() -> None:
    with pytest.raises(LimitError, match="20000 x 20000 points; choose a larger spacing"):
        cells_of_spacing(20.0, 20.0, 0.001)
    with pytest.raises(LimitError):
        cell_centres((0.0, 1.0), (0.0, 1.0), 10**9, 10**9)


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan, np.inf])
def test_lengths_that_are_none(bad: float) -> None:
    for call in (
        lambda: published_spacing_m(bad),
        lambda: cells_of_spacing(bad, 1.0, 1.0),
        lambda: cells_of_spacing(1.0, 1.0, bad),
    ):
        with pytest.raises(UsageError):
            call()


def test_polygon_with_a_notch() -> None:
    shape = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 1.0), (0.0, 4.0)]
    points = np.array([[2.0, 0.5], [2.0, 2.0], [0.5, 3.0], [3.5, 3.0], [-0.1, 1.0], [4.0, 2.0], [2.0, 1.0], [0.0, 0.0]])
    expected = [True, False, True, True, False, True, True, True]  # the edge and the corners belong
    assert inside_polygon(points, shape).tolist() == expected
    assert inside_polygon(points, shape[::-1]).tolist() == expected


@given(angle=st.floats(0.0, 6.28), x=st.floats(-2.0, 2.0), y=st.floats(-2.0, 2.0))
def test_a_triangle_against_the_sign_of_three_areas(angle: float, x: float, y: float) -> None:
    corners = [(np.cos(angle + k * 2.0943951), np.sin(angle + k * 2.0943951)) for k in range(3)]
    signs = [
        (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)
    ]
    if min(abs(sign) for sign in signs) > 1e-6:
        assert bool(inside_polygon(np.array([[x, y]]), corners)[0]) == (min(signs) > 0)


def test_two_corners_are_no_polygon() -> None:
    with pytest.raises(UsageError, match="three corners or more"):
        inside_polygon(np.zeros((1, 2)), [(0, 0), (1, 1)])
