"""Fog and rain: what the air takes from light on its way, and what it throws back into the eye.

Single scatter: light that meets one drop between lamp and eye. Drops take nothing for themselves, so all that is taken
from a beam is scattered. In clear air nothing is taken and nothing thrown back, exactly.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source

__all__ = [
    "ATMOSPHERE_SOURCE",
    "SCATTER_FORM",
    "backscatter_luminance",
    "extinction_per_m",
    "henyey_greenstein",
    "transmittance",
]

Array = NDArray[np.float64]

SCATTER_FORM = "single-scatter henyey-greenstein"
ATMOSPHERE_SOURCE = Source(
    "meteorological visibility", clause="contrast of 5 % left, from memory; single scatter by integration"
)

_LOG_OF_CONTRAST = 3.0  # ln(1/0.05), rounded as usual


def extinction_per_m(visibility_m: ArrayLike) -> Array:
    """What a metre of air takes from light, 3/V; nothing for an infinite visibility [1/m].

    Example
    -------
    >>> extinction_per_m([150.0, np.inf, 0.0]).tolist()
    [0.02, 0.0, nan]
    """
    visibility = np.asarray(visibility_m, np.float64)
    return np.where(visibility > 0.0, _LOG_OF_CONTRAST / np.where(visibility > 0.0, visibility, 1.0), np.nan)


def transmittance(distance_m: ArrayLike, visibility_m: ArrayLike) -> Array:
    """Share of light that comes through the air, exp(-3 d/V); exactly 1 for an infinite visibility.

    Parameters
    ----------
    distance_m : (...) zero or more [m].
    visibility_m : (...) meteorological visibility, above 0 [m].

    Source
    ------
    Definition of the meteorological visibility: 5 % of a contrast are left. From memory, unconfirmed.

    Example
    -------
    >>> transmittance(100.0, [100.0, 1000.0, np.inf]).round(4).tolist()
    [0.0498, 0.7408, 1.0]
    """
    distance = np.asarray(distance_m, np.float64)
    return np.exp(
        -extinction_per_m(visibility_m) * np.where(np.isfinite(distance) & (distance >= 0.0), distance, np.nan)
    )


def henyey_greenstein(scattering_angle_deg: ArrayLike, asymmetry: ArrayLike) -> Array:
    """Share of scattered light in a direction, (1 - g^2)/(4 pi (1 + g^2 - 2 g cos)^1.5) [1/sr]; over the sphere 1.

    Parameters
    ----------
    scattering_angle_deg : (...) between the way of the light before and after, 0 on and 180 back [deg].
    asymmetry : (...) mean cosine g between -1 and 1; 0 scatters alike to all sides, drops of fog nearly all forward.

    Example
    -------
    >>> (4 * np.pi * henyey_greenstein([0.0, 90.0, 180.0], [[0.0], [0.5]])).round(4).tolist()
    [[1.0, 1.0, 1.0], [6.0, 0.5367, 0.2222]]
    """
    g, cosine = np.asarray(asymmetry, np.float64), np.cos(np.radians(np.asarray(scattering_angle_deg, np.float64)))
    inside = np.where(np.abs(g) < 1.0, g, np.nan)
    return np.asarray((1.0 - inside**2) / (4.0 * np.pi * (1.0 + inside**2 - 2.0 * inside * cosine) ** 1.5))


def backscatter_luminance(
    distance_m: ArrayLike,
    illuminance_lx: ArrayLike,
    lamp_distance_m: ArrayLike,
    scattering_angle_deg: ArrayLike,
    *,
    visibility_m: ArrayLike,
    asymmetry: ArrayLike,
) -> Array:
    """Luminance that the air along a line of sight gets from a lamp, by straight pieces between the samples [cd/m2].

    Parameters
    ----------
    distance_m : (..., samples) from the eye along the line of sight, rising to where it ends [m].
    illuminance_lx : (..., samples) there, square to the light of the lamp and in clear air; 0 in shadow [lx].
    lamp_distance_m : (..., samples) from the lamp to the sample, over which the air takes its share [m].
    scattering_angle_deg : (..., samples) 180 less the angle lamp, sample, eye [deg].
    visibility_m : (...) meteorological visibility, above 0; infinite gives exactly 0 [m].
    asymmetry : (...) of `henyey_greenstein`; 0 is the same to all sides.

    Lamps stand in a leading axis and add; dense samples are needed near a lamp.

    Example
    -------
    >>> ray = np.linspace(0.0, 500.0, 5001)
    >>> air = {"visibility_m": [100.0, np.inf], "asymmetry": 0.0}
    >>> backscatter_luminance(ray, np.ones(5001), 0.0, 180.0, **air).round(5).tolist()
    [0.07958, 0.0]
    """
    samples = (distance_m, illuminance_lx, lamp_distance_m, scattering_angle_deg)
    along, light, from_lamp, angle = np.broadcast_arrays(*(np.asarray(part, np.float64) for part in samples))
    if along.ndim == 0 or not (np.diff(along, axis=-1) >= 0.0).all():
        raise UsageError(
            "is no line of sight", key="distance_m", accepted="give distances that rise along the last axis"
        )
    air, g = np.asarray(visibility_m, np.float64)[..., None], np.asarray(asymmetry, np.float64)[..., None]
    thrown = henyey_greenstein(angle, g) * np.where(light >= 0.0, light, np.nan)
    arriving = thrown * transmittance(from_lamp, air) * transmittance(along, air)
    clear = np.isposinf(air[..., 0])
    return np.asarray(np.where(clear, 0.0, np.trapezoid(extinction_per_m(air) * arriving, along, axis=-1)))
