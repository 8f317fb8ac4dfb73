"""Ordered rules that turn what the controller reads into levels of circuits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import prod

from scenelux.errors import DocumentError
from scenelux.switching.conditions import ALWAYS, Condition, holds, thresholds_of
from scenelux.switching.inputs import Input, Value
from scenelux.switching.machine import Sensor

__all__ = ["ALL_BELOW", "Decision", "Rule", "Switching", "decide", "levels_of", "thresholds_for"]

ALL_BELOW = "all below"


@dataclass(frozen=True)
class Rule:
    """One rule.

    Parameters
    ----------
    id : name, unique.
    when : condition on what is read.
    set : circuit and its level, 0 to 1; the first rule from the top that holds and names a circuit decides.
    factor : circuit and a factor, 0 to 1; the factors of all rules that hold multiply the level.
    because : the user's reason.
    overrides : rules below, or "all below", that this one may contradict; else that is a conflict.
    """

    id: str
    when: Condition = ALWAYS
    set: tuple[tuple[str, float], ...] = ()
    factor: tuple[tuple[str, float], ...] = ()
    because: str = ""
    overrides: tuple[str, ...] = ()

    def may_override(self, lower: Rule) -> bool:
        """Whether the rule says that it overrides a lower one."""
        return lower.id in self.overrides or ALL_BELOW in self.overrides


@dataclass(frozen=True)
class Decision:
    """Level of a circuit, before and after factors, and which rules made it."""

    circuit: str
    level: float
    before_factors: float
    set_by: str | None
    dimmed_by: tuple[str, ...]


@dataclass(frozen=True)
class Switching:
    """Inputs, circuits, rules from the top, and the ambient-light sensor where one is read."""

    inputs: tuple[Input, ...]
    circuits: tuple[str, ...]
    rules: tuple[Rule, ...]
    sensor: Sensor | None = None

    def __post_init__(self) -> None:
        _no_twins("inputs", [one.name for one in self.inputs])
        _no_twins("circuits", list(self.circuits))
        _no_twins("rules", [rule.id for rule in self.rules])
        for place, rule in enumerate(self.rules):
            _check_rule(self, rule, place)
        light = [one.name for one in self.inputs if one.kind == "light sensor"]
        if len(light) > 1 or (light and self.sensor is None):
            accepted = "give one input of the kind light sensor, and its [sensor]"
            raise DocumentError("cannot be read", key="inputs", value=light[-1], accepted=accepted)

    def input(self, name: str) -> Input:
        """The input of a name."""
        return next(one for one in self.inputs if one.name == name)


def thresholds_for(switching: Switching, further: tuple[Condition, ...], name: str) -> list[float]:
    """Numbers at which rules and further conditions divide an input.

    Parameters
    ----------
    switching : rules.
    further : conditions of properties.
    name : of the input.
    """
    return thresholds_of([*(rule.when for rule in switching.rules), *further], name)


def decide(switching: Switching, readings: Mapping[str, Value]) -> tuple[Decision, ...]:
    """Levels of all circuits for one set of readings, rule by rule.

    Parameters
    ----------
    switching : rules from the top.
    readings : value of every input as the controller reads it.

    Example
    -------
    >>> brake = Input("park brake", "yes or no", True)
    >>> rules = (Rule("working", set=(("beacon", 1.0),)), Rule("night", factor=(("beacon", 0.42),)))
    >>> decide(Switching((brake,), ("beacon",), rules), {"park brake": True})[0].level
    0.42
    """
    active = [rule for rule in switching.rules if holds(rule.when, readings)]
    return tuple(_decision(circuit, active) for circuit in switching.circuits)


def levels_of(switching: Switching, readings: Mapping[str, Value]) -> tuple[float, ...]:
    """Levels alone, in the order of the circuits."""
    return tuple(decision.level for decision in decide(switching, readings))


def _decision(circuit: str, active: list[Rule]) -> Decision:
    setting = next((rule for rule in active if circuit in dict(rule.set)), None)
    before = dict(setting.set)[circuit] if setting else 0.0
    shares = [(rule.id, dict(rule.factor).get(circuit, 1.0)) for rule in active]
    dimming = tuple(rule for rule, share in shares if share != 1.0)
    level = before * prod(share for _, share in shares)
    return Decision(circuit, level, before, setting.id if setting else None, dimming if before else ())


def _check_rule(switching: Switching, rule: Rule, place: int) -> None:
    key = f"rules[{place}]"
    if not rule.set and not rule.factor:
        raise DocumentError("sets nothing", key=key, value=rule.id, accepted="give set or factor")
    for word, pairs in (("set", rule.set), ("factor", rule.factor)):
        for circuit, level in pairs:
            if circuit not in switching.circuits:
                accepted = f"give one of {', '.join(switching.circuits)}"
                raise DocumentError("is not a circuit", key=f"{key}.{word}", value=circuit, accepted=accepted)
            if not 0.0 <= level <= 1.0:
                raise DocumentError(
                    "is not a level", key=f'{key}.{word}."{circuit}"', value=level, accepted="give 0 to 1"
                )
    below = {lower.id for lower in switching.rules[place + 1 :]}
    for name in rule.overrides:
        if name != ALL_BELOW and name not in below:
            accepted = f'give a rule below, or "{ALL_BELOW}"'
            raise DocumentError("is no rule below", key=f"{key}.overrides", value=name, accepted=accepted)


def _no_twins(key: str, names: list[str]) -> None:
    for place, name in enumerate(names):
        if name in names[:place]:
            raise DocumentError(
                "is there twice", key=f"{key}[{place}]", value=name, accepted="give every one its own name"
            )
