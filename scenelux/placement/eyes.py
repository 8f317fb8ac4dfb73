"""Eyes on the site: stations along a lane or one fixed place, and the directions they look in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan, ceil, cos, degrees, radians, sin

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Vector
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.ground import Ground
from scenelux.scene.model import Eye, Gaze, Lane, SceneDocument

__all__ = ["EyePath", "eye_path", "station_count"]

Array = NDArray[np.float64]

_SLACK = 1e-9  # steps: a path that is a whole number of steps but for rounding gets no extra station


@dataclass(frozen=True, eq=False)
class EyePath:
    """An eye's stations and gazes in the site frame.

    distances_m is (stations,) along the road from the eye to the vehicle's nearest face; points_m is (stations, 3);
    gazes maps the name of each gaze to (stations, 3) unit vectors.
    """

    eye: Eye
    lane_name: str
    direction: str
    speed_m_s: float | None
    distances_m: Array
    points_m: Array
    gazes: Mapping[str, Array]


def eye_path(scene: SceneDocument, vehicles: Mapping[str, PlacedVehicle], ground: Ground, eye: Eye) -> EyePath:
    """Places an eye: an approach in its lane, or the one point at which it stays.

    Parameters
    ----------
    scene : for its lanes and the posted speed.
    vehicles : the placed vehicles by id.
    ground : the pavement.
    eye : as the document has it.

    A driver in a lane of the truck's own direction comes from behind and meets the rear face; one in an opposite lane
    comes from the front and meets the front face.
    """
    vehicle = vehicles[eye.vehicle or scene.vehicles[0].id]
    lane = next((lane for lane in scene.site.lanes if lane.id == eye.lane), None)
    if lane is None:
        points = np.array([eye.at_m], dtype=np.float64)
        rear = bool(points[0, 0] < vehicle.face_centre_m(rear=True)[0])
        forward = (1.0, 0.0) if rear else (-1.0, 0.0)  # "road" looks along the road, towards the vehicle
        near = np.abs(points[:, 0] - vehicle.reach_m()[0 if rear else 1])
        gazes = _gazes(eye, points, forward, vehicle.face_centre_m(rear), ground)
        return EyePath(eye, "", "", None, near, points, gazes)
    distances = _stations(eye)
    points, from_behind = _approach(eye, lane, vehicle, ground, distances)
    forward = (1.0, 0.0) if from_behind else (-1.0, 0.0)
    gazes = _gazes(eye, points, forward, vehicle.face_centre_m(rear=from_behind), ground)
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


def _stations(eye: Eye) -> Array:
    """Distances from the far end down to the near end by the step; both ends belong to the path."""
    assert eye.from_m is not None and eye.to_m is not None
    steps = np.arange(station_count(eye), dtype=np.float64)
    return np.maximum(eye.from_m - eye.step_m * steps, eye.to_m)


def _approach(eye: Eye, lane: Lane, vehicle: PlacedVehicle, ground: Ground, distances: Array) -> tuple[Array, bool]:
    low, high = vehicle.reach_m()
    from_behind = lane.direction == "same"
    along = low - distances if from_behind else high + distances
    left = np.full_like(along, lane.centre_left_m + eye.offset_left_m)
    up = ground.heights_m(along, left) + eye.height_m
    return np.stack((along, left, up), axis=1), from_behind


def _gazes(
    eye: Eye, points: Array, forward: tuple[float, float], face_centre: Vector, ground: Ground
) -> dict[str, Array]:
    return {gaze.words: _directions(gaze, points, forward, face_centre, ground) for gaze in eye.gaze}


def _directions(gaze: Gaze, points: Array, forward: tuple[float, float], face_centre: Vector, ground: Ground) -> Array:
    """Unit vectors of a gaze at each station; along the road it rises and falls with the grade."""
    if gaze.kind in ("vehicle", "point"):
        away = np.array(gaze.point_m if gaze.point_m is not None else face_centre) - points
        return np.asarray(away / np.linalg.norm(away, axis=1, keepdims=True))
    if gaze.kind == "heading":
        direction = (cos(radians(gaze.angle_deg)), sin(radians(gaze.angle_deg)), 0.0)
    else:
        slope = degrees(atan(ground.height_m(*forward)))
        tilt = radians(slope - (gaze.angle_deg if gaze.kind == "down" else 0.0))
        direction = (cos(tilt) * forward[0], cos(tilt) * forward[1], sin(tilt))
    return np.tile(np.array(direction), (len(points), 1))
