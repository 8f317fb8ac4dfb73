"""Glare at an eye: every station of its path, every gaze, every duty state and light level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import illuminance, sight
from scenelux.placement import EyePath, PlacedScene
from scenelux.scene.model import Eye, LightLevel
from scenelux.study.results import EyeEntry, EyeResult
from scenelux.vision import (
    HEADLINE_FORM,
    VEIL_FORMS,
    VeilSum,
    de_boer,
    dose_lx_s,
    eye_light,
    seconds_above,
    sum_veil,
    threshold_increment_percent,
    veil_form,
    worst_station,
)
from scenelux.vision.discomfort import ADAPTATION_RANGE_CD_M2, ANGLE_RANGE_DEG
from scenelux.vision.threshold import OBSERVER_AGE_YEARS, VEIL_FORM

__all__ = ["look"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class _Gaze:
    """What each lamp gives the eye at full output with one gaze: (lamps, stations)."""

    name: str
    illuminance_lx: Array
    angle_deg: Array


def look(placed: PlacedScene, path: EyePath, levels: Mapping[tuple[str, str], Array]) -> EyeResult:
    """Glare along an eye's path.

    Parameters
    ----------
    placed : lamps and bodies on the site.
    path : the eye, its stations and its gazes.
    levels : (state, light) -> (lamps,) level of each lamp; initial light, no loss factor.
    """
    seen = sight(placed.lamps, placed.blockers, path.points_m)
    gazes = []
    for name, directions in path.gazes.items():
        lux = illuminance(placed.lamps, placed.blockers, path.points_m, directions)
        angle = eye_light(seen.candela, seen.distance_m, seen.direction, directions).angle_deg
        gazes.append(_Gaze(name, lux, angle))
    entries = [
        _entry(placed, path, gaze, state, light, level, _unseen(placed, level, seen.candela, seen.clear))
        for (state, light), level in levels.items()
        for gaze in gazes
    ]
    eye = path.eye
    return EyeResult(
        eye_id=eye.id,
        name=eye.name,
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


def _entry(
    placed: PlacedScene, path: EyePath, gaze: _Gaze, state: str, light: str, level: Array, unseen: tuple[str, ...]
) -> EyeEntry:
    eye, around = path.eye, placed.scene.light[light]
    lux = level[:, None] * gaze.illuminance_lx
    sums = {
        form.name: sum_veil(form.name, lux, gaze.angle_deg, age_years=eye.age_years, pigmentation=eye.pigmentation)
        for form in VEIL_FORMS
    }
    standard = sum_veil(VEIL_FORM, lux, gaze.angle_deg, age_years=OBSERVER_AGE_YEARS, pigmentation=eye.pigmentation)
    headline = sums[HEADLINE_FORM]
    worst = worst_station(headline.total_cd_m2)
    top = _top_lamps(headline.by_lamp_cd_m2, lux)
    limit, limit_from = _limit(eye, around)
    total_lux = lux.sum(axis=0)
    discomfort = de_boer(lux, gaze.angle_deg, around.adaptation_luminance_cd_m2)
    road = around.road_luminance_cd_m2
    return EyeEntry(
        state=state,
        light=light,
        gaze=gaze.name,
        eye_illuminance_lx=total_lux,
        glare_angle_deg=np.take_along_axis(gaze.angle_deg, top[None, :], axis=0)[0],
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
        seconds_above=_seconds(path, headline.total_cd_m2, limit),
        dose_lx_s=dose_lx_s(path.distances_m, total_lux, path.speed_m_s).dose_lx_s if path.speed_m_s else None,
        notes=(*_outside(placed, path, headline), *_ranges(sums, discomfort), *unseen),
    )


def _top_lamps(veil: Array, lux: Array) -> NDArray[np.int64]:
    """Lamp that contributes most at each station: by veil, and by illuminance where a veil is not valid."""
    valid = np.isfinite(veil).all(axis=0)
    return np.asarray(np.argmax(np.where(valid, np.nan_to_num(veil), lux), axis=0))


def _limit(eye: Eye, around: LightLevel) -> tuple[float | None, str]:
    if eye.veil_limit_cd_m2 is not None:
        return eye.veil_limit_cd_m2, "the scene's own limit"
    if eye.veil_ratio is not None:
        share = eye.veil_ratio * around.road_luminance_cd_m2
        return share, f"veiling ratio {eye.veil_ratio:g} of the road luminance {around.road_luminance_cd_m2:g} cd/m2"
    return None, ""


def _seconds(path: EyePath, veil: Array, limit: float | None) -> float | None:
    if limit is None or path.speed_m_s is None:
        return None
    return seconds_above(path.distances_m, veil, limit, path.speed_m_s).seconds


def _outside(placed: PlacedScene, path: EyePath, headline: VeilSum) -> tuple[str, ...]:
    """Says which lamps stand outside the form's range, and from where."""
    form = veil_form(HEADLINE_FORM)
    notes = []
    for lamp, stations in zip(placed.lamp_ids, headline.outside, strict=True):
        if stations.any():
            where = ", ".join(f"{distance:g} m" for distance in path.distances_m[stations][:3])
            more = int(stations.sum()) - 3
            notes.append(
                f"{lamp} is nearer than {form.minimum_deg:g} or farther than {form.maximum_deg:g} deg from the line of "
                f"sight at {where}{f' and {more} more' if more > 0 else ''}: no {HEADLINE_FORM} veil there"
            )
    return tuple(notes)


def _ranges(sums: Mapping[str, VeilSum], discomfort: Array) -> tuple[str, ...]:
    """Says why the other forms and the discomfort rating have no value at some stations."""
    notes = [
        f"{name} holds from {form.minimum_deg:g} to {form.maximum_deg:g} deg, and a lamp is outside at some stations"
        for name, form in ((name, veil_form(name)) for name in sums if name != HEADLINE_FORM)
        if sums[name].outside.any()
    ]
    if np.isnan(discomfort).any():
        (least, most), (dim, bright) = ANGLE_RANGE_DEG, ADAPTATION_RANGE_CD_M2
        notes.append(f"the discomfort rating holds from {least:g} to {most:g} deg and {dim:g} to {bright:g} cd/m2")
    return tuple(notes)


def _unseen(placed: PlacedScene, level: Array, candela: Array, clear: NDArray[np.bool_]) -> tuple[str, ...]:
    """Says which lamps are on and yet give the eye nothing at any station, and why."""
    on = level > 0.0
    away = on & (candela == 0.0).all(axis=1)
    hidden = on & ~away & ~((candela > 0.0) & clear).any(axis=1)
    words = (("faces away", away), ("hidden by a body", hidden))
    named = ((why, [lamp for lamp, flag in zip(placed.lamp_ids, flags, strict=True) if flag]) for why, flags in words)
    return tuple(f"{why}: {', '.join(lamps)}" for why, lamps in named if lamps)
