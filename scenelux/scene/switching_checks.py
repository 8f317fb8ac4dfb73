"""Checks of a switching document against its scene: names that must be known, values that inputs can have."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from scenelux.scene.model import SceneText
from scenelux.scene.positions import KeyPath
from scenelux.scene.switching import ALL_BELOW, AMBIENT_LIGHT, StatedProperty, SwitchingText, SwitchInput, SwitchRule
from scenelux.scene.words import near

__all__ = ["switching_faults"]

FAILED, HEALTHY, LAST = "failed", "healthy", "last"
SENSOR_FAULTS = ("stuck low", "stuck high", "noisy")
LIGHTS = ("day", "night")
LIGHT_AS_IT_IS = (*LIGHTS, "between", "turning day", "turning night")

_Fault = tuple[KeyPath, str, str, bool]  # where, what is wrong, what would be accepted, whether the key is at fault


def switching_faults(text: SwitchingText, scene: SceneText) -> Iterator[_Fault]:
    """Everything that a switching document names and its scene does not have, or that does not fit together.

    Parameters
    ----------
    text : the switching document.
    scene : whose circuits, duty states, light levels, areas, eyes and approaches it names.
    """
    if AMBIENT_LIGHT in text.inputs:
        yield ("inputs", AMBIENT_LIGHT), "is the name of the sensor's input", "rename it; [sensor] gives it", True
    for name, one in text.inputs.items():
        yield from _fails_to(("inputs", name, "fails_to"), one.fails_to, (*_values(one), LAST, FAILED), one)
    if text.sensor is not None:
        accepted = (*LIGHTS, LAST, FAILED, *SENSOR_FAULTS)
        yield from _fails_to(("sensor", "fails_to"), text.sensor.fails_to, accepted, None)
    for i, rule in enumerate(text.rules):
        yield from _rule(text, rule, i)
    for i, stated in enumerate(text.properties):
        yield from _conditions(text, stated, ("properties", i), as_it_is=True)
        yield from _property(text, stated, ("properties", i))
    yield from _run_inputs(text)
    yield from _twice(text)
    for path, name, known, what in _references(text, scene):
        if name not in known:
            at_key = path[-2:-1] in (("set",), ("factor",), ("levels",), ("harness",), ("dimming",))
            yield path, f"is not {what}", near(name, known), at_key


def _values(one: SwitchInput) -> tuple[object, ...]:
    return (True, False) if one.kind == "yes or no" else tuple(one.values or ())


def _can_be(one: SwitchInput, value: object) -> bool:
    """Whether an input can have a value; 1 is not true."""
    if one.kind == "number":
        return isinstance(value, float) and 0.0 <= value <= one.top
    return any(value is known or (isinstance(value, str) and value == known) for known in _values(one))


def _words(values: Collection[object]) -> str:
    return ", ".join(str(value).lower() if isinstance(value, bool) else f'"{value}"' for value in values)


def _fails_to(
    path: KeyPath, given: Collection[object], accepted: Collection[object], one: SwitchInput | None
) -> Iterator[_Fault]:
    for value in given:
        plain = value in accepted if isinstance(value, str) else one is not None and _can_be(one, value)
        if not plain:
            number = "a number, " if one is not None and one.kind == "number" else ""
            yield path, "holds what cannot be read", f"give {number}{_words(accepted)}", False


def _rule(text: SwitchingText, rule: SwitchRule, i: int) -> Iterator[_Fault]:
    yield from _conditions(text, rule, ("rules", i), as_it_is=False)
    below = [lower.id for lower in text.rules[i + 1 :]]
    for k, name in enumerate(rule.overrides):
        if name not in (*below, ALL_BELOW):
            yield ("rules", i, "overrides", k), "is no rule below", near(name, [*below, ALL_BELOW]), False


def _conditions(
    text: SwitchingText, one: SwitchRule | StatedProperty, path: KeyPath, *, as_it_is: bool
) -> Iterator[_Fault]:
    tables = [((*path, "when"), one.when)]
    tables += [((*path, "when_any", k), table) for k, table in enumerate(one.when_any or ())]
    for at, table in tables:
        for name, wanted in table.items():
            yield from _wanted(text, (*at, name), name, wanted, as_it_is)


def _wanted(text: SwitchingText, path: KeyPath, name: str, wanted: object, as_it_is: bool) -> Iterator[_Fault]:
    known = _input_names(text)
    if name not in known:
        yield path, "is not an input", near(name, known), True
        return
    extra = (FAILED, HEALTHY) if as_it_is else (FAILED,)
    one = text.inputs.get(name)
    if isinstance(wanted, Mapping):
        yield from _band(path, one, wanted)
        return
    for value in wanted if isinstance(wanted, list) else [wanted]:
        if one is None:
            accepted: tuple[object, ...] = (*(LIGHT_AS_IT_IS if as_it_is else LIGHTS), *extra)
            fits = value in accepted
        else:
            accepted = (*_values(one), *extra)
            fits = value in extra or (one.kind != "number" and _can_be(one, value))
        if not fits:
            band = "{ below = 8 } or { at_least = 8 }, " if one is not None and one.kind == "number" else ""
            yield path, f"is not a value of {name}", f"give {band}{_words(accepted)}", False


def _band(path: KeyPath, one: SwitchInput | None, wanted: Mapping[str, float]) -> Iterator[_Fault]:
    if one is None or one.kind != "number":
        yield path, "is a band of an input that is no number", "give one of its values", False
        return
    for end in wanted.values():
        if not 0.0 < end <= one.top:
            yield path, "divides nothing", f"give ends above 0 and up to {one.top:g}", False
    if len(wanted) > 1 and wanted["below"] <= wanted["at_least"]:
        yield path, "is an empty band", "give below higher than at_least", False


def _property(text: SwitchingText, stated: StatedProperty, path: KeyPath) -> Iterator[_Fault]:
    if stated.input is None:
        return
    known = _input_names(text)
    if stated.input not in known:
        yield (*path, "input"), "is not an input", near(stated.input, known), False
        return
    one = text.inputs.get(stated.input)
    if stated.as_if is not None:
        fits = stated.as_if in LIGHTS if one is None else _can_be(one, stated.as_if)
        if not fits:
            accepted = f"give {_words(LIGHTS if one is None else _values(one))}"
            yield (*path, "as_if"), f"is not a value of {stated.input}", accepted, False
    able = text.sensor.fails_to if one is None and text.sensor else one.fails_to if one else ()
    if not able:
        yield (*path, "input"), "never fails here", f"give {stated.input} a fails_to", False


def _run_inputs(text: SwitchingText) -> Iterator[_Fault]:
    if text.dusk is None:
        return
    if text.sensor is None:
        yield ("dusk",), "has no sensor to run", "give a [sensor], or leave dusk out", False
    tables: list[tuple[KeyPath, Mapping[str, object]]] = [(("dusk", "inputs"), text.dusk.inputs)]
    tables += [(("dusk", "disturbances", i, "inputs"), one.inputs) for i, one in enumerate(text.dusk.disturbances)]
    for at, table in tables:
        for name, value in table.items():
            if name not in text.inputs:
                yield (*at, name), "is not an input", near(name, text.inputs), True
            elif not _can_be(text.inputs[name], value):
                accepted = f"give {_words(_values(text.inputs[name])) or 'a number from 0 up'}"
                yield (*at, name), f"is not a value of {name}", accepted, False
    for i, one in enumerate(text.dusk.disturbances):
        if one.at_s >= text.dusk.duration_s:
            accepted = f"give a time below {text.dusk.duration_s:g} s"
            yield ("dusk", "disturbances", i, "at"), "is after the end", accepted, False


def _twice(text: SwitchingText) -> Iterator[_Fault]:
    disturbances = text.dusk.disturbances if text.dusk else ()
    lists: list[tuple[KeyPath, list[str]]] = [
        (("rules",), [rule.id for rule in text.rules]),
        (("properties",), [stated.id for stated in text.properties]),
        (("dusk", "disturbances"), [one.id for one in disturbances]),
    ]
    for path, ids in lists:
        for i, name in enumerate(ids):
            if name in ids[:i]:
                yield (*path, i, "id"), "is used twice", "give every one its own id", False


def _input_names(text: SwitchingText) -> list[str]:
    return [*text.inputs, *([AMBIENT_LIGHT] if text.sensor is not None else [])]


_Reference = tuple[KeyPath, str, Collection[str], str]


def _references(text: SwitchingText, scene: SceneText) -> Iterator[_Reference]:
    circuits, a_circuit = tuple(scene.circuits), "a circuit of the scene"
    for i, rule in enumerate(text.rules):
        if rule.state is not None:
            yield ("rules", i, "state"), rule.state, tuple(scene.states), "a duty state of the scene"
        if rule.light is not None:
            yield ("rules", i, "light"), rule.light, tuple(scene.light), "a light level of the scene"
        for key, table in (("set", rule.levels), ("factor", rule.factors)):
            yield from ((("rules", i, key, circuit), circuit, circuits, a_circuit) for circuit in table)
    for i, stated in enumerate(text.properties):
        at: KeyPath = ("properties", i)
        if stated.area is not None:
            yield (*at, "area"), stated.area, tuple(area.id for area in scene.areas), "an area of the scene"
        if stated.eye is not None:
            yield (*at, "eye"), stated.eye, tuple(eye.id for eye in scene.eyes), "an eye of the scene"
        gazes = tuple(gaze.words for eye in scene.eyes if eye.id == stated.eye for gaze in eye.gaze)
        for k, gaze in enumerate(stated.gaze or ()):
            yield (*at, "gaze", k), gaze, gazes, "a gaze of that eye"
        for k, circuit in enumerate(stated.circuits or ()):
            yield (*at, "circuits", k), circuit, circuits, a_circuit
        for circuit in stated.levels or ():
            yield (*at, "levels", circuit), circuit, circuits, a_circuit
    if text.sensor is not None and text.sensor.of is not None:
        yield ("sensor", "of"), text.sensor.of, tuple(one.id for one in scene.vehicles), "a vehicle of the scene"
    yield from ((("dimming", name), name, circuits, a_circuit) for name in text.dimming)
    if text.supply is not None:
        yield from ((("supply", "harness", name), name, circuits, a_circuit) for name in text.supply.harness)
        for k, name in enumerate(text.supply.shedding):
            yield ("supply", "shedding", k), name, circuits, a_circuit
    for i, one in enumerate(text.dusk.disturbances if text.dusk else ()):
        if one.approach is not None:
            known = tuple(approach.id for approach in scene.approaches)
            yield ("dusk", "disturbances", i, "approach"), one.approach, known, "an approach of the scene"
