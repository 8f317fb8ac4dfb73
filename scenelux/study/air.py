"""Light that the air of fog, rain or snow lays over what an eye looks at."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Camera, GroundPlane, first_hits
from scenelux.engine.image.air import airlight
from scenelux.placement import PlacedScene
from scenelux.study.view.tables import haze_of

__all__ = ["air_before"]

Array = NDArray[np.float64]

FIELD_DEG = 0.01
"""Of the one pixel that stands for a line of sight."""


def air_before(placed: PlacedScene, blockers: Blockers, eyes_m: Array, directions: Array) -> Array | None:
    """Luminance of the air along lines of sight, by each lamp at full output; None in clear air.

    Parameters
    ----------
    placed : the scene on its site; its lamps light the air.
    blockers : where a line of sight ends, if not on the ground; they throw no shadows into the air.
    eyes_m, directions : (n, 3) where each starts and its way, site frame [m].

    Returns
    -------
    (L, n) [cd/m2], single scatter.
    """
    haze = haze_of(placed.scene.weather)
    if haze is None:
        return None
    ground = GroundPlane.through(normal=placed.ground.normal)
    found = np.empty((len(placed.lamps), len(eyes_m)))
    for at, (eye, way) in enumerate(zip(eyes_m, directions, strict=True)):
        camera = Camera.towards(eye, eye + way, 1, 1, field_deg=FIELD_DEG)
        ends = first_hits(camera, blockers, ground).distance_m
        found[:, at] = airlight(camera, ends, placed.lamps, haze, apart=True)[:, 0, 0]
    return found
