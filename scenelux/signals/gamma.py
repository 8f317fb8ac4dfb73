"""Logarithm of the gamma function and its slope, for sums over the whole past of a repeated light."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["digamma", "log_gamma"]

Array = NDArray[np.float64]

_SHIFT = 10
"""The series below are good to double precision from here upwards."""

_OF_DIGAMMA = (-1 / 12, 1 / 120, -1 / 252, 1 / 240, -1 / 132, 691 / 32760, -1 / 12)
_OF_LOG_GAMMA = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156)


def digamma(x: ArrayLike) -> Array:
    """Slope of the logarithm of the gamma function, for x above 0.

    Source: asymptotic series in Bernoulli numbers, after moving x upwards by 10.

    Example
    -------
    >>> round(float(digamma(1.0)), 12)
    -0.577215664902
    """
    at = np.asarray(x, np.float64)
    below = sum(1.0 / (at + k) for k in range(_SHIFT))
    far = at + _SHIFT
    return np.asarray(np.log(far) - 0.5 / far + _series(_OF_DIGAMMA, far) / far**2 - below)


def log_gamma(x: ArrayLike) -> Array:
    """Logarithm of the gamma function, for x above 0.

    Source: asymptotic series in Bernoulli numbers, after moving x upwards by 10.

    Example
    -------
    >>> round(float(np.exp(log_gamma(5.0))), 9)
    24.0
    """
    at = np.asarray(x, np.float64)
    below = np.log(at)
    for k in range(1, _SHIFT):
        below = below + np.log(at + k)
    far = at + _SHIFT
    stirling = (far - 0.5) * np.log(far) - far + 0.5 * np.log(2.0 * np.pi)
    return np.asarray(stirling + _series(_OF_LOG_GAMMA, far) / far - below)


def _series(coefficients: tuple[float, ...], x: Array) -> Array:
    """c0 + c1/x^2 + c2/x^4 + .."""
    total = np.zeros_like(x)
    for coefficient in reversed(coefficients):
        total = total / x**2 + coefficient
    return total
