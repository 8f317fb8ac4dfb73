"""Twenty-two faulty sets of rules, each beside the set that repairs it; all of an invented truck."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

CIRCUITS = ["beacons", "front white", "rear scene", "side scene", "arrow board", "reverse lamps"]

INPUTS: dict[str, Any] = {
    "ignition": {"kind": "yes or no", "normal": True},
    "park brake": {"kind": "yes or no", "normal": True, "fails_to": False},
    "gear": {"kind": "one of", "choices": ["park", "reverse", "drive"], "normal": "park", "fails_to": "last"},
    "speed": {"kind": "number", "normal": 0.0, "fails_to": 0.0, "unit": "km/h"},
    "doors": {"kind": "yes or no", "normal": False, "fails_to": True, "words": ["closed", "open"]},
    "board": {"kind": "yes or no", "normal": False, "fails_to": "last", "words": ["down", "up"]},
    "ambient light": {"kind": "light sensor", "normal": "night", "fails_to": "failed"},
    "override": {"kind": "one of", "choices": ["automatic", "full"], "normal": "automatic", "fails_to": "full"},
}

SENSOR = {"dark_below_lx": 20.0, "bright_above_lx": 80.0, "dark_dwell_s": 5.0, "bright_dwell_s": 5.0}

WHITE = {"id": "white", "when": {"park brake": False, "gear": "drive", "ignition": True}, "set": {"front white": 1.0}}
TRAVEL = {
    "id": "travelling",
    "when": {"speed": {"at_least": 8.0}},
    "set": {"rear scene": 0.0, "side scene": 0.0},
    "overrides": ["all below"],
}
WARN = {"id": "warning", "when": {"ignition": True}, "set": {"beacons": 1.0}}
WORK = {"id": "work", "when": {"ignition": True}, "set": {"rear scene": 1.0}}
SIDE = {"id": "side", "when_any": [{"doors": True}, {"board": True}], "set": {"side scene": 1.0}}
BOARD = {"id": "board", "when": {"board": True}, "set": {"arrow board": 1.0}}
BACK = {"id": "reversing", "when": {"gear": "reverse"}, "set": {"reverse lamps": 1.0}}
DIM = {
    "id": "night dimming",
    "when": {"ambient light": "night", "override": "automatic"},
    "factor": {"beacons": 0.42, "arrow board": 0.5},
}
RULES = [TRAVEL, WHITE, WARN, WORK, SIDE, BOARD, BACK, DIM]

NIGHT_WORK = {"ignition": True, "ambient light": "night", "speed": {"below": 8.0}}
PROPERTIES: list[dict[str, Any]] = [
    {
        "id": "no white",
        "kind": "levels at most",
        "circuits": ["front white"],
        "level": 0,
        "when": {"park brake": True, "gear": "park"},
    },
    {"id": "seen", "kind": "levels at least", "circuits": ["beacons"], "level": 0.42, "when": {"ignition": True}},
    {
        "id": "day",
        "kind": "never dimmed",
        "circuits": ["beacons"],
        "when": {"ambient light": "day"},
        "failures": 0,
    },
    {"id": "default", "kind": "fails to", "input": "ambient light", "as_if": "day", "because": "full is safer"},
    {"id": "failure", "kind": "not lowered by failure", "circuits": ["beacons"], "confirmed_minimum": 0.42},
    {"id": "lux", "kind": "quantity at least", "quantity": "rear lux", "limit": 54.0, "unit": "lx", "when": NIGHT_WORK},
    {
        "id": "glare",
        "kind": "quantity at most",
        "quantity": "front candela",
        "limit": 900.0,
        "unit": "cd",
        "when": {"speed": {"at_least": 8.0}},
        "failures": 0,
    },
    {
        "id": "no scene",
        "kind": "levels at most",
        "circuits": ["rear scene", "side scene"],
        "level": 0,
        "when": {"speed": {"at_least": 8.0}},
        "failures": 0,
    },
]

BASE: dict[str, Any] = {
    "inputs": INPUTS,
    "circuits": CIRCUITS,
    "rules": RULES,
    "properties": PROPERTIES,
    "sensor": SENSOR,
    "check": {"failures": 1},
}

OWN_LX = {"rear scene": 2.0, "side scene": 3.0}
"""Light of own circuits at level 1 on the sensor."""


def rear_lux(levels: NDArray[np.float64]) -> NDArray[np.float64]:
    """Minimum of the rear area, straight in the levels."""
    return 84.0 * levels[:, 2] + 5.0 * levels[:, 3]


def front_candela(levels: NDArray[np.float64]) -> NDArray[np.float64]:
    return 800.0 * levels[:, 1] + 60.0 * levels[:, 0] + 50.0 * levels[:, 3]


QUANTITIES = {"rear lux": rear_lux, "front candela": front_candela}


@dataclass(frozen=True)
class Patch:
    """What differs from the base: rules by id (None takes one out), further rules on top or below, inputs, more."""

    rules: dict[str, dict[str, Any] | None] = field(default_factory=dict)
    top: tuple[dict[str, Any], ...] = ()
    below: tuple[dict[str, Any], ...] = ()
    inputs: dict[str, Any] = field(default_factory=dict)
    circuits: tuple[str, ...] = ()
    failures: int = 1
    own_lx: dict[str, float] = field(default_factory=lambda: dict(OWN_LX))

    def document(self) -> dict[str, Any]:
        made = copy.deepcopy(BASE)
        kept = [self.rules.get(rule["id"], rule) for rule in made["rules"]]
        made["rules"] = [*self.top, *(rule for rule in kept if rule), *self.below]
        for name, change in self.inputs.items():
            made["inputs"][name] = {**made["inputs"][name], **change}
        made["circuits"] = [*made["circuits"], *self.circuits]
        made["check"]["failures"] = self.failures
        return made


@dataclass(frozen=True)
class Planted:
    """A fault, where the check must find it, and the repair."""

    name: str
    finds: str
    faulty: Patch
    repaired: Patch = Patch()


def _with(rule: dict[str, Any], **changes: Any) -> dict[str, Any]:
    return {**rule, **changes}


SOFT = {"id": "soft", "when": {"doors": True}, "set": {"arrow board": 0.5}}
HAZE = {"id": "haze", "set": {"side scene": 0.5}}
DARK_BOARD = {"id": "dim board", "when": {"board": False}, "factor": {"arrow board": 0.5}}
STEP = {"id": "step lamp", "set": {"step": 0.0}}
QUIET = {"id": "quiet", "when": {"override": "full"}, "set": {"beacons": 0.0}, "overrides": ["all below"]}
SPEED_LOST = {"id": "speed lost", "when": {"speed": "failed"}, "set": {"beacons": 1.0}}
UP = {
    "id": "board up",
    "when": {"board": True, "speed": {"below": 8.0}},
    "set": {"rear scene": 0.5},
    "overrides": ["all below"],
}
NIGHT = {"ambient light": "night"}
CREEP = {"id": "creep", "when": {"speed": {"below": 8.0}}, "set": {"beacons": 1.0}}
DRIVE = {"id": "drive", "when": {"speed": {"at_least": 10.0}}, "set": {"beacons": 1.0}}

PLANTED = [
    Planted(
        "two rules disagree",
        "conflict",
        Patch(below=(SOFT,)),
        Patch(below=(_with(SOFT, when={"doors": True, "board": False}),)),
    ),
    Planted(
        "the lower of two is meant as a default",
        "conflict",
        Patch(below=(HAZE,)),
        Patch(rules={"side": _with(SIDE, overrides=["haze"])}, below=(HAZE,)),
    ),
    Planted(
        "it waits for a failure that the input never tells",
        "never true",
        Patch(top=(SPEED_LOST,)),
        Patch(top=(SPEED_LOST,), inputs={"speed": {"fails_to": ["failed"]}}),
    ),
    Planted("hidden by a rule above", "decides nothing", Patch(below=(_with(WARN, id="again"),))),
    Planted(
        "dims what is dark then",
        "decides nothing",
        Patch(below=(DARK_BOARD,)),
        Patch(below=(_with(DARK_BOARD, when={"board": True, "ambient light": "night"}),)),
    ),
    Planted(
        "a circuit only ever switched off",
        "never lit",
        Patch(below=(STEP,), circuits=("step",)),
        Patch(below=(_with(STEP, when={"doors": True}, set={"step": 1.0}),), circuits=("step",)),
    ),
    Planted("white by the gear alone", "no white", Patch(rules={"white": _with(WHITE, when={"gear": "drive"})})),
    Planted(
        "white by the brake alone, and the brake fails",
        "no white",
        Patch(rules={"white": _with(WHITE, when={"park brake": False})}),
    ),
    Planted(
        "dims by the switch, by day too",
        "day",
        Patch(rules={"night dimming": _with(DIM, when={"override": "automatic"})}),
    ),
    Planted(
        "day and night exchanged",
        "day",
        Patch(rules={"night dimming": _with(DIM, when={"ambient light": "day", "override": "automatic"})}),
    ),
    Planted(
        "dims when the sensor has failed",
        "default",
        Patch(
            rules={"night dimming": _with(DIM, when={"ambient light": ["night", "failed"], "override": "automatic"})}
        ),
    ),
    Planted(
        "the sensor sticks dark and nobody knows",
        "default",
        Patch(inputs={"ambient light": {"fails_to": ["failed", "stuck low"]}}),
    ),
    Planted("beacons hang on the brake", "failure", Patch(rules={"warning": _with(WARN, when={"park brake": True})})),
    Planted(
        "a failed sensor dims below the minimum",
        "failure",
        Patch(below=({"id": "lost", "when": {"ambient light": "failed"}, "factor": {"beacons": 0.2}},)),
    ),
    Planted(
        "raised board halves the rear lamps", "lux", Patch(top=(UP,)), Patch(top=(_with(UP, set={"rear scene": 0.7}),))
    ),
    Planted(
        "night dims the scene lamps too",
        "lux",
        Patch(rules={"night dimming": _with(DIM, factor={"beacons": 0.42, "rear scene": 0.3})}),
    ),
    Planted(
        "the override switches warning off",
        "seen",
        Patch(top=(QUIET,)),
        Patch(top=(_with(QUIET, set={"beacons": 1.0}),)),
    ),
    Planted(
        "a gap between two bands of speed",
        "seen",
        Patch(rules={"warning": CREEP}, below=(DRIVE,)),
        Patch(rules={"warning": CREEP}, below=(_with(DRIVE, when={"speed": {"at_least": 8.0}}),)),
    ),
    Planted(
        "travelling below the working lamps",
        "no scene",
        Patch(rules={"travelling": None}, below=(_with(TRAVEL, overrides=[]),)),
    ),
    Planted(
        "two dimmings multiply",
        "seen",
        Patch(below=({"id": "rain", "when": {"doors": True, **NIGHT}, "factor": {"beacons": 0.5}},)),
        Patch(below=({"id": "rain", "when": {"doors": True, **NIGHT}, "factor": {"arrow board": 0.5}},)),
    ),
    Planted(
        "own lamps brighten the sensor",
        "oscillation",
        Patch(rules={"side": _with(SIDE, when=NIGHT)}, own_lx={"side scene": 70.0}),
        Patch(rules={"side": _with(SIDE, when=NIGHT)}, own_lx={"side scene": 50.0}),
    ),
    Planted("own lamps hide the night from the sensor", "held by own light", Patch(own_lx={"rear scene": 25.0})),
    Planted(
        "safe with one failure, not with two",
        "no white",
        Patch(failures=2),
        Patch(failures=2, inputs={"gear": {"fails_to": "park"}}),
    ),
    Planted(
        "too much white to the front with the side lamps",
        "glare",
        Patch(
            rules={
                "travelling": _with(TRAVEL, set={"rear scene": 0.0}),
                "reversing": _with(BACK, set={"reverse lamps": 1.0}),
                "side": _with(SIDE, set={"side scene": 1.0}),
            },
            below=({"id": "alley", "when": {"speed": {"at_least": 8.0}}, "set": {"side scene": 1.0}},),
        ),
        Patch(below=({"id": "alley", "when": {"doors": False, "board": False}, "set": {"side scene": 0.5}},)),
    ),
]
