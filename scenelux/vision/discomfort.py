"""Discomfort glare on the nine-point scale of de Boer; formula and range are unconfirmed and decide nothing."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.sources import Source

__all__ = ["ADAPTATION_RANGE_CD_M2", "ANGLE_RANGE_DEG", "DE_BOER_SOURCE", "DE_BOER_WORDS", "de_boer"]

ANGLE_RANGE_DEG = (1.0, 30.0)
ADAPTATION_RANGE_CD_M2 = (0.015, 15.0)
DE_BOER_SOURCE = Source("Schmidt-Clausen and Bindels, discomfort glare of headlamps", "1974", "formula", "unconfirmed")
DE_BOER_WORDS = ((1, "unbearable"), (3, "disturbing"), (5, "just admissible"), (7, "satisfactory"), (9, "unnoticeable"))

_ARCMIN_PER_DEG = 60.0  # the formula takes minutes of arc, unlike every other form of glare


def de_boer(
    eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, adaptation_luminance_cd_m2: float
) -> NDArray[np.float64]:
    """Discomfort rating of all sources together, 1 unbearable to 9 unnoticeable: higher is better.

    Parameters
    ----------
    eye_illuminance_lx : (lamps, ...) square to the line of sight, zero or more [lx].
    angle_deg : (lamps, ...) between line of sight and source, 1 to 30 [deg].
    adaptation_luminance_cd_m2 : 0.015 to 15 [cd/m2].

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
    low, high = ADAPTATION_RANGE_CD_M2
    valid = (angle >= ANGLE_RANGE_DEG[0]) & (angle <= ANGLE_RANGE_DEG[1]) & (light >= 0.0)
    valid &= low <= adaptation_luminance_cd_m2 <= high
    arcmin = np.where(valid, angle, 1.0) * _ARCMIN_PER_DEG
    adapted = 0.003 * (1.0 + np.sqrt(max(adaptation_luminance_cd_m2, 0.0) / 0.04))
    parts = np.where(light == 0.0, 0.0, np.where(valid, light / (adapted * arcmin**0.46), np.nan))
    total = np.asarray(parts.sum(axis=0))
    with np.errstate(divide="ignore"):  # no light at all: the rating grows without bound and is cut to 9
        rating = 5.0 - 2.0 * np.log10(total)
    return np.asarray(np.clip(rating, 1.0, 9.0), dtype=np.float64)
