"""What reaches an eye: illuminance square to the line of sight and the glare angle of each lamp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["EyeLight", "eye_light"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class EyeLight:
    """Illuminance on the plane square to the line of sight [lx] and glare angle [deg], both (lamps, stations)."""

    illuminance_lx: Array
    angle_deg: Array


def eye_light(candela: ArrayLike, distance_m: ArrayLike, direction: ArrayLike, line_of_sight: ArrayLike) -> EyeLight:
    """Illuminance and glare angle of each lamp: E = I cos(angle)/d^2, nothing from behind the eye.

    Parameters
    ----------
    candela : (lamps, stations) luminous intensity toward the eye [cd].
    distance_m : (lamps, stations) above 0 [m].
    direction : (lamps, stations, 3) from the eye to the lamp, any length.
    line_of_sight : (stations, 3) or (3,) any length.

    Source
    ------
    CIE 146:2002, abstract: illuminance on the plane normal to the line of sight.

    Example
    -------
    >>> light = eye_light([[100.0]], [[10.0]], [[[1.0, 1.0, 0.0]]], [1.0, 0.0, 0.0])
    >>> light.illuminance_lx.round(4).tolist(), light.angle_deg.round(4).tolist()
    ([[0.7071]], [[45.0]])
    """
    to_lamp = np.asarray(direction, np.float64)
    gaze = np.broadcast_to(np.asarray(line_of_sight, np.float64), to_lamp.shape)
    along = (to_lamp * gaze).sum(axis=-1)
    across = np.linalg.norm(np.cross(to_lamp, gaze), axis=-1)  # keeps small angles exact, where a cosine does not
    cosine = along / np.hypot(along, across)
    light = np.asarray(candela, np.float64) * np.maximum(cosine, 0.0) / np.asarray(distance_m, np.float64) ** 2
    return EyeLight(light, np.degrees(np.arctan2(across, along)))
