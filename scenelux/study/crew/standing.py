"""The worst standing place: a standing person moved over the grid of an area, all places at once.

At each place the mean over the four upright sides of the torso counts. The darkest side would tell no place from
another: behind a truck the side that looks away from it has no light anywhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, nan, radians, sin

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, covered, receivers
from scenelux.placement import AreaPoints, Ground, PlacedScene, place_person
from scenelux.scene.model import Lane, Person
from scenelux.study.areas import first_least
from scenelux.study.levels import light_of
from scenelux.study.results.crew import StandingEntry, StandingPlaces

__all__ = ["RECEIVERS_PER_PLACE", "standing_places", "stands_on"]

Array = NDArray[np.float64]
Levels = Mapping[tuple[str, str], Array]

RECEIVERS_PER_PLACE = 5
"""Four sides of the torso, and the way to the driver."""

_SIDES = ("forward", "left", "rear", "right")


@dataclass(frozen=True, eq=False)
class _Torso:
    """The torso of a standing person who faces forward at the origin: middles of its sides, (4, 3), and normals."""

    height_m: float
    middles_m: Array
    normals: Array


def stands_on(placed: PlacedScene) -> tuple[bool, ...]:
    """Which areas of the document a person is moved over: those with headroom for one, each outline once.

    Parameters
    ----------
    placed : the scene on its site.
    """
    tall, seen, found = _torso().height_m, set(), []
    for area in placed.scene.areas:
        key = (area.of, area.on, area.forward_m, area.left_m, area.polygon_m)
        found.append(area.headroom_m >= tall and key not in seen)
        if found[-1]:
            seen.add(key)
    return tuple(found)


def standing_places(
    placed: PlacedScene, grids: list[AreaPoints], levels: Levels, store: Contributions
) -> tuple[StandingPlaces, ...]:
    """The worst place in every such area, in every duty state at every light level; maintained light.

    Parameters
    ----------
    placed : the scene on its site; placed people stand in the light, and nobody can stand where they do.
    grids : of all areas of the document.
    levels : (state, light) -> (lamps,) level of each lamp.
    store : what single lamps give, where it is known already.

    The person's own body is no more than the limit of what each side sees.
    """
    return tuple(
        _places(placed, points, levels, store)
        for points, wanted in zip(grids, stands_on(placed), strict=True)
        if wanted
    )


def _torso() -> _Torso:
    """Of the shipped figure of a standing person."""
    placed = place_person(Person(id="standing", position=(0.0, 0.0)), {}, Ground(0.0, 0.0))
    named = dict(zip(("front", "left", "rear", "right"), _SIDES, strict=True))
    patches = {named[patch.side]: patch for patch in placed.patches if patch.part == "torso" and patch.side in named}
    middles = np.array([patches[side].centre_m for side in _SIDES])
    return _Torso(placed.person.height_m, middles, np.array([patches[side].normal for side in _SIDES]))


def _places(placed: PlacedScene, points: AreaPoints, levels: Levels, store: Contributions) -> StandingPlaces:
    torso, lane = _torso(), _next_lane(placed)
    feet = np.column_stack((points.points_m[:, :2], points.floor_up_m))
    axes = _axes(placed, points)
    sides, normals = feet[:, None] + torso.middles_m @ axes, torso.normals @ axes
    middles = feet + np.array([0.0, 0.0, torso.middles_m[:, 2].mean()])
    travel = 1.0 if lane is None or lane.direction == "same" else -1.0
    places = np.concatenate((sides, middles[:, None]), axis=1)
    facing = np.concatenate((normals, [(-travel, 0.0, 0.0)]))
    at = receivers(places.reshape(-1, 3), np.tile(facing, (len(feet), 1)))
    lux = store.by_lamp(placed.lamps, placed.blockers_with_people, at).reshape(-1, len(feet), RECEIVERS_PER_PLACE)
    lux[:, _taken(placed, points, places)] = np.nan
    return StandingPlaces(
        area_id=points.area.id,
        name=points.area.name or points.area.id,
        person_height_m=torso.height_m,
        torso_up_m=float(torso.middles_m[:, 2].mean()),
        lane="" if lane is None else lane.name or lane.id,
        valid_places=int(np.isfinite(lux).any(axis=(0, 2)).sum()),
        all_places=int((~points.outside).sum()),
        entries=tuple(_entry(placed, feet, lux, case, level, lane) for case, level in levels.items()),
    )


def _axes(placed: PlacedScene, points: AreaPoints) -> Array:
    """Forward, left and up of the area's frame in plan: the person faces forward."""
    turn = radians(placed.vehicles[points.area.of].heading_deg) if points.area.of != "site" else 0.0
    return np.array([(cos(turn), sin(turn), 0.0), (-sin(turn), cos(turn), 0.0), (0.0, 0.0, 1.0)])


def _taken(placed: PlacedScene, points: AreaPoints, places: Array) -> NDArray[np.bool_]:
    """Where nobody can stand: a body, an object or somebody else is in the headroom of the torso's middle or sides."""
    floor = np.repeat(points.floor_up_m, places.shape[1])
    hidden = covered(placed.blockers_with_people, places.reshape(-1, 3), floor, points.area.headroom_m)
    return points.outside | np.asarray(hidden.reshape(places.shape[:2]).any(axis=1))


def _entry(
    placed: PlacedScene, feet: Array, lux: Array, case: tuple[str, str], level: Array, lane: Lane | None
) -> StandingEntry:
    light = light_of(level * placed.loss_factors, lux)
    torso = light[:, :-1].mean(axis=1)
    if not np.isfinite(torso).any():
        return StandingEntry(*case, (nan, nan, nan), nan, nan, "", nan, nan)
    worst = first_least(torso)
    darkest = int(light[worst, :-1].argmin())
    along, left, up = feet[worst].tolist()
    return StandingEntry(
        *case,
        place_m=(along, left, up),
        torso_lx=float(torso[worst]),
        least_side_lx=float(light[worst, darkest]),
        least_side=_SIDES[darkest],
        towards_driver_lx=nan if lane is None else float(light[worst, -1]),
        best_torso_lx=float(np.nanmax(torso)),
    )


def _next_lane(placed: PlacedScene) -> Lane | None:
    """The lane whose middle is nearest to the first vehicle's origin, the first of equals."""
    here = next((one.origin_m[1] for one in placed.vehicles.values()), 0.0)
    return min(placed.scene.site.lanes, key=lambda lane: abs(lane.centre_left_m - here), default=None)
