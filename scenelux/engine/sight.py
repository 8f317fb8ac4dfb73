"""What an eye gets of every lamp: intensity towards it, whether the view is free, distance and direction."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Blockers, Lamps, check_memory, vectors
from scenelux.engine.cache import compiled
from scenelux.engine.kernels import BoxArrays, LampArrays, blocked, box_arrays, intensity, lamp_arrays
from scenelux.engine.threads import in_blocks

__all__ = ["Sight", "sight"]

Floats = NDArray[np.float64]

BYTES_PER_PAIR = 5 * 8 + 1


@dataclass(frozen=True, eq=False)
class Sight:
    """Every lamp from every eye, at full output.

    Parameters
    ----------
    candela : (L, n), intensity from the lamp's centre towards the eye, as if nothing stood between [cd].
    clear : (L, n), no box stands between the lamp's centre and the eye.
    distance_m : (L, n), from the eye to the lamp's centre [m].
    direction : (L, n, 3), unit vectors from the eye to the lamp, site frame; nan where the two coincide.
    """

    candela: Floats
    clear: NDArray[np.bool_]
    distance_m: Floats
    direction: Floats


@compiled
def _fill_sight(
    lamps: LampArrays, boxes: BoxArrays, eyes: Floats, first: int, last: int,
    candela: Floats, clear: NDArray[np.bool_], distance: Floats, direction: Floats,
) -> None:  # fmt: skip
    for lamp in range(len(lamps.position)):
        x, y, z = lamps.position[lamp, 0], lamps.position[lamp, 1], lamps.position[lamp, 2]
        for i in range(first, last):
            dx, dy, dz = x - eyes[i, 0], y - eyes[i, 1], z - eyes[i, 2]
            far = sqrt(dx * dx + dy * dy + dz * dz)
            distance[lamp, i] = far
            direction[lamp, i, 0], direction[lamp, i, 1], direction[lamp, i, 2] = dx / far, dy / far, dz / far
            candela[lamp, i] = intensity(lamps, lamp, -dx, -dy, -dz)
            clear[lamp, i] = not blocked(boxes, x, y, z, 0.0, 0.0, 0.0, eyes[i, 0], eyes[i, 1], eyes[i, 2])


def sight(
    lamps: Lamps,
    blockers: Blockers,
    eyes_m: ArrayLike,
    *,
    threads: int | None = None,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Sight:
    """Intensity, view, distance and direction of every lamp from every eye; initial light at full output.

    Parameters
    ----------
    lamps, blockers : what shines and what stands in the way, site frame.
    eyes_m : (n, 3), site frame [m].
    threads : eyes are shared out among so many threads; all processors unless stated. Results do not depend on it.
    memory_limit_bytes : LimitError is raised before more than this is allocated.

    Example
    -------
    >>> from types import SimpleNamespace
    >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[500, 500], [500, 500]])
    >>> lamp = Lamps.from_tables([bare], table=[0], position_m=[[30, 0, 1]], axes=[np.eye(3)])
    >>> wall = Blockers.boxes([[20, 0, 1]], [[0.1, 5, 1]])
    >>> seen = sight(lamp, wall, [[0, 0, 1]])
    >>> float(seen.candela[0, 0]), bool(seen.clear[0, 0]), float(seen.distance_m[0, 0])
    (500.0, False, 30.0)
    """
    shape = (len(lamps), np.shape(eyes_m)[0] if np.ndim(eyes_m) else 0)
    check_memory(shape[0] * shape[1] * BYTES_PER_PAIR, memory_limit_bytes, "sight")
    eyes = vectors(eyes_m, "eyes_m")
    seen = Sight(np.empty(shape), np.empty(shape, dtype=np.bool_), np.empty(shape), np.empty((*shape, 3)))
    fixed, filled = (lamp_arrays(lamps), box_arrays(blockers), eyes), (seen.candela, seen.clear, seen.distance_m)
    in_blocks(
        lambda first, last: _fill_sight(*fixed, first, last, *filled, seen.direction),
        len(eyes), shape[0] * shape[1], threads,
    )  # fmt: skip
    return seen
