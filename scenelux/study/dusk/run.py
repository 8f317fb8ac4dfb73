"""The job of `scenelux dusk`: from a scene and its switching document to everything that a report shows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions
from scenelux.errors import InputError
from scenelux.placement import PlacedScene, place
from scenelux.scene.model import SceneDocument
from scenelux.scene.switching import SwitchingText, SwitchRule
from scenelux.scene.switching_read import SwitchingDocument
from scenelux.scene.variants import apply_variant
from scenelux.study.dusk.bridge import rules_of
from scenelux.study.dusk.light import RowLight
from scenelux.study.dusk.load import Loads, loads_of, mean_power_w, supply_words
from scenelux.study.dusk.matrix import Matrix, burning_shares, matrix_of
from scenelux.study.dusk.natural import evenings
from scenelux.study.dusk.properties import check_properties
from scenelux.study.dusk.reach import reach
from scenelux.study.dusk.sensor import SensorPlace, own_light_lx, passing_lx, sensor_place, sensor_words, sky_share
from scenelux.study.dusk.timelines import Course, run_evening
from scenelux.study.dusk.yard import yard_steps
from scenelux.study.results import InputFile
from scenelux.study.results.dusk import DuskResult, SensorFacts, Timeline
from scenelux.study.simulate import about
from scenelux.switching.document import SwitchingDocument as Rules

__all__ = ["dusk"]

Array = NDArray[np.float64]
Progress = Callable[[str], None]

_NOTES = (
    "areas are maintained light, eyes and own light at the sensor initial light",
    "lamps that flash count as steady, at their level, for light, glare and current; in energy by their share of time",
    "levels are shares of luminous output, not of voltage or current",
    "natural light is that of a clear sky by an unconfirmed formula, divided by the clouds stated",
    "white light is that of all lamps whose card says white or no colour, past bodies, far away",
)


def dusk(
    scene: SceneDocument,
    document: SwitchingDocument,
    *,
    units: str | None = None,
    progress: Progress = lambda step: None,
    store: Contributions | None = None,
) -> DuskResult:
    """Checks the switching of a scene, runs it through its evening, and measures and costs every level.

    Parameters
    ----------
    scene : as read by `read_scene`; the base variant counts.
    document : its switching document, or another one.
    units : "metric" or "us" for the output; the scene's own when not given.
    progress : is told what is being worked on.
    store : what single lamps give, where it is known already; a new one when not given.
    """
    placed, text = place(apply_variant(scene, scene.base)), document.text
    light = RowLight(placed, tuple(scene.circuits), Contributions() if store is None else store)
    sensor, view = text.sensor, 1.0
    if sensor is not None:
        view = sky_share(sensor.facing, sensor.field_of_view_deg)
    rules = rules_of(scene, document, view)
    at = sensor_place(placed, document) if sensor is not None else None
    own = np.zeros(len(light.circuits)) if at is None else own_light_lx(placed, at, light.circuits, light.store)
    progress("all inputs")
    found = reach(rules.switching, rules.properties, rules.failures)
    own_lx = dict(zip(light.circuits, own.tolist(), strict=True))
    checked = check_properties(document, rules, light, found, own_lx)
    progress("state matrix")
    loads = loads_of(placed, text.supply)
    try:
        matrix = matrix_of(light, found, loads, text.dimming)
    except InputError as error:
        raise document.locate(error) from None
    head = about(scene, [placed], units)
    read = InputFile(document.read.file, document.read.sha256)
    return DuskResult(
        about=replace(head, inputs=(*head.inputs, read)),
        title=text.title,
        switching=document.read.file,
        circuits=dict(scene.circuits),
        rules={rule.id: _rule_words(rule) for rule in text.rules},
        check=checked,
        sensor=None if sensor is None else _sensor(text, view, own_lx),
        timelines=_timelines(document, rules, light, at, own, matrix, loads, progress),
        matrix=matrix.rows,
        supply=supply_words(text.supply),
        yard=yard_steps(text, rules, found, matrix),
        notes=(*head.notes, *_NOTES, *loads.notes),
    )


def _sensor(text: SwitchingText, view: float, own_lx: dict[str, float]) -> SensorFacts:
    assert text.sensor is not None
    return SensorFacts(
        says=sensor_words(text.sensor),
        dark_below_lx=text.sensor.dark_below_lx,
        bright_above_lx=text.sensor.bright_above_lx,
        dark_delay_s=text.sensor.dark_delay_s,
        bright_delay_s=text.sensor.bright_delay_s,
        view_factor=view,
        own_lx=own_lx,
    )


def _timelines(
    document: SwitchingDocument,
    rules: Rules,
    light: RowLight,
    at: SensorPlace | None,
    own: Array,
    matrix: Matrix,
    loads: Loads,
    progress: Progress,
) -> tuple[Timeline, ...]:
    text = document.text
    if text.dusk is None or text.sensor is None or at is None:
        return ()

    def power_w(levels: tuple[float, ...]) -> float:
        return mean_power_w(loads, levels, burning_shares(light, matrix.row_of(levels)))

    course = Course(
        switching=rules.switching,
        own_lx=own,
        row_of=matrix.row_of,
        power_w=power_w,
        start_utc=f"{text.dusk.start:%Y-%m-%d %H:%M:%S} UTC",
        duration_s=text.dusk.duration_s,
        within_s=text.sensor.flutter_within_s,
    )
    found = []
    for one in evenings(document, _passing(light.placed, text, at, light.store)):
        progress(f"evening: {one.name}")
        found.append(run_evening(course, one))
    return tuple(found)


def _passing(
    placed: PlacedScene, text: SwitchingText, at: SensorPlace, store: Contributions
) -> list[tuple[Array, Array]]:
    """Passing cars as light on level ground that gives the reading they give."""
    assert text.sensor is not None and text.dusk is not None
    view = sky_share(text.sensor.facing, text.sensor.field_of_view_deg)
    names = [one.approach for one in text.dusk.disturbances if one.approach is not None]
    found = [passing_lx(placed, at, name, store) for name in names]
    return [(times, lux / view) for times, lux in found]


def _rule_words(rule: SwitchRule) -> str:
    parts = [] if rule.state is None else [f'duty state "{rule.state}"']
    parts += [f"{name} {level:g}" for name, level in rule.levels.items()]
    parts += [] if rule.light is None else [f'factors of "{rule.light}"']
    parts += [f"{name} times {factor:g}" for name, factor in rule.factors.items()]
    return ", ".join(parts)
