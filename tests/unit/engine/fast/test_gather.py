"""Look-up of eight points at once beside the same formula in numpy; turns that no two threads get alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled
from scenelux.engine.fast.gather import EIGHT, eight_lights, element, next_turn
from scenelux.engine.threads import together

Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]

V, U, FACTOR, LUX = 3, 40, 80, 120
"""Starts of the four rows in the scratch block: at odd places, since nothing promises even ones."""


@compiled
def _look_up(corners: Singles, cells: Shorts, s: Singles, first: int) -> None:
    eight_lights(corners, cells, s, (V, U, FACTOR, LUX), first)


@compiled
def _elements(values: Singles, places: Shorts, out: Singles) -> None:
    for k in range(len(places)):
        out[k] = element(values, places[k])


@compiled
def _take(turns: NDArray[np.int64], taken: NDArray[np.int64]) -> None:
    while True:
        turn = next_turn(turns)
        if turn >= len(taken):
            return
        taken[turn] += 1


def test_eight_points_at_once_agree_with_the_formula_and_touch_nothing_else() -> None:
    generator = np.random.default_rng(3)
    corners = generator.uniform(-50, 1000, 4 * 500).astype(np.float32)
    cells = 4 * generator.integers(0, 500, 24).astype(np.int32)
    s = generator.uniform(0, 1, 160).astype(np.float32)
    before = s.copy()
    _look_up(corners, cells, s, EIGHT)
    k = np.arange(EIGHT, 2 * EIGHT)
    one, two, three, four = corners[cells[k][:, None] + np.arange(4)].T.astype(np.float64)
    v, u = before[V + k].astype(np.float64), before[U + k].astype(np.float64)
    candela = (1 - u) * ((1 - v) * one + v * two) + u * ((1 - v) * three + v * four)
    wanted = np.maximum(candela, 0.0) * before[FACTOR + k]
    assert np.isfinite(s).all()
    np.testing.assert_allclose(s[LUX + k], wanted, rtol=1e-5, atol=1e-4)
    assert (wanted == 0.0).any() or (candela > 0.0).all()
    before[LUX + k] = s[LUX + k]
    np.testing.assert_array_equal(s, before)


def test_entries_by_computed_places() -> None:
    values, places = np.arange(9, dtype=np.float32) ** 2, np.array([8, 0, 3], np.int32)
    out = np.empty(3, np.float32)
    _elements(values, places, out)
    assert out.tolist() == [64.0, 0.0, 9.0]


def test_every_turn_is_taken_once_however_many_threads() -> None:
    for threads in (1, 2, 5):
        turns, taken = np.zeros(1, np.int64), np.zeros(100_000, np.int64)
        together(lambda turns=turns, taken=taken: _take(turns, taken), len(taken), threads)  # type: ignore[misc]
        assert (taken == 1).all()
