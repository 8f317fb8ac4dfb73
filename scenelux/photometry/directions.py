"""Photometric types A, B and C: angles to directions and back, in the photometric frame of LM-63.

The frame: x is the photometric horizontal at angle 0, z points up, the photometric zero is -z.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["PhotometricType", "angles", "direction"]

Array = NDArray[np.float64]
PhotometricType = Literal["A", "B", "C"]

_AT_POLE = 1e-12  # sine of the distance to a pole below which every plane is the same one


def direction(photometric_type: PhotometricType, horizontal_deg: ArrayLike, vertical_deg: ArrayLike) -> Array:
    """Unit vectors of pairs of photometric angles.

    Parameters
    ----------
    photometric_type : "C" (vertical planes), "B" (planes about a horizontal axis) or "A" (planes about the vertical).
    horizontal_deg, vertical_deg : angles, C and gamma for type C, H and V for types A and B [deg]; they broadcast.
        The result has their shape and a last axis (x, y, z), photometric frame.

    Source
    ------
    ANSI/IESNA LM-63-2002, clause 3, for zero and sense of the angles; vectors calculated from it.

    Example
    -------
    >>> [round(float(c), 4) for c in direction("B", 45, 45)], [round(float(c), 4) for c in direction("A", 45, 45)]
    ([0.5, -0.7071, -0.5], [0.5, -0.5, 0.7071])
    """
    h, v = np.broadcast_arrays(
        np.radians(np.asarray(horizontal_deg, np.float64)), np.radians(np.asarray(vertical_deg, np.float64))
    )
    if photometric_type == "C":
        parts = (np.sin(v) * np.cos(h), np.sin(v) * np.sin(h), -np.cos(v))
    elif photometric_type == "B":
        parts = (np.cos(h) * np.sin(v), -np.sin(h), -np.cos(h) * np.cos(v))
    else:
        parts = (np.cos(v) * np.cos(h), -np.cos(v) * np.sin(h), np.sin(v))
    return np.stack(parts, axis=-1)


def angles(photometric_type: PhotometricType, directions: ArrayLike) -> tuple[Array, Array]:
    """Horizontal and vertical photometric angles of directions [deg], the inverse of `direction`.

    Parameters
    ----------
    photometric_type : "A", "B" or "C".
    directions : (..., 3), photometric frame, of any length above 0.
        C lies in 0..360, gamma in 0..180; H and V in -180..180. At a pole the free angle is 0.

    Source
    ------
    Inverse of the vectors of `direction`.

    Example
    -------
    >>> [float(a) for a in angles("C", (0.0, 1.0, 0.0))]
    [90.0, 90.0]
    """
    d = np.asarray(directions, np.float64)
    x, y, z = d[..., 0], d[..., 1], d[..., 2]
    if photometric_type == "C":
        return _turn(y, x, z) % 360.0, np.degrees(np.arctan2(np.hypot(x, y), -z))
    if photometric_type == "B":
        return np.degrees(np.arctan2(-y, np.hypot(x, z))), _turn(x, -z, y)
    return _turn(-y, x, z), np.degrees(np.arctan2(z, np.hypot(x, y)))


def _turn(sine: Array, cosine: Array, along_axis: Array) -> Array:
    """Angle about an axis [deg], 0 at the pole, where rounding alone would choose the plane."""
    away = np.hypot(sine, cosine)
    return np.where(away <= _AT_POLE * np.abs(along_axis), 0.0, np.degrees(np.arctan2(sine, cosine)))
