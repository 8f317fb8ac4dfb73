"""Fog and rain: what the air takes from light and what it throws back."""

from __future__ import annotations

import math
from typing import Annotated

from scenelux.prove.quantities.lists import check_rising, matched
from scenelux.prove.signature import UNBOUNDED, Numbers
from scenelux.vision import backscatter_luminance, extinction_per_m, henyey_greenstein
from scenelux.vision import transmittance as transmittance_of

__all__ = ["air_extinction", "air_transmittance", "backscattered_luminance", "scattering_phase"]

Visibility = Annotated[float, "meteorological visibility, above 0; inf is clear air", UNBOUNDED]


def air_transmittance(
    distance_m: Annotated[float, "0 or more"], visibility_m: Visibility = math.inf
) -> Annotated[float, "share of light"]:
    """Share of light that comes through the air, exp(-3 d/V)."""
    return float(transmittance_of(distance_m, visibility_m))


def air_extinction(visibility_m: Visibility) -> Annotated[float, "extinction [1/m]"]:
    """What a metre of air takes from light, 3/V."""
    return float(extinction_per_m(visibility_m))


def scattering_phase(
    scattering_angle_deg: Annotated[float, "between the way of the light before and after, 0 on, 180 back"],
    asymmetry: Annotated[float, "mean cosine, between -1 and 1; 0 scatters alike to all sides"] = 0.0,
) -> Annotated[float, "share per solid angle [1/sr]"]:
    """Share of scattered light in a direction, by Henyey and Greenstein."""
    return float(henyey_greenstein(scattering_angle_deg, asymmetry))


def backscattered_luminance(
    distance_m: Annotated[Numbers, "samples from the eye along its line of sight, rising"],
    illuminance_lx: Annotated[Numbers, "there, square to the light of the lamp and in clear air"],
    lamp_distance_m: Annotated[Numbers, "from the lamp to each sample"],
    scattering_angle_deg: Annotated[Numbers, "180 less the angle lamp, sample, eye"],
    visibility_m: Visibility = math.inf,
    asymmetry: Annotated[float, "as of scattering_phase"] = 0.0,
) -> Annotated[float, "luminance [cd/m2]"]:
    """Luminance of the lit air along a line of sight, straight between the samples; a single number stands for all."""
    check_rising("distance_m", distance_m)
    samples = matched(
        distance_m=distance_m,
        illuminance_lx=illuminance_lx,
        lamp_distance_m=lamp_distance_m,
        scattering_angle_deg=scattering_angle_deg,
    )
    return float(backscatter_luminance(*samples, visibility_m=visibility_m, asymmetry=asymmetry))
