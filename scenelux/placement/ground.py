"""The ground of the site: one inclined plane through the site's origin."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Axes, Vector, attitude_axes, compose, cross, unit

__all__ = ["Ground"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Ground:
    """A plane with grade and crossfall.

    Parameters
    ----------
    grade : rise over run along the site, positive = uphill.
    crossfall : fall over run towards the right, positive = falls to the right.

    Example
    -------
    >>> Ground(0.05, 0.0).height_m(100.0, 0.0)
    5.0
    """

    grade: float = 0.0
    crossfall: float = 0.0

    def height_m(self, along_m: float, left_m: float) -> float:
        """Height of the pavement above the site's origin [m]."""
        return self.grade * along_m + self.crossfall * left_m

    def heights_m(self, along_m: Array, left_m: Array) -> Array:
        """Heights of the pavement above the site's origin, of the arrays' shape [m]."""
        return np.asarray(self.grade * along_m + self.crossfall * left_m, dtype=np.float64)

    @property
    def normal(self) -> Vector:
        """Unit normal of the pavement in the site frame."""
        return unit((-self.grade, -self.crossfall, 1.0))

    def lay(self, heading_deg: float, pitch_deg: float, roll_deg: float) -> Axes:
        """Axes of a vehicle standing on this pavement, its heading kept in plan, then pitched and rolled."""
        h = radians(heading_deg)
        forward = unit((cos(h), sin(h), self.height_m(cos(h), sin(h))))
        standing: Axes = (forward, cross(self.normal, forward), self.normal)
        return compose(standing, attitude_axes(0.0, pitch_deg, roll_deg))
