"""Correlated colour temperature: the Planckian radiator that is nearest in the uniform diagram of 1960."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.colour.chromaticity import planckian_xy

__all__ = ["CCT_RANGE_K", "LARGEST_DUV", "Temperature", "correlated_temperature"]

Array = NDArray[np.float64]

CCT_RANGE_K = (1000.0, 20_000.0)
LARGEST_DUV = 0.05

_POINTS = 201  # of each search
_ROUNDS = 4  # each a hundred times finer than the one before


@dataclass(frozen=True)
class Temperature:
    """Correlated colour temperature [K], nan outside its range, and distance from the radiator, above it positive."""

    cct_k: float
    duv: float


def correlated_temperature(x: float, y: float) -> Temperature:
    """Colour temperature of the nearest Planckian radiator, nan beyond 0.05 from it or outside 1000 to 20,000 K.

    Parameters
    ----------
    x, y : chromaticity of CIE 1931.

    Source
    ------
    CIE 015:2018, correlated colour temperature: least distance in the u, v diagram of 1960, found by search.

    Example
    -------
    >>> found = correlated_temperature(0.3127, 0.3290)
    >>> round(found.cct_k), round(found.duv, 4)
    (6504, 0.0032)
    """
    at = _uv(np.array([x, y], np.float64))
    warmest, coldest = 1e6 / CCT_RANGE_K[0], 1e6 / CCT_RANGE_K[1]
    low, high = coldest, warmest
    for _ in range(_ROUNDS):
        mired = np.linspace(low, high, _POINTS)
        apart = np.hypot(*(_uv(planckian_xy(1e6 / mired)) - at).T)
        best, step = float(mired[int(np.argmin(apart))]), (high - low) / (_POINTS - 1)
        low, high = max(best - step, coldest), min(best + step, warmest)
    distance = float(apart.min())
    if best in (coldest, warmest) or not distance <= LARGEST_DUV:
        return Temperature(float("nan"), float("nan"))
    above = bool(at[1] >= _uv(planckian_xy(1e6 / best))[1])
    return Temperature(1e6 / best, distance if above else -distance)


def _uv(xy: Array) -> Array:
    x, y = xy[..., 0], xy[..., 1]
    below = 12.0 * y - 2.0 * x + 3.0
    return np.stack([4.0 * x / below, 6.0 * y / below], axis=-1)
