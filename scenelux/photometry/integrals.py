"""Exact integrals of intensities that are linear in an angle, weighted by the sine or cosine of that angle."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = ["partial_integral", "segment_integrals"]

Array = NDArray[np.float64]


def segment_integrals(x_rad: Array, values: Array, weight: Literal["sin", "cos"]) -> Array:
    """Integral of each segment of a piecewise linear function times sin x or cos x, (..., n - 1).

    Parameters
    ----------
    x_rad : (n,) ascending [rad].
    values : (..., n) at those angles.
    weight : "sin" or "cos".
    """
    return partial_integral(x_rad[:-1], x_rad[1:], values[..., :-1], values[..., 1:], weight)


def partial_integral(x1: Array, x2: Array, a: Array, b: Array, weight: Literal["sin", "cos"]) -> Array:
    """Integral from x1 to x2 of the line from a to b times sin x or cos x; nothing where x1 equals x2.

    Parameters
    ----------
    x1, x2 : ends [rad].
    a, b : values there.
    weight : "sin" or "cos".
    """
    step = x2 - x1
    slope = (b - a) / np.where(step == 0.0, 1.0, step)
    if weight == "sin":
        return np.asarray(a * np.cos(x1) - b * np.cos(x2) + slope * (np.sin(x2) - np.sin(x1)))
    return np.asarray(b * np.sin(x2) - a * np.sin(x1) + slope * (np.cos(x2) - np.cos(x1)))
