"""Cones, barricades and panels on the site: thin boxes, and what is seen of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from scenelux.geometry import Axes, Vector
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.boxes import UPRIGHT, Patch, PlacedBox, Side, box_in, patches_of, stand, upright
from scenelux.placement.ground import Ground
from scenelux.placement.materials import Cover, object_kinds, paint_cover, sheeting_covers
from scenelux.scene.model import RoadObject

__all__ = ["PlacedObject", "place_object"]


@dataclass(frozen=True, eq=False)
class PlacedObject:
    """An object in the site frame; axes are where its front faces, its left and its up."""

    item: RoadObject
    foot_m: Vector
    axes: Axes
    boxes: tuple[PlacedBox, ...]
    patches: tuple[Patch, ...]


def place_object(item: RoadObject, vehicles: Mapping[str, PlacedVehicle], ground: Ground) -> PlacedObject:
    """Puts an object on the ground, upright, or on a vehicle, with which it leans.

    Parameters
    ----------
    item : as the document has it; what it leaves out is its kind's.
    vehicles : the placed vehicles by id.
    ground : the pavement.
    """
    kind = object_kinds()[item.kind]
    where = stand(item, vehicles, ground)
    fixed = item.of != "site" and (item.on is not None or item.up_m is not None)
    axes = upright(where.axes, item.heading_deg + (0.0 if fixed else where.heading_deg))
    size = (item.width_m or kind["width_m"], item.height_m or kind["height_m"])
    boxes: list[PlacedBox] = []
    patches: list[Patch] = []
    for part in kind["parts"]:
        covers = _covers(item, kind, part)
        front = covers["front"]
        reflectance = front[0].reflectance._replace(value=sum(one.share * one.reflectance.value for one in front))
        box = box_in(("object", item.id), part["part"], (where.foot_m, axes), _spans(part, *size), reflectance)
        boxes.append(box)
        patches += patches_of(box, covers)
    return PlacedObject(item, where.foot_m, axes, tuple(boxes), tuple(patches))


def _spans(part: Mapping[str, Any], width_m: float, height_m: float) -> list[tuple[float, float]]:
    """Forward, left and up: shares of width and height, but for what is thick in metres."""
    scaled = [(part["thick"], 1.0)] if "thick" in part else [(part["forward"], width_m)]
    scaled += [(part["left"], width_m), (part["up"], height_m)]
    return [(low * unit, high * unit) for (low, high), unit in scaled]


def _covers(item: RoadObject, kind: Mapping[str, Any], part: Mapping[str, Any]) -> dict[Side, tuple[Cover, ...]]:
    if part["paint"] == "sheeting":
        on = sheeting_covers(item.sheeting or kind["sheeting"], item.colours or tuple(kind["colours"]))
    else:
        on = (paint_cover(part["paint"]),)
    back = (paint_cover(part["back"]),) if "back" in part else on
    return {**dict.fromkeys(UPRIGHT, on), "rear": back, "top": on}
