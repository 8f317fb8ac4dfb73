"""How large and how bright the openings of lamps look from an eye."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Lamps

__all__ = ["seen_area_m2"]

Array = NDArray[np.float64]


def seen_area_m2(lamps: Lamps, direction: Array) -> Array:
    """Area of each opening as it is seen along a direction: its outline on a plane square to it [m2].

    Parameters
    ----------
    lamps : with openings as boxes or round cylinders; of a lamp without a size it is 0.
    direction : (L, ..., 3) unit vectors between eye and lamp, of either sign, site frame.

    A box shows up to three faces, a cylinder one end and the side between: its outline is exactly their sum.
    """
    lead = (len(lamps), *[1] * (direction.ndim - 2))
    length, width, height = (size.reshape(lead) for size in lamps.opening_m.T)
    along, across, through = np.abs(np.einsum("l...x,lax->al...", direction, lamps.opening_axes))
    box = length * width * through + width * height * along + height * length * across
    round_ = 0.25 * np.pi * length * width * through + height * np.hypot(length * across, width * along)
    return np.asarray(np.where(lamps.opening_round.reshape(lead), round_, box))
