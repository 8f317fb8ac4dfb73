"""Tables that stop short of the end angles which formats ask for, continued with darkness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.directions import PhotometricType
from scenelux.photometry.symmetry import LEAST_STEP_DEG

__all__ = ["EDGE_DEG", "continued"]

Array = NDArray[np.float64]

EDGE_DEG = 0.01
"""A table that stops with light on falls to 0 within this [deg]."""


def continued(kind: PhotometricType, h: Array, v: Array, candela: Array) -> tuple[Array, Array, Array]:
    """Angles and intensities up to the ends that every format takes.

    Type C covers gamma from 0 or 90 to 90 or 180; types A and B cover -90 to 90 in both angles.

    Parameters
    ----------
    kind : photometric type.
    h, v : ascending [deg].
    candela : (nH, nV) [cd].

    Example
    -------
    >>> _, v, candela = continued("C", np.array([0.0]), np.array([0.0, 40]), np.array([[9.0, 4]]))
    >>> v.tolist(), candela.tolist()
    ([0.0, 40.0, 40.01, 90.0], [[9.0, 4.0, 0.0, 0.0]])
    """
    if kind == "C":
        return h, *_reaching(v, candela, 90.0 if v[0] >= 90.0 else 0.0, 90.0 if v[-1] <= 90.0 else 180.0)
    v, candela = _reaching(v, candela, -90.0, 90.0)
    h, turned = _reaching(h, candela.T, -90.0, 90.0)
    return h, v, turned.T


def _reaching(angles: Array, candela: Array, low: float, high: float) -> tuple[Array, Array]:
    """The last axis continued with 0; an end angle that is missed by a rounding is moved there."""
    before = [low] if low < angles[0] - LEAST_STEP_DEG else []
    before += [angles[0] - EDGE_DEG] if low < angles[0] - 2 * EDGE_DEG else []
    after = [angles[-1] + EDGE_DEG] if high > angles[-1] + 2 * EDGE_DEG else []
    after += [high] if high > angles[-1] + LEAST_STEP_DEG else []
    reaching = np.concatenate((np.round(before, 6), angles, np.round(after, 6)))
    reaching[0] = low if abs(reaching[0] - low) <= LEAST_STEP_DEG else reaching[0]
    reaching[-1] = high if abs(reaching[-1] - high) <= LEAST_STEP_DEG else reaching[-1]
    return reaching, np.pad(candela, ((0, 0), (len(before), len(after))))
