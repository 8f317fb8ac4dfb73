"""What an eye gets of every lamp that it sees."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine import Lamps, sight
from scenelux.engine.arrays import Blockers
from scenelux.engine.image.air import Haze

__all__ = ["LampsSeen", "lamps_seen", "through"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LampsSeen:
    """What the eye gets of every lamp, hidden ones and those that are off giving nothing.

    Parameters
    ----------
    illuminance_lx : (L,), on the plane square to the way to the lamp, after the air [lx].
    direction : (L, 3), unit vectors from the eye to the lamp, site frame.
    distance_m : (L,).
    """

    illuminance_lx: Array
    direction: Array
    distance_m: Array


def lamps_seen(lamps: Lamps, blockers: Blockers, eye_m: ArrayLike, levels: Array) -> LampsSeen:
    """What an eye gets of every lamp in clear air.

    Parameters
    ----------
    lamps, blockers : what shines and what stands in the way.
    eye_m : (3,), site frame [m].
    levels : (L,), 1 is full output.
    """
    seen = sight(lamps, blockers, np.asarray(eye_m, np.float64).reshape(1, 3))
    distance = seen.distance_m[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        light = np.where(seen.clear[:, 0] & (distance > 0.0), levels * seen.candela[:, 0] / distance**2, 0.0)
    direction = np.where(np.isfinite(seen.direction[:, 0]), seen.direction[:, 0], (1.0, 0.0, 0.0))
    return LampsSeen(np.nan_to_num(light), direction, distance)


def through(seen: LampsSeen, haze: Haze | None) -> LampsSeen:
    """What the air leaves of the lamps on their way to the eye.

    Parameters
    ----------
    seen : in clear air.
    haze : the air; none is clear.
    """
    if haze is None:
        return seen
    return LampsSeen(seen.illuminance_lx * haze.transmitted(seen.distance_m), seen.direction, seen.distance_m)
