"""A day or a dusk of natural light on level ground at a place, from the sun's altitude minute by minute."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import LimitError, UsageError
from scenelux.sources import Source
from scenelux.vision.natural import moon_phase_factor, twilight_illuminance
from scenelux.vision.profile import MOST_KNOTS, LightProfile
from scenelux.vision.sun import moon_altitude, sun_position
from scenelux.vision.tables import vision_table

__all__ = ["MOON_DEG_PER_DAY", "NIGHT_LX", "NIGHT_SOURCE", "Sky", "SunEvent", "natural_light", "sun_events"]

Array = NDArray[np.float64]

MOON_DEG_PER_DAY = 360.0 / 29.530589
"""By how much the phase of the moon grows."""

NIGHT_LX = 6e-4
"""Under a clear sky without moon, from where the sun stands 18 deg below the horizon."""

NIGHT_SOURCE = Source("Glossary of Meteorology", "", "end of astronomical twilight", "published")

_NIGHT_BELOW_DEG = -18.0
_MOON_ABOVE_DEG = -0.8
_DAY_S = 86_400.0


@dataclass(frozen=True)
class Sky:
    """What the sky does with natural light, the same for the whole time.

    Parameters
    ----------
    cloud_divisor : by which clouds divide the light of sun, moon and night sky, 1 or more; 2 to more than 10 (from
        memory).
    moon_phase_deg : at the start, as of `moon_phase`; none for a night without moon.
    night_lx : of the clear sky without sun and moon [lx].
    glow_lx : of a town, which clouds do not take; 0.01 to 0.1 (from memory) [lx].
    """

    cloud_divisor: float = 1.0
    moon_phase_deg: float | None = None
    night_lx: float = NIGHT_LX
    glow_lx: float = 0.0

    def __post_init__(self) -> None:
        if not 1.0 <= self.cloud_divisor < np.inf:
            accepted = "give 1 for a clear sky, or more"
            raise UsageError("does not divide light", key="cloud_divisor", value=self.cloud_divisor, accepted=accepted)
        if self.moon_phase_deg is not None and not -180.0 <= self.moon_phase_deg <= 180.0:
            accepted = "give degrees from -180 to 180, 0 for a full moon"
            raise UsageError("is not a phase", key="moon_phase_deg", value=self.moon_phase_deg, accepted=accepted)
        for key in ("night_lx", "glow_lx"):
            if not 0.0 <= getattr(self, key) < np.inf:
                raise UsageError("is not light", key=key, value=getattr(self, key), accepted="give lux of zero or more")


@dataclass(frozen=True)
class SunEvent:
    """When the sun passes an altitude of the table of twilight."""

    says: str
    altitude_deg: float
    rising: bool
    time_s: float  # after the start


CLEAR = Sky()


def natural_light(
    start_utc: np.datetime64 | datetime,
    duration_s: float,
    latitude_deg: float,
    longitude_deg: float,
    sky: Sky = CLEAR,
    step_s: float = 30.0,
) -> LightProfile:
    """Illuminance on level ground by sun, moon and night sky.

    Sun and moon by `twilight_illuminance`, whose coefficients are unconfirmed; lower than 18 deg the night's own value,
    which is also the least. The moon stands on the ecliptic, where its phase puts it. With steps of 30 s straight lines
    between the knots, in lux as in its logarithm, differ from the formula by less than 0.5 %, but for the joins of its
    pieces, which step by up to 1.5 %.

    Parameters
    ----------
    start_utc : 1950 to 2050.
    duration_s : above 0 [s].
    latitude_deg, longitude_deg : north and east positive [deg].
    sky : clouds, moon, night and glow.
    step_s : between knots, above 0 [s].

    Source
    ------
    Formula: US Naval Observatory Circular 171, 1987, from memory. Night: Glossary of Meteorology, American
    Meteorological Society, end of astronomical twilight.

    Example
    -------
    >>> dusk = natural_light(np.datetime64("2026-03-20T18:00"), 7200.0, 50.0, 0.0)
    >>> dusk.at([0.0, 1800.0, 7200.0]).round(3).tolist()
    [1401.577, 45.083, 0.001]
    """
    time, instants = _times(start_utc, duration_s, step_s)
    sun = _altitude(instants, latitude_deg, longitude_deg)
    bright = twilight_illuminance(np.maximum(sun, _NIGHT_BELOW_DEG))
    light = np.where(sun < _NIGHT_BELOW_DEG, sky.night_lx, np.maximum(bright, sky.night_lx))
    if sky.moon_phase_deg is not None:
        light = light + _moonlight(time, instants, latitude_deg, longitude_deg, sky.moon_phase_deg)
    return LightProfile(time, light / sky.cloud_divisor + sky.glow_lx)


def sun_events(
    start_utc: np.datetime64 | datetime, duration_s: float, latitude_deg: float, longitude_deg: float
) -> tuple[SunEvent, ...]:
    """When the sun passes the altitudes of the table of twilight, in order, within a second.

    Parameters
    ----------
    start_utc : 1950 to 2050.
    duration_s : above 0 [s].
    latitude_deg, longitude_deg : north and east positive [deg].

    Example
    -------
    >>> for event in sun_events(np.datetime64("2026-03-20T17:00"), 7200.0, 50.0, 0.0):
    ...     print(event.says, round(event.time_s / 60.0))
    Sunset 73
    End of civil twilight 105
    """
    time, instants = _times(start_utc, duration_s, 60.0)
    sun = _altitude(instants, latitude_deg, longitude_deg)
    found = []
    for row in vision_table("natural-light")["twilight"]:
        over = sun - row["sun_altitude_deg"]
        for at in np.flatnonzero((over[:-1] >= 0.0) != (over[1:] >= 0.0)):
            when = float(time[at] + (time[at + 1] - time[at]) * over[at] / (over[at] - over[at + 1]))
            rising = bool(over[at] < 0.0)
            found.append(SunEvent(row["rising" if rising else "say"], row["sun_altitude_deg"], rising, when))
    return tuple(sorted(found, key=lambda event: event.time_s))


def _moonlight(time: Array, instants: Array, latitude: float, longitude: float, phase_deg: float) -> Array:
    phase = (phase_deg + MOON_DEG_PER_DAY * time / _DAY_S + 180.0) % 360.0 - 180.0
    altitude = moon_altitude(instants, phase, latitude, longitude)
    light = twilight_illuminance(np.maximum(altitude, _MOON_ABOVE_DEG), "full moon") * moon_phase_factor(np.abs(phase))
    return np.where(altitude >= _MOON_ABOVE_DEG, light, 0.0)


def _times(start_utc: np.datetime64 | datetime, duration_s: float, step_s: float) -> tuple[Array, Array]:
    """Knots from 0 to the end [s], and their instants."""
    for key, value in (("duration_s", duration_s), ("step_s", step_s)):
        if not 0.0 < value < np.inf:
            raise UsageError("is not above zero", key=key, value=value, accepted="give seconds above zero")
    if duration_s / step_s >= MOST_KNOTS:
        accepted = f"a profile has at most {MOST_KNOTS:,} steps"
        raise LimitError("is too long for its step", key="duration_s", value=duration_s, accepted=accepted)
    time = np.append(np.arange(0.0, duration_s - 1e-3 * step_s, step_s), duration_s)
    start = np.asarray(start_utc, "datetime64[us]")
    return time, start + np.round(time * 1e6).astype("timedelta64[us]")


def _altitude(instants: Array, latitude_deg: float, longitude_deg: float) -> Array:
    found = sun_position(instants, latitude_deg, longitude_deg).altitude_deg
    if np.isnan(found).any():
        accepted = "give times of 1950 to 2050, a latitude of -90 to 90 and a longitude of -360 to 360 deg"
        raise UsageError("the place of the sun is not known", accepted=accepted)
    return found
