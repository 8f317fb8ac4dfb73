"""Inputs, rules, properties and sensor from the tables of a document, all in SI units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from scenelux.errors import DocumentError
from scenelux.sources import Source
from scenelux.switching.conditions import read_condition
from scenelux.switching.inputs import Input
from scenelux.switching.machine import Sensor
from scenelux.switching.properties import (
    FailsTo,
    LevelsAtLeast,
    LevelsAtMost,
    NeverDimmed,
    NotLoweredByFailure,
    Property,
    QuantityAtLeast,
    QuantityAtMost,
)
from scenelux.switching.rules import Rule, Switching

__all__ = ["PROPERTY_KINDS", "SwitchingDocument", "read_switching"]

Table = Mapping[str, Any]
Made = TypeVar("Made")

PROPERTY_KINDS: dict[str, type[Property]] = {
    "levels at most": LevelsAtMost,
    "levels at least": LevelsAtLeast,
    "never dimmed": NeverDimmed,
    "fails to": FailsTo,
    "not lowered by failure": NotLoweredByFailure,
    "quantity at least": QuantityAtLeast,
    "quantity at most": QuantityAtMost,
}

_STATUSES = ("published", "quoted", "unconfirmed", "invented", "own")


@dataclass(frozen=True)
class SwitchingDocument:
    """Rules with their inputs and sensor, the properties stated of them, and how many inputs may fail at once."""

    switching: Switching
    properties: tuple[Property, ...]
    failures: int = 1


def read_switching(document: Table) -> SwitchingDocument:
    """Everything that a document says of switching.

    Parameters
    ----------
    document : tables `inputs` (by name), `circuits` (list, or table by name), lists `rules` and `properties`, tables
        `sensor` and `check` (with `failures`).

    Raises DocumentError with the key of what cannot be used.

    Example
    -------
    >>> brake = {"kind": "yes or no", "normal": True}
    >>> rule = {"id": "parked", "when": {"park brake": True}, "set": {"beacon": 1.0}}
    >>> read_switching({"inputs": {"park brake": brake}, "circuits": ["beacon"], "rules": [rule]}).switching.circuits
    ('beacon',)
    """
    inputs = {name: _made(Input, {"name": name, **table}, f'inputs."{name}"') for name, table in _named(document)}
    rules = tuple(_rule(table, inputs, f"rules[{at}]") for at, table in enumerate(_list(document, "rules")))
    sensor = _made(Sensor, document["sensor"], "sensor") if "sensor" in document else None
    switching = Switching(tuple(inputs.values()), tuple(document.get("circuits", ())), rules, sensor)
    stated = [_property(t, switching, f"properties[{at}]") for at, t in enumerate(_list(document, "properties"))]
    failures = document.get("check", {}).get("failures", 1)
    if not isinstance(failures, int) or isinstance(failures, bool) or failures < 0:
        raise DocumentError("is no number of inputs", key="check.failures", value=failures, accepted="give 0 or more")
    return SwitchingDocument(switching, tuple(stated), failures)


def _named(document: Table) -> list[tuple[str, Table]]:
    inputs = document.get("inputs", {})
    if not isinstance(inputs, Mapping) or not all(isinstance(table, Mapping) for table in inputs.values()):
        raise DocumentError("is no table of inputs", key="inputs", accepted='give [inputs."park brake"]')
    return list(inputs.items())


def _list(document: Table, key: str) -> list[Table]:
    tables = document.get(key, [])
    if not isinstance(tables, list) or not all(isinstance(table, Mapping) for table in tables):
        raise DocumentError("is no list of tables", key=key, accepted=f"give [[{key}]]")
    return tables


def _rule(table: Table, inputs: dict[str, Input], key: str) -> Rule:
    kept = {name: value for name, value in table.items() if name not in ("when", "when_any")}
    return _made(Rule, {**kept, "when": read_condition(table, inputs, key)}, key)


def _property(table: Table, switching: Switching, key: str) -> Property:
    kind = table.get("kind")
    if kind not in PROPERTY_KINDS:
        accepted = f"give one of {', '.join(PROPERTY_KINDS)}"
        raise DocumentError("is no kind of property", key=f"{key}.kind", value=kind, accepted=accepted)
    kept = {k: v for k, v in table.items() if k not in ("kind", "when", "when_any", "source", "status")}
    inputs = {one.name: one for one in switching.inputs}
    kept["when"] = read_condition(table, inputs, key, truth=True)
    if "source" in table or "status" in table:
        kept["source"] = _source(table, key)
    _check_names(kept, switching, key)
    return _made(PROPERTY_KINDS[kind], kept, key)


def _source(table: Table, key: str) -> Source:
    status = table.get("status", "own")
    if status not in _STATUSES:
        accepted = f"give one of {', '.join(_STATUSES)}"
        raise DocumentError("is no status", key=f"{key}.status", value=status, accepted=accepted)
    return Source(str(table.get("source", "the user's own rule")), status=status)


def _check_names(table: Table, switching: Switching, key: str) -> None:
    inputs = tuple(one.name for one in switching.inputs)
    named = [("circuits", name, switching.circuits) for name in (*table.get("circuits", ()), *table.get("levels", ()))]
    named += [
        ("inputs", name, inputs)
        for name in (*table.get("inputs", ()), *((table["input"],) if "input" in table else ()))
    ]
    for word, name, known in named:
        if name not in known:
            raise DocumentError(
                "is not known", key=f"{key}.{word}", value=name, accepted=f"give one of {', '.join(known)}"
            )


def _made(kind: type[Made], table: Table, key: str) -> Made:
    """A frozen value from a table; lists become tuples, tables become pairs."""
    known = [one.name for one in fields(kind)]  # type: ignore[arg-type]
    for name in table:
        if name not in known:
            accepted = f"give {', '.join(known)}"
            raise DocumentError("is not a key here", key=f"{key}.{name}", accepted=accepted)
    numbers = [one.name for one in fields(kind) if one.type == "float"]  # type: ignore[arg-type]
    for name in numbers:
        if name in table and (not isinstance(table[name], int | float) or isinstance(table[name], bool)):
            raise DocumentError("is no number", key=f"{key}.{name}", value=table[name], accepted="give a number")
    try:
        return kind(**{name: _frozen(name, value) for name, value in table.items()})
    except TypeError as fault:
        raise DocumentError(f"is not complete ({fault})", key=key, accepted=f"keys are {', '.join(known)}") from fault


def _frozen(name: str, value: Any) -> Any:
    if isinstance(value, Mapping):
        for circuit, level in value.items():
            if not isinstance(level, int | float) or isinstance(level, bool):
                raise DocumentError("is not a level", key=f'{name}."{circuit}"', value=level, accepted="give 0 to 1")
        return tuple((circuit, float(level)) for circuit, level in value.items())
    if name == "fails_to" and not isinstance(value, list | tuple):
        return (value,)
    return tuple(value) if isinstance(value, list) else value
