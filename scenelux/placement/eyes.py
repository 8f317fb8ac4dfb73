"""Eyes on the site: stations along a lane, a fixed place or mirror, a person's eye; and the directions they look in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Vector, rotate
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.ground import Ground
from scenelux.placement.people import place_person
from scenelux.placement.road import Road
from scenelux.scene.model import Eye, Gaze, Lane, SceneDocument

__all__ = ["EyePath", "eye_path", "gaze_directions", "lane_road", "station_count", "stations"]

Array = NDArray[np.float64]

_SLACK = 1e-9  # steps: a path that is a whole number of steps but for rounding gets no extra station


@dataclass(frozen=True, eq=False)
class EyePath:
    """An eye's stations and gazes in the site frame.

    distances_m is (stations,) along the road from the eye to the vehicle's nearest face; points_m is (stations, 3);
    gazes maps the name of each gaze to (stations, 3) unit vectors. The height of a person's eye is that above what the
    person stands on.
    """

    eye: Eye
    lane_name: str
    direction: str
    speed_m_s: float | None
    distances_m: Array
    points_m: Array
    gazes: Mapping[str, Array]


@dataclass(frozen=True)
class _Place:
    """A fixed eye: where it is, the vehicle in whose frame it is given, and where its person faces."""

    eye: Eye
    point_m: Vector
    of: PlacedVehicle | None
    ahead: Vector | None = None


def eye_path(scene: SceneDocument, vehicles: Mapping[str, PlacedVehicle], ground: Ground, eye: Eye) -> EyePath:
    """Places an eye: an approach in its lane, or the one point at which it stays.

    Parameters
    ----------
    scene : for its lanes, its people and the posted speed.
    vehicles : the placed vehicles by id.
    ground : the pavement.
    eye : as the document has it.

    A driver in a lane of the truck's own direction comes from behind and meets the rear face; one in an opposite lane
    comes from the front and meets the front face.
    """
    vehicle = vehicles[eye.vehicle or scene.vehicles[0].id]
    lane = next((lane for lane in scene.site.lanes if lane.id == eye.lane), None)
    if lane is None:
        return _fixed(_place(scene, vehicles, ground, eye), vehicle, ground)
    assert eye.from_m is not None and eye.to_m is not None
    distances = stations(eye.from_m, eye.to_m, eye.step_m)
    road = lane_road(lane, vehicle, ground, offset_left_m=eye.offset_left_m)
    points = road.points_m(distances) + np.array([0.0, 0.0, eye.height_m])
    from_behind = road.travel > 0
    travel = road.axes(distances)[:, 0]
    gazes = gaze_directions(eye.gaze, points, travel, vehicle.face_centre_m(rear=from_behind))
    words = "from behind" if from_behind else "from the front"
    speed = eye.speed_m_s or scene.site.posted_speed_m_s
    return EyePath(eye, lane.name or lane.id, words, speed, distances, points, gazes)


def station_count(eye: Eye) -> int:
    """Stations of an eye's path, without laying it; one of an eye that stays.

    Parameters
    ----------
    eye : as the document has it.
    """
    if eye.from_m is None or eye.to_m is None:
        return 1
    return ceil((eye.from_m - eye.to_m) / eye.step_m - _SLACK) + 1


def stations(from_m: float, to_m: float, step_m: float) -> Array:
    """Distances from the far end down to the near end by the step; both ends belong to the path.

    Parameters
    ----------
    from_m, to_m, step_m : along the road [m].
    """
    steps = np.arange(ceil((from_m - to_m) / step_m - _SLACK) + 1, dtype=np.float64)
    return np.maximum(from_m - step_m * steps, to_m)


def lane_road(
    lane: Lane,
    vehicle: PlacedVehicle,
    ground: Ground,
    *,
    offset_left_m: float = 0.0,
    radius_m: float | None = None,
    profile_m: Sequence[tuple[float, float]] = (),
) -> Road:
    """A lane as it comes to a vehicle.

    Parameters
    ----------
    lane : one of the vehicle's own direction meets the rear face, an opposite one the front face.
    vehicle : with its faces.
    ground : the pavement.
    offset_left_m : of the line that is driven, left of the lane's centre, site frame [m].
    radius_m, profile_m : as in `Road`.
    """
    low, high = vehicle.reach_m()
    same = lane.direction == "same"
    end = (low if same else high, lane.centre_left_m + offset_left_m)
    return Road(ground, end, 1 if same else -1, radius_m, profile_m)


def gaze_directions(
    gazes: Sequence[Gaze],
    points_m: Array,
    travel: Array,
    face_centre_m: Vector,
    *,
    of: PlacedVehicle | None = None,
    ahead: Vector | None = None,
) -> dict[str, Array]:
    """Unit vectors (n, 3) of each gaze by its words.

    Parameters
    ----------
    gazes : as the document has them.
    points_m : (n, 3) eyes, site frame [m].
    travel : (n, 3) unit vectors along the road; "road" and "down" rise and fall with them.
    face_centre_m : what "vehicle" looks at, site frame [m].
    of : vehicle in whose frame headings and points are given; none is the site.
    ahead : where a person faces.
    """
    return {gaze.words: _directions(gaze, points_m, travel, face_centre_m, of, ahead) for gaze in gazes}


def _directions(
    gaze: Gaze, points: Array, travel: Array, face_centre: Vector, of: PlacedVehicle | None, ahead: Vector | None
) -> Array:
    if gaze.kind in ("vehicle", "point"):
        away = np.array(_target(gaze, face_centre, of)) - points
        return np.asarray(away / np.linalg.norm(away, axis=1, keepdims=True))
    if gaze.kind == "ahead":
        assert ahead is not None
        return np.tile(np.array(ahead), (len(points), 1))
    if gaze.kind == "heading":
        heading = radians(gaze.angle_deg + (0.0 if of is None else of.heading_deg))
        return np.tile(np.array((cos(heading), sin(heading), 0.0)), (len(points), 1))
    flat = np.hypot(travel[:, 0], travel[:, 1])
    tilt = np.arctan2(travel[:, 2], flat) - radians(gaze.angle_deg if gaze.kind == "down" else 0.0)
    plan = travel[:, :2] / flat[:, None]
    return np.column_stack((np.cos(tilt)[:, None] * plan, np.sin(tilt)))


def _target(gaze: Gaze, face_centre: Vector, of: PlacedVehicle | None) -> Vector:
    if gaze.point_m is None:
        return face_centre
    return gaze.point_m if of is None else of.to_site(gaze.point_m)


def _place(scene: SceneDocument, vehicles: Mapping[str, PlacedVehicle], ground: Ground, eye: Eye) -> _Place:
    if eye.person is None:
        assert eye.at_m is not None
        of = vehicles.get(eye.of or "")
        return _Place(eye, eye.at_m if of is None else of.to_site(eye.at_m), of)
    person = next(person for person in scene.people if person.id == eye.person)
    placed = place_person(person, vehicles, ground)
    known = eye.model_copy(update={"height_m": placed.eye_height_m})
    return _Place(known, placed.eye_m, vehicles.get(person.of), rotate(placed.axes, (1.0, 0.0, 0.0)))


def _fixed(place: _Place, vehicle: PlacedVehicle, ground: Ground) -> EyePath:
    """The path of an eye that stays; "road" looks along the road, towards the vehicle."""
    points = np.array([place.point_m], dtype=np.float64)
    rear = bool(points[0, 0] < vehicle.face_centre_m(rear=True)[0])
    near = np.abs(points[:, 0] - vehicle.reach_m()[0 if rear else 1])
    travel = Road(ground, (0.0, 0.0), 1 if rear else -1).axes(np.zeros(1))[:, 0]
    gazes = gaze_directions(place.eye.gaze, points, travel, vehicle.face_centre_m(rear), of=place.of, ahead=place.ahead)
    return EyePath(place.eye, "", "", None, near, points, gazes)
