"""The engine beside numpy, numba and C++: a standard case, and one in which little is dark.

Standard: 24 lamps with tables of 73 x 181 intensities, 400 x 400 points on the ground, normals up, 12 boxes. Hard: the
lamps shine all round from above the roof, so that little can be left out. All get the same arrays and must give the
same light; tiles are made once, as they are for a map that stays while lamps change, and their time stands beside.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, Tiles, by_lamp, illuminance, illuminance_sum, summed, tiled
from tests.speed import cpp_twin
from tests.speed.cases import UP, Case, hard_case, standard_case
from tests.speed.peers import chunked_numpy, expert_numpy, plain_numba, plain_numpy
from tests.speed.ratios import Ratios
from tests.speed.timing import Timed, alternating, two_threads

__all__ = ["hard", "standard"]

Floats = NDArray[np.float64]
Answer = Callable[[], NDArray[np.floating]]

PLAIN, CHUNKED = "numpy, plain", "numpy, chunks in float32"
EXPERT, EXPERT_ALL = "numpy, expert", "numpy, expert, nothing left out"
EXACT, FAST, FAST_ALL = "exact", "fast", "fast, nothing left out"
KEPT = "fast, lamps kept apart"
NUMBA, NUMBA_LOOSE, TWIN = "numba, plain", "numba, plain, fastmath", "C++ twin"

APART = 1e-5
"""Points that differ by more than this part of the largest value are counted."""

EDGE_M = 1e-4
"""And each must lie so near to the edge of a shadow."""


def standard(quick: bool) -> Ratios:
    """Ratios of the standard case, printed."""
    return _measure("standard", standard_case(), quick)


def hard(quick: bool) -> Ratios:
    """Ratios of the hard case, printed."""
    return _measure("hard", hard_case(), quick)


def on(task: str, threads: int) -> str:
    return f"{task}, {threads} thread{'s' * (threads > 1)}"


def _measure(name: str, case: Case, quick: bool) -> Ratios:
    tiles = tiled(case.points, UP)
    tasks = ({} if quick else {PLAIN: partial(plain_numpy, case)}) | _numpy(case) | _numba(case) | _ours(case, tiles)
    tasks |= _twin(case, tiles)
    answers = {task: call() for task, call in tasks.items()}  # The first run also compiles.
    exact = answers[on(EXACT, 1)].astype(np.float64)
    apart = {task: points_apart(case, answer, exact) for task, answer in answers.items()}
    timed = alternating(tasks, 2 if quick else 5)
    lit = np.mean(exact > 0)
    print(
        f"{len(case.lamps)} lamps, {len(case.points)} points, {len(case.blockers)} boxes; {lit:.0%} of the points lit"
    )
    _table(timed, apart, len(case.lamps) * len(case.points))
    ready = alternating({"tiles": partial(tiled, case.points, UP)}, 3).work("tiles") / timed.work(on(FAST, 1))
    print(f"making the tiles of these points takes {ready:.1f} times as long as the light of all lamps on one thread")
    ratios = _ratios(name, timed)
    return ratios | two_threads(f"{name}: two threads", tasks, on(FAST, 1), on(FAST, 2), 4 if quick else 8)


def _numpy(case: Case) -> dict[str, Answer]:
    return {
        CHUNKED: partial(chunked_numpy, case),
        EXPERT_ALL: partial(expert_numpy, case, False),
        EXPERT: partial(expert_numpy, case, True),
    }


def _numba(case: Case) -> dict[str, Answer]:
    return {
        on(task, threads): partial(plain_numba, case, threads, fastmath)
        for task, fastmath in ((NUMBA, False), (NUMBA_LOOSE, True))
        for threads in (1, 2)
    }


def _ours(case: Case, tiles: Tiles) -> dict[str, Answer]:
    lamps, blockers, points = case
    levels = np.ones(len(lamps))
    tasks: dict[str, Answer] = {}
    for n in (1, 2):
        tasks[on(EXACT, n)] = partial(
            illuminance_sum, lamps, blockers, points, UP, levels=levels, threads=n, precision="exact"
        )
        tasks[on(KEPT, n)] = partial(_kept, lamps, blockers, tiles, n)
        tasks[on(FAST_ALL, n)] = partial(summed, lamps, blockers, tiles, levels, threads=n, culling=False)
        tasks[on(FAST, n)] = partial(summed, lamps, blockers, tiles, levels, threads=n)
    return tasks


def _kept(lamps: Lamps, blockers: Blockers, tiles: Tiles, threads: int) -> Floats:
    total: Floats = by_lamp(lamps, blockers, tiles, threads=threads).sum(axis=0)
    return total


def _twin(case: Case, tiles: Tiles) -> dict[str, Answer]:
    if not cpp_twin.available():
        print("no compiler for C++ is found: its twin is left out")
        return {}
    levels = np.ones(len(case.lamps))
    return {on(TWIN, n): partial(cpp_twin.summed, case.lamps, case.blockers, tiles, levels, threads=n) for n in (1, 2)}


def points_apart(case: Case, answer: NDArray[np.floating], exact: Floats) -> int:
    """How many points differ from the exact path; each must lie between what boxes a little larger and a little smaller
    leave of the light, which is so at the edges of shadows only."""
    assert np.isfinite(answer).all() and np.isfinite(exact).all()
    slack = APART * exact.max()
    points = np.flatnonzero(np.abs(answer - exact) > slack)
    least, most = (_exactly(case, points, grown_m) for grown_m in (EDGE_M, -EDGE_M))
    inside = (least - slack <= answer[points]) & (answer[points] <= most + slack)
    assert inside.all(), f"{np.count_nonzero(~inside)} points differ, and not at the edge of a shadow"
    return len(points)


def _exactly(case: Case, points: NDArray[np.intp], grown_m: float) -> Floats:
    boxes = Blockers.boxes(case.blockers.centre_m, case.blockers.half_m + grown_m, case.blockers.axes)
    total: Floats = illuminance(case.lamps, boxes, case.points[points], UP, precision="exact").sum(axis=0)
    return total


def _table(timed: Timed, apart: Mapping[str, int], pairs: int) -> None:
    bases = [
        base for base in (PLAIN, CHUNKED, EXPERT, on(_numba_base(timed, 1), 1), on(EXACT, 1)) if base in timed.walls
    ]
    heads = {PLAIN: "x plain", CHUNKED: "x chunks", EXPERT: "x expert", on(EXACT, 1): "x exact"}
    print(
        f"{'':34}{'Mlp/s':>9}{'best':>9}" + "".join(f"{heads.get(base, 'x numba'):>10}" for base in bases) + "  apart"
    )
    for task in timed.walls:
        rates = f"{pairs / timed.median(task) / 1e6:9.2f}{pairs / timed.best(task) / 1e6:9.2f}"
        print(f"{task:34}{rates}" + "".join(f"{timed.times(task, base):10.2f}" for base in bases) + f"{apart[task]:7d}")
    print("medians of alternating runs, ratios to one thread of each; Mlp/s: million lamp-points a second")
    print(
        f"apart: points that differ from the exact path by more than {APART:g} of the largest value, every one within "
        f"{EDGE_M * 1e3:g} mm of the edge of a shadow",
        flush=True,
    )


def _numba_base(timed: Timed, threads: int) -> str:
    """The better of the plain kernels."""
    return min((NUMBA, NUMBA_LOOSE), key=lambda task: timed.median(on(task, threads)))


def _ratios(name: str, timed: Timed) -> Ratios:
    ratios: Ratios = {}
    for n, words, times in ((1, "one thread", timed.effort), (2, "two threads", timed.times)):
        peers = {
            PLAIN: "plain numpy",
            CHUNKED: "numpy in chunks of float32",
            EXPERT: "expert numpy",
            EXPERT_ALL: "expert numpy with nothing left out",
            on(_numba_base(timed, n), n): "as many of plain numba",
            on(EXACT, n): "as many of the exact path",
            on(TWIN, n): "as many of the C++ twin",
        }
        for base, peer in peers.items():
            ratios[f"{name}: {words} over {peer}"] = times(on(FAST, n), base) if base in timed.walls else None
    ratios[f"{name}: one thread with lamps kept apart over expert numpy"] = timed.effort(on(KEPT, 1), EXPERT)
    ratios[f"{name}: one thread over one with nothing left out"] = timed.effort(on(FAST, 1), on(FAST_ALL, 1))
    return ratios
