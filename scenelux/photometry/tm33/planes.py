"""The angles and intensities that a TM-33 document lists: what exact symmetry repeats is left out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.distribution import IntensityDistribution

__all__ = ["listed"]

Array = NDArray[np.float64]
Planes = tuple[str, Array, Array, Array]

_EDGE_DEG = 0.01  # a table that stops early falls to 0 within this


def listed(distribution: IntensityDistribution) -> Planes:
    """Name of the symmetry, horizontal and vertical angles, and the (nH, nV) intensities to write.

    A table that stops short of the usual end angles is continued with 0. Types A and B are written in full, since what
    a symmetry means for them is not confirmed.

    Parameters
    ----------
    distribution : of any type.
    """
    h, v, candela = distribution.horizontal_deg, distribution.vertical_deg, distribution.candela
    if distribution.photometric_type == "C":
        v, candela = _stretched(v, candela, 90.0 if v[0] >= 90.0 else 0.0, 90.0 if v[-1] <= 90.0 else 180.0)
        return _circle(h, v, candela)
    v, candela = _stretched(v, candela, -90.0, 90.0)
    h, turned = _stretched(h, candela.T, -90.0, 90.0)
    return "Symm_None", h, v, turned.T


def _circle(h: Array, v: Array, candela: Array) -> Planes:
    if (candela == candela[0]).all():
        return "Symm_Full", h[:1], v, candela[:1]
    across = _mirrored(h, candela, 360.0 - h)
    sideways = _mirrored(h, candela, (180.0 - h) % 360.0)
    if across and sideways and 90.0 in h:
        return "Symm_Quad", h[h <= 90.0], v, candela[h <= 90.0]
    if across and 180.0 in h:
        return "Symm_Bi_0", h[h <= 180.0], v, candela[h <= 180.0]
    if sideways and 90.0 in h and 270.0 in h:
        within = (h >= 90.0) & (h <= 270.0)
        return "Symm_Bi_90", h[within], v, candela[within]
    return "Symm_None", h, v, candela


def _mirrored(h: Array, candela: Array, images: Array) -> bool:
    """Whether each plane equals the one at its mirror image, exactly."""
    at = np.minimum(np.searchsorted(h, images), h.size - 1)
    return bool((h[at] == images).all()) and bool((candela[at] == candela).all())


def _stretched(angles: Array, candela: Array, low: float, high: float) -> tuple[Array, Array]:
    """The last axis continued with 0 to the required end angles."""
    before = [low] if low < angles[0] else []
    before += [angles[0] - _EDGE_DEG] if low < angles[0] - 2 * _EDGE_DEG else []
    after = [angles[-1] + _EDGE_DEG] if high > angles[-1] + 2 * _EDGE_DEG else []
    after += [high] if high > angles[-1] else []
    padded = np.pad(candela, ((0, 0), (len(before), len(after))))
    return np.concatenate((np.round(before, 6), angles, np.round(after, 6))), padded
