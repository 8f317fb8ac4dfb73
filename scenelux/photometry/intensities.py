"""Looks for what the user of a file should know: cut edges, gaps, lumens that disagree, radiant data."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.limits import LARGEST_CANDELA
from scenelux.photometry.measures import flux_lm

__all__ = ["BRIGHT_EDGE", "Places", "check_intensities", "clean_intensities", "lit_at_the_end"]

BRIGHT_EDGE = 0.02
"""Share of the peak above which the end of a table is lit."""

Array = NDArray[np.float64]
Keywords = tuple[tuple[str, str], ...]

_LONGEST_FIGURE = 40
_MOST_FIGURES = 5  # keywords that disagree with the flux, told one by one
_FIGURE_IS_OF_LAMP = ("LAMP", "RATED")

_RADIANT = re.compile(r"\bm?W\s*/\s*sr\b|\bmW\b|[uµμ]mol", re.IGNORECASE)
_FIGURE = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?)\s*(?:lm|lumens?)?\s*", re.IGNORECASE)


@dataclass(frozen=True)
class Places:
    """Offsets in a file of what the warnings speak of; None where the format has no such place.

    Parameters
    ----------
    vertical_angles, candela, lumens : where these begin.
    keywords : of each keyword in order, or empty.
    """

    vertical_angles: int | None = None
    candela: int | None = None
    lumens: int | None = None
    keywords: tuple[int, ...] = ()

    def of_keyword(self, index: int) -> int | None:
        """Where a keyword stands."""
        return self.keywords[index] if index < len(self.keywords) else None


_NOWHERE = Places()


def clean_intensities(written: Array, factor: float, log: FaultLog, offset: int) -> Array:
    """Intensities from 0 up: slightly negative ones become 0, others are refused.

    Parameters
    ----------
    written : as in the file.
    factor : all factors in one.
    log : takes the warnings and words the errors.
    offset : of the candelas in the file.
    """
    with np.errstate(over="ignore", invalid="ignore"):
        candela = written * factor
    if not (np.abs(candela) <= LARGEST_CANDELA).all():
        wanted = f"no lamp sends more than {LARGEST_CANDELA:g} cd"
        raise log.error(22, "are too large with their factors", offset, key="candelas", accepted=wanted)
    lowest, highest = float(candela.min()), float(candela.max())
    if lowest < -0.01 * max(highest, 0.0):
        raise log.error(51, "is negative", offset, key="candela", value=f"{lowest:g}", accepted="give values from 0 up")
    if lowest < 0.0:
        log.warn(51, f"negative candelas down to {lowest:g} are read as 0", offset)
    if highest == 0.0:
        log.warn(58, "all candelas are 0: the lamp is dark", offset)
    return np.maximum(candela, 0.0)


def check_intensities(
    distribution: IntensityDistribution,
    rated_flux_lm: float | None,
    keywords: Keywords,
    log: FaultLog,
    places: Places = _NOWHERE,
) -> None:
    """Warns of what is odd about a distribution, and refuses one that says it is radiant.

    Parameters
    ----------
    distribution : as unfolded.
    rated_flux_lm : of the lamps, None with absolute photometry [lm].
    keywords : of the file.
    log : takes the warnings and words the errors.
    places : where the file states what the warnings speak of.
    """
    _check_edges(distribution, log, places)
    flux = flux_lm(distribution)
    if rated_flux_lm and flux > 1.02 * rated_flux_lm:
        told = f"the flux of {flux:.4g} lm is above that of the rated lamps, {rated_flux_lm:.4g} lm"
        log.warn(52, told, places.lumens)
    _check_stated_flux(flux, keywords, log, places)
    _check_radiant(keywords, log, places)


def _check_edges(distribution: IntensityDistribution, log: FaultLog, places: Places) -> None:
    v, candela = distribution.vertical_deg, distribution.candela
    highest = float(candela.max())
    if np.diff(v).max() > 45.0:
        log.warn(43, f"the vertical angles have a gap of {np.diff(v).max():g} deg", places.vertical_angles)
    if distribution.photometric_type != "C" or highest == 0.0:
        return
    for at in (0, -1):
        if v[at] == 90.0 and (edge := float(candela[:, at].max())) > BRIGHT_EDGE * highest:
            told = f"the table stops at 90 deg with {100 * edge / highest:.0f} % of the peak"
            log.warn(40, told, places.vertical_angles)
        if v[at] in (0.0, 180.0) and np.ptp(candela[:, at]) > 0.02 * highest:
            told = f"the planes disagree about the intensity at {v[at]:g} deg, where they meet"
            log.warn(42, told, places.candela)


def _check_stated_flux(flux: float, keywords: Keywords, log: FaultLog, places: Places) -> None:
    """Compares with keywords such as _LUMINAIRELUMENS; those of the bare lamp state something else."""
    told = 0
    for index, (key, text) in enumerate(keywords):
        if any(part in key for part in _FIGURE_IS_OF_LAMP) or not ("LUMEN" in key or "FLUX" in key):
            continue
        stated = _FIGURE.fullmatch(text) if len(text) <= _LONGEST_FIGURE else None
        if stated is None or abs(flux - float(stated[1])) <= 0.03 * float(stated[1]):
            continue
        sentence = f"the keyword {key} states {stated[1]} lm, the intensities give {flux:.4g} lm"
        log.warn(53, sentence, places.of_keyword(index))
        told += 1
        if told == _MOST_FIGURES:
            return


def _check_radiant(keywords: Keywords, log: FaultLog, places: Places) -> None:
    for index, (key, text) in enumerate(keywords):
        found, at = _RADIANT.search(text), places.of_keyword(index)
        if found and "UNIT" in key:
            raise log.error(54, "says that the data are radiant, not luminous", at, key=key, value=text,
                            accepted="give luminous intensities, in candela")  # fmt: skip
        if found:
            told = f'the text "{" ".join(found[0].split())}" suggests radiant data: check that the values are candelas'
            log.warn(54, told, at)


def lit_at_the_end(distribution: IntensityDistribution) -> bool:
    """Whether a table stops short of all directions while the lamp still gives more than 2 % of its peak there.

    Parameters
    ----------
    distribution : of any type. Types A and B are expected to cover the front half, type C gamma 0 to 180.
    """
    candela, v, h = distribution.candela, distribution.vertical_deg, distribution.horizontal_deg
    least = BRIGHT_EDGE * float(candela.max())
    low, high = (0.0, 180.0) if distribution.photometric_type == "C" else (-90.0, 90.0)
    ends = [(v[0] > low, candela[:, 0]), (v[-1] < high, candela[:, -1])]
    if distribution.photometric_type != "C":
        ends += [(h[0] > low, candela[0]), (h[-1] < high, candela[-1])]
    return any(bool(short) and float(edge.max()) > least for short, edge in ends)
