"""A lamp tilted, or a level changed, on a map of 200 x 200 points: through the store, beside computing the map anew."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, Lamps, illuminance_sum, receivers, summed
from scenelux.geometry import Axes, aim_axes
from tests.speed.cases import UP, standard_case
from tests.speed.ratios import Ratios
from tests.speed.timing import alternating

__all__ = ["change"]

Floats = NDArray[np.float64]

LAMP = 13
GOAL_MS = 2.0

TILTED, DIMMED, ANEW, SCRATCH = "one lamp tilted", "one level changed", "all lamps anew", "anew, points and tables too"


def change(quick: bool) -> Ratios:
    """Ratios of a change to computing all lamps anew, printed; and the time of a change beside its goal."""
    case = standard_case(side=200)
    lamps, levels, store = case.lamps, np.ones(len(case.lamps)), Contributions(precision="fast")
    at, tilts, dims = receivers(case.points, UP), _tilts(), np.linspace(0.1, 0.9, 997)
    level = (dims[i % len(dims)] for i in count())

    def dimmed() -> Floats:
        return store.summed(lamps, case.blockers, at, np.where(np.arange(len(lamps)) == LAMP, next(level), 1.0))

    def scratch() -> Floats:
        built = _built(lamps.turned(LAMP, next(tilts)))
        return illuminance_sum(built, case.blockers, case.points, UP, levels=levels, precision="fast")

    tasks = {
        TILTED: lambda: store.summed(lamps.turned(LAMP, next(tilts)), case.blockers, at, levels),
        DIMMED: dimmed,
        ANEW: lambda: summed(lamps.turned(LAMP, next(tilts)), case.blockers, at.tiles, levels),
        SCRATCH: scratch,
    }
    assert all(np.isfinite(task()).all() for task in tasks.values())  # The first run also compiles.
    timed = alternating(tasks, 5 if quick else 30)
    print(f"{len(lamps)} lamps, {len(at)} points, {len(case.blockers)} boxes; {'ms':>6}{'best':>8}{'x':>8}")
    for task in tasks:
        print(f"{task:33}{timed.median(task) * 1e3:8.2f}{timed.best(task) * 1e3:8.2f}{timed.times(TILTED, task):8.1f}")
    print(
        f"a lamp tilted takes {timed.median(TILTED) * 1e3 / GOAL_MS:.0%} of its goal of {GOAL_MS:g} ms; {store.state()}"
    )
    return {
        "change: a lamp tilted over all lamps anew": timed.times(TILTED, ANEW),
        "change: a lamp tilted over all anew, points and tables too": timed.times(TILTED, SCRATCH),
        "change: a level changed over all lamps anew": timed.times(DIMMED, ANEW),
    }


def _tilts() -> Iterator[Axes]:
    """Table axes of the lamp at ever other tilts."""
    for step in count():
        beam, left, up = aim_axes(180.0, -10.0 - (step * 0.618034) % 50.0)
        yield (-left[0], -left[1], -left[2]), up, beam


def _built(lamps: Lamps) -> Lamps:
    """The lamps from their tables on, as a program without memory would build them."""
    tables = []
    for a, p, c in map(lamps.tables.parts, range(len(lamps.tables))):
        tables.append(SimpleNamespace(azimuth_deg=a, polar_deg=p, candela=c.reshape(len(a), len(p))))
    return Lamps.from_tables(tables, table=lamps.table, position_m=lamps.position_m, axes=lamps.axes)
