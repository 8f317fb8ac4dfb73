"""Angles without a library: an odd polynomial for the eighth of a turn, and selects for the rest."""

from __future__ import annotations

import numpy as np

from scenelux.engine.cache import part

__all__ = ["eighth", "larger", "quarters", "smaller"]

ZERO, ONE, TWO, FOUR = np.float32(0.0), np.float32(1.0), np.float32(2.0), np.float32(4.0)
TINY = np.float32(1e-30)

# Minimax coefficients of atan(t) on 0..1, found by exchange; the error is 6e-9 rad before rounding to single precision.
A0, A1, A2, A3, A4, A5, A6, A7, A8 = (
    np.float32(a)
    for a in (
        0.9999998864, -0.3333259703, 0.1998590678, -0.1416122928, 0.1049894637,
        -0.0723485794, 0.03978122988, -0.01440136158, 0.002456725456,
    )
)  # fmt: skip


@part
def larger(a: np.float32, b: np.float32) -> np.float32:
    """The larger of two numbers, in the one instruction that processors have for it."""
    return a if a > b else b


@part
def smaller(a: np.float32, b: np.float32) -> np.float32:
    """The smaller of two numbers."""
    return a if a < b else b


@part
def eighth(side: np.float32, ahead: np.float32) -> np.float32:
    """Angle [rad], 0 to an eighth of a turn, between the longer of two lengths and their hypotenuse."""
    t = smaller(side, ahead) / larger(larger(side, ahead), TINY)
    s = t * t
    return t * (A0 + s * (A1 + s * (A2 + s * (A3 + s * (A4 + s * (A5 + s * (A6 + s * (A7 + s * A8))))))))


@part
def quarters(side: np.float32, ahead: np.float32, behind: bool) -> tuple[np.float32, np.float32]:
    """The nearest right angle to atan2(side, ahead), counted 0..2, and the sign with which the eighth adds to it."""
    steep = side > ahead
    nearest = ONE if steep else (TWO if behind else ZERO)
    return nearest, -ONE if steep != behind else ONE
