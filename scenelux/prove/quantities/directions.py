"""Photometric types A, B and C: angles to directions, and from one type to another."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np

from scenelux.errors import UsageError
from scenelux.photometry import angles, default_orientation, direction
from scenelux.prove.signature import Vector

__all__ = ["photometric_angles", "photometric_direction"]

Type = Literal["A", "B", "C"]


def photometric_direction(
    type: Annotated[Type, "photometric type, A, B or C"],
    horizontal_deg: Annotated[float, "C of type C, H of types A and B"],
    vertical_deg: Annotated[float, "gamma of type C, V of types A and B"],
) -> Annotated[list[float], "[x, y, z]"]:
    """Unit vector of a pair of photometric angles: x is the photometric horizontal, z up, the photometric zero -z."""
    return [float(part) for part in direction(type, horizontal_deg, vertical_deg)]


def photometric_angles(
    to_type: Annotated[Type, "photometric type wanted: A, B or C"],
    type: Annotated[Type | None, "photometric type given, A, B or C, with its two angles"] = None,
    horizontal_deg: Annotated[float | None, "C or H"] = None,
    vertical_deg: Annotated[float | None, "gamma or V"] = None,
    direction_xyz: Annotated[Vector | None, "of any length, instead of type and angles"] = None,
    frame: Annotated[
        Literal["photometric", "lamp"],
        "which frame stays: that of the data, or the lamp hung the usual way by each type",
    ] = "photometric",
) -> Annotated[dict[str, float], "horizontal_deg", "vertical_deg", "off_axis_deg"]:
    """The same direction in the angles of another photometric type, and its angle from the beam axis of the lamp."""
    given = type or to_type
    if direction_xyz is not None:
        way = np.array(direction_xyz if any(direction_xyz) else (math.nan,) * 3)
    elif type is not None and horizontal_deg is not None and vertical_deg is not None:
        way = direction(type, horizontal_deg, vertical_deg)
    else:
        raise UsageError("needs a direction", accepted="give type, horizontal_deg and vertical_deg, or direction_xyz")
    hung = np.array(default_orientation(given).axes_in_lamp())
    if frame == "lamp":
        way = way @ hung @ np.array(default_orientation(to_type).axes_in_lamp()).T
        hung = np.array(default_orientation(to_type).axes_in_lamp())
    ahead, left, up = way @ hung
    h, v = angles(to_type, way)
    off = math.degrees(math.atan2(math.hypot(left, up), ahead))
    return {"horizontal_deg": float(h), "vertical_deg": float(v), "off_axis_deg": off}
