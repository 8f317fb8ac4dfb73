"""From where on a target stays seen, and what is left over the stopping sight distance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isnan, nan

import numpy as np
from numpy.typing import NDArray

from scenelux.study.results.approach import SeenFrom

__all__ = ["seen_from", "spans_above", "stays_above"]

Array = NDArray[np.float64]

SHORTEST_M = 1.0
"""Shorter stretches are not told."""

Flags = NDArray[np.bool_]

NOWHERE = nan, False, 0


def stays_above(distances_m: Array, levels: Array, chosen: float) -> tuple[float, bool, int]:
    """Distance from which on some part stays at a chosen level or above, whether from the first station on, and which.

    Parameters
    ----------
    distances_m : (stations,) falling [m].
    levels : (parts, stations) signed; nan where nothing is seen of a part.
    chosen : size of the level, above 0.

    Each part goes straight between stations: where its sign turns it passes through nothing on its way, and only
    another part that is seen meanwhile bridges that. The distance is nan where every part is below at the last station.

    Example
    -------
    >>> stays_above(np.array([100.0, 80.0, 60.0, 40.0]), np.array([[2.0, 9.0, 5.0, 9.0]]), 7.0)
    (50.0, False, 0)
    """
    if not levels.size or not (np.abs(levels[:, -1]) >= chosen).any():
        return NOWHERE
    for near in range(len(distances_m) - 1, 0, -1):
        share = _reach(levels[:, near - 1], levels[:, near], chosen)
        if share > 0.0:
            on_the_way = levels[:, near] if share == 1.0 else levels[:, near - 1 : near + 1] @ (1.0 - share, share)
            distance = distances_m[near - 1] + share * (distances_m[near] - distances_m[near - 1])
            return float(distance), False, _largest(on_the_way)
    return float(distances_m[0]), True, _largest(levels[:, 0])


def spans_above(distances_m: Array, levels: Array, chosen: float) -> tuple[tuple[float, float], ...]:
    """Stretches of the way on which some part is at a chosen level or above, each from far to near, the farthest first.

    Parameters
    ----------
    distances_m, levels, chosen : as in `stays_above`.

    Example
    -------
    >>> spans_above(np.array([100.0, 80.0, 60.0, 40.0]), np.array([[9.0, 9.0, 5.0, 9.0]]), 7.0)
    ((100.0, 70.0), (50.0, 40.0))
    """
    found: list[tuple[float, float]] = []
    for at in range(1, len(distances_m)):
        pairs = zip(levels[:, at - 1], levels[:, at], strict=True)
        stretches = [_seen_between(sign * a, sign * b, chosen) for a, b in pairs for sign in (1, -1)]
        far, step = float(distances_m[at - 1]), float(distances_m[at] - distances_m[at - 1])
        for start, end in sorted(one for one in stretches if one):
            begin, stop = float(far + start * step), float(far + end * step)
            if found and begin >= found[-1][1] - 1e-9:
                found[-1] = found[-1][0], min(found[-1][1], stop)
            else:
                found.append((begin, stop))
    return tuple(found)


def _reach(far: Array, near: Array, chosen: float) -> float:
    """How far back from the near station some part is seen without a break: 1 there, 0 at the far one."""
    stretches = [_seen_between(sign * a, sign * b, chosen) for a, b in zip(far, near, strict=True) for sign in (1, -1)]
    reach = 1.0
    for start, end in sorted((one for one in stretches if one), key=lambda one: -one[1]):
        if end < reach - 1e-12:
            break
        reach = min(reach, start)
    return reach


def _seen_between(far: float, near: float, chosen: float) -> tuple[float, float] | None:
    """Shares of the way between which a straight line is at a level or above; none where it never is, or has an end."""
    if isnan(far) or isnan(near) or max(far, near) < chosen:
        return None
    if min(far, near) >= chosen:
        return 0.0, 1.0
    share = (chosen - far) / (near - far)
    return (share, 1.0) if near > far else (0.0, share)


def _largest(levels: Array) -> int:
    return int(np.argmax(np.nan_to_num(np.abs(levels), nan=-1.0)))


def seen_from(
    distances_m: Array,
    levels: Array,
    parts: Sequence[str],
    looked_for: Flags,
    hidden: Flags,
    *,
    age_years: float,
    chosen: float,
    before_vehicle_m: float,
    stopping_distance_m: float,
    speed_m_s: float,
) -> SeenFrom:
    """The place from which on an eye sees some part of a target without a break, until the driver is beside it.

    Parameters
    ----------
    distances_m : (stations,) along the road to the vehicle, falling [m].
    levels : (parts, stations) signed visibility levels; nan where not valid or hidden.
    parts : their names.
    looked_for : (stations,) the target is ahead.
    hidden : (stations,) nothing is seen of it.
    age_years : of the eye.
    chosen : visibility level from which on it counts as seen.
    before_vehicle_m : how far before the vehicle it stands along the road [m].
    stopping_distance_m, speed_m_s : of the driver.
    """
    nothing = SeenFrom(age_years, "not valid", nan, False, nan, nan, nan)
    if not looked_for.any():
        return replace(nothing, why="it is not ahead of the driver at any station")
    where, level, lost = distances_m[looked_for], levels[:, looked_for], hidden[looked_for]
    unknown = np.isnan(level).all(axis=0) & ~lost
    if unknown.any():
        return replace(nothing, why=f"there is no visibility level at {int(unknown.sum())} of {len(where)} stations")
    spans = tuple(
        (a - before_vehicle_m, b - before_vehicle_m)
        for a, b in spans_above(where, level, chosen)
        if a - b >= SHORTEST_M
    )
    nothing = replace(nothing, seen_spans_m=spans)
    distance, from_the_first, part = stays_above(where, level, chosen)
    if isnan(distance):
        why = "hidden" if lost[-1] else f"visibility level {np.nanmax(np.abs(level[:, -1])):.3g}"
        why = f"not seen at the last station, {where[-1]:.3g} m before the vehicle: {why}"
        return replace(nothing, outcome="never", why=why)
    to_target = distance - before_vehicle_m
    margin = to_target - stopping_distance_m
    why = "brakes do not hold on this road: no stopping sight distance" if isnan(margin) else ""
    return SeenFrom(
        age_years, "seen", distance, from_the_first, to_target, margin, margin / speed_m_s, why, parts[part],
        seen_spans_m=spans,
    )  # fmt: skip
