"""Beams stated by a few figures: cosine-power, elliptical Gaussian, flat-top, each with an optional sharp cut-off line.

All of them send light into the front half only and are products of a profile across (H, degrees to the right) and a
profile up (V, degrees upwards), as type B counts them: H from the upright plane of the beam, V around the lamp's
left axis. A line V = constant is a straight horizontal line on a wall in front of the lamp.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import cos, log, pi, radians

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError

__all__ = [
    "Beam",
    "Compound",
    "CosinePower",
    "EllipticalGaussian",
    "FlatTop",
    "beam_candela",
    "cosine_power_exponent",
    "moved",
]

Array = NDArray[np.float64]
Profile = Callable[[Array], Array]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True)
class Spread:
    """A product beam of unit height: its two profiles [0..1], where each has a corner, and the cut-off line.

    Parameters
    ----------
    across, up : profiles over H and V [deg].
    marks_across, marks_up : angles that a table must hold: corners of a profile and its half-way points [deg].
    cutoff_above_deg : nothing is sent at or above this V [deg].
    """

    across: Profile
    up: Profile
    marks_across: tuple[float, ...] = ()
    marks_up: tuple[float, ...] = ()
    cutoff_above_deg: float | None = None

    def up_with_cutoff(self, v_deg: Array) -> Array:
        """The profile up with the cut-off line applied."""
        limit = 90.0 if self.cutoff_above_deg is None else self.cutoff_above_deg
        return np.where((v_deg < limit) | (limit >= 90.0), self.up(v_deg), 0.0)

    @cached_property
    def solid_angle_sr(self) -> float:
        """Flux for a height of one candela [lm]: the product of the two integrals."""
        across = _integral(lambda h: self.across(h) * np.cos(np.radians(h)), (-90.0, *self.marks_across, 90.0))
        top = 90.0 if self.cutoff_above_deg is None else self.cutoff_above_deg
        return across * _integral(self.up, (-90.0, *(mark for mark in self.marks_up if mark < top), top))


def _integral(profile: Profile, marks: tuple[float, ...]) -> float:
    """Integral over an angle [rad] by Gauss's rule in panels of at most a quarter of a degree between the marks."""
    ends = np.unique(np.clip(np.concatenate((marks, np.arange(marks[0], marks[-1], 0.25))), marks[0], marks[-1]))
    middle, half = 0.5 * (ends[1:] + ends[:-1]), 0.5 * np.diff(ends)
    values = profile(middle[:, None] + half[:, None] * _NODES)
    return float(radians(1.0) * np.sum(half[:, None] * _WEIGHTS * values))


@dataclass(frozen=True)
class CosinePower:
    """I = I0 cos^n of the angle from the beam axis; round unless cut off.

    Parameters
    ----------
    flux_lm : luminous flux that leaves the lamp, after any cut-off [lm].
    beam_angle_deg : full width at half of the maximum, 1 to 150 [deg].
    cutoff_above_deg : no light at or above this vertical angle of the lamp [deg].
    """

    flux_lm: float
    beam_angle_deg: float
    cutoff_above_deg: float | None = None

    def __post_init__(self) -> None:
        _check(self.flux_lm, self.cutoff_above_deg, {"beam_angle_deg": (self.beam_angle_deg, 1.0, 150.0)})

    @property
    def spread(self) -> Spread:
        """The beam at unit height; the cosine of the angle from the axis is cos H cos V."""
        n = cosine_power_exponent(self.beam_angle_deg)
        profile, half = _cosine_power(n), _both_sides(0.5 * self.beam_angle_deg)
        return Spread(profile, profile, half, half, self.cutoff_above_deg)


@dataclass(frozen=True)
class EllipticalGaussian:
    """I falls as a Gaussian in H and in V, with its own width in each.

    Parameters
    ----------
    flux_lm : luminous flux that leaves the lamp, after any cut-off [lm].
    across_deg, up_deg : full widths at half of the maximum, 1 to 90 [deg]. At 90 the beam still has 6 % of its
        maximum at the edge of the front half, where it stops.
    cutoff_above_deg : no light at or above this vertical angle of the lamp [deg].
    """

    flux_lm: float
    across_deg: float
    up_deg: float
    cutoff_above_deg: float | None = None

    def __post_init__(self) -> None:
        widths = {"across_deg": (self.across_deg, 1.0, 90.0), "up_deg": (self.up_deg, 1.0, 90.0)}
        _check(self.flux_lm, self.cutoff_above_deg, widths)

    @property
    def spread(self) -> Spread:
        """The beam at unit height."""
        halves = _both_sides(0.5 * self.across_deg), _both_sides(0.5 * self.up_deg)
        return Spread(_gaussian(self.across_deg), _gaussian(self.up_deg), *halves, self.cutoff_above_deg)


@dataclass(frozen=True)
class FlatTop:
    """Even light over a rectangle of H and V with a soft edge: half a cosine wave, half-way down at the stated width.

    Parameters
    ----------
    flux_lm : luminous flux that leaves the lamp, after any cut-off [lm].
    across_deg, up_deg : full widths at half of the maximum, 1 to 160 [deg].
    edge_deg : width of the soft edge, at least 0.5 and at most the smaller width; it must end within 90 deg [deg].
    cutoff_above_deg : no light at or above this vertical angle of the lamp [deg].
    """

    flux_lm: float
    across_deg: float
    up_deg: float
    edge_deg: float
    cutoff_above_deg: float | None = None

    def __post_init__(self) -> None:
        smaller, larger = min(self.across_deg, self.up_deg), max(self.across_deg, self.up_deg)
        widths = {"across_deg": (self.across_deg, 1.0, 160.0), "up_deg": (self.up_deg, 1.0, 160.0)}
        _check(self.flux_lm, self.cutoff_above_deg, widths)
        _check(self.flux_lm, None, {"edge_deg": (self.edge_deg, 0.5, min(smaller, 180.0 - larger))})

    @property
    def spread(self) -> Spread:
        """The beam at unit height."""
        (across, marks_across), (up, marks_up) = (
            _flat_top(width, self.edge_deg) for width in (self.across_deg, self.up_deg)
        )
        return Spread(across, up, marks_across, marks_up, self.cutoff_above_deg)


Beam = CosinePower | EllipticalGaussian | FlatTop


@dataclass(frozen=True)
class Compound:
    """Several beams of one lamp, each moved within it; cut-off lines stay where they are.

    Parameters
    ----------
    parts : beam, degrees to the right and degrees up of its centre (H and V of type B).
    """

    parts: tuple[tuple[Beam, float, float], ...]

    @property
    def flux_lm(self) -> float:
        """Flux of all parts [lm]."""
        return sum(beam.flux_lm for beam, _, _ in self.parts)

    @property
    def spreads(self) -> tuple[tuple[float, Spread], ...]:
        """Height [cd] and spread of each part."""
        spreads = [moved(beam.spread, right, up) for beam, right, up in self.parts]
        heights = [beam.flux_lm / one.solid_angle_sr for (beam, _, _), one in zip(self.parts, spreads, strict=True)]
        return tuple(zip(heights, spreads, strict=True))


def beam_candela(beam: Beam | Compound, directions: ArrayLike) -> Array:
    """Intensity of a stated beam in directions (..., 3) of the lamp axes (forward, left, up) [cd], by its formula.

    Parameters
    ----------
    beam : one of the forms, or several of them in one lamp.
    directions : of any length above 0.

    Source
    ------
    Calculated: cos^n with n = ln 0.5 / ln cos(beam / 2) and I0 = flux (n + 1) / 2 pi; the others are scaled by
    their own integral over the front half.

    Example
    -------
    >>> round(float(beam_candela(CosinePower(1000.0, 60.0), (1.0, 0.0, 0.0))), 1)
    926.1
    """
    d = np.asarray(directions, np.float64)
    h = np.degrees(np.arctan2(-d[..., 1], np.hypot(d[..., 0], d[..., 2])))
    v = np.degrees(np.arctan2(d[..., 2], d[..., 0]))
    whole = beam if isinstance(beam, Compound) else Compound(((beam, 0.0, 0.0),))
    total = sum((height * one.across(h) * one.up_with_cutoff(v) for height, one in whole.spreads), np.zeros(h.shape))
    return np.where(d[..., 0] >= 0.0, total, 0.0)


def cosine_power_exponent(beam_angle_deg: float) -> float:
    """Exponent n of the cosine-power beam with this full width at half of its maximum.

    Parameters
    ----------
    beam_angle_deg : above 0 and below 180 [deg].

    Source
    ------
    Calculated: cos^n (beam / 2) = 1/2.

    Example
    -------
    >>> round(cosine_power_exponent(60.0), 4)
    4.8188
    """
    return log(0.5) / log(cos(radians(0.5 * beam_angle_deg)))


def _cosine_power(n: float) -> Profile:
    def profile(angle_deg: Array) -> Array:
        return np.maximum(np.cos(np.radians(np.minimum(np.abs(angle_deg), 90.0))), 0.0) ** n

    return profile


def _gaussian(width_deg: float) -> Profile:
    def profile(angle_deg: Array) -> Array:
        return np.asarray(np.exp(-log(2.0) * np.square(2.0 * angle_deg / width_deg)))

    return profile


def _both_sides(angle_deg: float) -> tuple[float, float]:
    return -angle_deg, angle_deg


def _flat_top(width_deg: float, edge_deg: float) -> tuple[Profile, tuple[float, ...]]:
    inner, outer = 0.5 * (width_deg - edge_deg), 0.5 * (width_deg + edge_deg)

    def profile(angle_deg: Array) -> Array:
        into_edge = np.clip((np.abs(angle_deg) - inner) / edge_deg, 0.0, 1.0)
        return 0.5 + 0.5 * np.cos(pi * into_edge)

    return profile, (*_both_sides(outer), *_both_sides(inner), *_both_sides(0.5 * width_deg))


def moved(spread: Spread, right_deg: float, up_deg: float) -> Spread:
    """The same profiles about another centre; without a move the very same ones, to keep their symmetry exact.

    Parameters
    ----------
    spread : about the axis of the lamp; its cut-off line stays where it is.
    right_deg, up_deg : the new centre, H and V of type B [deg].
    """
    if right_deg == 0.0 and up_deg == 0.0:
        return spread
    return Spread(
        lambda h: spread.across(h - right_deg),
        lambda v: spread.up(v - up_deg),
        tuple(mark + right_deg for mark in spread.marks_across),
        tuple(mark + up_deg for mark in spread.marks_up),
        spread.cutoff_above_deg,
    )


def _check(flux_lm: float, cutoff_deg: float | None, widths: dict[str, tuple[float, float, float]]) -> None:
    if not 0.0 < flux_lm < 1e9:
        raise UsageError("is not a flux of a lamp", key="flux_lm", value=flux_lm, accepted="give lumens above 0")
    for key, (value, low, high) in widths.items():
        if not low <= value <= high:
            wanted = f"give {low:g} to {high:g} deg"
            raise UsageError("is outside the range of the beam", key=key, value=value, accepted=wanted)
    if cutoff_deg is not None and not -60.0 <= cutoff_deg < 90.0:
        raise UsageError("is outside the range of the beam", key="cutoff_above_deg", value=cutoff_deg,
                         accepted="give -60 deg to below 90 deg")  # fmt: skip
