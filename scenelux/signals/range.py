"""How strong a steady light must be to be seen at the threshold over a distance in air of a stated clearness."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["NAUTICAL_MILE_M", "intensity_for_range"]

Array = NDArray[np.float64]

NAUTICAL_MILE_M = 1852.0


def intensity_for_range(range_nmi: ArrayLike, *, transmissivity: float = 0.8, threshold_lx: float = 2e-7) -> Array:
    """Intensity T (1852 D)^2 K^-D that is just seen over D nautical miles [cd].

    Parameters
    ----------
    range_nmi : (...) luminous range D, above 0 [nmi].
    transmissivity : K, share of light that a nautical mile of air leaves, above 0 to 1.
    threshold_lx : T, illuminance at the eye that is just seen, above 0 [lx].

    Source
    ------
    33 CFR 84.15, published, with T 2e-7 lx and K 0.8.

    Example
    -------
    >>> intensity_for_range([1.0, 2.0, 6.0]).round(3).tolist()
    [0.857, 4.287, 94.205]
    """
    distance = np.asarray(range_nmi, np.float64)
    valid = (distance > 0.0) & (0.0 < transmissivity <= 1.0) & (threshold_lx > 0.0)
    inside = np.where(valid, distance, 1.0)
    clear = transmissivity if transmissivity > 0.0 else 1.0
    return np.where(valid, threshold_lx * (NAUTICAL_MILE_M * inside) ** 2 * clear**-inside, np.nan)
