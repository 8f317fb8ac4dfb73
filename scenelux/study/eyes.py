"""Glare at an eye: every station of its path, every gaze, every duty state and light level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Contributions, Sight, covered, receivers, sight
from scenelux.placement import EyePath, PlacedScene
from scenelux.scene.model import Eye, LightLevel
from scenelux.study.air import air_before
from scenelux.study.eye_notes import (
    dark_road,
    hazy,
    inside_body,
    left_out,
    other_ranges,
    outside_headline,
    too_near,
    unseen,
)
from scenelux.study.levels import weighted
from scenelux.study.results import EyeEntry, EyeResult
from scenelux.study.view.tables import haze_of
from scenelux.vision import (
    HEADLINE_FORM,
    VEIL_FORMS,
    TimeAbove,
    VeilSum,
    de_boer,
    dose_lx_s,
    eye_light,
    seconds_above,
    sum_veil,
    threshold_increment_percent,
    worst_station,
)
from scenelux.vision.threshold import OBSERVER_AGE_YEARS, VEIL_FORM

__all__ = ["look"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class _Seen:
    """What each lamp gives the eye at full output with one gaze, (lamps, stations), and stations inside a body.

    Parameters
    ----------
    air_cd_m2 : the lit air along the line of sight; None in clear air.
    """

    gaze: str
    illuminance_lx: Array
    angle_deg: Array
    air_cd_m2: Array | None
    inside: NDArray[np.bool_]

    def at(self, level: Array) -> Array:
        """Illuminance by lamp at the lamps' levels [lx]; nan where the eye lies inside a body."""
        return np.where(self.inside, np.nan, weighted(level, self.illuminance_lx))

    def air_at(self, level: Array) -> Array | None:
        """The lit air at the lamps' levels [cd/m2]; nan where the eye lies inside a body."""
        return None if self.air_cd_m2 is None else np.where(self.inside, np.nan, level @ self.air_cd_m2)


def look(
    placed: PlacedScene,
    path: EyePath,
    levels: Mapping[tuple[str, str], Array],
    store: Contributions,
    *,
    blockers: Blockers | None = None,
    arriving: Array | None = None,
) -> EyeResult:
    """Glare along an eye's path.

    Parameters
    ----------
    placed : lamps and bodies on the site.
    path : the eye, its stations and its gazes.
    levels : (state, light) -> (lamps,) level of each lamp; initial light, no loss factor.
    store : what single lamps give, where it is known already.
    blockers : what stands in the light; that of rules, without people, when not given.
    arriving : (lamps, stations) share of each lamp's light that air and a rise of the road leave; what the air of the
        scene's weather leaves when not given.

    A station inside a body is not valid. What the lit air lays over the scene takes contrast as a veil does, but it
    is no light in the eye: it hangs on how far away one looks, and the forms, the threshold increment and limits of
    a veil know it not. So it stands beside them, in none of their numbers.
    """
    boxes = placed.blockers if blockers is None else blockers
    view = sight(placed.lamps, boxes, path.points_m)
    if arriving is None and (haze := haze_of(placed.scene.weather)) is not None:
        arriving = haze.transmitted(view.distance_m)
    clear = view.clear if arriving is None else view.clear & (arriving > 0.0)
    gazes = [_seen(placed, path, view, name, store, boxes, arriving) for name in path.gazes]
    entries = [
        _entry(placed, path, gaze, state, light, level, unseen(placed.lamp_ids, level, view.candela, clear))
        for (state, light), level in levels.items()
        for gaze in gazes
    ]
    eye = path.eye
    return EyeResult(
        eye_id=eye.id,
        name=eye.name or eye.id,
        kind="approach" if eye.lane else "fixed",
        lane=path.lane_name,
        direction=path.direction,
        height_m=eye.height_m,
        age_years=eye.age_years,
        pigmentation=eye.pigmentation,
        speed_m_s=path.speed_m_s,
        headline_form=HEADLINE_FORM,
        distances_m=path.distances_m,
        points_m=path.points_m,
        lamp_ids=placed.lamp_ids,
        entries=tuple(entries),
    )


def _seen(
    placed: PlacedScene,
    path: EyePath,
    view: Sight,
    name: str,
    store: Contributions,
    boxes: Blockers,
    arriving: Array | None,
) -> _Seen:
    directions = path.gazes[name]
    lux = store.by_lamp(placed.lamps, boxes, receivers(path.points_m, directions))
    lux = lux if arriving is None else lux * arriving
    angle = eye_light(view.candela, view.distance_m, view.direction, directions).angle_deg
    inside = covered(boxes, path.points_m, path.points_m[:, 2], headroom_m=0.0)
    air = air_before(placed, boxes, path.points_m, directions)
    return _Seen(name, lux, np.where(inside, np.nan, angle), air, inside)


def _entry(
    placed: PlacedScene, path: EyePath, seen: _Seen, state: str, light: str, level: Array, nothing: tuple[str, ...]
) -> EyeEntry:
    eye, around = path.eye, placed.scene.light[light]
    lux, angle = seen.at(level), seen.angle_deg
    sums = {form.name: _veil(form.name, lux, angle, eye, eye.age_years) for form in VEIL_FORMS}
    standard = _veil(VEIL_FORM, lux, angle, eye, OBSERVER_AGE_YEARS)
    headline = sums[HEADLINE_FORM]
    worst = worst_station(headline.total_cd_m2)
    top = _top_lamps(headline.by_lamp_cd_m2, lux)
    limit, limit_from = _limit(eye, around)
    total_lux = lux.sum(axis=0)
    discomfort = de_boer(lux, angle, around.adaptation_luminance_cd_m2)
    road = around.road_luminance_cd_m2
    above = _seconds(path, headline.total_cd_m2, limit)
    dose = dose_lx_s(path.distances_m, total_lux, path.speed_m_s) if path.speed_m_s else None
    air = seen.air_at(level)
    return EyeEntry(
        state=state,
        light=light,
        gaze=seen.gaze,
        eye_illuminance_lx=total_lux,
        glare_angle_deg=np.take_along_axis(angle, top[None, :], axis=0)[0],
        veil_cd_m2={form: total.total_cd_m2 for form, total in sums.items()},
        veil_by_lamp_cd_m2=headline.by_lamp_cd_m2,
        threshold_increment_percent=threshold_increment_percent(standard.total_cd_m2, road),
        discomfort_rating=discomfort,
        road_luminance_cd_m2=road,
        valid_stations=int(np.isfinite(headline.total_cd_m2).sum()),
        worst_station=worst,
        top_lamp=placed.lamp_ids[int(top[worst])] if worst is not None and total_lux[worst] > 0.0 else None,
        veil_limit_cd_m2=limit,
        veil_limit_from=limit_from,
        seconds_above=_valid(above.seconds) if above else None,
        dose_lx_s=_valid(dose.dose_lx_s) if dose else None,
        notes=(
            *_notes(placed, path, seen, lux, discomfort),
            *hazy(placed.scene.weather, headline.total_cd_m2, air, limit),
            *dark_road(road),
            *left_out(above, dose),
            *nothing,
        ),
        air_luminance_cd_m2=air,
    )


def _notes(placed: PlacedScene, path: EyePath, seen: _Seen, lux: Array, discomfort: Array) -> tuple[str, ...]:
    lamps, distances = placed.lamp_ids, path.distances_m
    return (
        *inside_body(distances, seen.inside),
        *too_near(lamps, distances, lux, seen.inside),
        *outside_headline(lamps, distances, lux, seen.angle_deg),
        *other_ranges(lamps, lux, seen.angle_deg, discomfort),
    )


def _veil(form: str, lux: Array, angle_deg: Array, eye: Eye, age_years: float) -> VeilSum:
    return sum_veil(form, lux, angle_deg, age_years=age_years, pigmentation=eye.pigmentation)


def _top_lamps(veil: Array, lux: Array) -> NDArray[np.int64]:
    """Lamp that contributes most at each station: by veil, and by illuminance where a veil is not valid."""
    valid = np.isfinite(veil).all(axis=0)
    return np.asarray(np.argmax(np.where(valid, veil, lux), axis=0))


def _limit(eye: Eye, around: LightLevel) -> tuple[float | None, str]:
    if eye.veil_limit_cd_m2 is not None:
        return eye.veil_limit_cd_m2, "the scene's own limit"
    if eye.veil_ratio is not None:
        share = eye.veil_ratio * around.road_luminance_cd_m2
        return share, f"veiling ratio {eye.veil_ratio:g} of the road luminance {around.road_luminance_cd_m2:g} cd/m2"
    return None, ""


def _seconds(path: EyePath, veil: Array, limit: float | None) -> TimeAbove | None:
    if limit is None or path.speed_m_s is None:
        return None
    return seconds_above(path.distances_m, veil, limit, path.speed_m_s)


def _valid(value: float) -> float | None:
    return None if isnan(value) else value
