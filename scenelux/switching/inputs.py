"""What the controller of the lamps knows: inputs, the values they can have, and what it reads when one fails."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from scenelux.errors import DocumentError
from scenelux.switching.machine import FAULTS, Sensor, SensorState, reachable

__all__ = ["FAILED", "HEALTHY", "LAST", "Input", "InputState", "Value", "input_states", "says_value", "values_of"]

Value: TypeAlias = bool | str | float
Kind = Literal["yes or no", "one of", "number", "light sensor"]

KINDS = ("yes or no", "one of", "number", "light sensor")

LAST, FAILED, HEALTHY = "last", "failed", "healthy"
"""Reads as `fails_to` the last value it had, or that it has failed; the third is for properties alone."""

READS = ("day", "night")


@dataclass(frozen=True)
class Input:
    """One input of the controller.

    Parameters
    ----------
    name : as rules and properties call it.
    kind : "yes or no" (values True and False), "one of" (`choices`), "number" (bands, see `values_of`) or "light
        sensor" (reads "day" or "night" by the states of a `Sensor`).
    normal : value from which counter-examples count what changed.
    choices : names of the values of "one of".
    fails_to : what the controller can read when the input fails: a value, "last" (any value may be the last one) or
        "failed" (it knows of the failure); of a light sensor also "stuck low", "stuck high" and "noisy". Empty: the
        input is taken never to fail.
    lowest, highest : ends of a number.
    unit : of a number, for sentences.
    words : of yes or no, for sentences: "park brake on".
    """

    name: str
    kind: Kind
    normal: Value
    choices: tuple[str, ...] = ()
    fails_to: tuple[Value, ...] = ()
    lowest: float = 0.0
    highest: float = math.inf
    unit: str = ""
    words: tuple[str, str] = ("off", "on")

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            accepted = f"give one of {', '.join(KINDS)}"
            raise DocumentError(
                "is no kind of input", key=f'inputs."{self.name}".kind', value=self.kind, accepted=accepted
            )
        if self.kind == "light sensor":
            object.__setattr__(self, "choices", READS)
        key = f'inputs."{self.name}"'
        if self.kind == "one of" and (len(set(self.choices)) < 2 or len(set(self.choices)) < len(self.choices)):
            raise DocumentError("has no two different values", key=key, accepted="give two or more names")
        reserved = {LAST, FAILED, HEALTHY, *FAULTS} & set(self.choices)
        if reserved:
            raise DocumentError("is a word with a meaning of its own", key=key, value=sorted(reserved)[0])
        if not self.has(self.normal):
            raise DocumentError("is not a value of the input", key=f"{key}.normal", value=self.normal)
        sensor_words = FAULTS if self.kind == "light sensor" else ()
        for value in self.fails_to:
            if not (self.has(value) or value in (LAST, FAILED, *sensor_words)):
                accepted = f'give a value of the input, "{LAST}" or "{FAILED}"'
                raise DocumentError("cannot be read", key=f"{key}.fails_to", value=value, accepted=accepted)

    def has(self, value: Value) -> bool:
        """Whether a value is one of the input's own."""
        if self.kind == "yes or no":
            return isinstance(value, bool)
        if self.kind == "number":
            number = isinstance(value, int | float) and not isinstance(value, bool)
            return number and self.lowest <= float(value) <= self.highest
        return value in self.choices


@dataclass(frozen=True)
class InputState:
    """One input as it is: the truth outside, what the controller reads, and whether the input has failed.

    Parameters
    ----------
    truth, reads : value outside and value read; the truth of a light sensor is "day" or "night" once the sensor had
        its time, "turning day" or "turning night" before, "between" between its thresholds.
    failed : the input has failed.
    changes : how far this is from the input's normal value, healthy.
    says : words for a story.
    """

    truth: Value
    reads: Value
    failed: bool
    changes: int
    says: str


def values_of(one: Input, thresholds: Iterable[float] = ()) -> tuple[Value, ...]:
    """All values of an input; of a number one for each band between the thresholds.

    Parameters
    ----------
    one : the input.
    thresholds : from the conditions that use a number; a band holds its lower end and not its upper one.

    The value of a band is the normal one where that lies in it, else its lower end.

    Example
    -------
    >>> values_of(Input("speed", "number", 0.0, unit="km/h"), [8.0, 50.0])
    (0.0, 8.0, 50.0)
    """
    if one.kind == "yes or no":
        return (False, True)
    if one.kind != "number":
        return one.choices
    ends = sorted({float(threshold) for threshold in thresholds})
    for end in ends:
        if not one.lowest < end <= one.highest:
            accepted = f"give a threshold above {one.lowest:g}" + (
                "" if math.isinf(one.highest) else f" and at most {one.highest:g}"
            )
            raise DocumentError("divides nothing", key=f'inputs."{one.name}"', value=end, accepted=accepted)
    lows, normal = [one.lowest, *ends], float(one.normal)
    return tuple(normal if low <= normal < high else low for low, high in zip(lows, [*ends, math.inf], strict=True))


def says_value(one: Input, value: Value) -> str:
    """An input and a value in words.

    Example
    -------
    >>> says_value(Input("park brake", "yes or no", True), True)
    'park brake on'
    """
    if isinstance(value, bool):
        return f"{one.name} {one.words[value]}"
    return f"{one.name} {value}" if isinstance(value, str) else f"{one.name} {value:g} {one.unit}".rstrip()


def input_states(one: Input, ends: list[float], sensor: Sensor | None = None) -> tuple[InputState, ...]:
    """Every state of an input, the healthy ones first.

    Parameters
    ----------
    one : the input.
    ends : of a number, the thresholds between its bands.
    sensor : of a light sensor, whose reachable states count.
    """
    if one.kind == "light sensor" and sensor is not None:
        return _sensor_states(one, sensor)
    values = values_of(one, ends)
    well = [InputState(v, v, False, int(v != one.normal), says_value(one, v)) for v in values]
    return (*well, *_failed_states(one, values, values, ends))


def _failed_states(
    one: Input, truths: Iterable[Value], readable: tuple[Value, ...], ends: list[float]
) -> list[InputState]:
    found = []
    for truth in truths:
        for reads in dict.fromkeys(r for f in one.fails_to for r in _readings(one, f, readable, ends)):
            changes = 1 + int(truth != one.normal) + int(reads != truth)
            found.append(InputState(truth, reads, True, changes, _says_failed(one, truth, reads)))
    return found


def _readings(one: Input, fails_to: Value, readable: tuple[Value, ...], ends: list[float]) -> tuple[Value, ...]:
    if fails_to == LAST:
        return readable
    if fails_to in FAULTS:
        return ()
    if one.kind == "number" and not isinstance(fails_to, str):
        return (readable[bisect_right(ends, float(fails_to))],)
    return (fails_to,)


def _says_failed(one: Input, truth: Value, reads: Value, how: str = "fails") -> str:
    read = "the controller knows" if reads == FAILED else f"reads {says_value(one, reads).removeprefix(one.name + ' ')}"
    return f"{says_value(one, truth)}; {one.name} {how} ({read})"


def _sensor_states(one: Input, sensor: Sensor) -> tuple[InputState, ...]:
    healthy = reachable(sensor)
    well = [
        InputState(
            s.truth, s.reads, False, int(s.truth != one.normal) + int(s.reads != one.normal), _says_state(one, s)
        )
        for s in healthy
    ]
    failed = _failed_states(one, dict.fromkeys(state.light for state in healthy), READS, [])
    for fault in FAULTS:
        for state in reachable(sensor, fault) if fault in one.fails_to else ():
            changes = 1 + int(state.light != one.normal) + int(state.reads != state.light)
            says = _says_failed(one, state.light, state.reads, f"is {fault}")
            failed.append(InputState(state.light, state.reads, True, changes, says))
    return (*well, *failed)


def _says_state(one: Input, state: SensorState) -> str:
    return f"{one.name} {state.truth}" + ("" if state.reads == state.truth else f" (reads {state.reads})")
