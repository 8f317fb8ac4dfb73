"""The main job: from a scene to everything that a report shows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.checks import Rule
from scenelux.engine import Contributions
from scenelux.errors import UsageError
from scenelux.placement import PlacedScene, area_points, eye_path, place
from scenelux.scene.model import SceneDocument
from scenelux.scene.variants import apply_variant
from scenelux.sources import CAUTIONS
from scenelux.study.areas import light_area
from scenelux.study.crew.glare import crew_eyes
from scenelux.study.crew.notes import crew_notes
from scenelux.study.crew.people import light_people
from scenelux.study.crew.standing import standing_places
from scenelux.study.crew.watchers import looks_on
from scenelux.study.drawings import lamp_drawings, luminaire_facts, site_drawing
from scenelux.study.eyes import look
from scenelux.study.flashing import flash_notes
from scenelux.study.formulas import glare_notes
from scenelux.study.levels import lamp_levels
from scenelux.study.memory import check_memory
from scenelux.study.results import InputFile, StudyResult, VariantResult
from scenelux.study.site_map import map_site
from scenelux.study.verdicts import asked_of, rules_of, verdicts
from scenelux.study.windows import light_windows

__all__ = ["about", "levels_of", "simulate", "simulate_pair"]

Progress = Callable[[str], None]


def simulate(
    scene: SceneDocument,
    variants: Sequence[str] = (),
    *,
    units: str | None = None,
    progress: Progress = lambda step: None,
    store: Contributions | None = None,
) -> StudyResult:
    """Computes a scene in every duty state at every light level.

    Parameters
    ----------
    scene : as read by `read_scene`.
    variants : names of variants to compute, in this order; the base alone when none is named.
    units : "metric" or "us" for the output; the scene's own when not given.
    progress : is told what is being worked on.
    store : what single lamps give, where it is known already; a new one when not given. Variants that share lamps,
        bodies and points compute each lamp once.
    """
    names = list(variants) or [scene.base]
    rules = rules_of(scene)
    placed = [place(apply_variant(scene, name)) for name in names]
    check_memory(placed)
    store = Contributions() if store is None else store
    found = [_variant(name, one, rules, progress, store) for name, one in zip(names, placed, strict=True)]
    return replace(about(scene, placed, units), variants=tuple(found))


def about(scene: SceneDocument, placed: Sequence[PlacedScene], units: str | None = None) -> StudyResult:
    """What every result says of a scene, without variants.

    Parameters
    ----------
    scene : as read by `read_scene`.
    placed : every variant that is computed.
    units : "metric" or "us" for the output; the scene's own when not given.
    """
    return StudyResult(
        title=scene.title,
        scene_name=_name(scene),
        units=_units(units, scene),
        demonstration=scene.demonstration,
        states={name: state.say for name, state in scene.states.items()},
        lights={name: light.say for name, light in scene.light.items()},
        variants=(),
        luminaires=luminaire_facts(placed),
        inputs=_inputs(placed),
        notes=_notes(placed),
        cautions=CAUTIONS,
    )


def simulate_pair(
    first: SceneDocument,
    second: SceneDocument,
    *,
    units: str | None = None,
    progress: Progress = lambda step: None,
    store: Contributions | None = None,
) -> StudyResult:
    """Computes two scenes, each as written, to be compared: they must share a duty state and a light level.

    Parameters
    ----------
    first, second : as read by `read_scene`.
    units, progress, store : as in `simulate`.
    """
    for what, ours, theirs in (("state", first.states, second.states), ("light level", first.light, second.light)):
        if not set(ours) & set(theirs):
            raise UsageError(f"has no {what} of the same name as {_name(first)}", value=_name(second),
                             accepted=f"the {what}s of {_name(first)} are {', '.join(ours)}")  # fmt: skip
    check_memory([place(first), place(second)])
    store = Contributions() if store is None else store
    one = simulate(first, units=units or first.units, progress=progress, store=store)
    two = simulate(second, units=units or first.units, progress=progress, store=store)
    names = (_name(first), _name(second))
    same = names[0] == names[1]
    variants = (
        replace(one.variants[0], name=f"{names[0]} (1)" if same else names[0]),
        replace(two.variants[0], name=f"{names[1]} (2)" if same else names[1]),
    )
    return replace(
        one,
        title=f"{first.title} / {second.title}",
        states={**two.states, **one.states},
        lights={**two.lights, **one.lights},
        demonstration=one.demonstration or two.demonstration,
        variants=variants,
        luminaires=one.luminaires + tuple(facts for facts in two.luminaires if facts not in one.luminaires),
        inputs=one.inputs + tuple(file for file in two.inputs if file not in one.inputs),
        notes=one.notes + tuple(note for note in two.notes if note not in one.notes),
    )


def levels_of(placed: PlacedScene) -> dict[tuple[str, str], NDArray[np.float64]]:
    """Levels of the lamps, (lamps,), by (state, light) in the order of the document."""
    circuits = [lamp.circuit for lamp in placed.placed_lamps]
    return {
        (state_id, light_id): lamp_levels(circuits, state.circuits, light.factors)
        for state_id, state in placed.scene.states.items()
        for light_id, light in placed.scene.light.items()
    }


def _variant(
    name: str, placed: PlacedScene, rules: tuple[Rule, ...], progress: Progress, store: Contributions
) -> VariantResult:
    scene = placed.scene
    levels = levels_of(placed)
    grids = [area_points(placed.vehicles, placed.ground, area) for area in scene.areas]
    progress(f"{name}: areas")
    areas = [light_area(placed, grid, levels, asked_of(placed, rules, grid.area.id), store) for grid in grids]
    progress(f"{name}: drivers' eyes")
    eyes = [look(placed, eye_path(scene, placed.vehicles, placed.ground, eye), levels, store) for eye in scene.eyes]
    progress(f"{name}: people")
    lit = list(zip(grids, areas, strict=True))
    crew = crew_eyes(placed, lit, levels, store)
    progress(f"{name}: plan")
    site_map = map_site(placed, levels, store)
    return VariantResult(
        name=name,
        say=scene.variants[name].say if name in scene.variants else scene.title,
        lamps=lamp_drawings(placed),
        site=site_drawing(placed),
        map=site_map,
        areas=tuple(areas),
        eyes=tuple(eyes),
        windows=light_windows(placed, levels, store),
        verdicts=verdicts(placed, rules, lit, eyes, levels, crew),
        crew=crew,
        people=light_people(placed, levels, store),
        standing=standing_places(placed, grids, levels, store),
    )


def _name(scene: SceneDocument) -> str:
    return Path(scene.file).stem


def _units(asked: str | None, scene: SceneDocument) -> Literal["metric", "us"]:
    if asked not in (None, "metric", "us"):
        raise UsageError("is not a system of units", key="--units", value=asked, accepted="give metric or us")
    return "us" if (asked or scene.units) == "us" else "metric"


def _inputs(placed: Sequence[PlacedScene]) -> tuple[InputFile, ...]:
    files = {(entry.file, entry.sha256) for one in placed for entry in one.scene.inputs}
    return tuple(InputFile(file, digest) for file, digest in sorted(files))


def _notes(placed: Sequence[PlacedScene]) -> tuple[str, ...]:
    notes = [note for one in placed for note in one.notes]
    formulas = glare_notes() if any(one.scene.eyes for one in placed) else ()
    crew = crew_notes() if any(looks_on(one) for one in placed) else ()
    seen = [one for one in placed if one.scene.eyes or looks_on(one)]
    flashing = [note for one in seen for note in flash_notes(one)]
    return tuple(dict.fromkeys((*flashing, *notes, *formulas, *crew)))
