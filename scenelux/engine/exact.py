"""One lamp on a list of points by the exact path: double precision, one point at a time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled
from scenelux.engine.kernels import BoxArrays, LampArrays
from scenelux.engine.nearfield import Receiver, lamp_lux

__all__ = ["light_exactly"]

Floats = NDArray[np.float64]


@compiled
def light_exactly(
    lamps: LampArrays, boxes: BoxArrays, lamp: int, points: Floats, normals: Floats, up: Floats, plane: int,
    order: NDArray[np.int32], limit: float, out: Floats, stack: Floats,
) -> None:  # fmt: skip
    """Illuminance out[k] [lx] of a lamp at point order[k], for the points not farther from it than a limit [m]."""
    x, y, z = lamps.position[lamp, 0], lamps.position[lamp, 1], lamps.position[lamp, 2]
    for k in range(len(order)):
        i = order[k]
        dx, dy, dz = points[i, 0] - x, points[i, 1] - y, points[i, 2] - z
        if dx * dx + dy * dy + dz * dz <= limit * limit:
            at = Receiver(
                points[i, 0], points[i, 1], points[i, 2], normals[i, 0], normals[i, 1], normals[i, 2],
                up[0], up[1], up[2], plane,
            )  # fmt: skip
            out[k] = lamp_lux(lamps, boxes, lamp, at, stack)
