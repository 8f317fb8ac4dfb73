"""How light spreads in the eye: each published law of the veil per lux against the glare angle, with its constants."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = ["FryScatter", "Law", "Scatter", "SpreadFunction"]

Array = NDArray[np.float64]


class Law(Protocol):
    """Veil per lux [1/sr] at glare angles [deg] for an age [years] and a pigmentation, all of one shape."""

    def per_lux(self, t: Array, age_years: Array, pigmentation: Array) -> Array: ...


@dataclass(frozen=True)
class Scatter:
    """Constants of one law: cubic/t^3 + (square/t^2 + linear p/t) [1 + (A/age_scale)^4] + constant p, per lux."""

    square: float
    cubic: float = 0.0
    linear: float = 0.0
    constant: float = 0.0
    age_scale_years: float = math.inf  # no growth with age

    def per_lux(self, t: Array, age_years: Array, pigmentation: Array) -> Array:
        """Veil per lux [1/sr] at glare angles above 0 [deg]."""
        age = 1.0 + (age_years / self.age_scale_years) ** 4
        falling = self.square / t**2 + self.linear * pigmentation / t
        return self.cubic / t**3 + falling * age + self.constant * pigmentation


@dataclass(frozen=True)
class FryScatter:
    """The law scale/(t^2 + offset t), without age."""

    scale: float
    offset_deg: float

    def per_lux(self, t: Array, age_years: Array, pigmentation: Array) -> Array:
        """Veil per lux [1/sr] at glare angles above 0 [deg]."""
        return self.scale / (t**2 + self.offset_deg * t) + 0.0 * (age_years + pigmentation)


@dataclass(frozen=True)
class SpreadFunction:
    """The whole spread of a point of light on the retina, from its middle outward."""

    age_scale_years: float = 70.0
    core_deg: float = 0.0046  # ten times this is a known misprint, with which the sphere holds 37 times the light
    halo_deg: float = 0.045
    wing_deg: float = 0.1

    def per_lux(self, t: Array, age_years: Array, pigmentation: Array) -> Array:
        """Spread per lux [1/sr] at angles from 0 [deg]."""
        age = (age_years / self.age_scale_years) ** 4
        core = 9.2e6 / (1.0 + (t / self.core_deg) ** 2) ** 1.5 + 1.5e5 / (1.0 + (t / self.halo_deg) ** 2) ** 1.5
        wing = 1.0 + (t / self.wing_deg) ** 2
        wall = pigmentation * (1300.0 / wing**1.5 + 0.8 / wing**0.5)
        return (
            (1.0 - 0.08 * age) * core + (1.0 + 1.6 * age) * (400.0 / wing + 3e-8 * t**2 + wall) + 2.5e-3 * pigmentation
        )
