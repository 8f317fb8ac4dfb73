"""Illuminance at a point: from a lamp, from a panel near by, and where the axis of an aimed lamp meets the ground."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np

from scenelux.engine import Plane
from scenelux.errors import UsageError
from scenelux.photometry import stated_opening
from scenelux.prove.quantities.lamps import Lamp, Shining, cosine_lamp, hung, lux
from scenelux.prove.signature import Numbers, Vector

__all__ = ["ground_illuminance_of_aimed_lamp", "illuminance_at_point", "panel_illuminance"]

UP: Vector = (0.0, 0.0, 1.0)
_SHORTEST = 1e-9  # of a direction

_PLANES = {
    "horizontal": Plane.PLANE,
    "vertical": Plane.PLANE,
    "tilted": Plane.PLANE,
    "cylindrical": Plane.CYLINDRICAL,
    "semi-cylindrical": Plane.SEMI_CYLINDRICAL,
    "hemispherical": Plane.HEMISPHERICAL,
}
PlaneWord = Literal["horizontal", "vertical", "tilted", "cylindrical", "semi-cylindrical", "hemispherical"]
_NEEDED = {
    "rectangle": "luminance_cd_m2, length_m and width_m",
    "disk": "luminance_cd_m2 and diameter_m",
    "strip": "intensity_cd_per_m and length_m",
}
_LAMBERT = 1.0


def illuminance_at_point(
    point_m: Annotated[Vector, "[along, left, up]"],
    lamp_position_m: Annotated[Vector, "[along, left, up] of the middle of its opening"],
    lamp: Lamp,
    plane: Annotated[PlaneWord, "receiver"] = "horizontal",
    facing: Annotated[
        Vector | None,
        "normal of a tilted plane or hemisphere; level direction of a vertical or semi-cylindrical one, else the lamp",
    ] = None,
    heading_deg: Annotated[float, "of the beam: 0 along, 90 left"] = 0.0,
    tilt_deg: Annotated[float, "of the beam: negative is down, -90 straight down"] = -90.0,
    roll_deg: Annotated[float, "of the lamp, clockwise looking along the beam"] = 0.0,
) -> Annotated[float, "illuminance [lx]"]:
    """Illuminance of one lamp at a point, by the engine; nan at the lamp itself."""
    shining = lamp.shining()
    if shining is None:
        return math.nan
    to_lamp = tuple(float(there - here) for there, here in zip(lamp_position_m, point_m, strict=True))
    lamps = hung(shining, lamp_position_m, heading_deg, tilt_deg, roll_deg)
    return lux(lamps, point_m, _facing(plane, facing, to_lamp), _PLANES[plane])


def _facing(plane: str, facing: Vector | None, to_lamp: tuple[float, ...]) -> Vector:
    if plane in ("horizontal", "cylindrical"):
        return UP
    if plane in ("hemispherical", "tilted"):
        facing = UP if facing is None and plane == "hemispherical" else facing
        if facing is None or math.hypot(*facing) < _SHORTEST:
            raise UsageError("is no direction", key="facing", accepted=f"give the normal, which {plane} needs")
        return facing
    along, left, up = facing or (to_lamp[0], to_lamp[1], 0.0)
    if math.hypot(along, left) < _SHORTEST or abs(up) > _SHORTEST * math.hypot(along, left):
        raise UsageError("is no level direction", key="facing", accepted="give one such as [-1, 0, 0]")
    return (along, left, 0.0)


def panel_illuminance(
    shape: Annotated[Literal["rectangle", "disk", "strip"], "outline of an evenly bright, diffuse panel"],
    distance_m: Annotated[float, "of the point from the plane of the panel, above 0"],
    luminance_cd_m2: Annotated[float | None, "of a rectangle or disk"] = None,
    length_m: Annotated[float | None, "of a rectangle or strip, above 0"] = None,
    width_m: Annotated[float | None, "of a rectangle, above 0"] = None,
    diameter_m: Annotated[float | None, "of a disk, above 0"] = None,
    intensity_cd_per_m: Annotated[float | None, "of a strip, square to it"] = None,
    offset_m: Annotated[Numbers, "[x, y] of the point from the middle, along the length and the width"] = (0.0, 0.0),
    facing: Annotated[
        Vector, "normal at the point: [x, y] as offset_m, z toward the panel; [0, 0, 1] is parallel to it"
    ] = UP,
) -> Annotated[float, "illuminance [lx]"]:
    """Illuminance near a panel, by the near field of the engine, within 1 %; nan nearer than 1/40 of the panel."""
    if len(offset_m) != len("xy"):
        raise UsageError("is not a place on the panel", key="offset_m", accepted="give [x, y]")
    first, second = {"rectangle": (length_m, width_m), "disk": (diameter_m, diameter_m), "strip": (length_m, 0.0)}[
        shape
    ]
    bright = intensity_cd_per_m if shape == "strip" else luminance_cd_m2
    if bright is None or first is None or second is None:
        raise UsageError(f"of the shape {shape} needs more", key="shape", accepted=f"give {_NEEDED[shape]}")
    if math.hypot(*facing) < _SHORTEST:
        raise UsageError("has no direction", key="facing", accepted="give a vector such as [0, 0, 1]")
    if not (distance_m > 0.0 and first > 0.0 and (second > 0.0 or shape == "strip") and bright >= 0.0):
        return math.nan
    area = {"rectangle": first * second, "disk": math.pi / 4.0 * first * second, "strip": first}[shape]
    return _below(shape, (first, second), bright * area, (*offset_m, distance_m), facing)


def _below(shape: str, size: tuple[float, float], peak_cd: float, place: tuple[float, ...], facing: Vector) -> float:
    """A panel hung over the point and shining straight down; its length lies across the beam's heading."""
    lamp = cosine_lamp(peak_cd, _LAMBERT)
    opening = stated_opening(lamp, "ellipse" if shape == "disk" else "rectangle", *size)
    x, y, distance = place
    lamps = hung(Shining(lamp, opening), (-y, -x, distance), 0.0, -90.0)
    return lux(lamps, (0.0, 0.0, 0.0), (facing[1], facing[0], facing[2]))


def ground_illuminance_of_aimed_lamp(
    height_m: Annotated[float, "of the lamp above level ground, above 0"],
    down_deg: Annotated[float, "of the beam axis below the horizontal, above 0 to 90"],
    lamp: Lamp,
) -> Annotated[dict[str, float], "illuminance_lx", "reach_m"]:
    """Horizontal illuminance where the beam axis meets the ground, by the engine, and how far ahead that is."""
    shining = lamp.shining()
    if shining is None or not (height_m > 0.0 and 0.0 < down_deg <= 90.0):
        return {"illuminance_lx": math.nan, "reach_m": math.nan}
    reach = float(height_m / np.tan(np.radians(down_deg))) if down_deg < 90.0 else 0.0
    lamps = hung(shining, (0.0, 0.0, height_m), 0.0, -down_deg, 0.0)
    return {"illuminance_lx": lux(lamps, (reach, 0.0, 0.0), UP), "reach_m": reach}
