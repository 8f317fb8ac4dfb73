"""People and objects along an approach: their light once for every station, and from it every state, level and age."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from os import cpu_count

import numpy as np
from numpy.typing import NDArray

from scenelux.placement import ApproachPath, PlacedScene
from scenelux.scene.model import LightLevel
from scenelux.study.approach.looked_for import Target, targets_of
from scenelux.study.approach.seen import seen_from
from scenelux.study.results.approach import SeenFrom, TargetEntry, TargetPath
from scenelux.study.view.image import Setting, setting
from scenelux.study.view.limits import DOUBTFUL_DEPTH, MOST_DEPTH, beyond_model
from scenelux.study.view.tables import haze_of
from scenelux.study.view.targets import target_light
from scenelux.study.view.visible import TargetLight, stacked
from scenelux.vision import contrast_reversal

__all__ = ["look_for"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Levels = Mapping[tuple[str, str], Array]


def look_for(
    placed: PlacedScene, path: ApproachPath, levels: Levels, progress: Callable[[str], None] = lambda step: None
) -> tuple[TargetPath, ...]:
    """How visible people and objects are along an approach, people first.

    Parameters
    ----------
    placed : the scene on its site.
    path : the driver's way.
    levels : (state, light) -> (lamps,) level of each lamp.
    progress : is told what is being looked at.

    The light on a target is computed once at each station, each lamp by itself; states, light levels and ages follow.
    """
    on = np.flatnonzero(np.any([level > 0.0 for level in levels.values()], axis=0))
    targets = targets_of(placed, path)
    light = _lights(placed, path, targets, on, progress)
    full = {case: np.append(level[on], np.ones(_own(path))) for case, level in levels.items()}
    return tuple(_path(placed, path, target, light[target.target_id], full) for target in targets)


def _own(path: ApproachPath) -> int:
    return 0 if path.headlamps is None else path.headlamps.position_m.shape[1]


def _lights(
    placed: PlacedScene,
    path: ApproachPath,
    targets: Sequence[Target],
    on: NDArray[np.intp],
    progress: Callable[[str], None],
) -> dict[str, TargetLight]:
    """Every target's light; stations are shared out among threads, which changes no byte."""
    some = placed.lamps.only(on)
    base = setting(placed, road=path.road)

    def before(station: int) -> Setting:
        if path.headlamps is None:
            return replace(base, lamps=some)
        return replace(base, lamps=some.joined(path.headlamps.at(station)), own=_own(path))

    def everybody(station: int) -> list[TargetLight]:
        scene, eye, along = before(station), path.points_m[station], float(path.distances_m[station])
        return [
            target_light(placed, scene, eye, target.target_id, along_m=along, threads=1)
            if target.drawn[station]
            else TargetLight.hidden(len(scene.lamps))
            for target in targets
        ]

    looked = []
    with ThreadPoolExecutor(cpu_count() or 1) as pool:
        for seen in pool.map(everybody, range(len(path.distances_m)) if targets else ()):
            looked.append(seen)
            progress(f"{path.approach.id}: people and objects · station {len(looked)} of {len(path.distances_m)}")
    return {target.target_id: stacked([seen[number] for seen in looked]) for number, target in enumerate(targets)}


def _path(placed: PlacedScene, path: ApproachPath, target: Target, light: TargetLight, levels: Levels) -> TargetPath:
    by_body = target.drawn & ~np.isfinite(light.size_arcmin[0])
    before = path.road.travel * (path.road.end_m[0] - target.middle_m[0])
    hidden = target.behind_rise | by_body
    depth = _optical_depth(placed, path, target, light)
    entries = [
        _entry(path, target, light, depth, hidden, before, case, level, placed.scene.light[case[1]])
        for case, level in levels.items()
    ]
    return TargetPath(
        target_id=target.target_id,
        name=target.name,
        kind=target.kind,
        says=target.says,
        position_m=target.middle_m,
        before_vehicle_m=before,
        size_arcmin=light.size_arcmin[0],
        ahead=target.ahead,
        hidden_by_road=target.behind_rise,
        hidden_by_body=by_body,
        entries=tuple(entries),
        notes=(*_notes(path, target, by_body), *_air_notes(placed, path, target, depth)),
    )


def _entry(
    path: ApproachPath,
    target: Target,
    light: TargetLight,
    depth: Array,
    hidden: Flags,
    before_m: float,
    case: tuple[str, str],
    level: Array,
    around: LightLevel,
) -> TargetEntry:
    eye = {"pigmentation": path.approach.pigmentation}
    looked = [light.seen(level, around.ambient_lx, age_years=age, **eye) for age in path.approach.ages_years]
    first = looked[0]
    whole, behind, apart = (part[0] for part in (first.target_cd_m2, first.background_cd_m2, first.difference_cd_m2))
    return TargetEntry(
        *case,
        target_cd_m2=whole,
        background_cd_m2=behind,
        difference_cd_m2=apart,
        veil_cd_m2=np.array([np.where(np.isnan(whole), np.nan, one.veil_cd_m2) for one in looked]),
        level=np.array([one.level for one in looked]),
        seen_by=tuple(one.seen_by for one in looked),
        whole_level=np.array([one.levels[0] for one in looked]),
        reversal=contrast_reversal(apart),
        seen=tuple(
            _seen_from(path, target, light.parts, depth, hidden, before_m, age, one.levels)
            for age, one in zip(path.approach.ages_years, looked, strict=True)
        ),
    )


def _seen_from(
    path: ApproachPath,
    target: Target,
    parts: Sequence[str],
    depth: Array,
    hidden: Flags,
    before_m: float,
    age_years: float,
    levels: Array,
) -> SeenFrom:
    """Stations with too much air before the target count as none; one that is seen at the next is seen "or more"."""
    valid = target.ahead & (depth <= MOST_DEPTH)
    found = seen_from(
        path.distances_m,
        levels,
        parts,
        valid,
        hidden,
        age_years=age_years,
        chosen=path.approach.visibility_level,
        before_vehicle_m=before_m,
        stopping_distance_m=path.stopping_distance_m,
        speed_m_s=path.speed_m_s,
    )
    if target.ahead.any() and not valid.any():
        return replace(found, why="there is too much air before it at every station: the model is not good enough")
    there = float(np.interp(found.distance_m, path.distances_m[::-1], depth[::-1]))
    return replace(found, in_doubt=there > DOUBTFUL_DEPTH)


def _optical_depth(placed: PlacedScene, path: ApproachPath, target: Target, light: TargetLight) -> Array:
    """Of the air between the eye and the middle of a target, (stations,)."""
    haze = haze_of(placed.scene.weather)
    way = np.linalg.norm(np.array(target.middle_m) - path.points_m, axis=1)
    hidden = (0.0 if haze is None else haze.extinction_per_m) * way
    return np.where(np.isnan(light.optical_depth), hidden, light.optical_depth)


def _notes(path: ApproachPath, target: Target, by_body: Flags) -> tuple[str, ...]:
    said = (
        (~target.ahead, "is beside or behind the driver"),
        (target.ahead & target.behind_rise, "is behind a rise of the road"),
        (target.ahead & target.no_picture & ~target.behind_rise, "has no picture: the eye is below the site's ground"),
        (by_body, "is hidden by a body"),
    )
    return tuple(f"{words} at {_where(path.distances_m[flags])}" for flags, words in said if flags.any())


def _air_notes(placed: PlacedScene, path: ApproachPath, target: Target, depth: Array) -> Iterator[str]:
    """Where much air lies before a target, the farthest first."""
    lost = depth > MOST_DEPTH
    for flags in (target.ahead & lost, target.ahead & ~lost & (depth > DOUBTFUL_DEPTH)):
        if flags.any():
            said = beyond_model(float(depth[flags].min()), placed.scene.weather)
            yield f"is {said} (at {_where(path.distances_m[flags])} before the vehicle)"


def _where(distances_m: Array) -> str:
    """Where a stretch or a station is."""
    near, far = float(distances_m.min()), float(distances_m.max())
    return f"{far:g} m" if near == far else f"{far:g} to {near:g} m"
