"""All lamps before an eye in one list: those of the scene that are on, then the viewer's own headlamps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine import Lamps, sight
from scenelux.engine.arrays import Blockers

__all__ = ["LampsSeen", "chosen", "joined", "lamps_seen"]

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


def joined(first: Lamps, second: Lamps | None) -> Lamps:
    """Two lists of lamps as one, the second after the first.

    Parameters
    ----------
    first, second : none adds nothing.
    """
    return first if second is None else first.joined(second)


def chosen(lamps: Lamps, which: ArrayLike) -> Lamps:
    """Some of the lamps, in their order.

    Parameters
    ----------
    lamps : to choose from; tables are shared.
    which : (k,) numbers of lamps.
    """
    return lamps.only(which)


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
