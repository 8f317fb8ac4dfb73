"""Stated beams as intensity distributions: a grid dense only where the beam bends, and exactly the stated flux."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.beams import Beam, Compound, CosinePower
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.measures import flux_lm

__all__ = ["CUTOFF_RAMP_DEG", "sample"]

Array = NDArray[np.float64]

CUTOFF_RAMP_DEG = 0.01
"""A table cannot jump: below a cut-off line the intensity falls to 0 within this [deg]."""

_TOLERANCE = 0.0005  # of the peak, along one angle
_TOLERANCE_OF_PARTS = 0.001  # several parts share a grid that is finer than each of them needs
_OF_VALUE = 0.002  # of the intensity itself: the dim edge of a beam is what shines into drivers' eyes
_LEAST_ROUND, _LEAST_PRODUCT = 1e-6, 1e-5  # of the peak; nothing is followed more closely than this
_DARK = 1e-7  # of the peak; below it a lamp is called dark
_COARSE_DEG, _HALVINGS = 8.0, 10  # the grid halves from 8 deg down to 1/128 deg
_INSIDE = np.linspace(0.0, 1.0, 9)[1:-1]


def sample(beam: Beam | Compound) -> IntensityDistribution:
    """A stated beam as a table whose exact flux is the stated one and whose intensities lie within 0.5 % of the peak.

    A round beam becomes type C, any other type B. Just below a cut-off line the table falls to 0 over 0.01 deg.

    Parameters
    ----------
    beam : one of the forms, or several of them in one lamp.

    Example
    -------
    >>> from scenelux.photometry.beams import CosinePower
    >>> table = sample(CosinePower(4200.0, 60.0))
    >>> table.photometric_type, round(flux_lm(table), 6)
    ('C', 4200.0)
    """
    if isinstance(beam, CosinePower) and beam.cutoff_above_deg is None:
        profile = beam.spread.across
        polar = _nodes(profile, 0.0, 90.0, beam.spread.marks_across, _TOLERANCE, _LEAST_ROUND)
        shape = IntensityDistribution("C", np.array((0.0, 360.0)), polar, np.tile(profile(polar), (2, 1)))
    else:
        shape = _product_table(beam if isinstance(beam, Compound) else Compound(((beam, 0.0, 0.0),)))
    kind, h, v = shape.photometric_type, shape.horizontal_deg, shape.vertical_deg
    candela = np.where(shape.candela < _DARK * shape.candela.max(), 0.0, shape.candela)
    factor = beam.flux_lm / flux_lm(IntensityDistribution(kind, h, v, candela))
    return IntensityDistribution(kind, h, v, candela * factor)


def _product_table(beam: Compound) -> IntensityDistribution:
    parts = beam.spreads
    highest = max(height for height, _ in parts)
    tolerance, dim = (_TOLERANCE, _LEAST_PRODUCT) if len(parts) == 1 else (_TOLERANCE_OF_PARTS, _TOLERANCE_OF_PARTS)
    h, v = np.array((-90.0, 90.0)), np.array((-90.0, 90.0))
    for height, one in parts:
        allowed = tolerance * highest / height
        least = dim * highest / height
        h = np.union1d(h, _nodes(one.across, -90.0, 90.0, one.marks_across, allowed, least))
        v = np.union1d(v, _nodes(one.up, -90.0, 90.0, one.marks_up, allowed, least))
        v = _with_cutoff(v, one.cutoff_above_deg)
    v = _without_crowding(v, [one.cutoff_above_deg for _, one in parts])
    candela = sum((height * np.outer(one.across(h), one.up_with_cutoff(v)) for height, one in parts), np.zeros(()))
    return IntensityDistribution("B", h, v, np.asarray(candela))


def _with_cutoff(v: Array, cutoff_deg: float | None) -> Array:
    if cutoff_deg is None:
        return v
    return np.union1d(v, (round(cutoff_deg - CUTOFF_RAMP_DEG, 6), cutoff_deg))


def _without_crowding(v: Array, cutoffs_deg: Iterable[float | None]) -> Array:
    """Leaves out angles within a cut-off's ramp, which would bend it."""
    for cutoff in cutoffs_deg:
        if cutoff is not None:
            v = v[~((v > round(cutoff - CUTOFF_RAMP_DEG, 6)) & (v < cutoff))]
    return v


def _nodes(
    profile: Callable[[Array], Array],
    low: float,
    high: float,
    marks: Iterable[float],
    tolerance: float,
    least: float,
) -> Array:
    """Angles between which straight lines follow a profile within the tolerances, symmetrical where the profile is."""
    steps = np.arange(0.0, 90.0, _COARSE_DEG)
    nodes = np.unique(np.concatenate((-steps, steps, np.fromiter(marks, np.float64), (low, high))))
    nodes = nodes[(nodes >= low) & (nodes <= high)]
    for _ in range(_HALVINGS):
        inside = nodes[:-1, None] + np.diff(nodes)[:, None] * _INSIDE
        ends = profile(nodes)
        straight = ends[:-1, None] + np.diff(ends)[:, None] * _INSIDE
        exact = profile(inside)
        allowed = np.maximum(np.minimum(tolerance, _OF_VALUE * exact), least)
        bent = (np.abs(exact - straight) > allowed).any(axis=1)
        if not bent.any():
            break
        nodes = np.union1d(nodes, 0.5 * (nodes[1:] + nodes[:-1])[bent])
    return nodes
