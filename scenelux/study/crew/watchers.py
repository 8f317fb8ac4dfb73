"""Who of the crew looks, from where, and which way: people, and eyes that stay at a place such as a mirror."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import cos, hypot, radians, sin, tan

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Vector, rotate
from scenelux.placement import EyePath, PlacedPerson, PlacedScene, PlacedVehicle, eye_path
from scenelux.scene.model import Eye
from scenelux.vision.rating import RATING_DOWN_DEG

__all__ = ["Watcher", "looks_on", "near_face_m", "watchers"]

Array = NDArray[np.float64]

_USUAL = Eye.model_fields  # a person of whose eyes the document says nothing sees as an eye of which it says no more


@dataclass(frozen=True, eq=False)
class Watcher:
    """An eye of the crew.

    Parameters
    ----------
    eye_id, name : as the document calls the eye, else the person.
    person_id : whose eye it is; empty for a place.
    vehicle : in whose frame headings count; None is the site.
    eye_m, height_m : site frame; above what the person stands on, or above the ground [m].
    age_years, pigmentation : of the observer.
    gazes : unit vectors by their words.
    """

    eye_id: str
    name: str
    person_id: str
    vehicle: PlacedVehicle | None
    eye_m: Vector
    height_m: float
    age_years: float
    pigmentation: float
    gazes: Mapping[str, Vector]


def watchers(placed: PlacedScene) -> Iterator[Watcher]:
    """Every eye of the document that stays, then every person to whom it gives no eye.

    Parameters
    ----------
    placed : the scene on its site.

    To its own lines of sight comes the one towards the vehicle: that in whose frame it is given, else the nearest.
    """
    scene, theirs = placed.scene, set()
    for eye in scene.eyes:
        if eye.lane is None:
            theirs.add(eye.person)
            yield _of_eye(placed, eye_path(scene, placed.vehicles, placed.ground, eye))
    for one in placed.people:
        if one.person.id not in theirs:
            yield _of_person(placed, one)


def looks_on(placed: PlacedScene) -> bool:
    """Whether anybody of the crew looks at all."""
    return bool(placed.people) or any(eye.lane is None for eye in placed.scene.eyes)


def _of_eye(placed: PlacedScene, path: EyePath) -> Watcher:
    eye, point = path.eye, _vector(path.points_m[0])
    person = next((one for one in placed.people if one.person.id == eye.person), None)
    of = (person.person.of if person else eye.of) or ""
    gazes = {words: _vector(directions[0]) for words, directions in path.gazes.items()}
    return Watcher(
        eye_id=eye.id,
        name=eye.name or (person.person.name if person else "") or eye.id,
        person_id=eye.person or "",
        vehicle=placed.vehicles.get(of),
        eye_m=point,
        height_m=eye.height_m if person else point[2] - placed.ground.height_m(*point[:2]),
        age_years=eye.age_years,
        pigmentation=eye.pigmentation,
        gazes={**gazes, **_towards(placed, point, placed.vehicles.get(eye.vehicle or of))},
    )


def _of_person(placed: PlacedScene, one: PlacedPerson) -> Watcher:
    vehicle = placed.vehicles.get(one.person.of)
    return Watcher(
        eye_id=one.person.id,
        name=one.person.name or one.person.id,
        person_id=one.person.id,
        vehicle=vehicle,
        eye_m=one.eye_m,
        height_m=one.eye_height_m,
        age_years=_USUAL["age_years"].default,
        pigmentation=_USUAL["pigmentation"].default,
        gazes={"ahead": rotate(one.axes, (1.0, 0.0, 0.0)), **_towards(placed, one.eye_m, vehicle)},
    )


def _towards(placed: PlacedScene, eye_m: Vector, vehicle: PlacedVehicle | None) -> dict[str, Vector]:
    """The line of sight towards a vehicle, at the middle of its near face but never higher than the rating's views."""
    if vehicle is None:
        vehicle = min(placed.vehicles.values(), key=lambda one: hypot(*_minus(near_face_m(one, eye_m), eye_m)))
    away = _minus(near_face_m(vehicle, eye_m), eye_m)
    flat = hypot(away[0], away[1])
    gaze = (away[0], away[1], min(away[2], -flat * tan(radians(RATING_DOWN_DEG))))
    length = hypot(*gaze)
    if length == 0.0:
        return {}
    return {f"towards {vehicle.vehicle_id}": (gaze[0] / length, gaze[1] / length, gaze[2] / length)}


def near_face_m(vehicle: PlacedVehicle, point_m: Vector) -> Vector:
    """Middle of the side of a vehicle that is nearest to a point, of its whole box for one above it; site frame [m].

    Parameters
    ----------
    vehicle : with its low bodies, around which the box is laid along its heading.
    point_m : site frame [m].
    """
    corners = np.concatenate([body.corners_m() for body in vehicle.low_bodies] or [np.array([vehicle.origin_m])])
    plan = vehicle.plan_m(corners)
    low, high, here = plan.min(axis=0), plan.max(axis=0), vehicle.plan_m(np.array([point_m]))[0]
    outside = np.concatenate((low - here, here - high))  # behind, right of it, before, left of it
    side, target = int(outside.argmax()), 0.5 * (low + high)
    if outside[side] > 0.0:
        target[side % 2] = (low, high)[side // 2][side % 2]
    turn, (forward, left) = radians(vehicle.heading_deg), target.tolist()
    return (
        vehicle.origin_m[0] + forward * cos(turn) - left * sin(turn),
        vehicle.origin_m[1] + forward * sin(turn) + left * cos(turn),
        0.5 * float(corners[:, 2].min() + corners[:, 2].max()),
    )


def _vector(point: Array) -> Vector:
    along, left, up = point.tolist()
    return (along, left, up)


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])
