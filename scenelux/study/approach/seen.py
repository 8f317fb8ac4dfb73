"""From where on a target stays seen, and what is left over the stopping sight distance."""

from __future__ import annotations

from dataclasses import replace
from math import isnan, nan

import numpy as np
from numpy.typing import NDArray

from scenelux.study.results.approach import SeenFrom

__all__ = ["seen_from", "stays_above"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


def stays_above(distances_m: Array, levels: Array, chosen: float) -> tuple[float, bool]:
    """Distance from which on a level stays at a chosen size or above, and whether it does from the first station on.

    Parameters
    ----------
    distances_m : (stations,) falling [m].
    levels : (stations,) signed; nan where nothing is seen.
    chosen : size of the level, above 0.

    Straight between stations. Where the sign turns between two of them the level passes through nothing on its way.
    The distance is nan where the last station is below.

    Example
    -------
    >>> stays_above(np.array([100.0, 80.0, 60.0, 40.0]), np.array([2.0, 9.0, 5.0, 9.0]), 7.0)
    (50.0, False)
    """
    enough = np.abs(levels) >= chosen
    turns = levels[:-1] * levels[1:] < 0.0
    breaks = ~enough[:-1] | turns
    if not len(levels) or not enough[-1]:
        return nan, False
    if not breaks.any():
        return float(distances_m[0]), True
    last = int(np.flatnonzero(breaks)[-1])
    far, near = levels[last], levels[last + 1]
    if isnan(far):
        return float(distances_m[last + 1]), False
    before, after = float(far * np.sign(near)), float(abs(near))
    share = (chosen - before) / (after - before)
    return float(distances_m[last] + share * (distances_m[last + 1] - distances_m[last])), False


def seen_from(
    distances_m: Array,
    levels: Array,
    looked_for: Flags,
    hidden: Flags,
    *,
    age_years: float,
    chosen: float,
    before_vehicle_m: float,
    stopping_distance_m: float,
    speed_m_s: float,
) -> SeenFrom:
    """The place from which on an eye sees a target without a break, until the driver is beside it.

    Parameters
    ----------
    distances_m : (stations,) along the road to the vehicle, falling [m].
    levels : (stations,) signed visibility levels; nan where not valid or hidden.
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
    where, level, lost = distances_m[looked_for], levels[looked_for], hidden[looked_for]
    unknown = np.isnan(level) & ~lost
    if unknown.any():
        return replace(nothing, why=f"there is no visibility level at {int(unknown.sum())} of {len(level)} stations")
    distance, from_the_first = stays_above(where, level, chosen)
    if isnan(distance):
        why = "hidden" if lost[-1] else f"visibility level {abs(level[-1]):.3g}"
        why = f"not seen at the last station, {where[-1]:.3g} m before the vehicle: {why}"
        return replace(nothing, outcome="never", why=why)
    to_target = distance - before_vehicle_m
    margin = to_target - stopping_distance_m
    why = "brakes do not hold on this road: no stopping sight distance" if isnan(margin) else ""
    return SeenFrom(age_years, "seen", distance, from_the_first, to_target, margin, margin / speed_m_s, why)
