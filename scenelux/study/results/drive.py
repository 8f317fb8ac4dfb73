"""What a driver sees on the way: small luminance pictures at some of the stations."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["DriveFrames"]

Singles = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class DriveFrames:
    """Pictures along an approach in one variant, duty state and light level, the farthest first.

    Parameters
    ----------
    variant, approach_id, state, light : names and ids.
    ambient_lx : natural light on level ground [lx].
    age_years : of the eye.
    stations : (frames,) which stations of the approach.
    wide_deg, zoom_deg : fields across; the first along the road, the second at the vehicle.
    wide_cd_m2, zoom_cd_m2 : (frames, rows, columns) luminance with the veil in an eye that looks at each pixel [cd/m2].
    rates_per_s : of the lamps that flash; none while all are steady [1/s].
    """

    variant: str
    approach_id: str
    state: str
    light: str
    ambient_lx: float
    age_years: float
    stations: NDArray[np.intp]
    wide_deg: float
    zoom_deg: float
    wide_cd_m2: Singles
    zoom_cd_m2: Singles
    rates_per_s: tuple[float, ...] = ()
