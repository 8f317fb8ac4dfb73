"""Where the sun stands, and the moon roughly, by the low-precision formulas of the almanacs.

The coefficients are from memory; against a full solar-position library they hold 0.005 deg from 1950 to 2050.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.sources import Source

__all__ = ["SUN_SOURCE", "SunPosition", "moon_altitude", "moon_phase", "refraction", "sun_position"]

Array = NDArray[np.float64]
Instants = ArrayLike | datetime

SUN_SOURCE = Source("Meeus, Astronomical Algorithms", "2nd edition", "chapter 25, from memory")

_FIRST, _END = np.datetime64("1950-01-01"), np.datetime64("2051-01-01")
_NOON_2000 = np.datetime64("2000-01-01T12:00:00", "us")
_TERRESTRIAL_AHEAD_D = 60.0 / 86_400.0  # of universal time: 29 s in 1950, some 70 to 90 s in 2050
_CENTURY_D = 36_525.0
_PARALLAX_DEG = 8.794 / 3600.0
_LOWEST_REFRACTED_DEG = -1.0
# What the moon and the planets do to the sun's longitude: angle at noon of 1 January 2000 and a century later less that
# [deg], and the size of its sine [deg].
_PULLS = np.array(
    [
        (81.98, 22_518.7541, 0.00134),
        (344.08, 45_037.5082, 0.00154),
        (247.05, 32_964.3577, 0.00200),
        (297.85, 445_267.1122, 0.00179),
        (251.39, 20.20, 0.00178),
    ]
)


@dataclass(frozen=True, eq=False)
class SunPosition:
    """Altitude over the horizon without refraction and azimuth, north 0, east 90, of the sun's middle [deg]."""

    altitude_deg: Array
    azimuth_deg: Array


def sun_position(utc: Instants, latitude_deg: ArrayLike, longitude_deg: ArrayLike) -> SunPosition:
    """Geometric altitude and azimuth of the middle of the sun.

    Parameters
    ----------
    utc : (...) instants in UTC, numpy datetime64 or naive datetimes; 1950 to 2050.
    latitude_deg : (...) -90 to 90, north positive [deg].
    longitude_deg : (...) -360 to 360, east positive [deg].

    The direction is right within 0.005 deg, so the azimuth within that over the cosine of the altitude. UTC stands for
    UT1, from which it differs by 0.9 s (0.004 deg) at most.

    Source
    ------
    Meeus, Astronomical Algorithms, 2nd edition, chapters 12, 13, 25 and 40 (parallax), from memory.

    Example
    -------
    >>> import numpy as np
    >>> found = sun_position(np.datetime64("2026-06-21T21:30"), 51.4779, 0.0)
    >>> round(float(found.altitude_deg), 2), round(float(found.azimuth_deg), 2)
    (-8.01, 325.24)
    """
    days = _days(utc)
    ecliptic = _sun_longitude_deg(days)
    altitude, azimuth = _horizontal(ecliptic, days, *_place(latitude_deg, longitude_deg))
    return SunPosition(altitude - _PARALLAX_DEG * np.cos(np.radians(altitude)), azimuth)


def refraction(altitude_deg: ArrayLike, pressure_hpa: ArrayLike = 1010.0, temperature_c: ArrayLike = 10.0) -> Array:
    """By how much air lifts the sun: the apparent altitude is the geometric one and this [deg].

    Parameters
    ----------
    altitude_deg : (...) geometric, -1 to 90 [deg].
    pressure_hpa : (...) at the place itself, 0 or more [hPa].
    temperature_c : (...) above -273 [deg C].

    Source
    ------
    Saemundsson, in Meeus, Astronomical Algorithms, 2nd edition, formula 16.4, from memory.

    Example
    -------
    >>> refraction([0.0, 45.0, -2.0]).round(3).tolist()
    [0.483, 0.017, nan]
    """
    altitude, pressure, temperature = (
        np.asarray(value, np.float64) for value in (altitude_deg, pressure_hpa, temperature_c)
    )
    valid = (altitude >= _LOWEST_REFRACTED_DEG) & (altitude <= 90.0) & (pressure >= 0.0) & (temperature > -273.0)
    lifted = np.where(valid, altitude, 0.0)
    arcmin = 1.02 / np.tan(np.radians(lifted + 10.3 / (lifted + 5.11)))
    air = pressure / 1010.0 * 283.0 / np.where(valid, 273.0 + temperature, 1.0)
    return np.where(valid, arcmin / 60.0 * air, np.nan)


def moon_phase(utc: Instants) -> Array:
    """Phase of the moon: 0 full, negative before it (waxing) and positive after it, to 180 for the new moon [deg].

    Parameters
    ----------
    utc : (...) instants in UTC, numpy datetime64 or naive datetimes; 1950 to 2050.

    Source
    ------
    Meeus, Astronomical Algorithms, 2nd edition, formula 48.4, from memory. The half moon comes out within an hour.

    Example
    -------
    >>> import numpy as np
    >>> moon_phase(np.array(["2026-03-03T11:38", "2026-03-11T09:39"], "datetime64[m]")).round().tolist()
    [0.0, 90.0]
    """
    days = _days(utc)
    centuries = (days + _TERRESTRIAL_AHEAD_D) / _CENTURY_D
    elongation = np.radians(297.8501921 + 445_267.1114034 * centuries)
    sun, moon = (
        np.radians(357.5291092 + 35_999.0502909 * centuries),
        np.radians(134.9633964 + 477_198.8675055 * centuries),
    )
    beyond = (
        6.289 * np.sin(moon) - 2.100 * np.sin(sun) + 1.274 * np.sin(2.0 * elongation - moon)
        + 0.658 * np.sin(2.0 * elongation) + 0.214 * np.sin(2.0 * moon) + 0.110 * np.sin(elongation)
    )  # fmt: skip
    return np.asarray(np.degrees(elongation) + beyond) % 360.0 - 180.0


def moon_altitude(utc: Instants, phase_deg: ArrayLike, latitude_deg: ArrayLike, longitude_deg: ArrayLike) -> Array:
    """Altitude of a moon of this phase that stands on the ecliptic: within 6 deg of the true one [deg].

    Parameters
    ----------
    utc : (...) instants in UTC, numpy datetime64 or naive datetimes; 1950 to 2050.
    phase_deg : (...) as of `moon_phase`, -180 to 180 [deg].
    latitude_deg : (...) -90 to 90, north positive [deg].
    longitude_deg : (...) -360 to 360, east positive [deg].

    Source
    ------
    The moon stands 180 deg and its phase east of the sun, and at most 5.3 deg off the ecliptic.

    Example
    -------
    >>> import numpy as np
    >>> float(moon_altitude(np.datetime64("2026-12-24T00:00"), 0.0, 50.0, 0.0).round())
    63.0
    """
    days = _days(utc)
    phase = np.asarray(phase_deg, np.float64)
    phase = np.where(np.abs(phase) <= 180.0, phase, np.nan)
    return _horizontal(_sun_longitude_deg(days) + 180.0 + phase, days, *_place(latitude_deg, longitude_deg))[0]


def _days(utc: Instants) -> Array:
    """Days since noon of 1 January 2000, nan where the formulas are not made for."""
    instant = np.asarray(utc, "datetime64[us]")
    valid = (instant >= _FIRST) & (instant < _END)
    return np.where(valid, (instant - _NOON_2000) / np.timedelta64(1, "D"), np.nan)


def _place(latitude_deg: ArrayLike, longitude_deg: ArrayLike) -> tuple[Array, Array]:
    latitude, longitude = np.asarray(latitude_deg, np.float64), np.asarray(longitude_deg, np.float64)
    return np.where(np.abs(latitude) <= 90.0, latitude, np.nan), np.where(np.abs(longitude) <= 360.0, longitude, np.nan)


def _sun_longitude_deg(days: Array) -> Array:
    """Apparent ecliptic longitude, with aberration and the larger nutation."""
    centuries = (days + _TERRESTRIAL_AHEAD_D) / _CENTURY_D
    mean = 280.46646 + centuries * (36_000.76983 + 0.0003032 * centuries)
    anomaly = np.radians(357.52911 + centuries * (35_999.05029 - 0.0001537 * centuries))
    centre = (
        (1.914602 - centuries * (0.004817 + 0.000014 * centuries)) * np.sin(anomaly)
        + (0.019993 - 0.000101 * centuries) * np.sin(2.0 * anomaly)
        + 0.000289 * np.sin(3.0 * anomaly)
    )
    angle, turn, size = _PULLS.T
    pulled = np.sin(np.radians(angle + turn * centuries[..., np.newaxis])) @ size
    return np.asarray(mean + centre + pulled - 0.00569 - 0.00478 * np.sin(_node(centuries)))


def _node(centuries: Array) -> Array:
    """Longitude of the moon's ascending node [rad], by which the earth's axis nods."""
    return np.asarray(np.radians(125.04 - 1934.136 * centuries))


def _horizontal(ecliptic_deg: Array, days: Array, latitude_deg: Array, longitude_deg: Array) -> tuple[Array, Array]:
    """Altitude and azimuth of a point of the ecliptic [deg]."""
    centuries = days / _CENTURY_D
    obliquity = np.radians(23.4392911 - 0.0130042 * centuries + 0.00256 * np.cos(_node(centuries)))
    along, latitude = np.radians(ecliptic_deg), np.radians(latitude_deg)
    ascension = np.arctan2(np.cos(obliquity) * np.sin(along), np.cos(along))
    declination = np.arcsin(np.sin(obliquity) * np.sin(along))
    nutation = -0.00478 * np.sin(_node(centuries)) * np.cos(obliquity)
    sidereal = 280.46061837 + 360.98564736629 * days + 0.000387933 * centuries**2 + nutation
    hour = np.radians((sidereal + longitude_deg) % 360.0) - ascension
    north = np.sin(declination) * np.cos(latitude) - np.cos(declination) * np.cos(hour) * np.sin(latitude)
    east = -np.cos(declination) * np.sin(hour)
    up = np.sin(declination) * np.sin(latitude) + np.cos(declination) * np.cos(hour) * np.cos(latitude)
    altitude = np.degrees(np.arctan2(up, np.hypot(north, east)))
    return altitude, np.degrees(np.arctan2(east, north)) % 360.0
