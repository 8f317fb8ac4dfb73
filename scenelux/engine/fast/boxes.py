"""Shadows of boxes on a tile: the slab test for all its points at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import part, stage
from scenelux.engine.fast.angles import ONE, ZERO, larger, smaller
from scenelux.engine.fast.stages import LUX, X, Y, Z
from scenelux.engine.fast.tiles import SIZE

__all__ = ["shade"]

Singles = NDArray[np.float32]

TINY = np.float32(1e-20)


@part
def reciprocal(step: np.float32) -> np.float32:
    """One over a step, large but finite for a step of nothing."""
    return ONE / (step if abs(step) > TINY else TINY)


@stage
def shade(tile: Singles, s: Singles, b: Singles) -> None:
    """Dark where the way o + t (R p + c), t from 0 to 1, runs between all three pairs of faces at once.

    b: rows of R, centre of the tile seen from the lamp, the lamp, and the half sizes, all in the box's own axes.
    """
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = b[0], b[1], b[2], b[3], b[4], b[5], b[6], b[7], b[8]
    cx, cy, cz, ox, oy, oz, hx, hy, hz = b[9], b[10], b[11], b[12], b[13], b[14], b[15], b[16], b[17]
    for k in range(SIZE):
        x, y, z = tile[X + k], tile[Y + k], tile[Z + k]
        ix = reciprocal(r00 * x + (r01 * y + (r02 * z + cx)))
        iy = reciprocal(r10 * x + (r11 * y + (r12 * z + cy)))
        iz = reciprocal(r20 * x + (r21 * y + (r22 * z + cz)))
        mx, my, mz = -ox * ix, -oy * iy, -oz * iz
        wx, wy, wz = hx * abs(ix), hy * abs(iy), hz * abs(iz)
        enter = larger(larger(mx - wx, my - wy), larger(mz - wz, ZERO))
        leave = smaller(smaller(mx + wx, my + wy), smaller(mz + wz, ONE))
        s[LUX + k] = ZERO if enter < leave else s[LUX + k]
