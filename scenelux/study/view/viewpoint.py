"""Where a picture is taken from: a station of an approach, or an eye of the scene."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Camera, Lamps
from scenelux.errors import UsageError
from scenelux.placement import ApproachPath, PlacedHeadlamps, PlacedScene, Road, approach_path, eye_path
from scenelux.scene.model import Approach, Eye, SceneDocument
from scenelux.scene.words import near

__all__ = ["WIDE_DEG", "ZOOM_DEG", "Viewpoint", "chosen_eye", "viewpoint"]

Array = NDArray[np.float64]

WIDE_DEG, ZOOM_DEG = 40.0, 10.0
"""Fields of the two pictures, across."""

DEFAULT_LEVEL = 7.0
"""Visibility level from which a target counts as visible where an approach states none: its own default."""


@dataclass(frozen=True, eq=False)
class Viewpoint:
    """An eye at one station.

    Parameters
    ----------
    eye_id, words, gaze : in words.
    eye_m, ahead, line_of_sight : (3,), place, and unit vectors along the road and along the gaze.
    target_m : (3,), middle of the near face of the vehicle.
    distance_m : along the road to that face [m].
    height_m : above the road [m].
    headlamps, headlamp_words, road : of the vehicle in which the eye is; none where it has none.
    pigmentation, visible_level : of the approach or the eye.
    people, objects : ids of those that are looked for.
    """

    eye_id: str
    words: str
    gaze: str
    eye_m: Array
    ahead: Array
    line_of_sight: Array
    target_m: Array
    distance_m: float
    height_m: float
    headlamps: Lamps | None
    headlamp_words: str
    road: Road | None
    pigmentation: float
    visible_level: float
    people: tuple[str, ...]
    objects: tuple[str, ...]

    def wide(self, width_px: int, height_px: int) -> Camera:
        """A picture along the road, upright."""
        return Camera.towards(self.eye_m, self.eye_m + self.ahead, width_px, height_px, field_deg=WIDE_DEG)

    def zoom(self, width_px: int, height_px: int) -> Camera:
        """A picture of the vehicle, as through a field of 10 deg."""
        return Camera.towards(self.eye_m, self.target_m, width_px, height_px, field_deg=ZOOM_DEG)


def chosen_eye(scene: SceneDocument, approach: str = "", eye: str = "") -> Approach | Eye:
    """The approach or the eye of a scene that is asked for; its first approach, else its first eye.

    Parameters
    ----------
    scene : as read.
    approach, eye : ids; at most one of them.
    """
    if approach and eye:
        raise UsageError("are asked for together", key="--approach and --eye", accepted="give one of them")
    known: tuple[Approach | Eye, ...] = (*scene.approaches, *scene.eyes)
    if not known:
        raise UsageError("has no approach and no eye", value=scene.name, accepted="add an [[approaches]] with a lane")
    if not (approach or eye):
        return known[0]
    key, kind = ("--approach", Approach) if approach else ("--eye", Eye)
    asked, ids = approach or eye, {one.id: one for one in known if isinstance(one, kind)}
    if asked not in ids:
        accepted = near(asked, list(ids)) if ids else "it has none"
        raise UsageError(f"is not an {key[2:]} of this scene", key=key, value=asked, accepted=accepted)
    return ids[asked]


def viewpoint(placed: PlacedScene, looker: Approach | Eye, distance_m: float) -> Viewpoint:
    """An eye of a placed scene at the station nearest to a distance.

    Parameters
    ----------
    placed : the scene on its site.
    looker : as the document has it.
    distance_m : along the road to the vehicle; of no account for an eye that stays.
    """
    return _driver(placed, looker, distance_m) if isinstance(looker, Approach) else _eye(placed, looker, distance_m)


def _driver(placed: PlacedScene, approach: Approach, distance_m: float) -> Viewpoint:
    path: ApproachPath = approach_path(placed, approach)
    at = _nearest(path.distances_m, distance_m)
    gaze = next(iter(path.gazes))
    face = placed.vehicles[path.vehicle_id].face_centre_m(rear=path.road.travel > 0)
    lamps = path.headlamps
    return Viewpoint(
        eye_id=approach.id,
        words=_words(approach.name or approach.id, path.direction),
        gaze=gaze,
        eye_m=path.points_m[at],
        ahead=path.axes[at, 0],
        line_of_sight=path.gazes[gaze][at],
        target_m=np.array(face),
        distance_m=float(path.distances_m[at]),
        height_m=approach.eye_height_m,
        headlamps=None if lamps is None else lamps.at(at),
        headlamp_words="no own headlamps" if lamps is None else _headlamp_words(lamps),
        road=path.road,
        pigmentation=approach.pigmentation,
        visible_level=approach.visibility_level,
        people=path.people,
        objects=path.objects,
    )


def _eye(placed: PlacedScene, eye: Eye, distance_m: float) -> Viewpoint:
    path = eye_path(placed.scene, placed.vehicles, placed.ground, eye)
    at = _nearest(path.distances_m, distance_m)
    gaze = next(iter(path.gazes))
    vehicle = placed.vehicles[eye.vehicle or placed.scene.vehicles[0].id]
    line = path.gazes[gaze][at]
    behind = path.points_m[at, 0] < vehicle.face_centre_m(rear=True)[0]
    others = tuple(person.id for person in placed.scene.people if person.id != eye.person)
    return Viewpoint(
        eye_id=eye.id,
        words=_words(eye.name or eye.id, path.direction),
        gaze=gaze,
        eye_m=path.points_m[at],
        ahead=line,
        line_of_sight=line,
        target_m=np.array(vehicle.face_centre_m(rear=bool(behind))),
        distance_m=float(path.distances_m[at]),
        height_m=path.eye.height_m,
        headlamps=None,
        headlamp_words="no own headlamps",
        road=None,
        pigmentation=eye.pigmentation,
        visible_level=DEFAULT_LEVEL,
        people=others,
        objects=tuple(item.id for item in placed.scene.objects),
    )


def _words(name: str, direction: str) -> str:
    return name if not direction or name.endswith(direction) else f"{name}, {direction}"


def _headlamp_words(lamps: PlacedHeadlamps) -> str:
    return f"own headlamps on: {lamps.luminaire.title} ({lamps.luminaire.data_words})"


def _nearest(distances_m: Array, wanted_m: float) -> int:
    if len(distances_m) > 1 and not distances_m.min() - 0.5 <= wanted_m <= distances_m.max() + 0.5:
        accepted = f"give {distances_m.min():g} to {distances_m.max():g} m"
        raise UsageError("is not on this way", key="--distance", value=f"{wanted_m:g} m", accepted=accepted)
    return int(np.argmin(np.abs(distances_m - wanted_m)))
