"""Threshold increment: by how many percent a veil raises the least contrast that is seen, an equivalent here.

The quantity belongs to fixed lighting of a whole road; for a vehicle it is called an equivalent, on a road luminance
that is stated beside it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.sources import Source

__all__ = [
    "MINIMUM_ROAD_LUMINANCE_CD_M2",
    "OBSERVER_AGE_YEARS",
    "OBSERVER_GAZE_DOWN_DEG",
    "THRESHOLD_INCREMENT_SOURCE",
    "VEIL_FORM",
    "threshold_increment_percent",
]

OBSERVER_AGE_YEARS = 23.0
OBSERVER_GAZE_DOWN_DEG = 1.0  # below the horizontal, parallel to the road
VEIL_FORM = "en13201"
MINIMUM_ROAD_LUMINANCE_CD_M2 = 0.05

THRESHOLD_INCREMENT_SOURCE = Source(
    "EN 13201-3, Road lighting: calculation", "2015", "threshold increment, as quoted by public code", "quoted"
)


def threshold_increment_percent(veil_cd_m2: ArrayLike, road_luminance_cd_m2: ArrayLike) -> NDArray[np.float64]:
    """Threshold increment of a veil on a road of some luminance [%]; above 100 % is usual on unlit roads.

    Parameters
    ----------
    veil_cd_m2 : (...) by the form `VEIL_FORM` for the age of 23 years, gaze 1 deg down [cd/m2].
    road_luminance_cd_m2 : (...) average, 0.05 or more [cd/m2]; nan below.

    Source
    ------
    EN 13201-3:2015, as quoted by public code: 65 Lv/L^0.80 up to 5 cd/m2, 95 Lv/L^1.05 above. The standard jumps
    by 2.3 % where they join. The lower end of the range is unconfirmed.

    Example
    -------
    >>> threshold_increment_percent(0.15, [0.01, 1.0, 5.0, 10.0]).round(4).tolist()
    [nan, 9.75, 2.6905, 1.27]
    """
    veil, road = np.broadcast_arrays(np.asarray(veil_cd_m2, np.float64), np.asarray(road_luminance_cd_m2, np.float64))
    valid = (road >= MINIMUM_ROAD_LUMINANCE_CD_M2) & (veil >= 0.0) & np.isfinite(road)
    lit = np.where(valid, road, 1.0)
    percent = np.where(lit <= 5.0, 65.0 * veil / lit**0.80, 95.0 * veil / lit**1.05)
    return np.where(valid, percent, np.nan)
