"""Directions around a truck: zones, the grid of a coverage sheet, and the angle at which an eye sees a lamp.

Azimuth counts clockwise from the front here, as documents on zones have it; headings of scenes count the other way.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source

__all__ = [
    "COVERAGE_AZIMUTHS_DEG",
    "COVERAGE_ELEVATIONS_DEG",
    "ZONES",
    "ZONES_SOURCE",
    "Zone",
    "azimuth_of_heading",
    "coverage_directions",
    "elevation_of_eye",
    "zone_index",
    "zone_of_direction",
]

Array = NDArray[np.float64]
Zone: TypeAlias = Literal["A", "B", "C", "D"]

ZONES: tuple[Zone, ...] = ("A", "B", "C", "D")
"""Front, right, rear, left."""

ZONES_SOURCE = Source("zones of fire apparatus parted by lines at 45 deg, from memory")

COVERAGE_AZIMUTHS_DEG: Array = np.arange(0.0, 360.0, 5.0)
COVERAGE_ELEVATIONS_DEG: Array = np.array([-8.0, -5.0, -4.0, -2.0, 0.0, 2.0, 4.0, 5.0, 8.0])
"""A chosen grid that holds the angles of the published requirements."""

for _fixed in (COVERAGE_AZIMUTHS_DEG, COVERAGE_ELEVATIONS_DEG):
    _fixed.setflags(write=False)


def zone_of_direction(azimuth_deg: float) -> Zone:
    """Zone of a direction: A front, B right, C rear, D left; a limit belongs to the zone clockwise of it.

    Parameters
    ----------
    azimuth_deg : clockwise from the front [deg].

    Example
    -------
    >>> [zone_of_direction(azimuth) for azimuth in (0, 44.9, 45, 180, 270, -45)]
    ['A', 'A', 'B', 'C', 'D', 'A']
    """
    if not np.isfinite(azimuth_deg):
        raise UsageError("is not an azimuth", key="azimuth_deg", value=azimuth_deg, accepted="give degrees")
    return ZONES[int(zone_index(azimuth_deg))]


def zone_index(azimuth_deg: ArrayLike) -> NDArray[np.int64]:
    """Number of the zone of each direction in `ZONES`.

    Parameters
    ----------
    azimuth_deg : (...) clockwise from the front [deg].

    Example
    -------
    >>> zone_index([0.0, 90.0, 359.0, 315.0]).tolist()
    [0, 1, 0, 0]
    """
    turned = (np.asarray(azimuth_deg, np.float64) + 45.0) % 360.0
    return np.minimum(turned // 90.0, 3.0).astype(np.int64)


def azimuth_of_heading(heading_deg: ArrayLike) -> Array:
    """Azimuth clockwise from the front of a heading that counts counter-clockwise [deg].

    Example
    -------
    >>> azimuth_of_heading([0.0, 90.0, 180.0, -90.0]).tolist()
    [0.0, 270.0, 180.0, 90.0]
    """
    return np.asarray((360.0 - np.asarray(heading_deg, np.float64)) % 360.0)


def coverage_directions(
    azimuths_deg: ArrayLike = COVERAGE_AZIMUTHS_DEG, elevations_deg: ArrayLike = COVERAGE_ELEVATIONS_DEG
) -> Array:
    """Unit vectors (elevations, azimuths, 3) in the vehicle frame, forward, left and up, to all sides.

    Parameters
    ----------
    azimuths_deg : (a,) clockwise from the front [deg].
    elevations_deg : (v,) above the horizontal [deg].

    Example
    -------
    >>> coverage_directions().shape, coverage_directions([90.0], [0.0]).round(9).tolist()
    ((9, 72, 3), [[[0.0, -1.0, 0.0]]])
    """
    azimuth = np.radians(np.asarray(azimuths_deg, np.float64))[np.newaxis, :]
    elevation = np.radians(np.asarray(elevations_deg, np.float64))[:, np.newaxis]
    level = np.cos(elevation)
    parts = (level * np.cos(azimuth), -level * np.sin(azimuth), np.sin(elevation) * np.ones_like(azimuth))
    return np.stack(parts, axis=-1)


def elevation_of_eye(eye_height_m: ArrayLike, lamp_height_m: ArrayLike, distance_m: ArrayLike) -> Array:
    """Angle above the horizontal at which a lamp sends light to an eye on level ground [deg].

    Parameters
    ----------
    eye_height_m, lamp_height_m : (...) above the ground [m].
    distance_m : (...) along the ground, above 0 [m].

    Example
    -------
    >>> round(float(elevation_of_eye(1.2, 3.0, 25.0)), 2)
    -4.12
    """
    distance = np.asarray(distance_m, np.float64)
    rise = np.asarray(eye_height_m, np.float64) - np.asarray(lamp_height_m, np.float64)
    return np.where(distance > 0.0, np.degrees(np.arctan2(rise, distance)), np.nan)
