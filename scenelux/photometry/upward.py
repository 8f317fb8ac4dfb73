"""The share of a lamp's flux that goes above the horizontal when it hangs with a given tilt and roll."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import aim_axes
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.integrals import partial_integral, segment_integrals
from scenelux.photometry.orientation import Orientation, PolarTable, polar_table

__all__ = ["flux_above_horizontal_lm"]

Array = NDArray[np.float64]

_STEP_DEG = 1.0
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(3)
_NEAR_EDGE_DEG = np.concatenate(([0.0], np.geomspace(1e-4, 0.5, 12)))


def flux_above_horizontal_lm(
    distribution: IntensityDistribution, orientation: Orientation, tilt_deg: float, roll_deg: float = 0.0
) -> float:
    """Flux that leaves the mounted lamp above the horizontal plane [lm], within 0.01 % of its total flux.

    Exact along the polar angle of the lamp's table, where the horizon cuts once; Gauss's rule around it.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    tilt_deg : of the beam, negative = down [deg].
    roll_deg : clockwise when looking along the beam [deg].

    Source
    ------
    Calculated from the intensity and the solid angle sin(polar) d(polar) d(azimuth).

    Example
    -------
    >>> from scenelux.photometry.orientation import default_orientation
    >>> lamp = IntensityDistribution("C", [0, 360], [0, 90], [[100, 0]] * 2)
    >>> flux = [flux_above_horizontal_lm(lamp, default_orientation("C"), tilt) for tilt in (-90, 0, 90)]
    >>> [round(one, 1) for one in flux]
    [0.0, 114.2, 228.3]
    """
    table = polar_table(distribution, orientation)
    beam, left, up = aim_axes(0.0, tilt_deg, roll_deg)
    zenith = table.axes @ np.array((beam[2], left[2], up[2]))
    azimuth, weights = _around(table, float(np.degrees(np.arctan2(zenith[1], zenith[0]))))
    edge = np.arctan2(zenith[2], -(zenith[0] * np.cos(azimuth) + zenith[1] * np.sin(azimuth)))
    # Above means polar < edge when the plane's near end is above, else polar > edge; fold the edge into 0..180.
    opens_above = edge >= 0.0
    below_edge = _to_edge(table, azimuth, np.where(opens_above, edge, edge + np.pi))
    whole = _to_edge(table, azimuth, np.full_like(azimuth, np.pi))
    return float(np.sum(weights * np.where(opens_above, below_edge, whole - below_edge)))


def _around(table: PolarTable, zenith_deg: float) -> tuple[Array, Array]:
    """Azimuths and weights [rad] of Gauss's rule in panels that end at the planes and crowd where the edge turns."""
    low, high = float(table.azimuth_deg[0]), float(table.azimuth_deg[-1])
    turns = (zenith_deg + np.array((90.0, 270.0))) % 360.0
    crowd = (turns[:, None] + np.concatenate((-_NEAR_EDGE_DEG, _NEAR_EDGE_DEG))).ravel() % 360.0
    panels = np.concatenate((table.azimuth_deg, np.arange(low, high, _STEP_DEG), crowd))
    panels = np.unique(panels[(panels >= low) & (panels <= high)])
    middle, half = 0.5 * (panels[1:] + panels[:-1]), 0.5 * np.diff(panels)
    azimuth = np.radians(middle[:, None] + half[:, None] * _NODES).ravel()
    return azimuth, (np.radians(half)[:, None] * _WEIGHTS).ravel()


def _to_edge(table: PolarTable, azimuth: Array, edge: Array) -> Array:
    """Integral of the intensity times sin(polar) from the table's first polar angle to the edge, at each azimuth."""
    planes, polar = np.radians(table.azimuth_deg), np.radians(table.polar_deg)
    i = np.clip(np.searchsorted(planes, azimuth, side="right") - 1, 0, planes.size - 2)
    u = np.clip((azimuth - planes[i]) / (planes[i + 1] - planes[i]), 0.0, 1.0)
    summed = np.cumsum(segment_integrals(polar, table.candela, "sin"), axis=1)
    summed = np.concatenate((np.zeros((planes.size, 1)), summed), axis=1)
    end = np.clip(edge, polar[0], polar[-1])
    j = np.clip(np.searchsorted(polar, end, side="right") - 1, 0, polar.size - 2)

    def mix(grid: Array, column: NDArray[np.intp]) -> Array:
        return np.asarray((1.0 - u) * grid[i, column] + u * grid[i + 1, column])

    near, far = mix(table.candela, j), mix(table.candela, j + 1)
    at_edge = near + (far - near) * (end - polar[j]) / (polar[j + 1] - polar[j])
    return mix(summed, j) + partial_integral(polar[j], end, near, at_edge, "sin")
