"""Discomfort glare on the nine-point scale of de Boer; the formulas are unconfirmed and decide nothing.

Both ratings are higher where glare is less. A flashing lamp is rated in its on-phase: discomfort follows the peak.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.sources import Source

__all__ = [
    "ADAPTATION_RANGE_CD_M2",
    "ANGLE_RANGE_DEG",
    "DE_BOER_SOURCE",
    "DE_BOER_WORDS",
    "LARGE_SOURCE_DEG",
    "OUTDOOR_DISCOMFORT_SOURCE",
    "de_boer",
    "outdoor_discomfort",
    "outdoor_glare_index",
]

ANGLE_RANGE_DEG = (1.0, 30.0)
ADAPTATION_RANGE_CD_M2 = (0.015, 15.0)
DE_BOER_SOURCE = Source("Schmidt-Clausen and Bindels, discomfort glare of headlamps", "1974", "formula", "unconfirmed")
DE_BOER_WORDS = ((1, "unbearable"), (3, "disturbing"), (5, "just admissible"), (7, "satisfactory"), (9, "unnoticeable"))
OUTDOOR_DISCOMFORT_SOURCE = Source("Bullough and others, discomfort glare outdoors", "2008", "formula", "unconfirmed")
LARGE_SOURCE_DEG = 0.3  # a lighting society's page says 0.2 to 0.3 deg

_ARCMIN_PER_DEG = 60.0  # the formula takes minutes of arc, unlike every other form of glare


def de_boer(
    eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, adaptation_luminance_cd_m2: ArrayLike
) -> NDArray[np.float64]:
    """Discomfort rating of all sources together, 1 unbearable to 9 unnoticeable: higher is better.

    Parameters
    ----------
    eye_illuminance_lx : (lamps, ...) square to the line of sight, zero or more [lx].
    angle_deg : (lamps, ...) between line of sight and source, 1 to 30 [deg].
    adaptation_luminance_cd_m2 : (...) 0.015 to 15 [cd/m2].

    A lamp that gives no light counts for nothing whatever its angle; without any light the rating is 9. A lamp that
    does, at an angle outside the range, makes the rating nan.

    Source
    ------
    Schmidt-Clausen and Bindels 1974, from memory, unconfirmed.

    Example
    -------
    >>> de_boer([[1.0, 0.0, 1.0]], [[3.5, 3.5, 0.5]], 0.1).round(3).tolist()
    [2.914, 9.0, nan]
    """
    light, angle = np.broadcast_arrays(np.asarray(eye_illuminance_lx, np.float64), np.asarray(angle_deg, np.float64))
    adaptation = np.asarray(adaptation_luminance_cd_m2, np.float64)
    low, high = ADAPTATION_RANGE_CD_M2
    valid = (angle >= ANGLE_RANGE_DEG[0]) & (angle <= ANGLE_RANGE_DEG[1]) & (light >= 0.0)
    valid = valid & (low <= adaptation) & (adaptation <= high)
    arcmin = np.where(valid, angle, 1.0) * _ARCMIN_PER_DEG
    adapted = 0.003 * (1.0 + np.sqrt(np.maximum(adaptation, 0.0) / 0.04))
    parts = np.where(light == 0.0, 0.0, np.where(valid, light / (adapted * arcmin**0.46), np.nan))
    total = np.asarray(parts.sum(axis=0))
    with np.errstate(divide="ignore"):  # no light at all: the rating grows without bound and is cut to 9
        rating = 5.0 - 2.0 * np.log10(total)
    return np.asarray(np.clip(rating, 1.0, 9.0), dtype=np.float64)


def outdoor_glare_index(direct_lx: ArrayLike, surround_lx: ArrayLike, ambient_lx: ArrayLike) -> NDArray[np.float64]:
    """Discomfort index of outdoor lighting, DG = log(EL + ES) + 0.6 log(EL/ES) - 0.5 log(EA).

    Parameters
    ----------
    direct_lx : (...) vertical at the eye, straight from the source, above 0 [lx].
    surround_lx : (...) vertical at the eye, from surroundings that the source lights, above 0 [lx].
    ambient_lx : (...) vertical at the eye without the source, above 0 [lx].

    Source
    ------
    Bullough and others 2008, from memory, unconfirmed.

    Example
    -------
    >>> outdoor_glare_index([1.0, 20.0, 1.0], [0.1, 1.0, 0.0], [0.1, 1.0, 0.1]).round(5).tolist()
    [1.14139, 2.10284, nan]
    """
    direct, surround, ambient = np.broadcast_arrays(
        *(np.asarray(light, np.float64) for light in (direct_lx, surround_lx, ambient_lx))
    )
    valid = (direct > 0.0) & (surround > 0.0) & (ambient > 0.0)
    el, es, ea = (np.where(valid, light, 1.0) for light in (direct, surround, ambient))
    index = np.log10(el + es) + 0.6 * np.log10(el / es) - 0.5 * np.log10(ea)
    return np.where(valid, index, np.nan)


def outdoor_discomfort(
    direct_lx: ArrayLike,
    surround_lx: ArrayLike,
    ambient_lx: ArrayLike,
    *,
    source_width_deg: ArrayLike = 0.0,
    source_luminance_cd_m2: ArrayLike = np.nan,
) -> NDArray[np.float64]:
    """Discomfort rating of outdoor lighting, DB = 6.6 - 6.4 log(DG), 1 unbearable to 9 unnoticeable: higher is better.

    Parameters
    ----------
    direct_lx, surround_lx, ambient_lx : (...) as in `outdoor_glare_index`; without direct light the rating is 9.
    source_width_deg : (...) angle that the source fills at the eye [deg].
    source_luminance_cd_m2 : (...) of a source wider than 0.3 deg, which adds 1.4 log(50000/L); nan without it [cd/m2].

    Where the index is zero or below, the rating is 9.

    Source
    ------
    Bullough and others 2008, from memory, unconfirmed.

    Example
    -------
    >>> outdoor_discomfort([1.0, 20.0, 0.0], [0.1, 1.0, 0.0], [0.1, 1.0, 1.0]).round(4).tolist()
    [6.2324, 4.534, 9.0]
    """
    direct, ambient, width = (np.asarray(part, np.float64) for part in (direct_lx, ambient_lx, source_width_deg))
    index = outdoor_glare_index(direct, surround_lx, ambient)
    rating = np.where(index <= 0.0, np.inf, 6.6 - 6.4 * np.log10(np.where(index > 0.0, index, 1.0)))
    luminance = np.asarray(source_luminance_cd_m2, np.float64)
    known = np.where(luminance > 0.0, luminance, np.nan)
    large = np.where(width > LARGE_SOURCE_DEG, 1.4 * np.log10(50000.0 / known), np.where(width >= 0.0, 0.0, np.nan))
    rating = np.where(np.isnan(index), np.nan, rating) + large
    rating = np.where((direct == 0.0) & (ambient > 0.0), 9.0, rating)
    return np.asarray(np.clip(rating, 1.0, 9.0), dtype=np.float64)
