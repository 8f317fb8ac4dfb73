"""Light on an area: every lamp's share at each point, and the statistics of every state and light level."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, covered, receivers
from scenelux.placement import AreaPoints, PlacedScene
from scenelux.study.levels import light_of
from scenelux.study.results import AreaEntry, AreaResult, LampOff, Statistics

__all__ = ["LeastLight", "first_least", "light_area", "statistics"]

Array = NDArray[np.float64]

ALIKE = 1e-5
"""Values that differ by less than this part are alike, as on two sides of a truck."""


@dataclass(frozen=True, eq=False)
class LeastLight:
    """The least illuminance that a rule asks for [lx], and which lamps count for it, (lamps,)."""

    limit_lx: float
    counts: NDArray[np.bool_]


def light_area(
    placed: PlacedScene,
    area: AreaPoints,
    levels: Mapping[tuple[str, str], Array],
    asked: Mapping[str, LeastLight],
    store: Contributions,
) -> AreaResult:
    """Illuminance of an area by lamp at full output, and its statistics in every state at every light level.

    Parameters
    ----------
    placed : lamps and bodies on the site.
    area : the grid and its plane.
    levels : (state, light) -> (lamps,) level of each lamp.
    asked : rule id -> least illuminance, for the share of points that meet it.
    store : what single lamps give, where it is known already.

    Points outside a polygon, inside a body or under one (no headroom) are nan and count for nothing.
    """
    lux = store.by_lamp(placed.lamps, placed.blockers, receivers(area.points_m, area.normal, area.plane))
    taken = covered(placed.blockers, area.points_m, area.floor_up_m, area.area.headroom_m)
    lux[:, area.outside | taken] = np.nan
    entries = [_entry(placed, area, lux, state, light, level, asked) for (state, light), level in levels.items()]
    return AreaResult(
        area_id=area.area.id,
        name=area.area.name or area.area.id,
        plane=area.area.plane,
        facing=area.facing,
        height_m=area.area.height_m,
        outline_m=area.outline_m,
        grid_shape=area.shape,
        cell_m=area.cell_m,
        points_m=area.points_m,
        lamp_ids=placed.lamp_ids,
        by_lamp_lx=lux,
        entries=tuple(entries),
        on=area.area.on or "",
    )


def _entry(
    placed: PlacedScene, area: AreaPoints, lux: Array, state: str, light: str, level: Array,
    asked: Mapping[str, LeastLight],
) -> AreaEntry:  # fmt: skip
    kept = level * placed.loss_factors
    total = light_of(kept, lux)
    return AreaEntry(
        state=state,
        light=light,
        illuminance_lx=total,
        maintained=statistics(total, area.points_m),
        initial=statistics(light_of(level, lux), area.points_m),
        lamps_off=_lamps_off(placed.lamp_ids, kept, lux, area.points_m),
        ambient_lx=placed.scene.light[light].ambient_lx,
        share_meeting=_shares(kept, lux, asked),
    )


def _shares(kept: Array, lux: Array, asked: Mapping[str, LeastLight]) -> dict[str, float]:
    """Share of the valid points that reach what each rule asks for, with the lamps that count for it."""
    shares = {}
    for rule, least in asked.items():
        total = light_of(np.where(least.counts, kept, 0.0), lux)
        valid = total[np.isfinite(total)]
        if valid.size:
            shares[rule] = float((valid >= least.limit_lx).mean())
    return shares


def _lamps_off(lamp_ids: Sequence[str], kept: Array, lux: Array, points: Array) -> tuple[LampOff, ...]:
    """The area with each lamp that is on dead in turn."""
    found = []
    for index in np.flatnonzero(kept > 0.0):
        without = kept.copy()
        without[index] = 0.0
        rest = statistics(light_of(without, lux), points)
        found.append(LampOff(lamp_ids[int(index)], rest.minimum, rest.average, rest.worst_point_m))
    return tuple(found)


def first_least(values: Array) -> int:
    """The point with the least value, and of several alike the first: rounding shall not choose among two sides.

    Parameters
    ----------
    values : (points,) from 0 up, nan where not valid, one of them valid.

    Example
    -------
    >>> first_least(np.array([np.nan, 3.0, 1.000001, 1.0]))
    2
    """
    return int(np.argmax(values <= np.nanmin(values) * (1.0 + ALIKE)))


def statistics(values_lx: Array, points_m: Array) -> Statistics:
    """Minimum, arithmetic mean, maximum and uniformity of the valid points.

    Parameters
    ----------
    values_lx : (points,) illuminance, nan where not valid [lx].
    points_m : (points, 3) site frame [m].

    Example
    -------
    >>> found = statistics(np.array([1.0, 3.0, np.nan]), np.zeros((3, 3)))
    >>> found.average, found.uniformity, found.valid_points
    (2.0, 0.5, 2)
    """
    valid = np.isfinite(values_lx)
    if not valid.any():
        nan = float("nan")
        return Statistics(nan, nan, nan, nan, (nan, nan, nan), 0, len(values_lx))
    average = float(values_lx[valid].mean())
    minimum = float(np.nanmin(values_lx))
    worst = first_least(values_lx)
    along, left, up = points_m[worst].tolist()
    return Statistics(
        minimum=minimum,
        average=average,
        maximum=float(np.nanmax(values_lx)),
        uniformity=minimum / average if average > 0.0 else float("nan"),
        worst_point_m=(along, left, up),
        valid_points=int(valid.sum()),
        all_points=len(values_lx),
    )
