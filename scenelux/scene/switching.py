"""The switching document: what the controller of the lamps reads, its rules, and the properties that they must keep."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, GetJsonSchemaHandler, ValidationInfo, model_validator
from pydantic_core import core_schema

from scenelux.errors import QuantityError
from scenelux.scene.fields import Angle, Identifier, Level, Quantity, Table, Text, problem
from scenelux.scene.quantities import DimensionName, parse_quantity
from scenelux.scene.switching_dimming import Dimming
from scenelux.scene.switching_supply import AmbientSensor, Dusk, PowerSupply
from scenelux.scene.switching_values import ConditionTable, OneOrMore, Value
from scenelux.units import UnitSystem

__all__ = [
    "ALL_BELOW",
    "AMBIENT_LIGHT",
    "SWITCHING_FORMAT",
    "StatedProperty",
    "SwitchInput",
    "SwitchRule",
    "SwitchingText",
    "WhiteLight",
]

SWITCHING_FORMAT = "scenelux switching 1"

AMBIENT_LIGHT = "ambient light"
"""Name of the input that the sensor gives: "day" or "night"."""

ALL_BELOW = "all below"

Highest = Annotated[float, Quantity("number", 0.0, 1e9, above=True)]


class SwitchInput(Table):
    """One input: yes or no, one of several values, or a number, by what is normal."""

    normal: Value
    values: tuple[Identifier, ...] | None = Field(default=None, min_length=2)
    highest: Highest | None = None  # of a number, which begins at 0
    unit: Text = ""
    words: tuple[Text, Text] | None = None  # for false and true, such as "stowed" and "deployed"
    fails_to: OneOrMore = ()

    @model_validator(mode="after")
    def _of_one_kind(self) -> SwitchInput:
        kind = self.kind
        if kind == "one of" and self.normal not in (self.values or ()):
            raise problem("is not one of the values", "give values that hold it, or true, false or a number", "normal")
        if kind != "one of" and self.values is not None:
            raise problem("has values and a normal that is not text", "give normal as one of the values")
        if kind != "number" and (self.highest is not None or self.unit):
            raise problem(
                "has a unit or a highest value and is no number", "give normal as a number, or leave them out"
            )
        if kind != "yes or no" and self.words is not None:
            raise problem("has words and is not yes or no", "give normal as true or false, or leave words out")
        if isinstance(self.normal, float) and not 0.0 <= self.normal <= self.top:
            raise problem("is out of range", f"give a number from 0 to {self.top:g}", "normal")
        return self

    @property
    def kind(self) -> Literal["yes or no", "one of", "number"]:
        """By the normal value."""
        if isinstance(self.normal, bool):
            return "yes or no"
        return "one of" if isinstance(self.normal, str) else "number"

    @property
    def top(self) -> float:
        """Highest value of a number."""
        return float("inf") if self.highest is None else self.highest


class SwitchRule(Table):
    """From the top the first rule that holds and names a circuit decides; factors of all that hold multiply."""

    id: Identifier
    when: ConditionTable = Field(default={})
    when_any: tuple[ConditionTable, ...] | None = Field(default=None, min_length=1)
    state: Identifier | None = None  # a duty state of the scene: its circuits at their levels, all others off
    levels: Mapping[Identifier, Level] = Field(default={}, alias="set")  # beside a state these count
    light: Identifier | None = None  # a light level of the scene, whose factors apply
    factors: Mapping[Identifier, Level] = Field(default={}, alias="factor")
    overrides: tuple[Identifier, ...] = ()  # rules below, or "all below", that it may contradict
    because: Text = ""

    @model_validator(mode="after")
    def _does_something(self) -> SwitchRule:
        if self.state is None and self.light is None and not self.levels and not self.factors:
            raise problem("does nothing", "give state, set, light or factor")
        return self


Elevation = Annotated[float, Quantity("angle", -90.0, 90.0)]


def _rises(ends: tuple[float, float]) -> tuple[float, float]:
    if not ends[0] <= ends[1]:
        raise problem("does not rise", "give the smaller end first and then the larger one")
    return ends


class WhiteLight(Table):
    """White light of the whole vehicle in directions around it: the largest intensity counts."""

    heading_deg: tuple[Angle, Angle] = Field(alias="heading")  # from, to, counter-clockwise; 0 is the front
    elevation_deg: Annotated[tuple[Elevation, Elevation], AfterValidator(_rises)] = Field(
        default=(-5.0, 5.0), alias="elevation"
    )


class _LimitText:
    """Marks a quantity whose unit hangs on what is limited; it is kept as written."""

    def read(self, value: object) -> str | float:
        """The value as given, once it is text or a number."""
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise problem("is not a quantity", 'give a number with its unit, such as "54 lx"')
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        says = "Lux of an area, cd/m2 of an eye, cd of white light; a bare number is in the units of the document"
        return {"anyOf": [{"type": "string"}, {"type": "number"}], "description": says}


_SUBJECTS: Mapping[str, DimensionName] = {"area": "illuminance", "eye": "luminance", "white": "intensity"}
_OF_LEVELS = ("circuits", "level")
_BELONGS = {
    "be at least": (*_OF_LEVELS, *_SUBJECTS, "statistic", "gaze", "limit"),
    "be at most": (*_OF_LEVELS, *_SUBJECTS, "statistic", "gaze", "limit"),
    "fail to": ("input", "as_if", "levels", "circuits"),
    "not be lowered by a failure": _OF_LEVELS,
    "not be dimmed": _OF_LEVELS,
}
"""Keys of each kind of property beside those that all have."""

_ALL_HAVE = ("id", "must", "because", "when", "when_any", "failures")
_NEEDS = {
    "fail to": "input",
    "not be lowered by a failure": "circuits",
    "not be dimmed": "circuits",
}


class StatedProperty(Table):
    """What must hold for every combination of inputs, each with the user's reason."""

    id: Identifier
    must: Literal["be at least", "be at most", "not be dimmed", "fail to", "not be lowered by a failure"]
    because: Text
    when: ConditionTable = Field(default={})  # on what is, not on what the controller reads
    when_any: tuple[ConditionTable, ...] | None = Field(default=None, min_length=1)
    circuits: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    level: Level | None = None
    area: Identifier | None = None
    statistic: Literal["minimum", "average"] = "minimum"
    eye: Identifier | None = None
    gaze: tuple[Text, ...] | None = Field(default=None, min_length=1)  # of that eye; all when not given
    white: WhiteLight | None = None
    limit: Annotated[str | float, _LimitText()] | None = None
    input: Identifier | None = None  # of "fail to": the one that has failed
    as_if: Value | None = None  # its reading, healthy, that gives the same levels
    levels: Mapping[Identifier, Level] | None = Field(default=None, min_length=1)
    failures: Annotated[int, Field(strict=True, ge=0, le=9)] | None = None  # that it must stand

    @model_validator(mode="after")
    def _complete(self, info: ValidationInfo) -> StatedProperty:
        for key in type(self).model_fields:
            if key in self.model_fields_set and key not in (*_ALL_HAVE, *_BELONGS[self.must]):
                raise problem(f'does not belong to a property that must "{self.must}"', f"leave {key} out", key)
        need = _NEEDS.get(self.must)
        if need and getattr(self, need) is None:
            raise problem(f"must {self.must} and has no {need}", f"give {need}")
        if self.must == "fail to" and (self.as_if is None) == (self.levels is None):
            raise problem("does not say to what it fails", "give one of as_if and levels")
        if self.must == "not be lowered by a failure" and self.level is None:
            raise problem("has no level", "give the confirmed minimum, such as level = 0.42")
        if self.must.startswith("be "):
            self._limits_one_thing()
        system: UnitSystem = (info.context or {}).get("units", "metric")
        self.limit_in(system)
        return self

    def _limits_one_thing(self) -> None:
        given = [key for key in ("circuits", *_SUBJECTS) if getattr(self, key) is not None]
        if len(given) != 1:
            raise problem("does not limit one thing", "give one of circuits, area, eye and white")
        wanted, other = ("level", "limit") if given == ["circuits"] else ("limit", "level")
        if getattr(self, wanted) is None or getattr(self, other) is not None:
            raise problem(f"has no {wanted} or also a {other}", f"give {wanted} for {given[0]}, and no {other}")
        for key, owner in (("gaze", "eye"), ("statistic", "area")):
            if key in self.model_fields_set and given != [owner]:
                raise problem(f"belongs to a property of an {owner}", f"leave {key} out", key)

    @property
    def subject(self) -> str | None:
        """Area, eye or white, where a quantity is limited."""
        return next((key for key in _SUBJECTS if getattr(self, key) is not None), None)

    def limit_in(self, system: UnitSystem) -> float | None:
        """The limit in SI units.

        Parameters
        ----------
        system : units of bare numbers.
        """
        if self.limit is None or self.subject is None:
            return None
        try:
            number = parse_quantity(self.limit, _SUBJECTS[self.subject], system)
        except QuantityError as error:
            raise problem(error.problem, error.accepted or "", "limit") from None
        if number < 0.0:
            raise problem("is below zero", "give zero or more", "limit")
        return number


class SwitchingText(Table):
    """A switching document as written."""

    format: Literal["scenelux switching 1"]
    title: Text
    data: Literal["invented", "project"]
    units: UnitSystem
    inputs: Mapping[Identifier, SwitchInput] = {}
    rules: tuple[SwitchRule, ...] = Field(min_length=1)
    properties: tuple[StatedProperty, ...] = ()
    failures: Annotated[int, Field(strict=True, ge=0, le=9)] = 1  # so many inputs may have failed at once
    sensor: AmbientSensor | None = None
    supply: PowerSupply | None = None
    dimming: Mapping[Identifier, Dimming] = {}  # circuit -> how its devices are set
    dusk: Dusk | None = None
