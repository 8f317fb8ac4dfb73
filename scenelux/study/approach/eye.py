"""What a driver's eye gets of the vehicle's lamps along an approach: glare, and how conspicuous they are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, Sight, sight
from scenelux.placement import ApproachPath, EyePath, PlacedScene
from scenelux.scene.model import Eye
from scenelux.study.approach.surround import lit_by_own_lx, surround_by_lamp_lx, under_sky
from scenelux.study.eyes import look
from scenelux.study.openings import seen_area_m2
from scenelux.study.results.approach import ApproachEntry
from scenelux.study.results.study import EyeEntry, EyeResult
from scenelux.study.view.tables import haze_of
from scenelux.vision import eye_light, outdoor_discomfort, seconds_above

__all__ = ["glare", "meet"]

Array = NDArray[np.float64]
Levels = Mapping[tuple[str, str], Array]


@dataclass(frozen=True, eq=False)
class _Lamps:
    """The vehicle's lamps from the eye, (lamps, stations): what arrives at full output, and for the outdoor model.

    Parameters
    ----------
    view : where they are.
    arriving_cd : intensity towards the eye after bodies, road and air.
    direct_lx, surround_lx : on the vertical plane that faces where the driver drives.
    around : per lux of natural light on level ground, and from the own headlamps, on the same plane.
    width_deg, luminance_cd_m2 : of the opening, as a disk of the same area; nan without one.
    """

    view: Sight
    arriving_cd: Array
    direct_lx: Array
    surround_lx: Array
    around: tuple[float, float]
    width_deg: Array
    luminance_cd_m2: Array


def glare(placed: PlacedScene, path: ApproachPath, levels: Levels, store: Contributions) -> tuple[EyeResult, ...]:
    """Glare along an approach, once for each age.

    Parameters
    ----------
    placed : the scene on its site.
    path : the driver's way.
    levels : (state, light) -> (lamps,) level of each lamp; initial light, no loss factor.
    store : what single lamps give, where it is known already.

    As `look`, with people in the way, and with what air and rises of the road take.
    """
    arriving = _arriving(placed, path, np.linalg.norm(placed.lamps.position_m[:, None] - path.points_m, axis=2))
    return tuple(
        look(placed, _as_eye(path, age), levels, store, blockers=placed.blockers_with_people, arriving=arriving)
        for age in path.approach.ages_years
    )


def meet(
    placed: PlacedScene, path: ApproachPath, levels: Levels, store: Contributions, eyes: tuple[EyeResult, ...]
) -> tuple[ApproachEntry, ...]:
    """Conspicuity, discomfort by the outdoor model, and sums of glare over the way.

    Parameters
    ----------
    placed, path, levels, store : as in `glare`.
    eyes : what `glare` found.
    """
    lamps = _lamps(placed, path, store)
    return tuple(_entry(placed, path, lamps, case, level, eyes) for case, level in levels.items())


def _as_eye(path: ApproachPath, age_years: float) -> EyePath:
    """The approach as the way of an eye of the scene."""
    approach = path.approach
    eye = Eye.model_construct(
        id=approach.id,
        name=approach.name,
        lane=approach.lane,
        height_m=approach.eye_height_m,
        age_years=age_years,
        pigmentation=approach.pigmentation,
        gaze=approach.gaze,
    )
    return EyePath(eye, path.lane_name, path.direction, path.speed_m_s, path.distances_m, path.points_m, path.gazes)


def _arriving(placed: PlacedScene, path: ApproachPath, distance_m: Array) -> Array:
    """Share of each lamp's light that air and rises of the road leave, (lamps, stations); exactly 1 in clear air."""
    haze = haze_of(placed.scene.weather)
    left = np.ones(distance_m.shape) if haze is None else haze.transmitted(distance_m)
    lamps = placed.lamps.position_m.tolist()
    hidden = np.array([path.hidden((x, y, z)) for x, y, z in lamps]).reshape(distance_m.shape)
    return np.where(hidden, 0.0, left)


def _lamps(placed: PlacedScene, path: ApproachPath, store: Contributions) -> _Lamps:
    view = sight(placed.lamps, placed.blockers_with_people, path.points_m)
    clear = np.where(view.clear, view.candela, 0.0)
    arriving = clear * _arriving(placed, path, view.distance_m)
    level = path.travel * (1.0, 1.0, 0.0)
    area = seen_area_m2(placed.lamps, view.direction)
    with np.errstate(divide="ignore", invalid="ignore"):
        luminance = np.where(area > 0.0, view.candela / area, nan)
    return _Lamps(
        view=view,
        arriving_cd=arriving,
        direct_lx=eye_light(arriving, view.distance_m, view.direction, level).illuminance_lx,
        surround_lx=surround_by_lamp_lx(placed, path, store),
        around=(under_sky(placed), lit_by_own_lx(placed, path)),
        width_deg=np.degrees(2.0 * np.arctan(np.sqrt(area / np.pi) / view.distance_m)),
        luminance_cd_m2=luminance,
    )


def _entry(
    placed: PlacedScene,
    path: ApproachPath,
    lamps: _Lamps,
    case: tuple[str, str],
    level: Array,
    eyes: tuple[EyeResult, ...],
) -> ApproachEntry:
    around = placed.scene.light[case[1]]
    adapted = around.adaptation_luminance_cd_m2
    share = level[:, None]
    each = share * lamps.arriving_cd / lamps.view.distance_m**2
    top = np.argmax(each, axis=0)
    brightest = np.take_along_axis(each, top[None], axis=0)[0]
    rating, notes = _outdoor(placed, lamps, level, around.ambient_lx, top)
    by_age = {eye.age_years: [one for one in eye.entries if (one.state, one.light) == case] for eye in eyes}
    form = eyes[0].headline_form
    return ApproachEntry(
        *case,
        adaptation_luminance_cd_m2=adapted,
        towards_eye_cd=(share * lamps.arriving_cd).sum(axis=0),
        brightest_lux=brightest,
        brightest_lamp=tuple(
            placed.lamp_ids[i] if lux > 0.0 else "" for i, lux in zip(top.tolist(), brightest.tolist(), strict=True)
        ),
        outdoor_rating=rating,
        worst_veil_cd_m2={
            age: _most([_largest(one.veil_cd_m2[form]) for one in found]) for age, found in by_age.items()
        },
        seconds_above_adaptation={age: _above(path, found, form, adapted) for age, found in by_age.items()},
        dose_lx_s=_most([nan if one.dose_lx_s is None else one.dose_lx_s for one in by_age[eyes[0].age_years]]),
        notes=notes,
    )


def _outdoor(
    placed: PlacedScene, lamps: _Lamps, level: Array, ambient_lx: float, top: NDArray[np.intp]
) -> tuple[Array, tuple[str, ...]]:
    """The rating at every station, and why there is none."""
    if haze_of(placed.scene.weather) is not None:
        return np.full(len(top), nan), ("the outdoor model of discomfort is for clear air: no rating",)
    share = level[:, None]
    under, own = lamps.around
    direct, surround = (
        np.where(share > 0.0, share * part, 0.0).sum(axis=0) for part in (lamps.direct_lx, lamps.surround_lx)
    )
    width, luminance = (
        np.take_along_axis(part, top[None], axis=0)[0] for part in (lamps.width_deg, lamps.luminance_cd_m2)
    )
    rating = outdoor_discomfort(
        direct,
        surround,
        ambient_lx * under + own,
        source_width_deg=width,
        source_luminance_cd_m2=level[top] * luminance,
    )
    if not np.isnan(rating).any():
        return rating, ()
    return rating, (
        "no outdoor rating where the lamps light no ground that the driver sees, or nothing lights the eye",
    )


def _above(path: ApproachPath, found: list[EyeEntry], form: str, adapted: float) -> float:
    """Seconds with the veil above a luminance, of the worst gaze."""
    return _most(
        [seconds_above(path.distances_m, one.veil_cd_m2[form], adapted, path.speed_m_s).seconds for one in found]
    )


def _largest(values: Array) -> float:
    return float(np.nanmax(values)) if np.isfinite(values).any() else nan


def _most(values: list[float]) -> float:
    """The largest of those that are valid."""
    return max((value for value in values if value == value), default=nan)
