"""The exact path: double precision, one point at a time; each lamp on a list of points of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled
from scenelux.engine.kernels import BoxArrays, LampArrays
from scenelux.engine.nearfield import Receiver, lamp_lux, panel_stack
from scenelux.engine.threads import in_blocks

__all__ = ["fill_exactly", "light_all", "light_some"]

Floats = NDArray[np.float64]
Shorts = NDArray[np.int32]
Integers = NDArray[np.int64]


@compiled
def fill_exactly(
    lamps: LampArrays, boxes: BoxArrays, points: Floats, normals: Floats, up: Floats, plane: int,
    order: Shorts, spans: Integers, lux: Floats, stack: Floats,
) -> None:  # fmt: skip
    """Illuminance [lx] of each lamp at the points order[first:last], into lux from `to` on; spans (L, 3) hold these."""
    for lamp in range(len(spans)):
        to = spans[lamp, 2]
        for k in range(spans[lamp, 0], spans[lamp, 1]):
            i = order[k]
            at = Receiver(
                points[i, 0], points[i, 1], points[i, 2], normals[i, 0], normals[i, 1], normals[i, 2],
                up[0], up[1], up[2], plane,
            )  # fmt: skip
            lux[to] = lamp_lux(lamps, boxes, lamp, at, stack)
            to += 1


def light_all(
    lamps: LampArrays, boxes: BoxArrays, points: Floats, normals: Floats, up: Floats, plane: int, threads: int | None
) -> Floats:
    """All lamps on all points, (L, n) [lx]."""
    count, number = len(lamps.position), len(points)
    lux, order, lamp = np.empty((count, number)), np.arange(number, dtype=np.int32), np.arange(count)

    def fill(first: int, last: int) -> None:
        spans = np.stack((np.full(count, first), np.full(count, last), lamp * number + first), axis=1)
        fill_exactly(lamps, boxes, points, normals, up, plane, order, spans, lux.reshape(-1), panel_stack())

    in_blocks(fill, number, lux.size, threads)
    return lux


def light_some(
    lamps: LampArrays, boxes: BoxArrays, points: Floats, normals: Floats, up: Floats, plane: int,
    point: Shorts, start: Integers, threads: int | None,
) -> Floats:  # fmt: skip
    """Each lamp on points of its own, those from start[lamp] to start[lamp + 1]; one number for each [lx]."""
    lux = np.empty(len(point))

    def fill(first: int, last: int) -> None:
        ends = np.clip(start, first, last)
        spans = np.stack((ends[:-1], ends[1:], ends[:-1]), axis=1)
        fill_exactly(lamps, boxes, points, normals, up, plane, point, spans, lux, panel_stack())

    in_blocks(fill, len(point), len(point), threads)
    return lux
