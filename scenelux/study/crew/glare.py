"""Glare in the eyes of the crew: the rating of CIE 112 all around, and what single lines of sight get."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, nan, radians, sin

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, Sight, covered, receivers, sight
from scenelux.geometry import Vector
from scenelux.placement import PlacedScene
from scenelux.study.air import air_before
from scenelux.study.crew.notes import Seen, glare_notes
from scenelux.study.crew.surroundings import Areas, Surroundings, surroundings
from scenelux.study.crew.watchers import Watcher, watchers
from scenelux.study.eye_notes import hazy
from scenelux.study.levels import weighted
from scenelux.study.openings import seen_area_m2
from scenelux.study.results.crew import CrewEntry, CrewEye, CrewGaze, Opening
from scenelux.study.view.tables import haze_of
from scenelux.vision import HEADLINE_FORM, environment_veil, eye_light, rating_gazes, sum_veil
from scenelux.vision.rating import GLARE_RATING_FORM, RATING_AZIMUTHS_DEG, rating_of_gaze

__all__ = ["crew_eyes"]

Array = NDArray[np.float64]
Levels = Mapping[tuple[str, str], Array]

_LEVEL = 1e-9  # a line of sight this little above the horizontal counts as level
_AHEAD_DEG = 90.0


@dataclass(frozen=True, eq=False)
class _View:
    """What each lamp gives an eye at full output, by line of sight: first the views all around, then its own.

    Parameters
    ----------
    names, directions : (gazes,) and (gazes, 3), site frame.
    lux, angle_deg : (lamps, gazes).
    luminance_cd_m2 : (lamps,) of the openings that are seen, nan of one without a size; 0 where nothing is seen.
    air_cd_m2 : (lamps, gazes) of the lit air along each; None in clear air.
    inside : the eye lies inside a body.
    """

    names: tuple[str, ...]
    directions: Array
    lux: Array
    angle_deg: Array
    luminance_cd_m2: Array
    air_cd_m2: Array | None
    inside: bool


def crew_eyes(placed: PlacedScene, areas: Areas, levels: Levels, store: Contributions) -> tuple[CrewEye, ...]:
    """Glare of every eye that stays near the vehicle, in every duty state at every light level.

    Parameters
    ----------
    placed : the scene on its site. People do not stand in the light, as for all eyes that rules judge.
    areas : grids of the document and the light on them.
    levels : (state, light) -> (lamps,) level of each lamp; initial light, no loss factor.
    store : what single lamps give, where it is known already.
    """
    return tuple(_crew_eye(placed, one, areas, levels, store) for one in watchers(placed))


def _crew_eye(placed: PlacedScene, one: Watcher, areas: Areas, levels: Levels, store: Contributions) -> CrewEye:
    around = surroundings(placed, one.eye_m, areas, levels, store)
    view = _view(placed, one, store)
    return CrewEye(
        eye_id=one.eye_id,
        name=one.name,
        kind="person" if one.person_id else "place",
        person_id=one.person_id,
        frame=one.vehicle.vehicle_id if one.vehicle else "site",
        position_m=one.eye_m,
        height_m=one.height_m,
        age_years=one.age_years,
        pigmentation=one.pigmentation,
        surroundings=around.says,
        area_id=around.area_id,
        reflectance=around.reflects.value,
        reflectance_from=around.reflects_from,
        reflectance_status=around.reflects.status,
        veil_form=HEADLINE_FORM,
        rating_form=GLARE_RATING_FORM,
        headings_deg=np.array(RATING_AZIMUTHS_DEG),
        entries=tuple(_entry(placed, one, around, view, case, level) for case, level in levels.items()),
    )


def _view(placed: PlacedScene, one: Watcher, store: Contributions) -> _View:
    directions = np.concatenate((_turned(one), np.array(list(one.gazes.values())).reshape(-1, 3)))
    eyes = np.tile(np.array(one.eye_m), (len(directions), 1))
    seen = sight(placed.lamps, placed.blockers, eyes[:1])
    haze = haze_of(placed.scene.weather)
    arriving = np.ones(seen.distance_m.shape) if haze is None else haze.transmitted(seen.distance_m)
    lux = arriving * store.by_lamp(placed.lamps, placed.blockers, receivers(eyes, directions))
    shape = lux.shape
    angle = eye_light(
        np.broadcast_to(seen.candela, shape),
        np.broadcast_to(seen.distance_m, shape),
        np.broadcast_to(seen.direction, (*shape, 3)),
        directions,
    ).angle_deg
    inside = bool(covered(placed.blockers, eyes[:1], eyes[:1, 2], headroom_m=0.0)[0])
    names = (*(f"heading {heading:g} deg" for heading in RATING_AZIMUTHS_DEG), *one.gazes)
    air = air_before(placed, placed.blockers, eyes, directions)
    return _View(names, directions, lux, angle, _luminance(placed, seen, arriving), air, inside)


def _turned(one: Watcher) -> Array:
    """The views all around, counted from the front of the vehicle."""
    turn = radians(one.vehicle.heading_deg) if one.vehicle else 0.0
    axes = np.array([(cos(turn), sin(turn), 0.0), (-sin(turn), cos(turn), 0.0), (0.0, 0.0, 1.0)])
    return np.asarray(rating_gazes() @ axes)


def _luminance(placed: PlacedScene, seen: Sight, arriving: Array) -> Array:
    """Mean luminance of every opening towards the eye, (lamps,): intensity over the area that is seen."""
    area = seen_area_m2(placed.lamps, seen.direction)[:, 0]
    candela = np.where(seen.clear, seen.candela * arriving, 0.0)[:, 0]
    return np.where(candela > 0.0, candela / np.where(area > 0.0, area, nan), 0.0)


def _entry(
    placed: PlacedScene, one: Watcher, around: Surroundings, view: _View, case: tuple[str, str], level: Array
) -> CrewEntry:
    mean_lx = around.mean_lx[case]
    veil = float(environment_veil(mean_lx, around.reflects.value))
    lux = np.where(view.inside, nan, weighted(level, view.lux))
    rating = rating_of_gaze(lux, view.angle_deg, veil)
    above = view.directions[:, 2] > _LEVEL
    gazes = _gazes(placed, one, view, lux, np.where(above, nan, rating), level)
    views = len(RATING_AZIMUTHS_DEG)
    known = np.where(np.isfinite(rating[:views]), rating[:views], -np.inf)
    top = int(known.argmax()) if np.isfinite(known).any() else None
    return CrewEntry(
        state=case[0],
        light=case[1],
        surroundings_lx=mean_lx,
        surroundings_veil_cd_m2=veil,
        rating_by_view=rating[:views],
        worst=None if top is None else gazes[top],
        worst_heading_deg=nan if top is None else RATING_AZIMUTHS_DEG[top],
        gazes=tuple(gazes[views:]),
        notes=(
            *hazy(placed.scene.weather),
            *glare_notes(_seen(placed, around, view, lux, rating, case)),
        ),
    )


def _seen(
    placed: PlacedScene, around: Surroundings, view: _View, lux: Array, rating: Array, case: tuple[str, str]
) -> Seen:
    return Seen(
        lamp_ids=placed.lamp_ids,
        names=view.names,
        rising=view.directions[:, 2] > _LEVEL,
        lux=lux,
        angle_deg=view.angle_deg,
        rating=rating,
        inside=view.inside,
        surroundings=around.says,
        mean_lx=around.mean_lx[case],
        ambient_lx=placed.scene.light[case[1]].ambient_lx,
    )


def _gazes(placed: PlacedScene, one: Watcher, view: _View, lux: Array, rating: Array, level: Array) -> list[CrewGaze]:
    veil = sum_veil(HEADLINE_FORM, lux, view.angle_deg, age_years=one.age_years, pigmentation=one.pigmentation)
    bright = weighted(level, view.luminance_cd_m2)
    air = None if view.air_cd_m2 is None else np.where(view.inside, nan, level @ view.air_cd_m2)
    return [
        CrewGaze(
            gaze=name,
            direction=_vector(view.directions[at]),
            eye_illuminance_lx=float(lux[:, at].sum()),
            veil_cd_m2=float(veil.total_cd_m2[at]),
            glare_rating=float(rating[at]),
            brightest=None if view.inside else _brightest(placed, bright, view.angle_deg[:, at]),
            air_luminance_cd_m2=None if air is None else float(air[at]),
        )
        for at, name in enumerate(view.names)
    ]


def _brightest(placed: PlacedScene, luminance: Array, angle_deg: Array) -> Opening | None:
    """The brightest opening before the eye, of equals the first."""
    seen = np.where(np.isfinite(luminance) & (angle_deg <= _AHEAD_DEG), luminance, 0.0)
    top = int(seen.argmax())
    if seen[top] <= 0.0:
        return None
    return Opening(placed.lamp_ids[top], float(seen[top]), float(angle_deg[top]))


def _vector(direction: Array) -> Vector:
    along, left, up = direction.tolist()
    return (along, left, up)
