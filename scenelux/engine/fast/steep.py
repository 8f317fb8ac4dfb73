"""Cells of a table in which intensity changes too fast for single precision.

A direction in single precision is off by 1.6e-7 rad at most. Where a table falls from its largest intensity to nothing
within two degrees, or says different things of one direction around a pole, that would show. So points in such cells,
and those so near to one that they may belong to it, are computed by the exact path.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["steep_cells"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

NOISE_RAD = 1.6e-7
"""Most by which a direction is off in single precision, as measured."""

SHARE = 4e-6
"""A cell is steep when that noise changes its intensity by more than this part of the table's largest."""


def steep_cells(azimuth_deg: Floats, polar_deg: Floats, candela: Floats) -> Flags:
    """Which cells (azimuth, polar) between listed angles are steep."""
    allowed = SHARE * candela.max(initial=0.0)
    up = np.abs(np.diff(candela, axis=1)) * (NOISE_RAD / np.radians(np.diff(polar_deg)))
    around = np.abs(np.diff(candela, axis=0)) * (NOISE_RAD / np.radians(np.diff(azimuth_deg)))[:, None]
    # Near a pole an azimuth means little: its noise grows, up to all the azimuths there are.
    sine = np.maximum(np.sin(np.radians(polar_deg)), NOISE_RAD)
    around = np.minimum(around / sine, np.ptp(candela, axis=0))
    up, around = np.maximum(up[:-1], up[1:]), np.maximum(around[:, :-1], around[:, 1:])
    steep: Flags = up + around > allowed
    return steep
