"""The job of `scenelux view`: pictures of variants and light levels from one eye, and what they mean."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Camera, Contributions
from scenelux.errors import UsageError
from scenelux.placement import PlacedScene, area_points, place
from scenelux.scene.model import Approach, Eye, SceneDocument
from scenelux.scene.variants import apply_variant
from scenelux.scene.words import near
from scenelux.study.areas import light_area
from scenelux.study.flashing import flash_notes
from scenelux.study.levels import lamp_levels
from scenelux.study.results import Sighting, ViewArea, ViewCase, ViewFrame, ViewPart, ViewResult, ViewTarget
from scenelux.study.simulate import about
from scenelux.study.view.image import Setting, luminance, setting
from scenelux.study.view.lamps import lamps_seen, through
from scenelux.study.view.limits import MOST_DEPTH, air_note, beyond_model, lit_air_note
from scenelux.study.view.targets import target_light, target_surfaces
from scenelux.study.view.veil import veil
from scenelux.study.view.viewpoint import Viewpoint, chosen_eye, viewpoint
from scenelux.study.view.visible import visibility_notes
from scenelux.vision import HEADLINE_FORM, NEAR_FORM, picture_veil_per_lux
from scenelux.vision.target import TARGET_FORM, TARGET_UNCONFIRMED

__all__ = ["FRAME_PX", "view"]

Array = NDArray[np.float64]
Progress = Callable[[str], None]

FRAME_PX = (1280, 720)
"""Width and height of a picture."""

MOST_CASES = 6
"""Variants times light levels: as many pictures as one sheet shows."""

YOUNGEST_YEARS, OLDEST_YEARS = 15.0, 75.0
"""Of an age asked for: no younger driver, and the model of visibility ends at the older."""


@dataclass(frozen=True, eq=False)
class _Before:
    """One variant before the eye."""

    placed: PlacedScene
    scene: Setting
    point: Viewpoint


def view(
    document: SceneDocument,
    variants: Sequence[str] = (),
    *,
    approach: str = "",
    eye: str = "",
    distance_m: float = 100.0,
    state: str = "",
    lights: Sequence[str] = (),
    age_years: float | None = None,
    frame_px: tuple[int, int] = FRAME_PX,
    units: str | None = None,
    progress: Progress = lambda step: None,
) -> ViewResult:
    """What an eye sees of a scene, in every variant and light level asked for.

    Parameters
    ----------
    document : the scene as read.
    variants : names, in this order; the base alone when none is named.
    approach, eye : id of one or the other; the first approach, else the first eye.
    distance_m : along the road from the eye to the vehicle's nearest face.
    state : duty state; the first one when empty.
    lights : light levels; "night", else the first, when none is named.
    age_years : of the eye; 50, or the eye's own, when not given.
    frame_px : width and height of a picture.
    units : "metric" or "us" for the output; the scene's own when not given.
    progress : is told what is being worked on.
    """
    names = list(variants) or [document.base]
    levels = list(lights) or ["night" if "night" in document.light else next(iter(document.light))]
    duty = _known(state or next(iter(document.states)), document.states, "--state", "duty state")
    for light in levels:
        _known(light, document.light, "--light", "light level")
    if len(names) * len(levels) > MOST_CASES:
        raise UsageError(f"asks for {len(names) * len(levels)} pictures", key="--variants",
                         accepted=f"give variants and light levels for at most {MOST_CASES}")  # fmt: skip
    looker = chosen_eye(document, approach, eye)
    age = _age(looker, age_years)
    before = {name: _before(document, name, looker, distance_m) for name in names}
    store = Contributions()
    cases = []
    for name in names:
        areas = _areas(before[name].placed, duty, levels, store)
        for light in levels:
            progress(f"{name}, {light}")
            cases.append(_case(name, before[name], duty, light, age, areas[light], frame_px))
    first = before[names[0]]
    return ViewResult(
        about=about(document, [one.placed for one in before.values()], units),
        state=duty,
        eye_id=first.point.eye_id,
        eye=first.point.words,
        distance_m=first.point.distance_m,
        height_m=first.point.height_m,
        age_years=age,
        pigmentation=first.point.pigmentation,
        gaze=first.point.gaze,
        weather=_weather_words(document),
        ground=first.scene.materials.ground_words,
        headlamps=first.point.headlamp_words,
        visible_level=first.point.visible_level,
        visible_from="the approach" if isinstance(looker, Approach) else "the default of an approach",
        veil_form=f"{HEADLINE_FORM}, nearer than 0.1 deg {NEAR_FORM}",
        target_form=TARGET_FORM,
        unconfirmed=str(TARGET_UNCONFIRMED),
        cases=tuple(cases),
        notes=_notes(first, [(duty, light) for light in levels]),
    )


def _before(document: SceneDocument, name: str, looker: Approach | Eye, distance_m: float) -> _Before:
    placed = place(apply_variant(document, name))
    point = viewpoint(placed, looker, distance_m)
    return _Before(placed, setting(placed, point.headlamps, road=point.road), point)


def _case(
    name: str,
    before: _Before,
    state: str,
    light: str,
    age: float,
    areas: tuple[ViewArea, ...],
    frame_px: tuple[int, int],
) -> ViewCase:
    placed, scene, point = before.placed, before.scene, before.point
    document, around = placed.scene, placed.scene.light[light]
    of_scene = _levels(placed, state, light)
    levels = np.append(of_scene, np.ones(scene.own))
    looked_for = (*point.people, *point.objects)
    targets = tuple(_target(before, one, levels, around.ambient_lx, age) for one in looked_for)
    cameras = {"wide": point.wide(*frame_px), "zoom": point.zoom(*frame_px)}
    frames = tuple(_frame(before, kind, camera, levels, around.ambient_lx, age) for kind, camera in cameras.items())
    lux, total = _glare(before, of_scene, age)
    return ViewCase(
        variant=name,
        say=document.variants[name].say if name in document.variants else document.title,
        light=light,
        ambient_lx=around.ambient_lx,
        frames=frames,
        targets=targets,
        areas=areas,
        eye_illuminance_lx=lux,
        veil_cd_m2=total,
        lamps_on=tuple(lamp for lamp, level in zip(placed.lamp_ids, of_scene, strict=True) if level > 0.0),
    )


def _frame(before: _Before, kind: str, camera: Camera, levels: Array, ambient_lx: float, age: float) -> ViewFrame:
    point = before.point
    seen = luminance(before.scene, camera, levels, ambient_lx)
    outlines = tuple(
        (one, np.isin(seen.hits.surface, target_surfaces(before.placed, one)))
        for one in (*point.people, *point.objects)
    )
    return ViewFrame(
        name="wide" if kind == "wide" else "zoom",
        field_deg=float(np.degrees(2.0 * np.arctan(0.5 * camera.width_px * camera.step))),
        luminance_cd_m2=seen.luminance_cd_m2,
        veil_cd_m2=veil(seen, age_years=age, pigmentation=point.pigmentation),
        outlines=tuple((one, mask) for one, mask in outlines if mask.any()),
    )


def _target(before: _Before, target_id: str, levels: Array, ambient_lx: float, age: float) -> ViewTarget:
    placed, point = before.placed, before.point
    person = next((one for one in placed.scene.people if one.id == target_id), None)
    item = person or next(one for one in placed.scene.objects if one.id == target_id)
    light = target_light(placed, before.scene, point.eye_m, target_id, along_m=point.distance_m)
    found = light.seen(levels, ambient_lx, age_years=age, pigmentation=point.pigmentation)
    parts = zip(
        found.parts, found.levels, found.target_cd_m2, found.background_cd_m2, found.thresholds_cd_m2,
        found.size_arcmin, found.difference_cd_m2, strict=True,
    )  # fmt: skip
    level = float(found.level)
    return ViewTarget(
        target_id=target_id,
        name=item.name or target_id,
        kind="person" if person is not None else "object",
        sighting=_sighting(level, point.visible_level, float(light.optical_depth)),
        level=level,
        seen_by=found.seen_by[0],
        veil_cd_m2=float(found.veil_cd_m2),
        parts=tuple(ViewPart(name, *(float(value) for value in values)) for name, *values in parts),
        caution=beyond_model(float(light.optical_depth), placed.scene.weather),
    )


def _sighting(level: float, visible: float, optical_depth: float) -> Sighting:
    if np.isnan(level):
        return "not valid" if optical_depth > MOST_DEPTH else "hidden"
    if abs(level) >= visible:
        return "visible"
    return "marginal" if abs(level) >= 1.0 else "not visible"


def _glare(before: _Before, levels: Array, age: float) -> tuple[float, float]:
    """Illuminance and veil of the scene's lamps for the line of sight."""
    point, scene = before.point, before.scene
    lamps = before.placed.lamps
    seen = through(lamps_seen(lamps, scene.blockers, point.eye_m, levels), scene.haze)
    cosine = np.clip(seen.direction @ point.line_of_sight, -1.0, 1.0)
    lux = seen.illuminance_lx * np.maximum(cosine, 0.0)
    lit = lux > 0.0
    angle = np.degrees(np.arccos(cosine[lit]))
    per_lux = picture_veil_per_lux(angle, age_years=age, pigmentation=point.pigmentation)
    return float(lux.sum()), float((lux[lit] * per_lux).sum())


def _areas(
    placed: PlacedScene, state: str, lights: Sequence[str], store: Contributions
) -> dict[str, tuple[ViewArea, ...]]:
    levels = {(state, light): _levels(placed, state, light) for light in lights}
    found = [
        light_area(placed, area_points(placed.vehicles, placed.ground, area), levels, {}, store)
        for area in placed.scene.areas
    ]
    return {
        light: tuple(
            ViewArea(area.area_id, area.name, entry.maintained)
            for area in found
            for entry in area.entries
            if entry.light == light
        )
        for light in lights
    }


def _levels(placed: PlacedScene, state: str, light: str) -> Array:
    circuits = [lamp.circuit for lamp in placed.placed_lamps]
    return lamp_levels(circuits, placed.scene.states[state].circuits, placed.scene.light[light].factors)


def _age(looker: Approach | Eye, asked: float | None) -> float:
    ages = (looker.age_years,) if isinstance(looker, Eye) else looker.ages_years
    oldest = max((one for one in ages if one < OLDEST_YEARS), default=max(ages))  # as the approach's own first lines
    age = oldest if asked is None else asked
    if not (0.0 if asked is None else YOUNGEST_YEARS) <= age < OLDEST_YEARS:
        accepted = f"give {YOUNGEST_YEARS:g} to below {OLDEST_YEARS:g}: the model of visibility ends there"
        raise UsageError("is not an age that the model covers", key="--age", value=f"{age:g}", accepted=accepted)
    return age


def _known(name: str, known: Iterable[str], key: str, what: str) -> str:
    names = list(known)
    if name not in names:
        raise UsageError(f"is not a {what} of this scene", key=key, value=name, accepted=near(name, names))
    return name


def _weather_words(document: SceneDocument) -> str:
    weather = document.weather
    return "clear air" if weather.visibility_m is None else f"{weather.kind}, visibility {weather.visibility_m:g} m"


def _notes(before: _Before, cases: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    scene, document = before.scene, before.placed.scene
    film = (
        f"Wet road: a simple mirror model, facets of roughness {scene.materials.film.roughness:g}; no measured road."
        if scene.materials.film is not None
        else ""
    )
    notes = (
        "Natural light comes from an even sky, without shadows.",
        "Sheeting and tape answer to the own headlamps only.",
        film,
    )
    air = air_note(document.weather), *flash_notes(before.placed, cases), lit_air_note(document.weather)
    first = (*air, *visibility_notes(document))
    said = (f"{note[0].upper()}{note[1:]}." for note in first if note)
    return (*said, *(note for note in notes if note))
