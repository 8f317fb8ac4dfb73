"""The cone outside which a table is dark, so that whole tiles can be left out."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

__all__ = ["Cone", "lit_cone"]

Floats = NDArray[np.float64]

PATCH_DEG = 5.0
"""Cells are cut into patches of about this size to bound how far they reach from an axis."""


@dataclass(frozen=True)
class Cone:
    """Unit axis in the table's frame, and cosine and sine of the angle from it within which all light lies."""

    axis: tuple[float, float, float]
    cosine: float
    sine: float


def lit_cone(azimuth_deg: Floats, polar_deg: Floats, candela: Floats) -> Cone:
    """The narrowest of three cones: about the polar axis, about its opposite, about the middle of the light."""
    cells = (candela[1:, 1:] + candela[1:, :-1] + candela[:-1, 1:] + candela[:-1, :-1]) > 0.0
    if not cells.any():
        return _cone((0.0, 0.0, 1.0), 0.0)
    lit = np.flatnonzero(cells.any(axis=0))
    up = _cone((0.0, 0.0, 1.0), float(polar_deg[lit[-1] + 1]))
    down = _cone((0.0, 0.0, -1.0), 180.0 - float(polar_deg[lit[0]]))
    return max(up, down, _about_the_middle(azimuth_deg, polar_deg, cells), key=lambda cone: cone.cosine)


def _about_the_middle(azimuth_deg: Floats, polar_deg: Floats, cells: NDArray[np.bool_]) -> Cone:
    """A cone about the mean direction of the patches; each patch lies within a circle round its middle."""
    a, da, from_a = _patches(azimuth_deg)
    p, dp, from_p = _patches(polar_deg)
    middles = np.stack((np.cos(a)[:, None] * np.sin(p), np.sin(a)[:, None] * np.sin(p), 0 * a[:, None] + np.cos(p)), -1)
    broadest = np.minimum(1.0, np.sin(p) + dp)
    reach = dp + da[:, None] * broadest
    lit = cells[from_a][:, from_p]
    mean = (middles * (lit * (da[:, None] * np.sin(p) * dp))[..., None]).sum(axis=(0, 1))
    length = float(np.linalg.norm(mean))
    if length < 1e-9:
        return _cone((0.0, 0.0, 1.0), 180.0)
    axis = mean / length
    angles = np.arccos(np.clip(middles[lit] @ axis, -1.0, 1.0)) + reach[lit]
    return _cone(tuple(axis.tolist()), float(np.degrees(angles.max())) + 1e-3)


def _patches(angles_deg: Floats) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Middles and half widths [rad] of patches of the intervals, and the interval of each."""
    widths = np.diff(angles_deg)
    parts = np.ceil(widths / PATCH_DEG).astype(np.int64)
    interval = np.repeat(np.arange(len(widths)), parts)
    place = np.arange(len(interval)) - np.repeat(np.cumsum(parts) - parts, parts)
    half = 0.5 * widths[interval] / parts[interval]
    return np.radians(angles_deg[interval] + (2 * place + 1) * half), np.radians(half), interval


def _cone(axis: tuple[float, ...], angle_deg: float) -> Cone:
    angle = radians(min(180.0, angle_deg))
    return Cone((axis[0], axis[1], axis[2]), cos(angle), sin(angle))
