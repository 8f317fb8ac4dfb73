"""People on the site: a few boxes by pose, what is seen of them, and where their own eyes are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from scenelux.geometry import Axes, Vector, attitude_axes, rotate
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.boxes import UPRIGHT, Patch, PlacedBox, Side, box_in, patches_of, stand
from scenelux.placement.ground import Ground
from scenelux.placement.materials import (
    Cover,
    Share,
    clothing_cover,
    people_table,
    vest_areas_m2,
    vest_covers,
)
from scenelux.scene.model import Person

__all__ = ["PlacedPerson", "place_person"]

Spans = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
Covers = tuple[Cover, ...]


@dataclass(frozen=True, eq=False)
class PlacedPerson:
    """A person in the site frame, upright against gravity.

    Parameters
    ----------
    person : as the document has it.
    foot_m : middle between the feet [m].
    axes : forward is where the person faces.
    boxes, patches : what stands in the light, and what is seen.
    eye_m : between the eyes, just before the head [m].
    eye_height_m : of the eyes above what the person stands on [m].
    """

    person: Person
    foot_m: Vector
    axes: Axes
    boxes: tuple[PlacedBox, ...]
    patches: tuple[Patch, ...]
    eye_m: Vector
    eye_height_m: float


def place_person(person: Person, vehicles: Mapping[str, PlacedVehicle], ground: Ground) -> PlacedPerson:
    """Puts a person on the ground, on a body or at a height.

    Parameters
    ----------
    person : as the document has it.
    vehicles : the placed vehicles by id.
    ground : the pavement.

    Source
    ------
    Proportions of shared/people.toml; areas of vests of shared/retroreflection.toml.
    """
    where = stand(person, vehicles, ground)
    axes = attitude_axes(where.heading_deg + person.heading_deg)
    pose = people_table()["poses"][person.pose]
    parts: list[dict[str, Any]] = pose["parts"]
    worn = _worn(person, parts)
    boxes: list[PlacedBox] = []
    patches: list[Patch] = []
    for part in parts:
        sides = worn[part["part"]]
        box = box_in(
            ("person", person.id), part["part"], (where.foot_m, axes), _spans(part, person.height_m), _mean(sides)
        )
        boxes.append(box)
        patches += patches_of(box, sides)
    eye_up = pose["eye"]["up"] * person.height_m
    away = rotate(axes, (pose["eye"]["forward"] * person.height_m, 0.0, eye_up))
    eye = (where.foot_m[0] + away[0], where.foot_m[1] + away[1], where.foot_m[2] + away[2])
    return PlacedPerson(person, where.foot_m, axes, tuple(boxes), tuple(patches), eye, eye_up)


def _spans(part: Mapping[str, Any], height_m: float) -> Spans:
    return tuple((part[key][0] * height_m, part[key][1] * height_m) for key in ("forward", "left", "up"))  # type: ignore[return-value]


def _worn(person: Person, parts: Sequence[Mapping[str, Any]]) -> dict[str, dict[Side, Covers]]:
    """Part -> side -> what covers it. A vest lies on the upright sides of the torso, what is left over on the legs."""
    shares = _vest_shares(person, parts)
    clothing, head = clothing_cover(person.clothing), people_table()["head"]
    bare = Cover("bare", "head", 1.0, Share(head["reflectance"], head["status"], head["source"]))
    found: dict[str, dict[Side, Covers]] = {}
    for part in parts:
        under = bare if part["wears"] == "nothing" else clothing
        vest = vest_covers(*shares[part["wears"]])
        left_over = 1.0 - sum(cover.share for cover in vest)
        seen = (replace(under, share=left_over), *vest) if left_over > 0.0 else vest
        found[part["part"]] = {**dict.fromkeys(UPRIGHT, seen), "top": (under,)}
    return found


def _vest_shares(person: Person, parts: Sequence[Mapping[str, Any]]) -> dict[str, tuple[float, float]]:
    """What a part wears -> shares of its upright sides that are fluorescent and retroreflective."""
    areas = vest_areas_m2(person.vest)
    rest = sum(areas)
    found = {"nothing": (0.0, 0.0)}
    for wears in ("vest", "clothing"):
        room = sum(_around_m2(_spans(part, person.height_m)) for part in parts if part["wears"] == wears)
        covered = min(1.0, rest / room)
        rest = rest - room if covered == 1.0 else 0.0  # exactly nothing, where all had room
        found[wears] = tuple(covered * area / sum(areas) if area else 0.0 for area in areas)  # type: ignore[assignment]
    return found


def _around_m2(spans: Spans) -> float:
    deep, wide, high = (end - start for start, end in spans)
    return 2.0 * (deep + wide) * high


def _mean(sides: Mapping[Side, Covers]) -> Share:
    """How a part reflects on the whole: as its front does."""
    front = sides["front"]
    least = max(front, key=lambda cover: cover.share).reflectance
    return least._replace(value=sum(cover.share * cover.reflectance.value for cover in front))
