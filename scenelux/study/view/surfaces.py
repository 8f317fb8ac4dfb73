"""How every pixel of a picture answers to light: luminance per lux of lamps and of the sky, and what is painted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Hits
from scenelux.engine.threads import in_blocks
from scenelux.placement.road import Road
from scenelux.study.view.ground import Line, painted
from scenelux.study.view.materials import GROUND_PLANE, Materials, planes_seen
from scenelux.study.view.tables import Markings

__all__ = ["Surfaces", "surfaces_of"]

Singles = NDArray[np.float32]

SKY_PER_LUX = 1.0 / np.pi
"""Luminance of a sky that is the same all round, per lux that it gives level ground [1/sr]."""


@dataclass(frozen=True, eq=False)
class Surfaces:
    """Every pixel of a picture, (h, w).

    Parameters
    ----------
    planes : of `planes_seen`.
    per_lux : matt luminance per lux of lamp light; 0 of the sky [1/sr].
    per_sky_lux : luminance per lux of natural light on level ground [1/sr].
    paint : share that is a lane marking.
    """

    planes: NDArray[np.int32]
    per_lux: Singles
    per_sky_lux: Singles
    paint: Singles


def surfaces_of(
    hits: Hits,
    materials: Materials,
    lines: tuple[Line, ...],
    markings: Markings,
    road: Road | None,
    threads: int | None = None,
) -> Surfaces:
    """How every pixel answers to light.

    Parameters
    ----------
    hits : what the picture shows.
    materials, lines, markings, road : as in `Setting`.
    threads : all processors unless stated.
    """
    planes = planes_seen(hits)
    lamps = np.append(materials.per_lux, 0.0).astype(np.float32)
    sky = np.append(materials.per_sky_lux, SKY_PER_LUX).astype(np.float32)
    per_lux, per_sky_lux = np.empty(planes.shape, np.float32), np.empty(planes.shape, np.float32)

    def fill(first: int, last: int) -> None:
        lamps.take(planes[first:last], out=per_lux[first:last], mode="clip")
        sky.take(planes[first:last], out=per_sky_lux[first:last], mode="clip")

    in_blocks(fill, len(planes), planes.size, threads)
    paint = painted(hits, lines, markings, road)
    at = np.nonzero(paint)
    white, share = np.float32(markings.luminance_coefficient), paint[at]
    per_lux[at] = share * white + (1.0 - share) * lamps[GROUND_PLANE]
    per_sky_lux[at] = share * white + (1.0 - share) * sky[GROUND_PLANE]
    return Surfaces(planes, per_lux, per_sky_lux, paint)
