"""What light does to the eye for the seconds after it: pupil, bleaching, and an indicative lag of adaptation.

No validated formula gives the seconds of recovery, so none are given. Recovery grows with the dose, most of all for
things at the edge of the field and for older eyes: compare doses, peaks, and the time with a veil above the background.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source

__all__ = [
    "BLEACHING_SOURCE",
    "INDICATIVE_LAG_SOURCE",
    "PUPIL_SOURCE",
    "bleached_share",
    "greatest_fall",
    "indicative_adaptation",
    "pupil_diameter_mm",
    "retinal_illuminance_td",
]

Array = NDArray[np.float64]

PUPIL_SOURCE = Source("Barten", "1999", "pupil diameter, as computed by a general library", "quoted")
BLEACHING_SOURCE = Source("Rushton and Henry", "1968", "as quoted by a public toolbox", "quoted")
INDICATIVE_LAG_SOURCE = Source("a design choice after CIE 88", "", "constants from memory", "unconfirmed")

_HALF_BLEACHED_TD = 10.0**4.3
_RISE_S, _FALL_S = 0.1, 2.0  # from memory, the fall is given as 1 to 3 s


def pupil_diameter_mm(
    luminance_cd_m2: ArrayLike, field_width_deg: ArrayLike = 40.0, field_height_deg: ArrayLike = 40.0
) -> Array:
    """Diameter of the pupil in a field of some luminance [mm].

    Parameters
    ----------
    luminance_cd_m2 : (...) mean of the field, above 0 [cd/m2].
    field_width_deg, field_height_deg : (...) of the field, above 0 [deg].

    Source
    ------
    Barten 1999, as computed by a general library: 5 - 3 tanh(0.4 log10(L X Y/40^2)).

    Example
    -------
    >>> pupil_diameter_mm([0.01, 1.0, 100.0, 0.0]).round(3).tolist()
    [6.992, 5.0, 3.008, nan]
    """
    light, width, height = (
        np.asarray(part, np.float64) for part in (luminance_cd_m2, field_width_deg, field_height_deg)
    )
    valid = (light > 0.0) & (width > 0.0) & (height > 0.0)
    field = np.where(valid, light * width * height / 40.0**2, 1.0)
    return np.where(valid, 5.0 - 3.0 * np.tanh(0.4 * np.log10(field)), np.nan)


def retinal_illuminance_td(luminance_cd_m2: ArrayLike, pupil_mm: ArrayLike) -> Array:
    """Light on the retina, luminance times the area of the pupil [td].

    Example
    -------
    >>> retinal_illuminance_td(100.0, 3.008).round(1).tolist()
    710.6
    """
    light, pupil = np.asarray(luminance_cd_m2, np.float64), np.asarray(pupil_mm, np.float64)
    return np.where((light >= 0.0) & (pupil > 0.0), light * np.pi * pupil**2 / 4.0, np.nan)


def bleached_share(retinal_td: ArrayLike) -> Array:
    """Share of the pigment of cones that steady light bleaches, T/(T + 10^4.3).

    Parameters
    ----------
    retinal_td : (...) zero or more [td].

    Source
    ------
    Rushton and Henry 1968, as quoted by a public toolbox.

    Example
    -------
    >>> bleached_share([0.0, 200.0, 20000.0]).round(4).tolist()
    [0.0, 0.0099, 0.5006]
    """
    light = np.asarray(retinal_td, np.float64)
    return np.where(light >= 0.0, light / (light + _HALF_BLEACHED_TD), np.nan)


def greatest_fall(time_s: ArrayLike) -> Array:
    """Least share of the first luminance to which adaptation may have fallen after so many seconds, (1.9 + t)^-1.4.

    Source
    ------
    CIE 88, tunnel lighting; used here as a limit, which is a design choice from memory.

    Example
    -------
    >>> greatest_fall([0.0, 2.0, 20.0]).round(4).tolist()
    [0.4071, 0.1488, 0.0133]
    """
    seconds = np.asarray(time_s, np.float64)
    return np.where(seconds >= 0.0, (1.9 + np.maximum(seconds, 0.0)) ** -1.4, np.nan)


def indicative_adaptation(
    times_s: ArrayLike, luminance_cd_m2: ArrayLike, *, rise_s: float = _RISE_S, fall_s: float = _FALL_S
) -> Array:
    """What the eye may be used to while the light around it changes: an indication, never a time of recovery [cd/m2].

    The logarithm follows the light, quickly up and slowly down, and falls no faster than `greatest_fall`.

    Parameters
    ----------
    times_s : (times,) rising [s].
    luminance_cd_m2 : (..., times) background and veil together, above 0; nan from the first that is not [cd/m2].
    rise_s, fall_s : times in which the logarithm comes nearer by a factor of e, above 0 [s].

    Source
    ------
    A design choice after CIE 88, constants from memory, unconfirmed.

    Example
    -------
    >>> indicative_adaptation([0, 1, 2, 4, 30], [0.1, 10.0, 0.1, 0.1, 0.1]).round(3).tolist()
    [0.1, 9.998, 2.252, 1.081, 0.1]
    """
    times, light = np.asarray(times_s, np.float64), np.asarray(luminance_cd_m2, np.float64)
    if times.ndim != 1 or light.shape[-1:] != times.shape or not (np.diff(times) > 0.0).all():
        raise UsageError("is no course of time", key="times_s", accepted="give one luminance for each of rising times")
    if not (rise_s > 0.0 and fall_s > 0.0):
        raise UsageError("is not a time", value=(rise_s, fall_s), accepted="give times above 0")
    known = np.logical_and.accumulate(light > 0.0, axis=-1)
    goal = np.log(np.where(known, light, 1.0))
    state = goal.copy()
    start, since = goal[..., 0].copy(), np.full(goal.shape[:-1], times[0])  # of the present fall
    for i in range(1, times.size):
        before, falls = state[..., i - 1], goal[..., i] < state[..., i - 1]
        share = 1.0 - np.exp(-(times[i] - times[i - 1]) / np.where(falls, fall_s, rise_s))
        moved = before + (goal[..., i] - before) * share
        limit = start + np.log(greatest_fall(times[i] - since))
        state[..., i] = np.where(falls, np.maximum(moved, np.minimum(limit, before)), moved)
        start, since = np.where(falls, start, state[..., i]), np.where(falls, since, times[i])
    return np.where(known, np.exp(state), np.nan)
