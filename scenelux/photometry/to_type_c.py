"""Distributions of types A and B as type C in the same photometric frame: a direction keeps its intensity."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.directions import angles, direction
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.edges import EDGE_DEG
from scenelux.photometry.measures import flux_lm
from scenelux.photometry.symmetry import LEAST_STEP_DEG, unfold

__all__ = ["LARGEST_TYPE_C", "ResamplingError", "resampling_error", "to_type_c"]

Array = NDArray[np.float64]

LARGEST_TYPE_C = 400_000
"""Most intensities that resampling makes."""

_TOLERANCES = (0.0015, 0.0007, 0.0003)  # of the peak, along each angle, one after the other
_OF_FLUX = 0.0005  # reached: no further tolerance is tried
_LEAST_STEP_DEG = 0.01  # nothing is followed more closely than this
_COARSE_C_DEG, _COARSE_GAMMA_DEG = 15.0, 10.0
_MOST_OWN_ANGLES = 1000  # of the source, taken over as first gamma angles
_INSIDE = np.array((0.25, 0.5, 0.75))
_ROUNDS = 40
_MOST_LOOKED_AT = 500  # angles of each kind in a comparison


def to_type_c(distribution: IntensityDistribution) -> IntensityDistribution:
    """The distribution as type C in the photometric frame of LM-63; one of type C is given back as it is.

    Type A shares its planes with type C: its angles are relabelled and nothing is resampled, C = -H and
    gamma = V + 90. A table that stops with light on at its last planes falls to 0 over 0.01 deg.
    Type B turns about another axis: planes and gamma angles are halved until the intensity between them is straight
    within 0.15 % of the peak along each angle (less where the flux asks for it), or 400,000 intensities are reached.
    What is then missing of the flux, if more than 0.05 %, is made up by one factor. A source that jumps, such as one
    with a sharp cut-off, is not followed everywhere; `resampling_error` says how far.

    In this frame the beam of a lamp measured as type B is gamma 0, its top C 0; that of type A is C 0 gamma 90, its
    top gamma 180. Mounting the result takes this face and this top.

    Parameters
    ----------
    distribution : of any type.

    Source
    ------
    ANSI/IESNA LM-63-2002, clause 3, for the angles of the three types; calculated from it.

    Example
    -------
    >>> lamp = IntensityDistribution("A", [-90, 0, 90], [-90, 0, 90], [[0, 0, 0], [0, 1000, 0], [0, 0, 0]])
    >>> to_type_c(lamp).candela_at([0, 315, 45], [90, 135, 45]).tolist()
    [1000.0, 250.0, 250.0]
    """
    if distribution.photometric_type == "C":
        return distribution
    if distribution.photometric_type == "A":
        return _relabelled(distribution)
    return _resampled(distribution)


def _relabelled(source: IntensityDistribution) -> IntensityDistribution:
    """Type A as type C: the same cells under other names."""
    c, candela = -source.horizontal_deg[::-1], source.candela[::-1]
    if candela[0].any():
        c, candela = np.append(c[0] - EDGE_DEG, c), np.pad(candela, ((1, 0), (0, 0)))
    if candela[-1].any():
        c, candela = np.append(c, c[-1] + EDGE_DEG), np.pad(candela, ((0, 1), (0, 0)))
    nearest = int(np.abs(c).argmin())
    if abs(c[nearest]) <= LEAST_STEP_DEG:
        c[nearest] = 0.0
    if 0.0 not in c:
        c, candela = _with_plane_zero(c, candela)
    start = int(np.searchsorted(c, 0.0))
    planes = np.concatenate((c[start:], c[:start] + 360.0, (360.0,)))
    rows = np.concatenate((candela[start:], candela[:start], candela[start : start + 1]))
    return IntensityDistribution("C", planes, source.vertical_deg + 90.0, rows)


def _with_plane_zero(c: Array, candela: Array) -> tuple[Array, Array]:
    at = int(np.searchsorted(c, 0.0))
    row = np.zeros_like(candela[0])
    if 0 < at < c.size:
        share = -c[at - 1] / (c[at] - c[at - 1])
        row = (1.0 - share) * candela[at - 1] + share * candela[at]
    return np.insert(c, at, 0.0), np.insert(candela, at, row, axis=0)


def _resampled(source: IntensityDistribution) -> IntensityDistribution:
    """Type B as type C: a grid that is halved where the intensity bends, and then where the flux asks for it."""
    low, high, copies = _part_of_circle(source)
    planes = np.linspace(low, high, round((high - low) / _COARSE_C_DEG) + 1)
    gamma, flux = _first_gamma(source), flux_lm(source)
    for tolerance in _TOLERANCES:
        planes, gamma = _refined(source, planes, gamma, tolerance, copies)
        result = _table(source, planes, gamma, copies)
        if flux == 0.0 or abs(flux_lm(result) / flux - 1.0) <= _OF_FLUX:
            return result
    factor = flux / flux_lm(result)  # little, and all that the largest table leaves to do
    return IntensityDistribution("C", result.horizontal_deg, result.vertical_deg, result.candela * factor)


def _refined(
    source: IntensityDistribution, planes: Array, gamma: Array, tolerance: float, copies: int
) -> tuple[Array, Array]:
    peak = float(source.candela.max())
    for _ in range(_ROUNDS):
        bend_c, bend_gamma = _bends(source, planes, gamma, peak)
        level = _lowest_level_with_room(bend_c, bend_gamma, tolerance, copies)
        split_c, split_gamma = bend_c > level, bend_gamma > level
        if not (split_c.any() or split_gamma.any()):
            break
        planes, gamma = _halved(planes, split_c), _halved(gamma, split_gamma)
    return planes, gamma


def _table(source: IntensityDistribution, planes: Array, gamma: Array, copies: int) -> IntensityDistribution:
    candela = _at(source, planes[:, None], gamma)
    if copies == 1:
        candela[-1] = candela[0]
    h, v, candela, _ = unfold("C", planes, gamma, candela, lambda code, sentence: None)
    return IntensityDistribution("C", h, v, candela)


def _part_of_circle(source: IntensityDistribution) -> tuple[float, float, int]:
    """First and last plane to compute, and how often they repeat around the circle."""
    h, v, candela = source.horizontal_deg, source.vertical_deg, source.candela
    across = np.array_equal(h, -h[::-1]) and np.array_equal(candela, candela[::-1])
    along = np.array_equal(v, -v[::-1]) and np.array_equal(candela, candela[:, ::-1])
    if across:  # H to -H is C to -C
        return (0.0, 90.0, 4) if along else (0.0, 180.0, 2)
    return (90.0, 270.0, 2) if along else (0.0, 360.0, 1)  # V to -V is C to 180 - C


def _first_gamma(source: IntensityDistribution) -> Array:
    """The angles of the source itself, which planes C 0 and C 90 show as they are, and a coarse grid."""
    own = np.unique(np.round(np.abs(np.concatenate((source.horizontal_deg, source.vertical_deg))), 6))
    own = own[:: max(1, own.size // _MOST_OWN_ANGLES)]
    coarse = np.arange(0.0, 90.0 + _COARSE_GAMMA_DEG, _COARSE_GAMMA_DEG)
    merged: Array = np.union1d(own[own <= 90.0], coarse[coarse <= 90.0])
    merged = merged[np.append(np.diff(merged) > 1e-3, True)]
    merged[0] = 0.0
    return merged


def _at(source: IntensityDistribution, c: Array, gamma: Array) -> Array:
    return source.intensity(direction("C", c, gamma))


def _bends(source: IntensityDistribution, planes: Array, gamma: Array, peak: float) -> tuple[Array, Array]:
    """How far the intensity leaves a straight line within each interval of both angles, as a share of the peak."""
    if peak == 0.0:
        return np.zeros(planes.size - 1), np.zeros(gamma.size - 1)
    nodes = _at(source, planes[:, None], gamma)
    by_c = _bend(nodes, planes, lambda between: _at(source, between[:, None], gamma))
    by_gamma = _bend(nodes.T, gamma, lambda between: _at(source, planes[:, None], between).T)
    return by_c / peak, by_gamma / peak


def _bend(nodes: Array, grid: Array, exact: Callable[[Array], Array]) -> Array:
    worst = np.zeros(grid.size - 1)
    for share in _INSIDE:
        straight = (1.0 - share) * nodes[:-1] + share * nodes[1:]
        worst = np.maximum(worst, np.abs(exact(grid[:-1] + share * np.diff(grid)) - straight).max(axis=1))
    return np.where(np.diff(grid) < 2.0 * _LEAST_STEP_DEG, 0.0, worst)


def _lowest_level_with_room(bend_c: Array, bend_gamma: Array, tolerance: float, copies: int) -> float:
    """The tolerance, or as much more as is needed so that halving all that bends more stays within the limit."""
    for level in np.unique(np.concatenate(((tolerance,), bend_c, bend_gamma))):
        planes, gammas = bend_c.size + (bend_c > level).sum(), bend_gamma.size + (bend_gamma > level).sum() + 1
        if level >= tolerance and (planes * copies + 1) * gammas <= LARGEST_TYPE_C:
            return float(level)
    return float("inf")


def _halved(grid: Array, split: NDArray[np.bool_]) -> Array:
    return np.sort(np.concatenate((grid, np.round(0.5 * (grid[1:] + grid[:-1])[split], 6))))


@dataclass(frozen=True)
class ResamplingError:
    """How far a resampled distribution is from its source.

    Parameters
    ----------
    worst_percent : largest difference of intensity in the directions that were looked at [% of the peak].
    C_deg, gamma_deg : where [deg].
    directions_percent : share of the directions with light that differ by more than 0.5 % of the peak [%].
    flux_percent : difference of flux [% of that of the source].
    """

    worst_percent: float
    C_deg: float
    gamma_deg: float
    directions_percent: float
    flux_percent: float


def resampling_error(source: IntensityDistribution, result: IntensityDistribution) -> ResamplingError:
    """Compares two distributions of one lamp in the same photometric frame, whatever their types.

    Parameters
    ----------
    source : as it was.
    result : resampled; the directions of its cell centres and of the nodes and centres of `source` are looked at,
        at most 500 angles of each kind, evenly left out.
    """
    where = np.concatenate([_looked_at(source, 0.0), _looked_at(source, 0.5), _looked_at(result, 0.5)])
    before, after = source.intensity(where), result.intensity(where)
    peak, flux = float(source.candela.max()), flux_lm(source)
    if peak == 0.0:
        return ResamplingError(0.0, 0.0, 0.0, 0.0, 0.0)
    difference = np.abs(after - before) / peak
    worst = int(np.argmax(difference))
    c, gamma = (round(float(angle), 6) for angle in angles("C", where[worst]))
    lit = np.maximum(before, after) > 0.0
    share = 100.0 * float(np.mean(difference[lit] > 0.005)) if lit.any() else 0.0
    of_flux = 100.0 * abs(flux_lm(result) - flux) / flux if flux else 0.0
    return ResamplingError(100.0 * float(difference[worst]), c, gamma, share, of_flux)


def _looked_at(distribution: IntensityDistribution, share: float) -> Array:
    """Directions of the nodes (0) or of places within the cells, (n, 3); of a large table not every one."""
    angles_deg = []
    for one in (distribution.horizontal_deg, distribution.vertical_deg):
        places = one[:-1] + share * np.diff(one) if share else one
        angles_deg.append(places[:: -(-places.size // _MOST_LOOKED_AT)])
    h, v = angles_deg
    return direction(distribution.photometric_type, h[:, None], v).reshape(-1, 3)
