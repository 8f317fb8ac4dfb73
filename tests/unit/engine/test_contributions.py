"""The store of what single lamps give: what is computed, what is found again, and that no byte tells which."""

from __future__ import annotations

from collections.abc import Callable
from threading import Thread

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import (
    Blockers,
    Contributions,
    Lamps,
    Mesh,
    Plane,
    Receivers,
    illuminance,
    illuminance_sum,
    receivers,
)
from scenelux.engine.illuminance import Precision
from scenelux.errors import LimitError, UsageError
from tests.analytic_lamps import beam_axes, cosine_power, isotropic

Floats = NDArray[np.float64]

PATHS: list[Precision] = ["exact", "fast"]
COUNT = 4


def places(shift_m: float = 0.0) -> Floats:
    x, y = np.meshgrid(np.linspace(-5, 5, 30), np.linspace(-5, 5, 20))
    return np.c_[x.ravel() + shift_m, y.ravel(), np.full(x.size, 0.1)]


def lamps(peak_cd: float = 800.0) -> Lamps:
    """Two floods, a bare lamp, and a panel so large that points near it are computed by the exact path in both."""
    aims = [beam_axes(180, -30), beam_axes(0, 0), beam_axes(90, -60), beam_axes(0, -90)]
    return Lamps.from_tables(
        [cosine_power(peak_cd, 2.0), isotropic(50.0)],
        table=[0, 1, 0, 0],
        position_m=[[0, 0, 2], [1, 1, 3], [-1, 2, 1.5], [2, -2, 2.5]],
        axes=aims,
        opening_m=[[0, 0, 0], [0, 0, 0], [0.1, 0.1, 0], [1.2, 0.6, 0]],
        opening_axes=aims,
        opening_round=[False, False, True, False],
    )


def boxes(left_m: float = 0.0) -> Blockers:
    return Blockers.boxes([[2, left_m, 0.5], [-2, -1, 1]], [[0.5, 1, 0.5], [0.2, 0.2, 1]])


def ground(shift_m: float = 0.0) -> Receivers:
    return receivers(places(shift_m), (0, 0, 1))


def counted(store: Contributions, task: Callable[[], object]) -> tuple[int, int]:
    """Hits and misses of one task."""
    before = store.state()
    task()
    after = store.state()
    return after.hits - before.hits, after.misses - before.misses


def filled(precision: Precision = "fast") -> Contributions:
    store = Contributions(precision=precision)
    assert counted(store, lambda: store.by_lamp(lamps(), boxes(), ground())) == (0, COUNT)
    return store


@pytest.mark.parametrize("precision", PATHS)
def test_what_a_lamp_gives_does_not_depend_on_the_others(precision: Precision) -> None:
    """Alone, in pairs, in any order: the same bytes, so that a store may compute any of them by itself."""
    together = illuminance(lamps(), boxes(), places(), (0, 0, 1), precision=precision)
    assert np.isfinite(together).all()
    assert ((together > 0).mean(axis=1) > 0.2).all()
    for chosen in ([0], [3], [2, 0], [3, 2, 1, 0]):
        some = illuminance(lamps().only(chosen), boxes(), places(), (0, 0, 1), precision=precision)
        assert some.tobytes() == together[chosen].tobytes()


@pytest.mark.parametrize("precision", PATHS)
@pytest.mark.parametrize("plane", list(Plane))
def test_found_is_computed_anew_byte_for_byte(precision: Precision, plane: Plane) -> None:
    anew = illuminance(lamps(), boxes(), places(), (1, 0, 0), plane, precision=precision)
    store, tiles = Contributions(precision=precision), receivers(places(), (1, 0, 0), plane)
    first, second = (store.by_lamp(lamps(), boxes(), tiles) for _ in range(2))
    assert first.tobytes() == second.tobytes() == anew.tobytes()
    first[:] = np.nan  # What was handed out belongs to the caller.
    assert store.by_lamp(lamps(), boxes(), tiles).tobytes() == anew.tobytes()


def test_some_found_and_some_computed_come_in_the_order_of_the_lamps() -> None:
    store = Contributions(precision="fast")
    store.by_lamp(lamps().only([2, 0]), boxes(), ground())
    assert counted(store, lambda: store.by_lamp(lamps(), boxes(), ground())) == (2, 2)
    anew = illuminance(lamps(), boxes(), places(), (0, 0, 1), precision="fast")
    assert Contributions(0, precision="fast").by_lamp(lamps(), boxes(), ground()).tobytes() == anew.tobytes()
    assert store.by_lamp(lamps(), boxes(), ground()).tobytes() == anew.tobytes()


@pytest.mark.parametrize("precision", PATHS)
def test_a_change_computes_what_it_changes(precision: Precision) -> None:
    store = filled(precision)

    def asked(lit: Lamps, around: Blockers, tiles: Receivers) -> tuple[int, int]:
        return counted(store, lambda: store.by_lamp(lit, around, tiles))

    turned = lamps().turned(2, beam_axes(90, -50))
    assert asked(lamps(), boxes(), ground()) == (COUNT, 0), "other objects with the same content"
    assert asked(turned, boxes(), ground()) == (COUNT - 1, 1), "the aim of a lamp"
    moved = lamps().turned(2, beam_axes(90, -60), position_m=[-1, 2, 1.6])
    assert asked(moved, boxes(), ground()) == (COUNT - 1, 1), "its place"
    assert asked(lamps(), boxes(0.1), ground()) == (0, COUNT), "a body moved"
    assert asked(lamps(), boxes(), ground(0.1)) == (0, COUNT), "points moved"
    sheet = Mesh.from_triangles([[0, 0, 1], [1, 0, 1], [0, 1, 1]], [[0, 1, 2]])
    assert asked(lamps(), boxes().with_mesh(sheet), ground()) == (0, COUNT), "a shape of triangles"
    assert asked(lamps(), boxes(), receivers(places(), (1, 0, 0))) == (0, COUNT), "another normal"
    assert asked(lamps(), boxes(), receivers(places(), (1, 0, 0), Plane.SEMI_CYLINDRICAL)) == (0, COUNT), (
        "another plane"
    )
    tipped = receivers(places(), (1, 0, 0), Plane.SEMI_CYLINDRICAL, up=(0, 0.1, 1))
    assert asked(lamps(), boxes(), tipped) == (0, COUNT), "another up"
    assert asked(lamps(900.0), boxes(), ground()) == (1, COUNT - 1), "a table that three lamps share"
    assert asked(lamps(), boxes(), ground()) == asked(turned, boxes(), ground()) == (COUNT, 0), "all is still there"


def test_tables_are_known_by_their_content() -> None:
    store, tables = Contributions(precision="fast"), [cosine_power(800.0, 2.0), isotropic(50.0)]
    pose = {"position_m": [[0, 0, 2]], "axes": [beam_axes(180, -30)]}
    first = Lamps.from_tables(tables, table=[0], **pose)
    second = Lamps.from_tables([isotropic(7.0), cosine_power(800.0, 2.0)], table=[1], **pose)
    assert counted(store, lambda: store.by_lamp(first, boxes(), ground())) == (0, 1)
    assert counted(store, lambda: store.by_lamp(second, boxes(), ground())) == (1, 0)


def test_a_change_of_levels_computes_nothing() -> None:
    store = filled()
    levels = np.array([0.5, 1.0, 0.0, 2.0])
    assert counted(store, lambda: store.summed(lamps(), boxes(), ground(), levels)) == (3, 0), "those that are on"
    anew = Contributions(precision="fast").summed(lamps(), boxes(), ground(), levels)
    assert store.summed(lamps(), boxes(), ground(), levels).tobytes() == anew.tobytes()


@pytest.mark.parametrize("precision", PATHS)
def test_sums_are_those_of_the_lamps(precision: Precision) -> None:
    store, levels = Contributions(precision=precision), np.array([0.5, 1.0, 0.25, 2.0])
    at = (lamps(), boxes(), places(), (0, 0, 1))
    expected = levels @ illuminance(*at, precision=precision)
    assert np.isfinite(expected).all()
    for _ in range(2):
        total = store.summed(lamps(), boxes(), ground(), levels)
        assert np.abs(total - expected).max() <= 1e-12 * expected.max()
    direct = illuminance_sum(*at, levels=levels, precision=precision)
    assert np.abs(total - direct).max() <= 1e-6 * direct.max(), "which adds in single precision on the fast path"


def test_single_precision_is_kept_only_where_it_loses_nothing() -> None:
    """Two point lamps, and a panel whose opening makes all points near to it."""
    dense = receivers(places() * [0.2, 0.2, 1.0], (0, 0, 1))
    for lamp, bytes_each in ((0, 4), (1, 4), (3, 8)):
        store = Contributions(precision="fast")
        store.by_lamp(lamps().only([lamp]), boxes(), dense)
        assert store.state().size_bytes == bytes_each * len(dense)
    assert filled("exact").state().size_bytes == COUNT * 8 * len(dense)


def test_the_lamp_used_longest_ago_goes_first() -> None:
    each = len(places()) * 8
    store = Contributions(3 * each, precision="exact")
    for lamp in range(3):
        store.by_lamp(lamps().only([lamp]), boxes(), ground())
    assert (store.state().entries, store.state().size_bytes, store.state().evictions) == (3, 3 * each, 0)
    store.by_lamp(lamps().only([0]), boxes(), ground())
    store.by_lamp(lamps().only([3]), boxes(), ground())
    assert (store.state().entries, store.state().size_bytes, store.state().evictions) == (3, 3 * each, 1)
    assert counted(store, lambda: store.by_lamp(lamps().only([0, 2, 3]), boxes(), ground())) == (3, 0)
    assert counted(store, lambda: store.by_lamp(lamps().only([1]), boxes(), ground())) == (0, 1)


@pytest.mark.parametrize("limit_bytes", [0, 1000, 4799])
def test_what_is_larger_than_the_limit_is_computed_and_not_kept(limit_bytes: int) -> None:
    store = Contributions(limit_bytes, precision="exact")
    anew = illuminance(lamps(), boxes(), places(), (0, 0, 1), precision="exact")
    for _ in range(2):
        assert store.by_lamp(lamps(), boxes(), ground()).tobytes() == anew.tobytes()
    state = store.state()
    assert (state.entries, state.size_bytes, state.hits, state.misses, state.refused) == (0, 0, 0, 8, 8)
    assert (state.limit_bytes, state.evictions) == (limit_bytes, 0)


def test_a_limit_below_all_lamps_is_held_and_changes_no_byte() -> None:
    store = Contributions(2 * len(places()) * 8, precision="exact")
    anew = illuminance(lamps(), boxes(), places(), (0, 0, 1), precision="exact")
    for _ in range(3):
        assert store.by_lamp(lamps(), boxes(), ground()).tobytes() == anew.tobytes()
        assert store.state().size_bytes <= store.limit_bytes


def test_points_that_change_afterwards_do_not_reach_the_receivers() -> None:
    points = places()
    tiles = receivers(points, (0, 0, 1))
    anew = illuminance(lamps(), boxes(), points, (0, 0, 1), precision="fast")
    points += 1.0
    assert Contributions(precision="fast").by_lamp(lamps(), boxes(), tiles).tobytes() == anew.tobytes()


def test_a_lamp_that_is_off_counts_for_nothing_even_where_it_has_no_value() -> None:
    tiles = receivers([[0.0, 0.0, 2.0], [1.0, 0.0, 0.0]], (0, 0, 1))  # The first is at lamp 0.
    store = Contributions(precision="fast")
    assert np.isnan(store.summed(lamps(), Blockers.none(), tiles, np.ones(COUNT))[0])
    without = store.summed(lamps(), Blockers.none(), tiles, [0.0, 1.0, 1.0, 1.0])
    assert np.isfinite(without).all()
    assert (store.summed(lamps(), Blockers.none(), tiles, np.zeros(COUNT)) == 0.0).all()


def test_nothing_in_nothing_out() -> None:
    store = Contributions(precision="fast")
    assert store.by_lamp(lamps(), boxes(), receivers(np.empty((0, 3)), (0, 0, 1))).shape == (COUNT, 0)
    assert store.by_lamp(lamps().only([]), boxes(), ground()).shape == (0, 600)
    assert store.summed(lamps().only([]), boxes(), ground(), []).tolist() == [0.0] * 600


def test_limits_and_levels_are_told_before_anything_is_computed() -> None:
    store = Contributions(precision="fast", memory_limit_bytes=1000)
    with pytest.raises(LimitError, match="illuminance needs"):
        store.by_lamp(lamps(), boxes(), ground())
    for levels in ([1.0], np.full(COUNT, np.nan)):
        with pytest.raises(UsageError, match="one finite number for each of 4 lamps"):
            Contributions(precision="fast").summed(lamps(), boxes(), ground(), levels)


def test_threads_may_share_a_store() -> None:
    anew = illuminance(lamps(), boxes(), places(), (0, 0, 1), precision="fast").tobytes()
    store, found = Contributions(5 * 600 * 4, precision="fast"), []

    def work(seed: int) -> None:
        for order in np.random.default_rng(seed).permuted(np.tile(np.arange(COUNT), (20, 1)), axis=1):
            found.append(store.by_lamp(lamps().only(order), boxes(), ground())[np.argsort(order)].tobytes())

    threads = [Thread(target=work, args=(seed,)) for seed in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    state = store.state()
    assert found == [anew] * 80
    assert state.hits + state.misses == 80 * COUNT
    assert state.size_bytes <= state.limit_bytes
