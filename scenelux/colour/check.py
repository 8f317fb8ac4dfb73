"""Whether a lamp has the colour that its word promises, document by document."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scenelux.colour.lamp import LampColour
from scenelux.colour.regions import Region, in_region, signal_regions

__all__ = ["ColourVerdict", "check_colour"]

Verdict = Literal["inside", "outside", "not assessed"]


@dataclass(frozen=True)
class ColourVerdict:
    """One document's answer to the question whether a lamp has its colour."""

    region: Region
    verdict: Verdict
    because: str  # why not assessed, else empty
    says: str  # one sentence


def check_colour(lamp: LampColour) -> tuple[ColourVerdict, ...]:
    """The chromaticity of a lamp against every shipped region of its colour word, one row a document.

    Nothing is assessed without a word, where the chromaticity is not stated or measured, or against a region that is
    unconfirmed. Amber and yellow are the same colour. A lamp without a word is checked against nothing.

    Parameters
    ----------
    lamp : with a word.

    Example
    -------
    >>> from scenelux.colour.lamp import lamp_colour
    >>> print(check_colour(lamp_colour("amber", chromaticity_xy=(0.600, 0.380)))[0].says)
    amber lamp at (0.600, 0.380) lies outside amber of SAE J578, 2020, corners of amber
    """
    colour = "amber" if lamp.word == "yellow" else lamp.word
    return tuple(_verdict(lamp, region) for region in signal_regions() if region.colour == colour)


def _verdict(lamp: LampColour, region: Region) -> ColourVerdict:
    because = _not_assessed(lamp, region)
    point = lamp.chromaticity_xy.value
    if point is None:
        return ColourVerdict(region, "not assessed", because, f"{lamp.name} lamp, {region}: not assessed, {because}")
    inside = in_region(*point, region)
    place = f"lies {'inside' if inside else 'outside'} {region}"
    if because:
        place = f"{place.replace('lies', 'would lie')}: not assessed, {because}"
    says = f"{lamp.name} lamp at ({point[0]:.3f}, {point[1]:.3f}) {place}"
    return ColourVerdict(region, "not assessed" if because else "inside" if inside else "outside", because, says)


def _not_assessed(lamp: LampColour, region: Region) -> str:
    point = lamp.chromaticity_xy
    if point.value is None:
        return point.because
    if point.assumed:
        return "the chromaticity is assumed from the colour temperature"
    if point.source is None or point.source.status == "unconfirmed":
        return "the chromaticity is unconfirmed"
    return "the region is unconfirmed" if region.source.status == "unconfirmed" else ""
