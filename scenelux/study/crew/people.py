"""Light on placed people: vertical illuminance of face, torso and feet on each side, with everybody's shadows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isnan
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, covered, receivers
from scenelux.geometry import Vector
from scenelux.placement import Patch, PlacedPerson, PlacedScene
from scenelux.scene.model import Person
from scenelux.study.levels import light_of
from scenelux.study.results.crew import PersonEntry, PersonLight, PersonSide

__all__ = ["FEET_UP_M", "light_people", "says_of"]

Array = NDArray[np.float64]
Levels = Mapping[tuple[str, str], Array]

FEET_UP_M = 0.2
"""So far up from the ground the feet reach; a choice of this program."""

_PER_EDGE = 3  # points across and up on a side, whose mean counts: an edge of a shadow may cross it
_SIDES: tuple[Literal["front", "rear", "left", "right"], ...] = ("front", "rear", "left", "right")


@dataclass(frozen=True, eq=False)
class _Face:
    """One side of a part of a person: points, (n, 3), and the way it faces."""

    side: PersonSide
    points_m: Array
    normal: Vector


def light_people(placed: PlacedScene, levels: Levels, store: Contributions) -> tuple[PersonLight, ...]:
    """Maintained vertical illuminance on the sides of every person, in every duty state at every light level.

    Parameters
    ----------
    placed : the scene on its site; all people, objects and bodies stand in the light.
    levels : (state, light) -> (lamps,) level of each lamp.
    store : what single lamps give, where it is known already.

    The mean over a side counts; a side that lies inside another body is nan.
    """
    faces = [list(_faces(one)) for one in placed.people]
    flat = [face for own in faces for face in own]
    if not flat:
        return ()
    points = np.concatenate([face.points_m for face in flat])
    normals = np.concatenate([np.tile(np.array(face.normal), (len(face.points_m), 1)) for face in flat])
    boxes = placed.blockers_with_people
    lux = store.by_lamp(placed.lamps, boxes, receivers(points, normals))
    lux[:, covered(boxes, points, points[:, 2], headroom_m=0.0)] = np.nan
    ends = np.cumsum([len(face.points_m) for face in flat])[:-1]
    by_side = np.stack([part.mean(axis=1) for part in np.split(lux, ends, axis=1)], axis=1)
    first = np.cumsum([0, *(len(own) for own in faces)])
    return tuple(
        _person(placed, one, own, by_side[:, start : start + len(own)], levels)
        for one, own, start in zip(placed.people, faces, first.tolist(), strict=False)
    )


def _faces(one: PlacedPerson) -> Iterator[_Face]:
    """Face, torso and feet; feet are the lowest part of the legs, outermost to left and right."""
    patches = {(patch.part, patch.side): patch for patch in one.patches}
    yield _face(PersonSide("face", "front"), [patches["head", "front"]])
    for side in _SIDES:
        yield _face(PersonSide("torso", side), [patches["torso", side]])
    legs = [part for part, side in patches if side == "front" and "leg" in part]
    for side in _SIDES:
        outer = [part for part in legs if side in part] or legs
        yield _face(PersonSide("feet", side), [patches[part, side] for part in outer], FEET_UP_M)


def _face(side: PersonSide, patches: Sequence[Patch], reach_m: float | None = None) -> _Face:
    """Points spread over patches, or over their lowest part."""
    share = (np.arange(_PER_EDGE) + 0.5) / _PER_EDGE
    found = []
    for patch in patches:
        wide, high = patch.size_m
        up = share * min(reach_m or high, high) - 0.5 * high
        across, upward = np.meshgrid((share - 0.5) * wide, up, indexing="ij")
        found.append(
            np.array(patch.centre_m)
            + across.reshape(-1, 1) * np.array(patch.across)
            + upward.reshape(-1, 1) * np.array(patch.up)
        )
    return _Face(side, np.concatenate(found), patches[0].normal)


def _person(
    placed: PlacedScene, one: PlacedPerson, faces: Sequence[_Face], by_side: Array, levels: Levels
) -> PersonLight:
    entries = []
    for (state, light), level in levels.items():
        lux = tuple(light_of(level * placed.loss_factors, by_side).tolist())
        entries.append(PersonEntry(state, light, lux, _notes(faces, lux)))
    return PersonLight(
        person_id=one.person.id,
        name=one.person.name or one.person.id,
        says=says_of(one.person),
        position_m=one.foot_m,
        sides=tuple(face.side for face in faces),
        entries=tuple(entries),
    )


def _notes(faces: Sequence[_Face], lux: Sequence[float]) -> tuple[str, ...]:
    missing = [f"{face.side.part} {face.side.side}" for face, value in zip(faces, lux, strict=True) if isnan(value)]
    if not missing:
        return ()
    return (f"inside a body, or a lamp that is on is too near for its opening, no value: {', '.join(missing)}",)


def says_of(person: Person) -> str:
    """What a person does and wears, in words.

    Example
    -------
    >>> says_of(Person(id="anna", position=(0.0, 0.0), vest="class 2"))
    'standing, dark coat or denim, vest class 2'
    """
    worn = person.clothing if isinstance(person.clothing, str) else f"clothing of reflectance {person.clothing:g}"
    return f"{person.pose}, {worn}, {'no vest' if person.vest == 'none' else f'vest {person.vest}'}"
