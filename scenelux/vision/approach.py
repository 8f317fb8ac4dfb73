"""Sums along an approach at constant speed: seconds above a limit, dose, worst station."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError

__all__ = ["Dose", "TimeAbove", "dose_lx_s", "seconds_above", "worst_station"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TimeAbove:
    """Seconds for which a value is above its limit, nan when no stretch is valid, and how much of the path is not."""

    seconds: float
    seconds_not_valid: float  # on stretches that touch a station that is not valid; not in `seconds`
    stations_left_out: int


@dataclass(frozen=True)
class Dose:
    """Illuminance times time at the eye, nan when no stretch is valid, and how much of the path is missing in it."""

    dose_lx_s: float
    seconds_not_valid: float
    stations_left_out: int


def seconds_above(distances_m: ArrayLike, values: ArrayLike, limit: float, speed_m_s: float) -> TimeAbove:
    """Seconds that a value is above a limit, exact for values that run straight between stations.

    Parameters
    ----------
    distances_m : (stations,) along the path, rising or falling [m].
    values : (stations,) at them; nan where not valid.
    limit : in the unit of the values.
    speed_m_s : above 0 [m/s].

    A stretch between two stations of which one is not valid is left out and its seconds are told, so that a gap
    is neither counted as dark nor bridged. When no stretch is valid the seconds are nan.

    Example
    -------
    >>> seconds_above([150, 100, 50, 0], [0.0, 1.0, 0.0, np.nan], 0.5, 25.0)
    TimeAbove(seconds=2.0, seconds_not_valid=2.0, stations_left_out=1)
    """
    stretch_s, first, last, valid = _stretches(distances_m, values, speed_m_s)
    low, high = np.minimum(first, last), np.maximum(first, last)
    with np.errstate(invalid="ignore", divide="ignore"):
        sloping = np.clip((high - limit) / (high - low), 0.0, 1.0)
    share = np.where(high > low, sloping, np.where(high > limit, 1.0, 0.0))
    missing = float(stretch_s[~valid].sum())
    return TimeAbove(_sum(stretch_s * share, valid), missing, int(np.isnan(np.asarray(values)).sum()))


def dose_lx_s(distances_m: ArrayLike, eye_illuminance_lx: ArrayLike, speed_m_s: float) -> Dose:
    """Illuminance at the eye summed over the time of the approach [lx s], exact between straight-line stations.

    Parameters
    ----------
    distances_m : (stations,) along the path, rising or falling [m].
    eye_illuminance_lx : (stations,) of all lamps together [lx]; nan where not valid.
    speed_m_s : above 0 [m/s].

    Example
    -------
    >>> dose_lx_s([100, 50, 0], [1.0, 3.0, 3.0], 25.0)
    Dose(dose_lx_s=10.0, seconds_not_valid=0.0, stations_left_out=0)
    """
    stretch_s, first, last, valid = _stretches(distances_m, eye_illuminance_lx, speed_m_s)
    dose = _sum(stretch_s * (first + last) / 2.0, valid)
    missing = float(stretch_s[~valid].sum())
    return Dose(dose, missing, int(np.isnan(np.asarray(eye_illuminance_lx)).sum()))


def worst_station(values: ArrayLike) -> int | None:
    """Index of the largest valid value, the first of equal ones; None when no station is valid.

    Example
    -------
    >>> worst_station([0.1, np.nan, 0.3, 0.3]), worst_station([np.nan])
    (2, None)
    """
    array = np.asarray(values, np.float64)
    return None if np.isnan(array).all() else int(np.nanargmax(array))


def _sum(parts: Array, valid: NDArray[np.bool_]) -> float:
    """Sum over the valid stretches; nan when there are stretches and none is valid."""
    return float(parts[valid].sum()) if valid.any() or not valid.size else float("nan")


def _stretches(
    distances_m: ArrayLike, values: ArrayLike, speed_m_s: float
) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Seconds, first value, last value and validity of each stretch between two stations."""
    distance, value = np.asarray(distances_m, np.float64), np.asarray(values, np.float64)
    if distance.ndim != 1 or distance.shape != value.shape:
        raise UsageError("needs one value for each station", value=(distance.shape, value.shape))
    steps = np.diff(distance)
    if not ((steps > 0).all() or (steps < 0).all()):
        raise UsageError("is no path", key="distances_m", accepted="give distances that only rise or only fall")
    if not speed_m_s > 0.0:
        raise UsageError("is not a speed", key="speed_m_s", value=speed_m_s, accepted="give a speed above 0")
    return np.abs(steps) / speed_m_s, value[:-1], value[1:], ~np.isnan(value[:-1] + value[1:])
