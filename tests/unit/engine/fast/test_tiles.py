"""Tiles: every point once, close together, with bounds that hold and coordinates that keep their digits."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Plane, tiled
from scenelux.engine.fast.tiles import CENTRE, HALF, HIGH, LOW, LOWEST, ROWS, SIZE

Floats = NDArray[np.float64]


def cloud(count: int) -> tuple[Floats, Floats]:
    generator = np.random.default_rng(count)
    normals = generator.normal(size=(count, 3))
    return generator.uniform([-50, -20, 0], [50, 20, 3], (count, 3)), normals / np.linalg.norm(normals, axis=1)[:, None]


@pytest.mark.parametrize("count", [1, 255, 256, 257, 5000])
def test_every_point_once_and_within_the_bounds_of_its_tile(count: int) -> None:
    points, normals = cloud(count)
    tiles = tiled(points, normals)
    arrays = tiles.arrays
    assert np.array_equal(np.sort(arrays.order), np.arange(count))
    assert (len(tiles), tiles.count) == (count, -(-count // SIZE))
    rows = arrays.rows.reshape(tiles.count, ROWS, SIZE)
    for tile, bounds in enumerate(arrays.bounds):
        here = arrays.order[tile * SIZE : (tile + 1) * SIZE]
        away, normals = points[here] - bounds[CENTRE:HALF], arrays.normals
        assert (np.abs(away) <= bounds[HALF:LOW] + 1e-12).all()
        assert (normals[here] >= bounds[LOW:HIGH]).all() and (normals[here] <= bounds[HIGH:LOWEST]).all()
        along = (away * normals[here]).sum(axis=1)
        assert along.min() == pytest.approx(bounds[LOWEST])
        filled = np.r_[np.arange(len(here)), np.full(SIZE - len(here), len(here) - 1)]
        wanted = np.c_[away, normals[here], along][filled].T
        np.testing.assert_allclose(rows[tile], wanted, rtol=1e-6, atol=1e-12)


def test_a_grid_falls_into_tiles_about_as_wide_as_long() -> None:
    x, y = np.meshgrid(np.arange(64.0), np.arange(64.0))
    tiles = tiled(np.c_[x.ravel(), y.ravel(), 0.0 * x.ravel()], (0, 0, 1))
    half = tiles.arrays.bounds[:, HALF:LOW]
    assert tiles.count == 16
    np.testing.assert_array_equal(half[:, :2], np.full((16, 2), 7.5))


def test_far_from_the_origin_points_keep_their_digits() -> None:
    points = np.array([[4e6, 5e6, 0.0]]) + np.random.default_rng(1).uniform(0, 1, (300, 3))
    arrays = tiled(points, (0, 0, 1)).arrays
    rows = arrays.rows.reshape(-1, ROWS, SIZE)
    for tile, bounds in enumerate(arrays.bounds):
        here = arrays.order[tile * SIZE : (tile + 1) * SIZE]
        back = rows[tile, :3, : len(here)].T.astype(np.float64) + bounds[CENTRE:HALF]
        np.testing.assert_allclose(back, points[here], atol=1e-7)


def test_equal_points_do_not_stop_the_halving() -> None:
    tiles = tiled(np.zeros((2000, 3)), (0, 0, 1), Plane.HEMISPHERICAL)
    assert np.array_equal(np.sort(tiles.arrays.order), np.arange(2000))
