"""Light on an area: every lamp's share at each point, and the statistics of every state and light level."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import covered, illuminance
from scenelux.placement import AreaPoints, PlacedScene
from scenelux.study.results import AreaEntry, AreaResult, LampOff, Statistics

__all__ = ["light_area", "statistics"]

Array = NDArray[np.float64]


def light_area(
    placed: PlacedScene,
    area: AreaPoints,
    levels: Mapping[tuple[str, str], Array],
    limits_lx: Mapping[str, float],
) -> AreaResult:
    """Illuminance of an area by lamp at full output, and its statistics in every state at every light level.

    Parameters
    ----------
    placed : lamps and bodies on the site.
    area : the grid and its plane.
    levels : (state, light) -> (lamps,) level of each lamp.
    limits_lx : rule id -> least illuminance it asks for [lx], for the share of points that meet it.

    Points outside a polygon, inside a body or under one (no headroom) are nan and count for nothing.
    """
    lux = illuminance(placed.lamps, placed.blockers, area.points_m, np.array(area.normal), area.plane)
    taken = covered(placed.blockers, area.points_m, area.floor_up_m, area.area.headroom_m)
    lux[:, area.outside | taken] = np.nan
    entries = [_entry(placed, area, lux, state, light, level, limits_lx) for (state, light), level in levels.items()]
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
    )


def _entry(
    placed: PlacedScene, area: AreaPoints, lux: Array, state: str, light: str, level: Array,
    limits_lx: Mapping[str, float],
) -> AreaEntry:  # fmt: skip
    kept = level * placed.loss_factors
    total = _total(kept, lux)
    valid = total[np.isfinite(total)]
    return AreaEntry(
        state=state,
        light=light,
        illuminance_lx=total,
        maintained=statistics(total, area.points_m),
        initial=statistics(_total(level, lux), area.points_m),
        lamps_off=_lamps_off(placed.lamp_ids, kept, lux, area.points_m),
        ambient_lx=placed.scene.light[light].ambient_lx,
        share_meeting={rule: float((valid >= limit).mean()) for rule, limit in limits_lx.items() if valid.size},
    )


def _total(level: Array, lux: Array) -> Array:
    """Weighted sum over the lamps that are on; nan where no lamp has a value, and where one that is on has none."""
    total = np.where(np.isnan(lux).all(axis=0), np.nan, 0.0)
    for index in np.flatnonzero(level):
        total += level[index] * lux[index]
    return total


def _lamps_off(lamp_ids: Sequence[str], kept: Array, lux: Array, points: Array) -> tuple[LampOff, ...]:
    """The area with each lamp that is on dead in turn."""
    found = []
    for index in np.flatnonzero(kept > 0.0):
        without = kept.copy()
        without[index] = 0.0
        rest = statistics(_total(without, lux), points)
        found.append(LampOff(lamp_ids[int(index)], rest.minimum, rest.average, rest.worst_point_m))
    return tuple(found)


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
    worst = int(np.nanargmin(values_lx))
    average = float(values_lx[valid].mean())
    minimum = float(values_lx[worst])
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
