"""Measures of a lamp's light, whether it is stated, read from a file or given as a table."""

from __future__ import annotations

import math
from typing import Annotated

from scenelux.errors import UsageError
from scenelux.photometry import (
    CosinePower,
    TiltTable,
    beam_angles,
    beam_candela,
    candela_in_vehicle_convention,
    cosine_power_exponent,
    default_orientation,
    field_angles,
    flux_above_horizontal_lm,
    flux_lm,
    peak,
)
from scenelux.prove.quantities.lamps import Lamp
from scenelux.prove.quantities.lists import check_rising, matched
from scenelux.prove.signature import Numbers

__all__ = [
    "beam_angle",
    "beam_exponent_and_peak",
    "field_angle",
    "flux_above_horizontal",
    "intensity",
    "luminous_flux",
    "peak_intensity",
    "tilt_factor",
]


def beam_exponent_and_peak(
    beam_angle_deg: Annotated[float, "full width at half of the peak, 1 to 150"],
    flux_lm: Annotated[float, "luminous flux, above 0"] = 1000.0,
) -> Annotated[dict[str, float], "exponent", "peak_cd", "field_angle_deg"]:
    """Exponent, peak and field angle (full width at a tenth of the peak) of a cosine-power beam, by its formula."""
    try:
        beam = CosinePower(flux_lm, beam_angle_deg)
    except UsageError:  # outside the range of the beam
        return {"exponent": math.nan, "peak_cd": math.nan, "field_angle_deg": math.nan}
    exponent = cosine_power_exponent(beam_angle_deg)
    field = 2.0 * math.degrees(math.acos(0.1 ** (1.0 / exponent)))
    return {"exponent": exponent, "peak_cd": float(beam_candela(beam, (1.0, 0.0, 0.0))), "field_angle_deg": field}


def luminous_flux(lamp: Lamp) -> Annotated[float, "flux [lm]"]:
    """Luminous flux of a lamp: the exact integral over all directions."""
    found = lamp.shining()
    return math.nan if found is None else flux_lm(found.distribution)


def peak_intensity(lamp: Lamp) -> Annotated[dict[str, float], "peak_cd", "C_deg", "gamma_deg"]:
    """Highest intensity of a lamp and where: gamma from its beam axis, C 0 right and 90 up seen along it."""
    found = lamp.shining()
    if found is None:
        return {"peak_cd": math.nan, "C_deg": math.nan, "gamma_deg": math.nan}
    top = peak(found.distribution)
    return {"peak_cd": top.candela, "C_deg": top.C_deg, "gamma_deg": top.gamma_deg}


def intensity(
    lamp: Lamp,
    C_deg: Annotated[float | None, "about the beam axis: 0 right, 90 up seen along the beam"] = None,
    gamma_deg: Annotated[float | None, "from the beam axis, with C_deg"] = None,
    horizontal_deg: Annotated[float | None, "instead: C or H of the lamp's own photometric type"] = None,
    vertical_deg: Annotated[float | None, "gamma or V of the lamp's own photometric type"] = None,
) -> Annotated[float, "intensity [cd]"]:
    """Luminous intensity of a lamp in one direction; 0 outside its data."""
    found = lamp.shining()
    if found is None:
        return math.nan
    if horizontal_deg is not None and vertical_deg is not None:
        return float(found.distribution.candela_at(horizontal_deg, vertical_deg))
    if C_deg is None or gamma_deg is None:
        raise UsageError("needs a direction", accepted="give C_deg and gamma_deg, or horizontal_deg and vertical_deg")
    usual = default_orientation(found.distribution.photometric_type)
    return float(candela_in_vehicle_convention(found.distribution, usual, C_deg, gamma_deg))


def beam_angle(lamp: Lamp) -> Annotated[dict[str, float], "across_deg", "up_deg"]:
    """Full widths at half of the peak through the beam axis; nan where a plane never reaches it."""
    found = lamp.shining()
    if found is None:
        return {"across_deg": math.nan, "up_deg": math.nan}
    widths = beam_angles(found.distribution, default_orientation(found.distribution.photometric_type))
    return {"across_deg": widths.across_deg, "up_deg": widths.up_deg}


def field_angle(lamp: Lamp) -> Annotated[dict[str, float], "across_deg", "up_deg"]:
    """Full widths at a tenth of the peak through the beam axis; nan where a plane never reaches it."""
    found = lamp.shining()
    if found is None:
        return {"across_deg": math.nan, "up_deg": math.nan}
    widths = field_angles(found.distribution, default_orientation(found.distribution.photometric_type))
    return {"across_deg": widths.across_deg, "up_deg": widths.up_deg}


def flux_above_horizontal(
    lamp: Lamp,
    tilt_deg: Annotated[float, "of the beam, negative is down"] = 0.0,
    roll_deg: Annotated[float, "clockwise looking along the beam"] = 0.0,
) -> Annotated[float, "flux [lm]"]:
    """Flux that leaves the hung lamp above the horizontal."""
    found = lamp.shining()
    if found is None:
        return math.nan
    usual = default_orientation(found.distribution.photometric_type)
    return flux_above_horizontal_lm(found.distribution, usual, tilt_deg=tilt_deg, roll_deg=roll_deg)


def tilt_factor(
    tilt_deg: Annotated[float, "of the lamp, 0 to 180"],
    angles_deg: Annotated[Numbers, "of the TILT table, rising from 0 to 90 or 180"],
    factors: Annotated[Numbers, "one for each angle"],
) -> Annotated[float, "factor"]:
    """Factor of the TILT table of a photometric file; a table that ends at 90 deg is folded."""
    check_rising("angles_deg", angles_deg)
    known, factor = matched(angles_deg=angles_deg, factors=factors)
    return TiltTable(1, known, factor).factor_at(tilt_deg)
