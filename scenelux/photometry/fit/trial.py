"""A beam on trial: one of the forms at a height, and every figure that a data sheet could state about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import acos, degrees, log10, pi, sqrt
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.beams import (
    Beam,
    Compound,
    CosinePower,
    EllipticalGaussian,
    FlatTop,
    Spread,
    cosine_power_exponent,
    moved,
)

__all__ = ["RANGES_DEG", "Trial", "beam_of", "softest_edge_deg"]

Array = NDArray[np.float64]

RANGES_DEG: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"cosine-power": (1.0, 150.0), "elliptical-gaussian": (1.0, 90.0), "flat-top": (1.0, 160.0)}
)
"""Widths at 50 % that each form can have, the simplest form first [deg]."""

_SHARPEST_EDGE_DEG = 0.5
_DARKEST = 1e-12  # of the height: what is left of a beam that is cut away, so that ratios to it exist
_TENTH_OF_EDGE = 2.0 * acos(-0.8) / pi - 1.0  # a half cosine wave is down to 10 % this share of its edge further out


def softest_edge_deg(across_deg: float, up_deg: float) -> float:
    """The widest soft edge that a flat-top beam of these widths can have [deg]."""
    return max(min(across_deg, up_deg, 180.0 - max(across_deg, up_deg)), _SHARPEST_EDGE_DEG)


def beam_of(
    form: str, flux_lm: float, across_deg: float, up_deg: float, edge_deg: float, cutoff_deg: float | None
) -> Beam:
    """A beam of a form by its name; a form takes the figures that it has.

    Parameters
    ----------
    form : its name.
    flux_lm : luminous flux [lm].
    across_deg, up_deg : widths at 50 % [deg]; across for a round beam.
    edge_deg : soft edge of a flat-top beam [deg].
    cutoff_deg : cut-off line, if any [deg].
    """
    if form == "cosine-power":
        return CosinePower(flux_lm, across_deg, cutoff_deg)
    if form == "elliptical-gaussian":
        return EllipticalGaussian(flux_lm, across_deg, up_deg, cutoff_deg)
    return FlatTop(flux_lm, across_deg, up_deg, edge_deg, cutoff_deg)


@dataclass(frozen=True)
class Trial:
    """A beam of a form on trial.

    Parameters
    ----------
    form : its name.
    height_cd : intensity in the centre of the beam, were it not cut off [cd].
    across_deg, up_deg : widths at 50 % of that [deg].
    softness : of a flat-top beam, from 0 (an edge of 0.5 deg) to 1 (the widest that it can have).
    cutoff_deg : cut-off line, if any [deg].
    right_deg, raised_deg : centre of the beam, H and V of type B [deg].
    """

    form: str
    height_cd: float
    across_deg: float
    up_deg: float
    softness: float
    cutoff_deg: float | None
    right_deg: float = 0.0
    raised_deg: float = 0.0

    @property
    def edge_deg(self) -> float:
        """Soft edge of a flat-top beam [deg]."""
        softest = softest_edge_deg(self.across_deg, self.up_deg)
        return _SHARPEST_EDGE_DEG + self.softness * (softest - _SHARPEST_EDGE_DEG)

    @cached_property
    def spread(self) -> Spread:
        """Its profiles at unit height, about its centre."""
        beam = beam_of(self.form, 1.0, self.across_deg, self.up_deg, self.edge_deg, self.cutoff_deg)
        return moved(beam.spread, self.right_deg, self.raised_deg)

    @property
    def flux_lm(self) -> float:
        """Flux after any cut-off [lm]."""
        return self.height_cd * self.spread.solid_angle_sr

    @property
    def peak_at_deg(self) -> float:
        """Vertical angle of the highest intensity: the centre, or the cut-off line when that lies lower [deg]."""
        return self.raised_deg if self.cutoff_deg is None else min(self.raised_deg, self.cutoff_deg)

    @property
    def peak_cd(self) -> float:
        """The highest intensity, never quite 0 [cd]."""
        return self.height_cd * max(float(self.spread.up(np.array(self.peak_at_deg))), _DARKEST)

    def candela(self, h_deg: Array, v_deg: Array) -> Array:
        """Intensity at H and V of type B [cd]."""
        return self.height_cd * self.spread.across(h_deg) * self.spread.up_with_cutoff(v_deg)

    @property
    def fields_deg(self) -> tuple[float, float]:
        """Widths at 10 %, across and up [deg]."""
        return self._field_deg(self.across_deg), self._field_deg(self.up_deg)

    def _field_deg(self, width_deg: float) -> float:
        if self.form == "cosine-power":
            return 2.0 * degrees(acos(0.1 ** (1.0 / cosine_power_exponent(width_deg))))
        if self.form == "elliptical-gaussian":
            return width_deg * sqrt(1.0 / log10(2.0))
        return width_deg + self.edge_deg * _TENTH_OF_EDGE

    def beam(self) -> Beam:
        """The beam itself; its figures have six digits, so that the last ones depend on no machine."""
        across, up, flux = (_six(value) for value in (self.across_deg, self.up_deg, self.flux_lm))
        edge = max(min(_six(self.edge_deg), softest_edge_deg(across, up)), _SHARPEST_EDGE_DEG)
        return beam_of(self.form, flux, across, up, edge, self.cutoff_deg)

    @property
    def centre_deg(self) -> tuple[float, float]:
        """Degrees right and up of the centre of the beam, to three decimals [deg]."""
        return round(self.right_deg, 3) + 0.0, round(self.raised_deg, 3) + 0.0

    def light(self) -> Beam | Compound:
        """What the lamp sends: the beam, about its centre."""
        return self.beam() if self.centre_deg == (0.0, 0.0) else Compound(((self.beam(), *self.centre_deg),))


def _six(value: float) -> float:
    return float(f"{value:.6g}")
