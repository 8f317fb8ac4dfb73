"""The colour of a lamp from what is known of it: a word, a chromaticity or a spectrum, each figure with its address."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Generic, TypeVar

from scenelux.colour.chromaticity import chromaticity_of, planckian_xy
from scenelux.colour.ratio import default_sp_ratio, sp_ratio_of
from scenelux.colour.regions import is_real_colour, regions_of
from scenelux.colour.spectrum import Spectrum
from scenelux.colour.tables import colour_table, spectral_table
from scenelux.colour.temperature import CCT_RANGE_K, LARGEST_DUV, correlated_temperature
from scenelux.errors import UsageError
from scenelux.names import COLOUR_WORDS, WHITE_RANGE_K, WHITE_WITH_CCT
from scenelux.sources import Source

__all__ = ["Known", "LampColour", "lamp_colour"]

T = TypeVar("T")

_STATED = Source("stated for the lamp", status="own")
_NOTICEABLE = 0.05  # a stated figure farther from the computed one is told


@dataclass(frozen=True)
class Known(Generic[T]):
    """A figure and its address, or why there is none."""

    value: T | None
    source: Source | None = None
    because: str = ""
    assumed: bool = False  # a default of ours, not stated for the lamp


@dataclass(frozen=True)
class LampColour:
    """What is known of a lamp's colour."""

    name: str  # for people
    word: str | None  # white, amber .., where one is stated
    chromaticity_xy: Known[tuple[float, float]]
    cct_k: Known[float]
    duv: Known[float]
    sp_ratio: Known[float]
    notes: tuple[str, ...] = ()


def lamp_colour(
    text: str | None = None,
    *,
    chromaticity_xy: tuple[float, float] | None = None,
    spectrum: Spectrum | None = None,
    sp_ratio: float | None = None,
    source: Source = _STATED,
) -> LampColour:
    """The colour of a lamp from its word, its chromaticity or its spectrum.

    A word alone gives a chromaticity only for white with a colour temperature, taken on the Planckian locus.

    Parameters
    ----------
    text : "white 5000 K" (1000 to 20,000 K), or white, amber, yellow, selective yellow, red, blue or green.
    chromaticity_xy : measured, CIE 1931; left out beside a spectrum.
    spectrum : measured.
    sp_ratio : stated scotopic/photopic ratio, which goes before a computed one.
    source : of what is measured or stated.

    Example
    -------
    >>> colour = lamp_colour("white 5000 K")
    >>> colour.chromaticity_xy.value, colour.sp_ratio.value
    ((0.3451, 0.3516), 1.8354)
    >>> lamp_colour("amber").chromaticity_xy.because
    'a word is a region of colours, not a point'
    """
    word, stated_k = _word(text)
    if chromaticity_xy is not None and not is_real_colour(*chromaticity_xy):
        accepted = "give x and y of CIE 1931 of a light that exists"
        raise UsageError("is not the colour of any light", value=list(chromaticity_xy), accepted=accepted)
    point = _chromaticity(word, stated_k, chromaticity_xy, spectrum, source)
    cct, duv = _temperature(word, stated_k, point, source)
    ratio = _ratio(word, cct, spectrum, sp_ratio, source)
    notes = spectrum.notes if spectrum is not None else ()
    notes += _differences(stated_k, cct, sp_ratio, spectrum)
    return LampColour(text or _name(point), word, point, cct, duv, ratio, notes)


def _word(text: str | None) -> tuple[str | None, float | None]:
    """The colour word and the stated colour temperature."""
    white = re.fullmatch(WHITE_WITH_CCT, text or "")
    if white and WHITE_RANGE_K[0] <= int(white[1]) <= WHITE_RANGE_K[1]:
        return "white", float(white[1])
    if text is not None and text not in COLOUR_WORDS:
        accepted = f'give "white 5000 K" (1,000 to 20,000 K) or one of the words {", ".join(COLOUR_WORDS)}'
        raise UsageError("is not a colour that is known here", value=text, accepted=accepted)
    return text, None


def _name(point: Known[tuple[float, float]]) -> str:
    """Words of the regions in which an unnamed colour lies."""
    if point.value is None:
        return "not stated"
    words = dict.fromkeys(region.colour for region in regions_of(*point.value) if region.source.status != "unconfirmed")
    return " or ".join(words) or "no signal colour"


def _chromaticity(
    word: str | None,
    stated_k: float | None,
    stated_xy: tuple[float, float] | None,
    spectrum: Spectrum | None,
    source: Source,
) -> Known[tuple[float, float]]:
    if spectrum is not None:
        x, y = chromaticity_of(spectrum)
        return Known((round(x, 5), round(y, 5)), source)
    if stated_xy is not None:
        return Known(stated_xy, source)
    if stated_k is not None:
        x, y = planckian_xy(stated_k).tolist()
        observer = spectral_table("observer").source.title
        assumed = Source(f"Planckian radiator of {stated_k:g} K", clause=observer, status="unconfirmed")
        return Known((round(x, 4), round(y, 4)), assumed, assumed=True)
    if word == "white":
        return Known(None, because="white without a colour temperature is a region of colours, not a point")
    return Known(None, because="a word is a region of colours, not a point" if word else "no colour is stated")


def _temperature(
    word: str | None, stated_k: float | None, point: Known[tuple[float, float]], source: Source
) -> tuple[Known[float], Known[float]]:
    if word not in (None, "white"):
        nothing: Known[float] = Known(None, because=f"only white has a colour temperature, and this is {word}")
        return nothing, nothing
    if stated_k is not None and point.assumed:
        return Known(stated_k, source), Known(None, because="the chromaticity is not stated")
    if point.value is None:
        nothing = Known(None, because=point.because)
        return nothing, nothing
    found = correlated_temperature(*point.value)
    if math.isnan(found.cct_k):
        low, high = CCT_RANGE_K
        because = f"the chromaticity is farther than {LARGEST_DUV:g} from the radiators of {low:,.0f} to {high:,.0f} K"
        nothing = Known(None, because=because)
        return nothing, nothing
    return Known(float(f"{found.cct_k:.4g}"), point.source), Known(round(found.duv, 5), point.source)


def _ratio(
    word: str | None, cct: Known[float], spectrum: Spectrum | None, stated: float | None, source: Source
) -> Known[float]:
    if stated is not None:
        return Known(stated, source)
    if spectrum is not None:
        found = sp_ratio_of(spectrum)
        return Known(None, because="the spectrum has no visible power") if math.isnan(found) else Known(
            round(found, 4), source)  # fmt: skip
    if word not in (None, "white"):
        return Known(None, because=f"no ratio is known for {word} without a spectrum")
    if cct.value is None:
        return Known(None, because="it needs a spectrum or a colour temperature")
    found = default_sp_ratio(cct.value)
    if math.isnan(found):
        return Known(None, because=f"no white LED of {cct.value:g} K is tabled, only 2730 to 6600 K")
    clause = "LED-B1 to LED-B5, by colour temperature, which does not fix it"
    return Known(round(found, 4), Source(colour_table("sp-ratios")["source"], "", clause, "unconfirmed"), assumed=True)


def _differences(
    stated_k: float | None, cct: Known[float], stated_ratio: float | None, spectrum: Spectrum | None
) -> tuple[str, ...]:
    notes = []
    if stated_k is not None and cct.value is not None and abs(cct.value - stated_k) > _NOTICEABLE * stated_k:
        notes.append(f"called {stated_k:g} K, and its chromaticity has {cct.value:g} K")
    if stated_ratio is not None and spectrum is not None:
        found = sp_ratio_of(spectrum)
        if abs(found - stated_ratio) > _NOTICEABLE * found:
            notes.append(f"an S/P ratio of {stated_ratio:g} is stated, and the spectrum has {found:.3g}")
    return tuple(notes)
