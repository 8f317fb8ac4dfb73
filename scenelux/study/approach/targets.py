"""People and objects along an approach: their light once for every station, and from it every state, level and age."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from os import cpu_count

import numpy as np
from numpy.typing import NDArray

from scenelux.placement import ApproachPath, PlacedScene
from scenelux.scene.model import LightLevel
from scenelux.study.approach.looked_for import Target, targets_of
from scenelux.study.approach.seen import seen_from
from scenelux.study.results.approach import SeenFrom, TargetEntry, TargetPath
from scenelux.study.view.image import Setting, setting
from scenelux.study.view.targets import TargetLight, TargetPart, target_light
from scenelux.vision import contrast_reversal, picture_veil_per_lux, visibility

__all__ = ["EXPOSURE_S", "look_for"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Levels = Mapping[tuple[str, str], Array]

EXPOSURE_S = 0.2
"""For which a target is seen, as of the small target of road lighting [s]."""


@dataclass(frozen=True, eq=False)
class _Face:
    """A target, or a part of it, at every station: luminance by lamp (stations, lamps) and by natural light, size."""

    target_cd_m2: Array
    target_per_sky_lux: Array
    size_arcmin: Array

    def luminance_cd_m2(self, level: Array, ambient_lx: float) -> Array:
        """Of all lamps and natural light, (stations,)."""
        return np.asarray(self.target_cd_m2 @ level + ambient_lx * self.target_per_sky_lux)


@dataclass(frozen=True, eq=False)
class _Light:
    """A target's light at every station, (stations, lamps): those that may be on, the own headlamps last."""

    whole: _Face
    parts: tuple[_Face, ...]
    background_cd_m2: Array
    background_per_sky_lux: Array
    eye_lx: Array
    angle_deg: Array


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
) -> dict[str, _Light]:
    """Every target's light; stations are shared out among threads, which changes no byte."""
    some = placed.lamps.only(on)
    base = setting(placed, road=path.road)

    def before(station: int) -> Setting:
        if path.headlamps is None:
            return replace(base, lamps=some)
        return replace(base, lamps=some.joined(path.headlamps.at(station)), own=_own(path))

    def everybody(station: int) -> list[TargetLight | None]:
        scene, eye = before(station), path.points_m[station]
        return [
            target_light(placed, scene, eye, target.target_id, threads=1) if target.drawn[station] else None
            for target in targets
        ]

    looked = []
    with ThreadPoolExecutor(cpu_count() or 1) as pool:
        for seen in pool.map(everybody, range(len(path.distances_m)) if targets else ()):
            looked.append(seen)
            progress(f"{path.approach.id}: people and objects · station {len(looked)} of {len(path.distances_m)}")
    lamps = len(some) + _own(path)
    return {
        target.target_id: _past_rises(path, target, _stacked([seen[number] for seen in looked], lamps))
        for number, target in enumerate(targets)
    }


def _stacked(looked: Sequence[TargetLight | None], lamps: int) -> _Light:
    none = np.full(lamps, np.nan)

    def rows(name: str, empty: Array | float) -> Array:
        return np.array([empty if one is None else getattr(one, name) for one in looked], np.float64)

    names = dict.fromkeys(part.name for one in looked if one is not None for part in one.parts)
    by_name = [{} if one is None else {part.name: part for part in one.parts} for one in looked]
    return _Light(
        _face(looked, none),
        tuple(_face([parts.get(name) for parts in by_name], none) for name in names),
        rows("background_cd_m2", none),
        rows("background_per_sky_lux", np.nan),
        rows("eye_lx", np.zeros(lamps)),
        rows("angle_deg", none),
    )


def _face(looked: Sequence[TargetLight | TargetPart | None], none: Array) -> _Face:
    return _Face(
        np.array([none if one is None else one.target_cd_m2 for one in looked]),
        np.array([np.nan if one is None else one.target_per_sky_lux for one in looked]),
        np.array([np.nan if one is None else one.size_arcmin for one in looked], np.float64),
    )


def _past_rises(path: ApproachPath, target: Target, light: _Light) -> _Light:
    """A rise of the road keeps the own headlamps from the target, too, while the eye above them sees over it."""
    own = _own(path)
    if path.headlamps is None or not path.road.profile_m:
        return light
    lit = np.ones_like(light.eye_lx)
    for number in range(own):
        lamps_m = path.headlamps.position_m[:, number]
        lit[:, number - own] = ~path.road.hides(lamps_m, path.distances_m, target.middle_m)

    def past(face: _Face) -> _Face:
        return replace(face, target_cd_m2=face.target_cd_m2 * lit)

    parts = tuple(past(part) for part in light.parts)
    return replace(light, whole=past(light.whole), parts=parts, background_cd_m2=light.background_cd_m2 * lit)


def _path(placed: PlacedScene, path: ApproachPath, target: Target, light: _Light, levels: Levels) -> TargetPath:
    by_body = target.drawn & ~np.isfinite(light.whole.size_arcmin)
    before = path.road.travel * (path.road.end_m[0] - target.middle_m[0])
    per_lux = np.array(
        [
            picture_veil_per_lux(light.angle_deg, age_years=age, pigmentation=path.approach.pigmentation)
            for age in path.approach.ages_years
        ]
    )
    entries = [
        _entry(path, target, light, per_lux, by_body, before, case, level, placed.scene.light[case[1]])
        for case, level in levels.items()
    ]
    return TargetPath(
        target_id=target.target_id,
        name=target.name,
        kind=target.kind,
        says=target.says,
        position_m=target.middle_m,
        before_vehicle_m=before,
        size_arcmin=light.whole.size_arcmin,
        ahead=target.ahead,
        hidden_by_road=target.behind_rise,
        hidden_by_body=by_body,
        entries=tuple(entries),
        notes=_notes(path, target, by_body),
    )


def _entry(
    path: ApproachPath,
    target: Target,
    light: _Light,
    per_lux: Array,
    by_body: Flags,
    before_m: float,
    case: tuple[str, str],
    level: Array,
    around: LightLevel,
) -> TargetEntry:
    ages = np.array(path.approach.ages_years)
    behind = light.background_cd_m2 @ level + around.ambient_lx * light.background_per_sky_lux
    veil = np.where(light.eye_lx * level > 0.0, light.eye_lx * level * per_lux, 0.0).sum(axis=-1)

    def levels_of(face: _Face) -> Array:
        bright = face.luminance_cd_m2(level, around.ambient_lx)
        return visibility(
            bright, behind, face.size_arcmin, age_years=ages[:, None], exposure_s=EXPOSURE_S, veil_cd_m2=veil
        ).level

    def seen(levels: Array) -> tuple[SeenFrom, ...]:
        hidden = target.behind_rise | by_body
        return tuple(_seen_from(path, target, hidden, before_m, *one) for one in zip(ages, levels, strict=True))

    bright, found = light.whole.luminance_cd_m2(level, around.ambient_lx), levels_of(light.whole)
    best = _best([levels_of(part) for part in light.parts], found.shape)
    return TargetEntry(
        *case,
        target_cd_m2=bright,
        background_cd_m2=behind,
        veil_cd_m2=np.where(np.isnan(bright), np.nan, veil),
        level=found,
        reversal=contrast_reversal(bright - behind),
        seen=seen(found),
        part_level=best,
        part_seen=seen(np.abs(best)),
    )


def _best(parts: Sequence[Array], shape: tuple[int, ...]) -> Array:
    """The level of the part that stands out most; nan where no part has one."""
    best = np.full(shape, np.nan)
    for part in parts:
        best = np.where(np.isnan(best) | (np.abs(part) > np.abs(best)), part, best)
    return best


def _seen_from(
    path: ApproachPath, target: Target, hidden: Flags, before_m: float, age_years: float, levels: Array
) -> SeenFrom:
    return seen_from(
        path.distances_m,
        levels,
        target.ahead,
        hidden,
        age_years=float(age_years),
        chosen=path.approach.visibility_level,
        before_vehicle_m=before_m,
        stopping_distance_m=path.stopping_distance_m,
        speed_m_s=path.speed_m_s,
    )


def _notes(path: ApproachPath, target: Target, by_body: Flags) -> tuple[str, ...]:
    said = (
        (~target.ahead, "is beside or behind the driver"),
        (target.ahead & target.behind_rise, "is behind a rise of the road"),
        (target.ahead & target.no_picture & ~target.behind_rise, "has no picture: the eye is below the site's ground"),
        (by_body, "is hidden by a body"),
    )
    return tuple(f"{words} at {_where(path.distances_m[flags])}" for flags, words in said if flags.any())


def _where(distances_m: Array) -> str:
    """Where a stretch or a station is."""
    near, far = float(distances_m.min()), float(distances_m.max())
    return f"{far:g} m" if near == far else f"{far:g} to {near:g} m"
