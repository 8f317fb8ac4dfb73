"""Natural light on the ground under a clear sky, by the altitude of sun or moon.

The coefficients are from memory and unconfirmed; they meet where they join and hit every published anchor. Altitudes
are geometric, without refraction. Clouds divide by two to more than ten, and the glow of a town adds (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source
from scenelux.vision.tables import vision_table

__all__ = ["MOON_PHASE_LAWS", "NATURAL_LIGHT_SOURCE", "MoonPhaseLaw", "moon_phase_factor", "twilight_illuminance"]

Array = NDArray[np.float64]
Body = Literal["sun", "full moon"]

NATURAL_LIGHT_SOURCE = Source(
    "US Naval Observatory Circular 171", "1987", "polynomial, coefficients from memory", "unconfirmed"
)
_HALF_TURN_DEG = 180.0


@dataclass(frozen=True)
class MoonPhaseLaw:
    """Constants of 10^(linear f + quartic f^4), with the phase f from 0 for the full moon [deg]."""

    name: str
    linear: float
    quartic: float
    source: Source


MOON_PHASE_LAWS = (
    MoonPhaseLaw("circular-171", -8.68e-3, -2.2e-9, NATURAL_LIGHT_SOURCE),
    MoonPhaseLaw("magnitude", -0.4 * 0.026, -0.4 * 4e-9, Source("law of magnitudes, from memory")),
)


def twilight_illuminance(altitude_deg: ArrayLike, body: Body = "sun") -> Array:
    """Illuminance on level ground under a clear sky, from day through twilight [lx].

    Parameters
    ----------
    altitude_deg : (...) of the middle of sun or moon; -18 to 90 for the sun, -0.8 to 90 for the moon [deg].
    body : "sun" or "full moon"; for another phase multiply by `moon_phase_factor`.

    Where two pieces of the polynomial join, that of higher altitude holds.

    Source
    ------
    US Naval Observatory Circular 171, 1987, coefficients from memory, unconfirmed.

    Example
    -------
    >>> twilight_illuminance([30.0, -6.0, -18.5]).round(2).tolist()
    [46297.29, 3.41, nan]
    """
    altitude = np.asarray(altitude_deg, np.float64)
    pieces, coefficients = _pieces(body)
    valid = (altitude >= pieces[0]) & (altitude <= pieces[-1])
    inside = np.where(valid, altitude, 0.0)
    piece = np.minimum(np.searchsorted(pieces, inside, side="right") - 1, len(coefficients) - 1)
    c, x = coefficients[piece], inside / 90.0
    return np.where(valid, 10.0 ** (c[..., 0] + x * (c[..., 1] + x * (c[..., 2] + x * c[..., 3]))), np.nan)


def moon_phase_factor(phase_deg: ArrayLike, law: str = "circular-171") -> Array:
    """What a phase leaves of the light of the full moon.

    Parameters
    ----------
    phase_deg : (...) 0 full, 90 half, 180 new [deg].
    law : name of a `MOON_PHASE_LAWS` entry.

    Source
    ------
    From memory, unconfirmed.

    Example
    -------
    >>> moon_phase_factor([0.0, 30.0, 90.0, 181.0]).round(4).tolist()
    [1.0, 0.5468, 0.1187, nan]
    """
    laws = {known.name: known for known in MOON_PHASE_LAWS}
    if law not in laws:
        raise UsageError("is not a law of the phases", value=law, accepted=f"give one of {', '.join(laws)}")
    phase = np.asarray(phase_deg, np.float64)
    exponent = laws[law].linear * phase + laws[law].quartic * phase**4
    return np.where((phase >= 0.0) & (phase <= _HALF_TURN_DEG), 10.0**exponent, np.nan)


@cache
def _pieces(body: str) -> tuple[Array, Array]:
    """Altitudes where the pieces begin, with the end of the last, and their coefficients, both rising."""
    rows = [row for row in vision_table("natural-light")["polynomials"] if row["body"] == body]
    if not rows:
        raise UsageError("gives no light here", value=body, accepted='give "sun" or "full moon"')
    rows.sort(key=lambda row: float(row["from_deg"]))
    ends = np.array([float(row["from_deg"]) for row in rows] + [float(rows[-1]["to_deg"])])
    return ends, np.array([row["coefficients"] for row in rows], np.float64)
