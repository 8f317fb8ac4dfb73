"""Claims that cannot all be true of one lamp, refused with the numbers that contradict each other.

Every comparison leaves the claims their rounding, once: a figure of two digits may be off by 5 %.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import pi, radians, sin

import numpy as np

from scenelux.errors import UsageError
from scenelux.photometry.fit.claims import Claims, Widths, rounded

__all__ = ["ROUNDING", "claimed_least", "cone_sr", "least_flux_lm", "most_flux_lm", "refuse_contradictions"]

ROUNDING = 0.05
"""A figure of two digits is rounded by at most this share of itself."""

_SAME_INTENSITY = 0.10 + ROUNDING  # two laboratories' peaks of one lamp, and the rounding
_STRAY = 0.02  # of the highest stated intensity: what a cut-off may let through
_NARROWEST_DEG = 1.0
_LEFT = f" ({100.0 * ROUNDING:g} % is left for rounding)"
_NARROWEST_IN_WORDS = f" over only {_NARROWEST_DEG:g} deg"
_Named = tuple[str, float, float]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def refuse_contradictions(claims: Claims) -> None:
    """Raises the first contradiction among the claims.

    Parameters
    ----------
    claims : of the data sheet.
    """
    for problem in _contradictions(claims):
        raise UsageError(problem, accepted="check these figures: they cannot all be of the same lamp")


def _contradictions(claims: Claims) -> Iterator[str]:
    yield from _angles(claims)
    yield from _intensities(claims)
    yield from _points(claims)
    yield from _light_above_the_cutoff(claims)
    yield from _flux(claims)


def _angles(claims: Claims) -> Iterator[str]:
    for beam, field in zip(claims.beams_deg, claims.fields_deg, strict=True):
        if beam is not None and field is not None and field <= beam:
            yield (
                f"the field angle of {field:g} deg (at 10 % of the peak) must be wider than the beam angle of "
                f"{beam:g} deg (at 50 %)"
            )


def _intensities(claims: Claims) -> Iterator[str]:
    said = [(words, cd, words.startswith("peak")) for words, cd in claims.intensities]
    for (one, first, _), (other, second, is_peak) in combinations(said[::-1], 2):
        larger, smaller = max(first, second), min(first, second)
        if larger > smaller * (1.0 + _SAME_INTENSITY):
            against = f"the {other}" if is_peak else f"{other}, which means {rounded(second)} cd"
            share = 100.0 * (larger / smaller - 1.0)
            yield f"{one} means {rounded(first)} cd, which is {share:.0f} % away from {against}"


def _points(claims: Claims) -> Iterator[str]:
    highest = max(claims.intensities, key=_candela, default=None)
    in_candela, in_percent = _named_points(claims)
    for name, _, candela in in_candela:
        if highest is not None and candela > highest[1] * (1.0 + ROUNDING):
            words = f"{rounded(candela, 6)} cd"
            yield f"the point at {name} with {words} is brighter than the {_meaning(*highest)}"
    for name, _, percent in in_percent:
        if percent > 100.0 * (1.0 + ROUNDING):
            yield f"the point at {name} with {percent:g} % is brighter than the peak"


def _named_points(claims: Claims) -> tuple[list[_Named], list[_Named]]:
    """Points in candela and in percent of the peak: name, degrees up, value."""
    rows = (*claims.points, *claims.relative_points)
    found = [(name, v, value) for name, (_, v, value) in zip(claims.names, rows, strict=True)]
    return found[: len(claims.points)], found[len(claims.points) :]


def _light_above_the_cutoff(claims: Claims) -> Iterator[str]:
    top = claims.cutoff_above_deg
    if top is None:
        return
    highest = max((candela for _, _, candela in claims.points), default=0.0)
    highest = max((highest, *(cd for _, cd in claims.intensities)))
    in_candela, in_percent = _named_points(claims)
    lit = [(name, v, f"{rounded(cd, 6)} cd") for name, v, cd in in_candela if cd > _STRAY * highest]
    lit += [(name, v, f"{percent:g} %") for name, v, percent in in_percent if percent > 100.0 * _STRAY]
    for name, v, words in lit:
        if v >= top:
            yield f"the point at {name} with {words} lies above the cut-off at {top:g} deg"


def _flux(claims: Claims) -> Iterator[str]:
    flux = claims.flux_lm
    if flux is None:
        return
    low, least = claimed_least(claims)
    if low and flux < (1.0 - ROUNDING) * least:
        needed = f"needs at least {rounded(least)} lm, since {_least_in_words(claims)}"
        over = _over_angles(claims) or _NARROWEST_IN_WORDS
        yield f"the {_meaning(*low)}{over} {needed}, and only {rounded(flux, 6)} lm are stated{_LEFT}"
    high = max(claims.intensities, key=_candela, default=None)
    if high is None or claims.flux_kind == "raw":
        return
    most = most_flux_lm(claims, high[1])
    if flux > (1.0 + ROUNDING) * most:
        allowed = f"allows at most {rounded(most)} lm in front of a lamp"
        stated = f"and {rounded(flux, 6)} lm are stated as delivered{_LEFT}"
        yield f"the {_meaning(*high)}{_over_angles(claims)} {allowed}, {stated}"


def claimed_least(claims: Claims) -> tuple[tuple[str, float] | None, float]:
    """The claim that tells the least flux, in words and candela, and that flux [lm]; none and 0 without one.

    Parameters
    ----------
    claims : of the data sheet; the lowest peak that it states counts, else its brightest point.
    """
    in_candela, _ = _named_points(claims)
    points = [(f"the point at {name}", candela) for name, _, candela in in_candela]
    low = min(claims.intensities, key=_candela, default=None) or max(points, key=_candela, default=None)
    return low, 0.0 if low is None else least_flux_lm(claims, low[1])


def _candela(claim: tuple[str, float]) -> float:
    return claim[1]


def _meaning(words: str, candela: float) -> str:
    return words if words.startswith("peak") else f"{rounded(candela)} cd of {words}"


def _over_angles(claims: Claims) -> str:
    pairs = (("beam", claims.beams_deg), ("field", claims.fields_deg))
    known = [f"a {what} of {_by(widths)} deg" for what, widths in pairs if None not in widths]
    return f" over {' and '.join(known)}" if known else ""


def _by(widths: Widths) -> str:
    first, second = widths
    return f"{first:g}" if first == second else f"{first:g} x {second:g}"


def _least_in_words(claims: Claims) -> str:
    beam, field = None not in claims.beams_deg, None not in claims.fields_deg
    if beam and field:
        return "half of the peak in the beam and a tenth around it, out to the field angle, are as many"
    return "a tenth of the peak fills that alone" if field else "half of the peak fills that alone"


def least_flux_lm(claims: Claims, peak_cd: float) -> float:
    """The least flux that the peak and the angles allow [lm].

    It holds for every beam that falls from its peak outwards and whose outlines at 50 % and 10 % are ellipses in H
    and V or fuller: half of the peak inside the beam angle, and a tenth between it and the field angle, is the least.

    Parameters
    ----------
    claims : for the angles and the cut-off; without angles, a beam of 1 deg.
    peak_cd : the highest intensity [cd].

    Source
    ------
    Calculated: for a round beam 0.5 I 2 pi (1 - cos(beam / 2)).

    Example
    -------
    >>> round(least_flux_lm(Claims(beam_angle_deg=60.0), 10_000.0), 1)
    4208.9
    """
    beam, field = claims.beams_deg, claims.fields_deg
    if None in beam and None in field:
        beam = (_NARROWEST_DEG, _NARROWEST_DEG)
    inner, outer = (_claimed_cone_sr(widths, _top_deg(claims)) for widths in (beam, field))
    return peak_cd * (0.5 * inner + 0.1 * max(outer - inner, 0.0))


def _claimed_cone_sr(widths: Widths, top_deg: float) -> float:
    across, up = widths
    return 0.0 if across is None or up is None else cone_sr(across, up, top_deg)


def _top_deg(claims: Claims) -> float:
    return 90.0 if claims.cutoff_above_deg is None else claims.cutoff_above_deg


def most_flux_lm(claims: Claims, peak_cd: float) -> float:
    """The most flux that a lamp without light to the rear can send with this peak and these angles [lm].

    The peak inside the rectangle of the beam angles, half of it outside, and a tenth outside the field angles.

    Parameters
    ----------
    claims : for the angles and the cut-off.
    peak_cd : the highest intensity [cd].

    Example
    -------
    >>> round(most_flux_lm(Claims(), 100.0) / 100.0, 6)  # all of the front half
    6.283185
    """
    top = _top_deg(claims)
    if top < 0.0:  # the angles are those of the uncut beam, whose peak may be higher than the stated one
        return peak_cd * box_sr(180.0, 180.0, top)
    front = box_sr(180.0, 180.0, top)
    inner, outer = (_widest_box_sr(widths, top) for widths in (claims.beams_deg, claims.fields_deg))
    inner = min(inner, outer)
    return peak_cd * (inner + 0.5 * (outer - inner) + 0.1 * (front - outer))


def _widest_box_sr(widths: Widths, top_deg: float) -> float:
    across, up = (180.0 if one is None else one for one in widths)
    return box_sr(across, up, top_deg)


def cone_sr(across_deg: float, up_deg: float, top_deg: float = 90.0) -> float:
    """Solid angle of the cone that is round, or an ellipse in H and V, below a cut-off line [sr].

    Parameters
    ----------
    across_deg, up_deg : full widths, at most 180 [deg].
    top_deg : vertical angle of the cut-off line [deg].

    Source
    ------
    Calculated: the integral of cos H dH dV; round it is 2 pi (1 - cos(width / 2)).

    Example
    -------
    >>> round(cone_sr(60.0, 60.0), 6)
    0.841787
    """
    half, t = radians(0.5 * across_deg), 0.5 * pi * _NODES
    h = half * np.sin(t)
    if across_deg == up_deg:
        reach = np.arccos(np.clip(np.cos(half) / np.cos(h), -1.0, 1.0))
    else:
        reach = radians(0.5 * up_deg) * np.cos(t)
    height = np.maximum(np.minimum(reach, radians(top_deg)) + reach, 0.0)
    return float(np.sum(_WEIGHTS * height * np.cos(h) * np.cos(t)) * half * 0.5 * pi)


def box_sr(across_deg: float, up_deg: float, top_deg: float = 90.0) -> float:
    """Solid angle of a rectangle of H and V below a cut-off line [sr]."""
    height = radians(max(min(0.5 * up_deg, top_deg) + 0.5 * up_deg, 0.0))
    return 2.0 * sin(radians(0.5 * across_deg)) * height
