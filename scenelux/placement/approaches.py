"""Approaches on the site: where the driver's eye is at every station, when, and what the own headlamps shine on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import ceil, isnan, pi

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Lamps
from scenelux.errors import LimitError
from scenelux.geometry import Vector, aim_axes
from scenelux.placement.eyes import gaze_directions, lane_road, stations
from scenelux.placement.lamps import PlacedLamp, engine_lamps
from scenelux.placement.luminaires import LuminaireData
from scenelux.placement.placed import PlacedScene
from scenelux.placement.road import Road
from scenelux.scene.approaches import LEAST_START_M
from scenelux.scene.model import Approach, Headlamps, SceneDocument
from scenelux.scene.sizes import MOST_STATIONS
from scenelux.units import FOOT_M, KM_H_M_S, MPH_M_S
from scenelux.vision import stopping_sight_distance_ft, stopping_sight_distance_m

__all__ = ["ApproachPath", "PlacedHeadlamps", "approach_path", "approach_start_m"]

Array = NDArray[np.float64]

ASIDE_M = 0.35
"""How far the middle of the headlamps is from the driver's eye, on the side of the passenger; a chosen default."""


@dataclass(frozen=True, eq=False)
class PlacedHeadlamps:
    """The approaching vehicle's headlamps at every station, left one first; initial light.

    Parameters
    ----------
    luminaire : both alike.
    lamps : as the engine takes them, at the first station.
    position_m : (stations, 2, 3), site frame [m].
    axes, opening_axes : (stations, 2, 3, 3), as in `Lamps`.
    """

    luminaire: LuminaireData
    lamps: Lamps
    position_m: Array
    axes: Array
    opening_axes: Array

    def at(self, station: int) -> Lamps:
        """The lamps at a station; their tables are shared."""
        return replace(
            self.lamps,
            position_m=self.position_m[station],
            axes=self.axes[station],
            opening_axes=self.opening_axes[station],
        )


@dataclass(frozen=True, eq=False)
class ApproachPath:
    """A driver's way to a vehicle.

    Parameters
    ----------
    approach : as the document has it.
    lane_name, direction : in words; "from behind" meets the rear face.
    vehicle_id : which vehicle it comes to.
    speed_m_s : of the driver [m/s].
    stopping_distance_m : for that speed and the steepest fall of the road; nan where brakes would not hold [m].
    road : the lane.
    distances_m : (stations,) along the road from the eye to the vehicle's nearest face, the farthest first [m].
    times_s : (stations,) since the first station [s].
    points_m : (stations, 3) eyes, site frame [m].
    axes : (stations, 3, 3) rows forward, left and up of the approaching vehicle; forward is where it drives.
    gazes : words -> (stations, 3) unit vectors.
    headlamps : none where the document wants none.
    people, objects : ids of those that are looked for.
    states, lights : in which it is computed.
    """

    approach: Approach
    lane_name: str
    direction: str
    vehicle_id: str
    speed_m_s: float
    stopping_distance_m: float
    road: Road
    distances_m: Array
    times_s: Array
    points_m: Array
    axes: Array
    gazes: Mapping[str, Array]
    headlamps: PlacedHeadlamps | None
    people: tuple[str, ...]
    objects: tuple[str, ...]
    states: tuple[str, ...]
    lights: tuple[str, ...]

    @property
    def travel(self) -> Array:
        """Directions in which it drives, (stations, 3) unit vectors."""
        return self.axes[:, 0]

    def hidden(self, target_m: Vector) -> NDArray[np.bool_]:
        """Whether a rise of the road hides a place of the site from the driver, (stations,)."""
        return self.road.hides(self.points_m, self.distances_m, target_m)


def approach_path(placed: PlacedScene, approach: Approach) -> ApproachPath:
    """Lays an approach: its stations, when they are reached, and the headlamps there.

    Parameters
    ----------
    placed : the scene on its site.
    approach : one of the scene's.

    Without a start of its own it begins at twice the stopping sight distance, at 300 m at least, rounded up to whole
    steps before its end, and within half a circle of a curve. Distances count along the lane, in plan.
    """
    scene = placed.scene
    road, speed = _road(placed, approach), _speed_m_s(scene, approach)
    stopping = _stopping_m(scene, approach, road, speed)
    start = approach_start_m(approach, stopping)
    _check_stations(scene, approach, start)
    distances = stations(start, approach.to_m, approach.step_m)
    points = road.points_m(distances) + np.array([0.0, 0.0, approach.eye_height_m])
    axes = road.axes(distances)
    vehicle = _vehicle_id(scene, approach)
    face = placed.vehicles[vehicle].face_centre_m(rear=road.travel > 0)
    lane = next(lane for lane in scene.site.lanes if lane.id == approach.lane)
    return ApproachPath(
        approach=approach,
        lane_name=lane.name or lane.id,
        direction="from behind" if road.travel > 0 else "from the front",
        vehicle_id=vehicle,
        speed_m_s=speed,
        stopping_distance_m=stopping,
        road=road,
        distances_m=distances,
        times_s=(distances[0] - distances) / speed,
        points_m=points,
        axes=axes,
        gazes=gaze_directions(approach.gaze, points, axes[:, 0], face),
        headlamps=None
        if approach.headlamps is None
        else _headlamps(placed, approach, approach.headlamps, points, axes),
        people=tuple(person.id for person in scene.people if approach.people is None or person.id in approach.people),
        objects=tuple(item.id for item in scene.objects if approach.objects is None or item.id in approach.objects),
        states=approach.states or tuple(scene.states),
        lights=approach.light or tuple(scene.light),
    )


def approach_start_m(approach: Approach, stopping_distance_m: float) -> float:
    """Distance at which an approach begins [m].

    Parameters
    ----------
    approach : its own start counts where it states one.
    stopping_distance_m : nan counts for nothing [m].
    """
    if approach.from_m is not None:
        return approach.from_m
    least = LEAST_START_M if isnan(stopping_distance_m) else max(LEAST_START_M, 2.0 * stopping_distance_m)
    whole = approach.to_m + ceil((least - approach.to_m) / approach.step_m - 1e-9) * approach.step_m
    return whole if approach.radius_m is None else min(whole, pi * abs(approach.radius_m))


def _vehicle_id(scene: SceneDocument, approach: Approach) -> str:
    return approach.vehicle or scene.vehicles[0].id


def _road(placed: PlacedScene, approach: Approach) -> Road:
    lane = next(lane for lane in placed.scene.site.lanes if lane.id == approach.lane)
    vehicle = placed.vehicles[_vehicle_id(placed.scene, approach)]
    return lane_road(lane, vehicle, placed.ground, radius_m=approach.radius_m, profile_m=approach.profile_m or ())


def _speed_m_s(scene: SceneDocument, approach: Approach) -> float:
    speed = approach.speed_m_s or scene.site.posted_speed_m_s
    assert speed is not None, "reading a scene refuses an approach without speed"
    return speed


def _stopping_m(scene: SceneDocument, approach: Approach, road: Road, speed_m_s: float) -> float:
    """By the formula of the system of units in which the scene is written."""
    grade, reaction = road.steepest_fall(), approach.reaction_time_s
    if scene.units == "us":
        return FOOT_M * float(stopping_sight_distance_ft(speed_m_s / MPH_M_S, grade=grade, reaction_s=reaction))
    return float(stopping_sight_distance_m(speed_m_s / KM_H_M_S, grade=grade, reaction_s=reaction))


def _check_stations(scene: SceneDocument, approach: Approach, start_m: float) -> None:
    if (start_m - approach.to_m) / approach.step_m > MOST_STATIONS:
        key = f"approaches[{[one.id for one in scene.approaches].index(approach.id)}].step"
        error = LimitError(f"would make more than {MOST_STATIONS:,} stations", accepted="give a larger step")
        raise scene.locate(error, key)


def _headlamps(
    placed: PlacedScene, approach: Approach, written: Headlamps, eyes_m: Array, axes: Array
) -> PlacedHeadlamps:
    """Both lamps move with the vehicle, which lies on the road where the eye is."""
    luminaire = placed.luminaires[written.luminaire]
    passenger = -1.0 if placed.scene.site.traffic_side == "right" else 1.0
    middle = written.left_of_eye_m if written.left_of_eye_m is not None else passenger * ASIDE_M
    half = 0.5 * written.spacing_m
    feet = eyes_m - np.array([0.0, 0.0, approach.eye_height_m])
    local = np.array([(written.ahead_of_eye_m, middle + side * half, written.height_m) for side in (1.0, -1.0)])
    position = feet[:, None, :] + local @ axes
    hung = np.array(aim_axes(0.0, written.tilt_deg)) @ axes
    lamps = engine_lamps([_first(luminaire, name, at, hung[0]) for name, at in zip(NAMES, position[0], strict=True)])
    return PlacedHeadlamps(
        luminaire,
        lamps,
        _shared(position),
        _shared(_both(luminaire.table.axes @ hung)),
        _shared(_both(luminaire.opening_axes @ hung)),
    )


NAMES = ("headlamp-left", "headlamp-right")


def _first(luminaire: LuminaireData, name: str, position_m: Array, axes: Array) -> PlacedLamp:
    """One of the headlamps at the first station; only its luminaire, place and axes count."""
    place, rows = tuple(position_m.tolist()), tuple(tuple(row) for row in axes.tolist())
    return PlacedLamp(name, "", "", luminaire, 1.0, 0.0, 0.0, place, rows)  # type: ignore[arg-type]


def _both(axes: Array) -> Array:
    return np.repeat(axes[:, None], len(NAMES), axis=1)


def _shared(array: Array) -> Array:
    """Read-only and in one block, as kernels take arrays."""
    block = np.ascontiguousarray(array, dtype=np.float64)
    block.flags.writeable = False
    return block
