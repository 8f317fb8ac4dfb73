"""The colour of light: chromaticity, colour temperature, scotopic/photopic ratio."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated

import numpy as np

from scenelux.colour import (
    Spectrum,
    chromaticity_of,
    correlated_temperature,
    default_sp_ratio,
    in_region,
    planckian_xy,
    read_spectrum,
    signal_regions,
    sp_ratio_of,
    spectrum_of,
)
from scenelux.colour.chromaticity import SECOND_RADIATION_M_K
from scenelux.errors import InputError, UsageError
from scenelux.names import LARGEST_SPECTRUM_BYTES
from scenelux.prove.signature import Numbers, among
from scenelux.scene.document import read_limited

__all__ = ["chromaticity", "chromaticity_region", "correlated_colour_temperature", "scotopic_photopic_ratio"]

_NM = np.arange(360.0, 831.0)


def scotopic_photopic_ratio(
    wavelength_nm: Annotated[
        Numbers | None, "of a spectrum: rising, covering 400 to 700 in steps of 10 or less"
    ] = None,
    power: Annotated[Numbers | None, "one for each wavelength, in any unit"] = None,
    planckian_k: Annotated[float | None, "instead: temperature of a Planckian radiator, above 0"] = None,
    cct_k: Annotated[float | None, "instead: of a blue-pumped white LED by default, 2730 to 6600"] = None,
    file: Annotated[Path | None, "instead: table of wavelength and power"] = None,
) -> Annotated[float, "S/P ratio"]:
    """Scotopic/photopic ratio of a light."""
    if cct_k is not None:
        return default_sp_ratio(cct_k)
    found = _spectrum(wavelength_nm, power, planckian_k, file, "or cct_k")
    return math.nan if found is None else sp_ratio_of(found)


def chromaticity(
    wavelength_nm: Annotated[
        Numbers | None, "of a spectrum: rising, covering 400 to 700 in steps of 10 or less"
    ] = None,
    power: Annotated[Numbers | None, "one for each wavelength, in any unit"] = None,
    planckian_k: Annotated[float | None, "instead: temperature of a Planckian radiator, above 0"] = None,
    file: Annotated[Path | None, "instead: table of wavelength and power"] = None,
) -> Annotated[dict[str, float], "x", "y"]:
    """Chromaticity of a light for the CIE 1931 observer."""
    if planckian_k is not None:
        x, y = planckian_xy(planckian_k).tolist() if planckian_k > 0.0 else (math.nan, math.nan)
    else:
        found = _spectrum(wavelength_nm, power, None, file, "")
        x, y = (math.nan, math.nan) if found is None else chromaticity_of(found)
    return {"x": float(x), "y": float(y)}


def correlated_colour_temperature(
    x: Annotated[float, "of CIE 1931"], y: Annotated[float, "of CIE 1931"]
) -> Annotated[dict[str, float], "cct_k", "duv"]:
    """Correlated colour temperature, 1000 to 20,000 K, and distance from the Planckian radiator, at most 0.05."""
    found = correlated_temperature(x, y)
    return {"cct_k": found.cct_k, "duv": found.duv}


def chromaticity_region(
    x: Annotated[float, "of CIE 1931"],
    y: Annotated[float, "of CIE 1931"],
    region: Annotated[str | None, "one region by its name in the table, such as j578_amber: true or false"] = None,
    system: Annotated[
        str,
        "otherwise: regions of one document (j578, j578_before_2020, colreg, aviation, cie_road_signal, french_order, "
        "r65, selective_yellow), or all",
    ] = "j578",
) -> Annotated[object, "whether it lies in the region, or names of the regions that hold it, with commas, or none"]:
    """Regions of signal colours that hold a chromaticity, non-convex ones and the spectrum locus as they are."""
    regions = {one.id: one for one in signal_regions()}
    if region is not None:
        if region not in regions:
            raise UsageError("is not a region", key="region", value=region, accepted=among(region, regions))
        return in_region(x, y, regions[region])
    systems = {one.id.replace(f"_{one.name}", "", 1) for one in regions.values()}
    if system not in {"all", *systems}:
        accepted = among(system, ["all", *sorted(systems)])
        raise UsageError("is not a document of regions", key="system", value=system, accepted=accepted)
    asked = [one for one in regions.values() if system in ("all", one.id.replace(f"_{one.name}", "", 1))]
    return ", ".join(one.id for one in asked if in_region(x, y, one)) or "none"


def _spectrum(
    wavelength_nm: Numbers | None, power: Numbers | None, planckian_k: float | None, file: Path | None, more: str
) -> Spectrum | None:
    if file is not None:
        return read_spectrum(read_limited(file, str(file), LARGEST_SPECTRUM_BYTES, "a spectrum"), str(file))
    if planckian_k is not None:
        return _planckian(planckian_k) if planckian_k > 0.0 else None
    if wavelength_nm is None or power is None:
        accepted = f"give wavelength_nm and power, planckian_k, file {more}".strip()
        raise UsageError("needs a spectrum", accepted=accepted)
    try:
        return spectrum_of(wavelength_nm, power)
    except InputError as error:
        raise UsageError(error.problem, key="wavelength_nm", accepted=error.accepted) from None


def _planckian(kelvin: float) -> Spectrum | None:
    """Planck's law, its largest value 1; none where the radiator is too cold to be seen."""
    wavelength = _NM * 1e-9
    over = SECOND_RADIATION_M_K / (kelvin * wavelength)
    logarithm = -5.0 * np.log(wavelength) - over - np.log(-np.expm1(-over))
    power = np.exp(logarithm - logarithm.max())
    return spectrum_of(_NM, power) if np.isfinite(power).all() else None
