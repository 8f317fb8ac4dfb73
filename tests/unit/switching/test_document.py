"""Every broken table is refused in one sentence with its key and what would be accepted."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from scenelux.errors import DocumentError
from scenelux.switching.document import read_switching
from scenelux.switching.inputs import Input, input_states, values_of

GOOD: dict[str, Any] = {
    "inputs": {
        "brake": {"kind": "yes or no", "normal": True},
        "gear": {"kind": "one of", "choices": ["park", "drive"], "normal": "park"},
        "speed": {"kind": "number", "normal": 0.0, "highest": 120.0},
    },
    "circuits": ["beacon"],
    "rules": [{"id": "parked", "when": {"brake": True}, "set": {"beacon": 1.0}}],
    "properties": [{"id": "lit", "kind": "levels at least", "circuits": ["beacon"]}],
}

BROKEN = [
    (("inputs", "brake", "kind"), "switch", 'inputs."brake".kind "switch" is no kind of input; give one of yes or no'),
    (("rules", 0, "set"), {"beacon": "full"}, 'set."beacon" "full" is not a level; give 0 to 1'),
    (("properties", 0, "level"), "half", 'properties[0].level "half" is no number'),
    (("inputs", "brake", "normal"), "yes", 'inputs."brake".normal "yes" is not a value of the input'),
    (("inputs", "gear", "choices"), ["park"], "has no two different values; give two or more names"),
    (("inputs", "gear", "choices"), ["park", "last"], '"last" is a word with a meaning of its own'),
    (("inputs", "gear", "fails_to"), "third", 'inputs."gear".fails_to "third" cannot be read; give a value'),
    (("inputs", "gear", "colour"), "red", 'inputs."gear".colour is not a key here'),
    (("rules", 0, "when"), {"horn": True}, 'rules[0].when "horn" is not an input; give one of brake, gear, speed'),
    (("rules", 0, "when"), {"brake": "on"}, 'rules[0].when."brake" "on" is not a value of the input; give one or'),
    (("rules", 0, "when"), {"gear": []}, 'rules[0].when."gear" is empty'),
    (("rules", 0, "when"), {"speed": 8}, 'rules[0].when."speed" 8 is not a value of the input; give { below = 8 }'),
    (("rules", 0, "when"), {"speed": {"over": 8}}, "is no band of the input"),
    (("rules", 0, "when"), {"speed": {"below": 5, "at_least": 9}}, "is an empty band; give below higher than"),
    (("rules", 0, "when_any"), [], "rules[0].when_any is no list of conditions"),
    (("rules", 0, "set"), {"horn": 1.0}, 'rules[0].set "horn" is not a circuit; give one of beacon'),
    (("rules", 0, "set"), {"beacon": 2.0}, 'rules[0].set."beacon" 2.0 is not a level; give 0 to 1'),
    (("rules", 0, "set"), {}, 'rules[0] "parked" sets nothing; give set or factor'),
    (("rules", 0, "overrides"), ["night"], 'rules[0].overrides "night" is no rule below'),
    (("properties", 0, "kind"), "always", 'properties[0].kind "always" is no kind of property; give one of levels'),
    (("properties", 0, "circuits"), ["horn"], 'properties[0].circuits "horn" is not known; give one of beacon'),
    (("properties", 0, "status"), "sure", 'properties[0].status "sure" is no status'),
    (("sensor",), {"dark_below_lx": 90.0, "bright_above_lx": 80.0}, "sensor 90.0 are no two thresholds"),
    (("check",), {"failures": -1}, "check.failures -1 is no number of inputs; give 0 or more"),
    (("circuits",), ["beacon", "beacon"], 'circuits[1] "beacon" is there twice'),
]


@pytest.mark.parametrize(("path", "value", "sentence"), BROKEN, ids=lambda x: str(x)[:40])
def test_broken_tables(path: tuple[Any, ...], value: Any, sentence: str) -> None:
    document = copy.deepcopy(GOOD)
    place: Any = document
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(DocumentError) as told:
        read_switching(document)
    assert sentence in str(told.value)
    assert str(told.value).count("\n") == 0 and str(told.value).endswith(".")


def test_the_good_one_is_read() -> None:
    read = read_switching(GOOD)
    assert [one.name for one in read.switching.inputs] == ["brake", "gear", "speed"]
    assert read.failures == 1 and read.properties[0].id == "lit"


def test_missing_keys_are_named() -> None:
    with pytest.raises(DocumentError, match=r'inputs\."brake" is not complete .*normal'):
        read_switching({**GOOD, "inputs": {"brake": {"kind": "yes or no"}}})


def test_a_light_sensor_needs_its_table() -> None:
    light = {"light": {"kind": "light sensor", "normal": "day"}}
    with pytest.raises(DocumentError, match="give one input of the kind light sensor, and its"):
        read_switching({**GOOD, "inputs": {**GOOD["inputs"], **light}})


def test_bands_of_a_number() -> None:
    speed = Input("speed", "number", 12.0, fails_to=(0.0,), unit="km/h")
    assert values_of(speed, [8.0, 50.0]) == (0.0, 12.0, 50.0)
    states = input_states(speed, [8.0, 50.0])
    assert [(s.truth, s.reads) for s in states if s.failed] == [(0.0, 0.0), (12.0, 0.0), (50.0, 0.0)]
    with pytest.raises(DocumentError, match="divides nothing; give a threshold above 0"):
        values_of(speed, [0.0])


def test_the_last_value_may_be_any() -> None:
    gear = Input("gear", "one of", "park", ("park", "drive"), fails_to=("last",))
    assert [(s.truth, s.reads) for s in input_states(gear, []) if s.failed] == [
        ("park", "park"),
        ("park", "drive"),
        ("drive", "park"),
        ("drive", "drive"),
    ]  # fmt: skip
