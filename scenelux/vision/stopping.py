"""Stopping sight distance: how far ahead a driver must see to be able to stop."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.sources import Source

__all__ = [
    "DECELERATION_FT_S2",
    "DECELERATION_M_S2",
    "REACTION_S",
    "STOPPING_METRIC_SOURCE",
    "STOPPING_US_SOURCE",
    "design_distance",
    "stopping_sight_distance_ft",
    "stopping_sight_distance_m",
]

Array = NDArray[np.float64]

REACTION_S = 2.5
DECELERATION_FT_S2 = 11.2
DECELERATION_M_S2 = 3.4
STOPPING_US_SOURCE = Source("TxDOT Roadway Design Manual", clause="4.11.1", status="published")
STOPPING_METRIC_SOURCE = Source("AASHTO geometric design, metric", clause="from memory", status="unconfirmed")

_GRAVITY_FT_S2, _GRAVITY_M_S2 = 32.2, 9.81
_STEP = 5.0  # design values are multiples of it, in feet and in metres


def stopping_sight_distance_ft(
    speed_mph: ArrayLike,
    *,
    grade: ArrayLike = 0.0,
    reaction_s: ArrayLike = REACTION_S,
    deceleration_ft_s2: ArrayLike = DECELERATION_FT_S2,
) -> Array:
    """Stopping sight distance in US units, not rounded [ft].

    Parameters
    ----------
    speed_mph : (...) zero or more [mph].
    grade : (...) rise over run, positive uphill; at exactly 0 the level formula is used, 0.2 % longer in braking.
    reaction_s : (...) zero or more [s].
    deceleration_ft_s2 : (...) above 0 [ft/s2]; nan where the grade is steeper than the brakes hold.

    Source
    ------
    TxDOT Roadway Design Manual, 4.11.1: 1.47 V t + 1.075 V^2/a; with a grade V^2/(30 (a/32.2 + G)) for the braking.

    Example
    -------
    >>> stopping_sight_distance_ft(60.0, grade=[0.0, 0.05, -0.05]).round(1).tolist()
    [566.0, 522.1, 623.4]
    """
    speed, slope, reaction, slowing = _given(speed_mph, grade, reaction_s, deceleration_ft_s2)
    level = 1.075 * speed**2 / slowing
    return _distance(1.47 * speed * reaction, level, speed**2 / 30.0, slope, slowing / _GRAVITY_FT_S2)


def stopping_sight_distance_m(
    speed_km_h: ArrayLike,
    *,
    grade: ArrayLike = 0.0,
    reaction_s: ArrayLike = REACTION_S,
    deceleration_m_s2: ArrayLike = DECELERATION_M_S2,
) -> Array:
    """Stopping sight distance in metric units, not rounded [m].

    Parameters
    ----------
    speed_km_h : (...) zero or more [km/h].
    grade : (...) rise over run, positive uphill; at exactly 0 the level formula is used, 1 % longer in braking.
    reaction_s : (...) zero or more [s].
    deceleration_m_s2 : (...) above 0 [m/s2]; nan where the grade is steeper than the brakes hold.

    Source
    ------
    AASHTO: 0.278 V t + 0.039 V^2/a, with a grade V^2/(254 (a/9.81 + G)) for the braking; the deceleration is
    published, the forms are from memory, unconfirmed.

    Example
    -------
    >>> stopping_sight_distance_m(100.0, grade=[0.0, 0.03]).round(1).tolist()
    [184.2, 174.0]
    """
    speed, slope, reaction, slowing = _given(speed_km_h, grade, reaction_s, deceleration_m_s2)
    level = 0.039 * speed**2 / slowing
    return _distance(0.278 * speed * reaction, level, speed**2 / 254.0, slope, slowing / _GRAVITY_M_S2)


def design_distance(distance: ArrayLike) -> Array:
    """Distance rounded up to the next multiple of 5, in feet or metres, as design tables print it.

    Example
    -------
    >>> design_distance([566.0, 111.9, 360.0]).tolist()
    [570.0, 115.0, 360.0]
    """
    return np.asarray(_STEP * np.ceil(np.asarray(distance, np.float64) / _STEP - 1e-9))


def _given(speed: ArrayLike, grade: ArrayLike, reaction: ArrayLike, slowing: ArrayLike) -> tuple[Array, ...]:
    """The inputs as arrays of one shape, nan where one of them is none."""
    arrays = np.broadcast_arrays(*(np.asarray(part, np.float64) for part in (speed, grade, reaction, slowing)))
    valid = (arrays[0] >= 0.0) & np.isfinite(arrays[1]) & (arrays[2] >= 0.0) & (arrays[3] > 0.0)
    return tuple(np.where(valid, array, np.nan) for array in arrays)


def _distance(reacting: Array, level: Array, braking: Array, grade: Array, friction: Array) -> Array:
    hold = friction + grade
    return reacting + np.where(grade == 0.0, level, braking / np.where(hold > 0.0, hold, np.nan))
