"""From the switching document to the values of the check: states and light levels become levels, limits SI units."""

from __future__ import annotations

from typing import Any

from scenelux.errors import InputError
from scenelux.scene.model import SceneDocument
from scenelux.scene.switching import AMBIENT_LIGHT, StatedProperty, SwitchingText, SwitchInput, SwitchRule
from scenelux.scene.switching_read import SwitchingDocument
from scenelux.switching.document import SwitchingDocument as Rules
from scenelux.switching.document import read_switching

__all__ = ["UNITS_OF", "quantity_name", "rules_of", "sensor_table"]

UNITS_OF = {"area": "lx", "eye": "cd/m2", "white": "cd"}
"""What a property limits -> the unit in which the check has it."""


def rules_of(scene: SceneDocument, document: SwitchingDocument, view_factor: float) -> Rules:
    """Inputs, rules, properties and sensor as the check takes them.

    Parameters
    ----------
    scene : whose duty states and light levels the rules name.
    document : its switching document.
    view_factor : reading of the sensor as a share of the light on level ground.

    An error has the place in the switching document.
    """
    text = document.text
    tables: dict[str, Any] = {
        "inputs": {name: _input(one) for name, one in text.inputs.items()},
        "circuits": list(scene.circuits),
        "rules": [_rule(scene, rule) for rule in text.rules],
        "properties": [_property(text, stated) for stated in text.properties],
        "check": {"failures": text.failures},
    }
    if text.sensor is not None:
        fails_to = list(text.sensor.fails_to)
        tables["inputs"][AMBIENT_LIGHT] = {"kind": "light sensor", "normal": "day", "fails_to": fails_to}
        tables["sensor"] = sensor_table(text, view_factor)
    try:
        return read_switching(tables)
    except InputError as error:
        raise document.locate(error) from None


def sensor_table(text: SwitchingText, view_factor: float) -> dict[str, Any]:
    """The sensor in SI units.

    Parameters
    ----------
    text : a document with a sensor.
    view_factor : as in `rules_of`.
    """
    sensor = text.sensor
    assert sensor is not None
    return {
        "dark_below_lx": sensor.dark_below_lx,
        "bright_above_lx": sensor.bright_above_lx,
        "dark_dwell_s": sensor.dark_delay_s,
        "bright_dwell_s": sensor.bright_delay_s,
        "averaging": sensor.averaging,
        "averaging_s": sensor.averaging_time_s,
        "view_factor": view_factor,
        "starts": sensor.starts,
    }


def _input(one: SwitchInput) -> dict[str, Any]:
    table: dict[str, Any] = {"kind": one.kind, "normal": one.normal, "fails_to": list(one.fails_to)}
    if one.kind == "one of":
        table["choices"] = list(one.values or ())
    if one.kind == "number":
        table |= {"highest": one.top, "unit": one.unit}
    if one.words is not None:
        table["words"] = list(one.words)
    return table


def _conditions(one: SwitchRule | StatedProperty) -> dict[str, Any]:
    return {"when": one.when, **({} if one.when_any is None else {"when_any": list(one.when_any)})}


def _rule(scene: SceneDocument, rule: SwitchRule) -> dict[str, Any]:
    levels = dict(rule.levels)
    if rule.state is not None:
        circuits = scene.states[rule.state].circuits
        levels = {circuit: circuits.get(circuit, 0.0) for circuit in scene.circuits} | levels
    factors = {} if rule.light is None else dict(scene.light[rule.light].factors)
    return {
        "id": rule.id,
        **_conditions(rule),
        "set": levels,
        "factor": factors | dict(rule.factors),
        "because": rule.because,
        "overrides": list(rule.overrides),
    }


def quantity_name(stated: StatedProperty) -> str:
    """What a property limits, in words; empty where it limits levels.

    Parameters
    ----------
    stated : of the document.
    """
    if stated.area is not None:
        return f"{'least' if stated.statistic == 'minimum' else 'average'} light on {stated.area}"
    if stated.eye is not None:
        return f"worst veil of {stated.eye}" + (f" ({', '.join(stated.gaze)})" if stated.gaze else "")
    if stated.white is not None:
        heading, elevation = stated.white.heading_deg, stated.white.elevation_deg
        where = f"heading {heading[0]:g} to {heading[1]:g} deg, {elevation[0]:g} to {elevation[1]:g} deg up"
        return f"white light ({where})"
    return ""


def _property(text: SwitchingText, stated: StatedProperty) -> dict[str, Any]:
    table = {"id": stated.id, "because": stated.because, **_conditions(stated), **_asked(text, stated)}
    return table if stated.failures is None else {**table, "failures": stated.failures}


def _asked(text: SwitchingText, stated: StatedProperty) -> dict[str, Any]:
    circuits = list(stated.circuits or ())
    if stated.must == "not be dimmed":
        return {"kind": "never dimmed", "circuits": circuits} | ({} if stated.level is None else {"full": stated.level})
    if stated.must == "not be lowered by a failure":
        return {"kind": "not lowered by failure", "circuits": circuits, "confirmed_minimum": stated.level}
    if stated.must == "fail to":
        default = {"levels": dict(stated.levels)} if stated.levels is not None else {"as_if": stated.as_if}
        only = {"circuits": circuits} if circuits and stated.levels is None else {}
        return {"kind": "fails to", "input": stated.input, **default, **only}
    sense = stated.must.removeprefix("be ")
    if stated.subject is None:
        return {"kind": f"levels {sense}", "circuits": circuits, "level": stated.level}
    unit = UNITS_OF[stated.subject]
    limit = stated.limit_in(text.units)
    return {"kind": f"quantity {sense}", "quantity": quantity_name(stated), "limit": limit, "unit": unit}
