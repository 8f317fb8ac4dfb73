"""The veil that arises in the eye itself, at every pixel, from every lamp that the eye sees."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.image.scatter import ScatterTable, scattered
from scenelux.study.view.image import Seen
from scenelux.vision import picture_veil_per_lux

__all__ = ["veil"]

Array = NDArray[np.float64]


def veil(seen: Seen, *, age_years: float, pigmentation: float = 0.5, threads: int | None = None) -> NDArray[np.float32]:
    """Veiling luminance at every pixel, for an eye that looks at each in turn [cd/m2].

    Parameters
    ----------
    seen : what the eye sees; hidden lamps give nothing.
    age_years, pigmentation : of the eye.
    threads : all processors unless stated. Results do not depend on it.

    The two forms of `picture_veil_per_lux`; angles below half a pixel count as that.
    """
    half_deg = float(np.degrees(0.5 * seen.hits.camera.step))

    def per_lux(angle_deg: Array) -> Array:
        return picture_veil_per_lux(angle_deg, age_years=age_years, pigmentation=pigmentation)

    table = ScatterTable.of(per_lux, half_deg)
    return scattered(seen.hits.camera, seen.lamps.direction, seen.lamps.illuminance_lx, table, threads=threads)
