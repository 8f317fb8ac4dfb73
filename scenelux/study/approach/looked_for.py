"""Who and what is looked for along an approach: where each is, and when the driver may see it at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Vector
from scenelux.placement import ApproachPath, PlacedScene
from scenelux.scene.model import Person

__all__ = ["Target", "targets_of"]

Flags = NDArray[np.bool_]

AHEAD = 1.0
"""A target is ahead while it is no farther aside than this many times the way to it: 45 deg."""

LEAST_EYE_M = 0.3
"""An eye nearer to the ground of the site than this, or below it, as in a dip of the road, sees no picture of it."""


@dataclass(frozen=True, eq=False)
class Target:
    """Who or what is looked for, where its middle is, and when it is ahead, behind a rise, or cannot be pictured."""

    target_id: str
    name: str
    kind: Literal["person", "object"]
    says: str
    middle_m: Vector
    ahead: Flags
    behind_rise: Flags
    no_picture: Flags

    @property
    def drawn(self) -> Flags:
        """Where a picture of it is made; a body may still hide it there."""
        return self.ahead & ~self.behind_rise & ~self.no_picture


def targets_of(placed: PlacedScene, path: ApproachPath) -> list[Target]:
    """People and objects that an approach looks for, people first.

    Parameters
    ----------
    placed : the scene on its site.
    path : the driver's way.
    """
    people = [(one.id, one.name, "person", _says(one)) for one in placed.scene.people if one.id in path.people]
    objects = [(one.id, one.name, "object", one.kind) for one in placed.scene.objects if one.id in path.objects]
    return [_target(placed, path, *one) for one in (*people, *objects)]


def _says(person: Person) -> str:
    worn = person.clothing if isinstance(person.clothing, str) else f"clothing of reflectance {person.clothing:g}"
    return f"{person.pose}, {worn}, {'no vest' if person.vest == 'none' else f'vest {person.vest}'}"


def _target(placed: PlacedScene, path: ApproachPath, target_id: str, name: str, kind: str, says: str) -> Target:
    middle = _middle_m(placed, target_id)
    way = np.array(middle) - path.points_m
    depth = np.einsum("ij,ij->i", way, path.travel)
    aside = np.linalg.norm(way - depth[:, None] * path.travel, axis=1)
    above = path.points_m[:, 2] - placed.ground.heights_m(path.points_m[:, 0], path.points_m[:, 1])
    return Target(
        target_id,
        name or target_id,
        "person" if kind == "person" else "object",
        says,
        middle,
        ahead=depth * AHEAD > aside,
        behind_rise=path.hidden(middle),
        no_picture=above < LEAST_EYE_M,
    )


def _middle_m(placed: PlacedScene, target_id: str) -> Vector:
    """Middle of what encloses all boxes of a target."""
    signs = np.array([(a, b, c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)], np.float64)
    boxes = [box for box in placed.boxes if box.owner != "vehicle" and box.owner_id == target_id]
    corners = np.concatenate([np.array(b.centre_m) + (signs * np.array(b.half_m)) @ np.array(b.axes) for b in boxes])
    middle = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    return (float(middle[0]), float(middle[1]), float(middle[2]))
