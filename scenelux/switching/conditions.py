"""Conditions of rules and properties: tables of inputs and values, without a language of formulas."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from scenelux.errors import DocumentError
from scenelux.switching.inputs import FAILED, HEALTHY, Input, InputState, Value

__all__ = ["ALWAYS", "Clause", "Condition", "holds", "mentioned", "read_condition", "thresholds_of"]

TRUTHS_OF_LIGHT = ("between", "turning day", "turning night")


@dataclass(frozen=True)
class Clause:
    """One input: any of several values, or a number below one and at least another.

    Parameters
    ----------
    input : its name.
    values : accepted ones; "failed" too, and for properties "healthy".
    below, at_least : of a number.
    """

    input: str
    values: tuple[Value, ...] = ()
    below: float | None = None
    at_least: float | None = None

    def accepts(self, value: Value) -> bool:
        """Whether the test holds for a value that is read."""
        if self.below is None and self.at_least is None:
            return value in self.values
        if isinstance(value, str):
            return False
        return (self.below is None or value < self.below) and (self.at_least is None or value >= self.at_least)

    def accepts_truth(self, state: InputState) -> bool:
        """Whether the test holds for the state of an input as it is, not as it is read."""
        if self.accepts(state.truth):
            return True
        return (FAILED if state.failed else HEALTHY) in self.values


Condition: TypeAlias = tuple[tuple[Clause, ...], ...]
"""Holds where all tests of any of its parts hold."""

ALWAYS: Condition = ((),)


def holds(condition: Condition, readings: Mapping[str, Value]) -> bool:
    """Whether a condition holds for what the controller reads.

    Example
    -------
    >>> holds(((Clause("speed", below=8.0), Clause("park brake", (True,))),), {"speed": 0.0, "park brake": True})
    True
    """
    return any(all(test.accepts(readings[test.input]) for test in tests) for tests in condition)


def mentioned(conditions: Iterable[Condition]) -> set[str]:
    """Names of the inputs that conditions use."""
    return {test.input for condition in conditions for tests in condition for test in tests}


def thresholds_of(conditions: Iterable[Condition], name: str) -> list[float]:
    """Numbers at which conditions divide an input."""
    tests = [t for condition in conditions for part in condition for t in part if t.input == name]
    return sorted({end for t in tests for end in (t.below, t.at_least) if end is not None})


def read_condition(
    table: Mapping[str, Any], inputs: Mapping[str, Input], key: str, *, truth: bool = False
) -> Condition:
    """Condition from `when` (all inputs together) and `when_any` (a list of such tables) of a rule or property.

    Parameters
    ----------
    table : of the rule or property; without both keys the condition always holds.
    inputs : by name.
    key : place in the document, for errors.
    truth : a condition of a property, which speaks of what is and not of what is read.

    Example
    -------
    >>> brake = {"park brake": Input("park brake", "yes or no", True)}
    >>> read_condition({"when": {"park brake": True}}, brake, "rules[0]")
    ((Clause(input='park brake', values=(True,), below=None, at_least=None),),)
    """
    parts = list(table.get("when_any", [{}]))
    if not parts or not all(isinstance(part, Mapping) for part in parts):
        raise DocumentError("is no list of conditions", key=f"{key}.when_any", accepted="give one or more tables")
    common = table.get("when", {})
    if not isinstance(common, Mapping):
        raise DocumentError("is no condition", key=f"{key}.when", value=common, accepted="give input = value")
    return tuple(_tests({**common, **part}, inputs, key, truth) for part in parts)


def _tests(table: Mapping[str, Any], inputs: Mapping[str, Input], key: str, truth: bool) -> tuple[Clause, ...]:
    tests = []
    for name, wanted in table.items():
        if name not in inputs:
            accepted = f"give one of {', '.join(inputs)}"
            raise DocumentError("is not an input", key=f"{key}.when", value=name, accepted=accepted)
        tests.append(_test(inputs[name], wanted, f'{key}.when."{name}"', truth))
    return tuple(tests)


def _test(one: Input, wanted: Any, key: str, truth: bool) -> Clause:
    if isinstance(wanted, Mapping):
        return _band(one, wanted, key)
    values = tuple(wanted) if isinstance(wanted, list | tuple) else (wanted,)
    extra = (FAILED, HEALTHY, *(TRUTHS_OF_LIGHT if one.kind == "light sensor" else ())) if truth else (FAILED,)
    for value in values:
        if not (value in extra or (one.kind != "number" and one.has(value))):
            raise DocumentError("is not a value of the input", key=key, value=value, accepted=_accepted(one, extra))
    if not values:
        raise DocumentError("is empty", key=key, accepted=_accepted(one, extra))
    return Clause(one.name, values)


def _band(one: Input, wanted: Mapping[str, Any], key: str) -> Clause:
    numbers = all(isinstance(x, int | float) and not isinstance(x, bool) for x in wanted.values())
    if one.kind != "number" or not wanted or set(wanted) - {"below", "at_least"} or not numbers:
        raise DocumentError("is no band of the input", key=key, value=dict(wanted), accepted=_accepted(one, ()))
    test = Clause(one.name, below=wanted.get("below"), at_least=wanted.get("at_least"))
    if test.below is not None and test.at_least is not None and test.below <= test.at_least:
        raise DocumentError("is an empty band", key=key, value=dict(wanted), accepted="give below higher than at_least")
    return test


def _accepted(one: Input, extra: tuple[str, ...]) -> str:
    if one.kind == "number":
        return f"give {{ below = 8 }}, {{ at_least = 8 }} or both{', or a word: ' if extra else ''}{', '.join(extra)}"
    own = ("true", "false") if one.kind == "yes or no" else one.choices
    return f"give one or a list of {', '.join((*own, *extra))}"
