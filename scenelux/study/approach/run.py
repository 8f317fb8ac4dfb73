"""The job of `scenelux approach`: every approach of a scene in one or more variants."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import MEMORY_LIMIT_BYTES, Contributions
from scenelux.errors import LimitError, UsageError
from scenelux.placement import ApproachPath, PlacedScene, approach_path, place
from scenelux.scene.model import Approach, SceneDocument
from scenelux.scene.variants import apply_variant
from scenelux.scene.words import near
from scenelux.study.approach.eye import glare, meet
from scenelux.study.approach.formulas import approach_notes, weather_notes
from scenelux.study.approach.targets import look_for
from scenelux.study.drawings import lamp_drawings, site_drawing
from scenelux.study.flashing import flash_notes
from scenelux.study.results.approach import ApproachResult, ApproachStudy, ApproachVariant
from scenelux.study.simulate import about, levels_of
from scenelux.study.view.visible import EXPOSURE_S

__all__ = ["Asked", "cases_of", "drive"]

Array = NDArray[np.float64]
Progress = Callable[[str], None]

OTHER_SERIES = 20
"""Series of values along the way beside those by lamp."""


@dataclass(frozen=True)
class Asked:
    """One approach, duty state or light level that is asked for; all that the scene names where empty."""

    approach: str = ""
    state: str = ""
    light: str = ""


def drive(
    scene: SceneDocument,
    variants: Sequence[str] = (),
    asked: Asked | None = None,
    *,
    units: str | None = None,
    progress: Progress = lambda step: None,
    store: Contributions | None = None,
) -> ApproachStudy:
    """Drives along the approaches of a scene.

    Parameters
    ----------
    scene : as read by `read_scene`.
    variants : names, in this order; the base alone when none is named.
    asked : one approach, duty state or light level; all of the scene when not given.
    units : "metric" or "us" for the output; the scene's own when not given.
    progress : is told what is being worked on.
    store : what single lamps give, where it is known already; a new one when not given.
    """
    wanted = Asked() if asked is None else asked
    chosen = _approaches(scene, wanted)
    names = list(variants) or [scene.base]
    placed = [place(apply_variant(scene, name)) for name in names]
    store = Contributions() if store is None else store
    found = [_variant(name, one, chosen, wanted, progress, store) for name, one in zip(names, placed, strict=True)]
    head = about(scene, placed, units)
    notes = tuple(dict.fromkeys((*weather_notes(scene), *head.notes, *approach_notes(scene))))
    return ApproachStudy(head, tuple(found), notes)


def cases_of(placed: PlacedScene, path: ApproachPath, asked: Asked) -> dict[tuple[str, str], Array]:
    """Levels of the lamps by duty state and light level, those that an approach is computed in.

    Parameters
    ----------
    placed : the scene on its site.
    path : the driver's way.
    asked : one of them, or all.
    """
    states = [asked.state] if asked.state else path.states
    lights = [asked.light] if asked.light else path.lights
    levels = levels_of(placed)
    return {(state, light): levels[state, light] for state in states for light in lights}


def _approaches(scene: SceneDocument, asked: Asked) -> tuple[Approach, ...]:
    """Those asked for; unknown names are told with those known."""
    if not scene.approaches:
        raise UsageError("has no approach", value=scene.name, accepted="add an [[approaches]] with an id and a lane")
    for key, what, name, known in (
        ("--approach", "an approach", asked.approach, [one.id for one in scene.approaches]),
        ("--state", "a duty state", asked.state, list(scene.states)),
        ("--light", "a light level", asked.light, list(scene.light)),
    ):
        if name and name not in known:
            raise UsageError(f"is not {what} of this scene", key=key, value=name, accepted=near(name, known))
    return tuple(one for one in scene.approaches if asked.approach in ("", one.id))


def _variant(
    name: str,
    placed: PlacedScene,
    chosen: Sequence[Approach],
    asked: Asked,
    progress: Progress,
    store: Contributions,
) -> ApproachVariant:
    scene = placed.scene
    found = []
    for approach in chosen:
        progress(f"{name}: {approach.id}: glare")
        found.append(_drive(placed, approach_path(placed, approach), asked, lambda s: progress(f"{name}: {s}"), store))
    return ApproachVariant(
        name=name,
        say=scene.variants[name].say if name in scene.variants else scene.title,
        lamps=lamp_drawings(placed),
        site=site_drawing(placed),
        approaches=tuple(found),
    )


def _drive(
    placed: PlacedScene, path: ApproachPath, asked: Asked, progress: Progress, store: Contributions
) -> ApproachResult:
    approach, levels = path.approach, cases_of(placed, path, asked)
    _check_memory(placed, path, len(levels))
    eyes = glare(placed, path, levels, store)
    lamps = path.headlamps
    return ApproachResult(
        approach_id=approach.id,
        name=approach.name or approach.id,
        lane=path.lane_name,
        direction=path.direction,
        vehicle_id=path.vehicle_id,
        speed_m_s=path.speed_m_s,
        reaction_s=approach.reaction_time_s,
        stopping_distance_m=path.stopping_distance_m,
        visibility_level=approach.visibility_level,
        eye_height_m=approach.eye_height_m,
        ages_years=approach.ages_years,
        pigmentation=approach.pigmentation,
        exposure_s=EXPOSURE_S,
        headlamps="none" if lamps is None else f"{lamps.luminaire.title} ({lamps.luminaire.data_words})",
        weather=_weather(placed.scene),
        distances_m=path.distances_m,
        times_s=path.times_s,
        points_m=path.points_m,
        eyes=eyes,
        entries=meet(placed, path, levels, store, eyes),
        targets=look_for(placed, path, levels, progress),
        notes=(*flash_notes(placed, list(levels)), *_notes(path)),
    )


def _check_memory(placed: PlacedScene, path: ApproachPath, cases: int) -> None:
    """Raises LimitError where results by lamp at all stations would take more than a limit."""
    scene, approach = placed.scene, path.approach
    by_case = cases * (len(path.gazes) + len(path.people) + len(path.objects)) * len(approach.ages_years)
    size = 8 * len(path.distances_m) * (len(placed.placed_lamps) + OTHER_SERIES) * by_case
    if size > MEMORY_LIMIT_BYTES:
        key = f"approaches[{[one.id for one in scene.approaches].index(approach.id)}].step"
        taken, limit = (f"{one / 1e9:.2f} GB" for one in (size, MEMORY_LIMIT_BYTES))
        problem = f"is too fine: the results would take {taken} where {limit} is the limit"
        accepted = "give a larger step, fewer gazes, or ask for one duty state and light level"
        raise scene.locate(LimitError(problem, key=key, accepted=accepted), key)


def _weather(scene: SceneDocument) -> str:
    weather = scene.weather
    return "clear air" if weather.visibility_m is None else f"{weather.kind}, visibility {weather.visibility_m:g} m"


def _notes(path: ApproachPath) -> tuple[str, ...]:
    said = (
        ("the own headlamps light the road and what stands on it, not the driver's eye", path.headlamps is not None),
        ("brakes would not hold on this road: no stopping sight distance", np.isnan(path.stopping_distance_m)),
    )
    return tuple(text for text, applies in said if applies)
