"""Luminance in the dusk: what the eye gets between day and night vision, CIE 191.

For tasks out of doors and at the edge of the field. Looking straight at a small thing is photopic (from memory), and
glare is not mesopic: the spectrum has no or marginal effect on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import SceneluxError
from scenelux.sources import Source

__all__ = [
    "MESOPIC_FORM",
    "MESOPIC_SOURCE",
    "Mesopic",
    "mesopic_gain_percent",
    "mesopic_luminance",
    "mesopic_vision",
]

Array = NDArray[np.float64]

MESOPIC_FORM = "cie191-mes2"
MESOPIC_SOURCE = Source("CIE 191, Mesopic photometry", "2010", "MES2, as quoted by public code", "quoted")

_DAY_OVER_NIGHT = 683.0 / 1699.0
_CLOSE, _MOST_ROUNDS = 1e-12, 1000


@dataclass(frozen=True, eq=False)
class Mesopic:
    """Mesopic luminance [cd/m2] and the state of the eye: 1 sees as by day, 0 as by night."""

    form: str
    luminance_cd_m2: Array
    adaptation: Array


def mesopic_vision(photopic_cd_m2: ArrayLike, sp_ratio: ArrayLike) -> Mesopic:
    """Mesopic luminance and state of the eye of a field and the light source that lights it.

    Parameters
    ----------
    photopic_cd_m2 : (...) mean luminance of the field that the eye is used to, zero or more [cd/m2].
    sp_ratio : (...) scotopic/photopic ratio of its light, above 0.

    Above 5 cd/m2 the result is photopic, below 0.005 cd/m2 scotopic.

    Source
    ------
    CIE 191:2010, MES2, as quoted by public code.

    Example
    -------
    >>> seen = mesopic_vision(1.0, [0.65, 1.0, 1.72])
    >>> seen.luminance_cd_m2.round(4).tolist(), seen.adaptation.round(4).tolist()
    ([0.9608, 1.0, 1.0743], [0.7612, 0.767, 0.7774])
    """
    day, ratio = np.broadcast_arrays(np.asarray(photopic_cd_m2, np.float64), np.asarray(sp_ratio, np.float64))
    valid = (day >= 0.0) & np.isfinite(day) & (ratio > 0.0) & np.isfinite(ratio)
    light, share = np.where(valid, day, 1.0), np.where(valid, ratio, 1.0)
    state = np.full(light.shape, 0.5)
    for _ in range(_MOST_ROUNDS):
        before, state = state, _state(_mixed(light, share, state))
        if (np.abs(state - before) < _CLOSE).all():
            luminance = _mixed(light, share, state)
            return Mesopic(MESOPIC_FORM, np.where(valid, luminance, np.nan), np.where(valid, state, np.nan))
    raise SceneluxError(f"the mesopic luminance did not settle in {_MOST_ROUNDS} rounds")


def mesopic_luminance(photopic_cd_m2: ArrayLike, sp_ratio: ArrayLike) -> Array:
    """Mesopic luminance alone [cd/m2], as of `mesopic_vision`.

    Example
    -------
    >>> mesopic_luminance([0.1, 10.0, 0.001], 2.05).round(5).tolist()
    [0.13237, 10.0, 0.00205]
    """
    return mesopic_vision(photopic_cd_m2, sp_ratio).luminance_cd_m2


def mesopic_gain_percent(photopic_cd_m2: ArrayLike, sp_ratio: ArrayLike) -> Array:
    """By how much the eye in the dusk gets more than the luminance says [%]; below 0 where it gets less.

    Example
    -------
    >>> mesopic_gain_percent(0.1, [0.65, 1.85]).round(1).tolist()
    [-12.7, 26.7]
    """
    day = np.asarray(photopic_cd_m2, np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):  # a dark field has no gain
        return np.asarray(100.0 * (mesopic_luminance(day, sp_ratio) / day - 1.0))


def _mixed(day: Array, ratio: Array, state: Array) -> Array:
    night = (1.0 - state) * _DAY_OVER_NIGHT
    return (state * day + night * ratio * day) / (state + night)


def _state(luminance: Array) -> Array:
    with np.errstate(divide="ignore"):  # no light: sees as by night
        return np.clip(0.7670 + 0.3334 * np.log10(luminance), 0.0, 1.0)
