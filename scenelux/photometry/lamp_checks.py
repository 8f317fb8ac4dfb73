"""Warnings about a lamp as mounted and powered, whatever its file looks like."""

from __future__ import annotations

from scenelux.photometry.coverage import covered
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.measures import candela_in_vehicle_convention
from scenelux.photometry.orientation import Orientation
from scenelux.sources import Source

__all__ = ["HIGHEST_EFFICACY", "HIGHEST_LUMINAIRE_EFFICACY_LM_W", "check_lamp"]

DARK_AXIS = 0.01  # share of the peak

HIGHEST_LUMINAIRE_EFFICACY_LM_W = 250.0
"""More than LED luminaires give; common practice, no source [lm/W]."""

HIGHEST_EFFICACY = (683.0, Source("SI Brochure", "9th edition", "2.3.1, constant Kcd, rounded", "published"))
"""More than any light gives: the constant that defines the candela [lm/W]."""


def check_lamp(
    distribution: IntensityDistribution, orientation: Orientation, flux_lm: float, power_w: float | None
) -> tuple[FileWarning, ...]:
    """Warns of a dark beam axis and of lumens that the watts cannot give.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    flux_lm : of the intensities [lm].
    power_w : electrical input, where it is known [W].
    """
    told = ((120, _about_axis(distribution, orientation)), (121, _about_efficacy(flux_lm, power_w)))
    return tuple(FileWarning(code, None, sentence) for code, sentence in told if sentence)


def _about_axis(distribution: IntensityDistribution, orientation: Orientation) -> str:
    peak = float(distribution.candela.max())
    on_axis = float(candela_in_vehicle_convention(distribution, orientation, 0.0, 0.0))
    if peak <= 0.0 or on_axis >= DARK_AXIS * peak:
        return ""
    hint = 'if the lamp shines elsewhere, say so with "face" and "top" in its card'
    if not covered(distribution, orientation, 0.0, 0.0):
        return f"the beam axis is dark, the data do not list it: {hint}"
    return f"the beam axis is dark, {100.0 * on_axis / peak:.1g} % of the peak: {hint}"


def _about_efficacy(flux_lm: float, power_w: float | None) -> str:
    efficacy = flux_lm / power_w if power_w else 0.0
    limit, source = HIGHEST_EFFICACY
    if efficacy > limit:
        told = f"more than any light can give, {limit:g} lm/W ({source.title}, {source.status})"
    elif efficacy > HIGHEST_LUMINAIRE_EFFICACY_LM_W:
        told = (
            f"more than any LED luminaire gives, about {HIGHEST_LUMINAIRE_EFFICACY_LM_W:g} lm/W "
            "(common practice, no source)"
        )
    else:
        return ""
    return f"the efficacy of {efficacy:.0f} lm/W is {told}: check the flux and the watts"
