"""Small pictures of what a driver sees on the way to a vehicle, for an animation: how many and how large is fixed."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Camera
from scenelux.errors import UsageError
from scenelux.placement import ApproachPath, PlacedScene, approach_path, place
from scenelux.scene.model import SceneDocument
from scenelux.scene.variants import apply_variant
from scenelux.study.approach.looked_for import LEAST_EYE_M
from scenelux.study.approach.run import Asked, cases_of
from scenelux.study.results.approach import ApproachStudy
from scenelux.study.results.drive import DriveFrames
from scenelux.study.view.image import luminance, setting
from scenelux.study.view.veil import veil

__all__ = ["MOST_FRAMES", "WIDE_PX", "ZOOM_PX", "drive_frames", "frames_of", "why_no_frames"]

Progress = Callable[[str], None]
Singles = NDArray[np.float32]

MOST_FRAMES = 40
WIDE_PX, ZOOM_PX = (420, 250), (280, 250)
"""Width and height of the pictures along the road and of the vehicle; with the count they bound all memory: 28 MB."""

WIDE_DEG, ZOOM_DEG = 40.0, 6.0
OLDEST_YEARS = 75.0


def frames_of(
    scene: SceneDocument, study: ApproachStudy, *, progress: Progress = lambda step: None
) -> Iterator[DriveFrames]:
    """Pictures of every approach of a study in every variant: its first duty state, by night where it has one.

    Parameters
    ----------
    scene : the one that was driven.
    study : what was found.
    progress : is told what is being worked on.

    A way that cannot be pictured is left out.
    """
    for variant in study.variants:
        placed = place(apply_variant(scene, variant.name))
        for way in variant.approaches:
            path = approach_path(placed, next(one for one in scene.approaches if one.id == way.approach_id))
            state = way.entries[0].state
            lights = [entry.light for entry in way.entries if entry.state == state]
            light = "night" if "night" in lights else lights[0]
            if not why_no_frames(placed, path):
                yield drive_frames(scene, variant.name, way.approach_id, state, light, progress=progress)


def drive_frames(
    scene: SceneDocument,
    variant: str,
    approach_id: str,
    state: str,
    light: str,
    *,
    progress: Progress = lambda step: None,
) -> DriveFrames:
    """What the driver of an approach sees at its stations, of more than 40 evenly chosen ones.

    Parameters
    ----------
    scene : as read by `read_scene`.
    variant, approach_id, state, light : names and ids that the scene has.
    progress : is told what is being worked on.

    The eye is the oldest of the approach that the model of visibility covers, as on the sheets of curves.
    """
    placed = place(apply_variant(scene, variant))
    path = approach_path(placed, next(one for one in scene.approaches if one.id == approach_id))
    if why := why_no_frames(placed, path):
        raise UsageError(why, key="--approach", value=approach_id, accepted="use --no-animation")
    count = len(path.distances_m)
    stations = np.unique(np.linspace(0, count - 1, min(count, MOST_FRAMES)).round().astype(np.intp))
    levels = cases_of(placed, path, Asked(state=state, light=light))[state, light]
    ambient, age = placed.scene.light[light].ambient_lx, _age(path)
    wide, zoom = (np.empty((len(stations), size[1], size[0]), np.float32) for size in (WIDE_PX, ZOOM_PX))
    target = np.array(placed.vehicles[path.vehicle_id].face_centre_m(rear=path.road.travel > 0))
    for number, station in enumerate(stations.tolist()):
        progress(f"{variant}: {approach_id}: pictures · {number + 1} of {len(stations)}")
        own = None if path.headlamps is None else path.headlamps.at(station)
        before, eye = setting(placed, own, road=path.road), path.points_m[station]
        full = np.append(levels, np.ones(before.own))
        ahead = Camera.towards(eye, eye + path.travel[station], *WIDE_PX, field_deg=WIDE_DEG)
        close = Camera.towards(eye, target, *ZOOM_PX, field_deg=ZOOM_DEG)
        for pictures, camera in ((wide, ahead), (zoom, close)):
            seen = luminance(before, camera, full, ambient)
            veiled = veil(seen, age_years=age, pigmentation=path.approach.pigmentation)
            pictures[number] = seen.luminance_cd_m2 + veiled
    return DriveFrames(
        variant, approach_id, state, light, ambient, age, stations, WIDE_DEG, ZOOM_DEG, _shared(wide), _shared(zoom)
    )


def why_no_frames(placed: PlacedScene, path: ApproachPath) -> str:
    """Why a way cannot be pictured, or nothing.

    Parameters
    ----------
    placed : the scene on its site.
    path : the driver's way.

    A picture knows one plane of ground: no rise that hides the vehicle, and no dip below that plane.
    """
    above = path.points_m[:, 2] - placed.ground.heights_m(path.points_m[:, 0], path.points_m[:, 1])
    face = placed.vehicles[path.vehicle_id].face_centre_m(rear=path.road.travel > 0)
    if (above < LEAST_EYE_M).any() or path.hidden(face).any():
        return "has a road that rises or falls so that it cannot be pictured on one plane"
    return ""


def _age(path: ApproachPath) -> float:
    return max((age for age in path.approach.ages_years if age < OLDEST_YEARS), default=path.approach.ages_years[0])


def _shared(pictures: Singles) -> Singles:
    pictures.flags.writeable = False
    return pictures
