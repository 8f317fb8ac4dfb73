"""The luminous intensity of a lamp over its own photometric angles, and the size of its luminous opening."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.photometry.directions import PhotometricType, angles

__all__ = ["ANGLE_SLACK_DEG", "IntensityDistribution", "Opening"]

Array = NDArray[np.float64]

ANGLE_SLACK_DEG = 1e-6
"""The end angles belong to the measured range, within this [deg]."""


@dataclass(frozen=True, eq=False)
class IntensityDistribution:
    """Luminous intensity on a grid of photometric angles, all factors applied and all symmetry unfolded.

    Parameters
    ----------
    photometric_type : "A", "B" or "C".
    horizontal_deg : (nH,) ascending [deg]. Type C: 0..360, plane 360 being plane 0 again; a rotational lamp has the two
        planes 0 and 360. Types A and B: within -90..90, H positive to the right seen from behind the lamp.
    vertical_deg : (nV,) ascending [deg]. Type C: gamma within 0..180. Types A and B: within -90..90, positive up.
    candela : (nH, nV) intensities, 0 or more [cd].
        Between the angles the intensity is bilinear in them; outside the listed range it is 0.

    Example
    -------
    >>> lamp = IntensityDistribution("C", [0, 360], [0, 40, 90], [[500, 350, 0]] * 2)
    >>> float(lamp.candela_at(123, 20)), float(lamp.candela_at(0, 91))
    (425.0, 0.0)
    """

    photometric_type: PhotometricType
    horizontal_deg: Array
    vertical_deg: Array
    candela: Array

    def __post_init__(self) -> None:
        for name in ("horizontal_deg", "vertical_deg", "candela"):
            object.__setattr__(self, name, _frozen(getattr(self, name)))
        low_h, high_h, low_v, high_v = (0, 360, 0, 180) if self.photometric_type == "C" else (-90, 90, -90, 90)
        _check_angles("horizontal_deg", self.horizontal_deg, low_h, high_h)
        _check_angles("vertical_deg", self.vertical_deg, low_v, high_v)
        if self.photometric_type == "C" and (self.horizontal_deg[0], self.horizontal_deg[-1]) != (0.0, 360.0):
            raise UsageError("does not close the circle", key="horizontal_deg", accepted="type C goes from 0 to 360")
        if self.candela.shape != (self.horizontal_deg.size, self.vertical_deg.size):
            raise UsageError(f"has shape {self.candela.shape}, not (horizontal, vertical angles)", key="candela")
        if not (self.candela.min() >= 0.0 and self.candela.max() < np.inf):
            raise UsageError("is not a table of finite intensities from 0 up", key="candela")

    def candela_at(self, horizontal_deg: ArrayLike, vertical_deg: ArrayLike) -> Array:
        """Intensity at photometric angles [cd]: bilinear, 0 outside the measured range.

        Parameters
        ----------
        horizontal_deg, vertical_deg : angles of the distribution's own type [deg]; they broadcast.
        """
        h, v = np.broadcast_arrays(np.asarray(horizontal_deg, np.float64), np.asarray(vertical_deg, np.float64))
        if self.photometric_type == "C":
            h = h % 360.0
        i, a, inside_h = _cell(self.horizontal_deg, h)
        j, b, inside_v = _cell(self.vertical_deg, v)
        low = (1.0 - b) * self.candela[i, j] + b * self.candela[i, j + 1]
        high = (1.0 - b) * self.candela[i + 1, j] + b * self.candela[i + 1, j + 1]
        return np.where(inside_h & inside_v, (1.0 - a) * low + a * high, 0.0)

    def intensity(self, directions: ArrayLike) -> Array:
        """Intensity in directions (..., 3) of the photometric frame [cd]; their length does not matter."""
        return self.candela_at(*angles(self.photometric_type, directions))


def _frozen(values: ArrayLike) -> Array:
    """A read-only copy; an array that nobody can write to any more is taken as it is, since tables may be large."""
    known = isinstance(values, np.ndarray) and values.dtype == np.float64 and values.base is None
    if known and not values.flags.writeable:  # type: ignore[union-attr]
        return np.asarray(values)
    array = np.array(values, np.float64)
    array.flags.writeable = False
    return array


def _check_angles(name: str, values: Array, low: float, high: float) -> None:
    if values.ndim != 1 or values.size < 2 or not (np.diff(values) > 0.0).all():
        raise UsageError("is not a list of at least two ascending angles", key=name)
    if values[0] < low - ANGLE_SLACK_DEG or values[-1] > high + ANGLE_SLACK_DEG:
        raise UsageError(f"leaves the range {low}..{high} deg", key=name)


def _cell(grid: Array, at: Array) -> tuple[NDArray[np.int64], Array, NDArray[np.bool_]]:
    """Index of the cell, place in it from 0 to 1, and whether the angle lies on the grid at all."""
    inside = (at >= grid[0] - ANGLE_SLACK_DEG) & (at <= grid[-1] + ANGLE_SLACK_DEG)
    clipped = np.clip(at, grid[0], grid[-1])
    index = np.clip(np.searchsorted(grid, clipped, side="right") - 1, 0, grid.size - 2).astype(np.int64)
    place = (clipped - grid[index]) / (grid[index + 1] - grid[index])
    return index, place, inside


@dataclass(frozen=True)
class Opening:
    """The luminous opening of a lamp, along the axes of its photometric frame.

    Parameters
    ----------
    shape : outline as seen along the beam.
    length_m : along x, the 0-degree plane (left-right for type C, up-down for type B in the usual mounting) [m].
    width_m : along y, across the 0-degree plane [m].
    height_m : along z [m].
    solid : the body that a file's shape code names ("rectangle", "sphere", "vertical cylinder" ...).
    """

    shape: Literal["point", "rectangle", "ellipse"] = "point"
    length_m: float = 0.0
    width_m: float = 0.0
    height_m: float = 0.0
    solid: str = "point"

    @property
    def size_m(self) -> tuple[float, float, float]:
        """Length, width and height [m]."""
        return self.length_m, self.width_m, self.height_m
