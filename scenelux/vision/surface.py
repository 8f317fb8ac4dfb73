"""The luminance of a lit surface: diffuse, a road by its luminance coefficient, retroreflective."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["diffuse_luminance", "retroreflected_luminance", "road_luminance"]

Array = NDArray[np.float64]

_EDGE_ON_DEG = 90.0


def diffuse_luminance(reflectance: ArrayLike, illuminance_lx: ArrayLike) -> Array:
    """Luminance of a matt surface from every side, rho E/pi [cd/m2].

    Parameters
    ----------
    reflectance : (...) 0 to 1.
    illuminance_lx : (...) on the surface, zero or more [lx].

    Example
    -------
    >>> diffuse_luminance([0.05, 1.2], 20.0).round(4).tolist()
    [0.3183, nan]
    """
    rho, light = np.asarray(reflectance, np.float64), np.asarray(illuminance_lx, np.float64)
    return np.where((rho >= 0.0) & (rho <= 1.0) & (light >= 0.0), rho * light / np.pi, np.nan)


def road_luminance(luminance_coefficient: ArrayLike, illuminance_lx: ArrayLike) -> Array:
    """Luminance of a road under lighting from above, q E with the average coefficient of its class [cd/m2].

    A matt road of the reflectance pi q; without the table of a road class the angles of light and view do not count.

    Parameters
    ----------
    luminance_coefficient : (...) average of the class, zero or more [cd/m2 per lx].
    illuminance_lx : (...) on the road, zero or more [lx].

    Example
    -------
    >>> road_luminance(0.07, [10.0, -1.0]).round(2).tolist()
    [0.7, nan]
    """
    coefficient, light = np.asarray(luminance_coefficient, np.float64), np.asarray(illuminance_lx, np.float64)
    return np.where((coefficient >= 0.0) & (light >= 0.0), coefficient * light, np.nan)


def retroreflected_luminance(coefficient: ArrayLike, perpendicular_lx: ArrayLike, view_deg: ArrayLike = 0.0) -> Array:
    """Luminance of retroreflective material, R E/cos(view) [cd/m2].

    Parameters
    ----------
    coefficient : (...) of retroreflection, zero or more [cd/(lx m2)].
    perpendicular_lx : (...) on the plane square to the light, zero or more [lx].
    view_deg : (...) between the view and the normal of the material, below 90 [deg].

    Source
    ------
    CIE e-ILV 17-24-103: the coefficient is intensity over illuminance and area.

    Example
    -------
    >>> retroreflected_luminance(330.0, 1.0, [0.0, 60.0, 90.0]).round(6).tolist()
    [330.0, 660.0, nan]
    """
    arrays = (np.asarray(part, np.float64) for part in (coefficient, perpendicular_lx, view_deg))
    back, light, view = np.broadcast_arrays(*arrays)
    valid = (back >= 0.0) & (light >= 0.0) & (view >= 0.0) & (view < _EDGE_ON_DEG)
    return np.where(valid, back * light / np.cos(np.radians(np.where(valid, view, 0.0))), np.nan)
