"""Types of the fields of scene documents: quantities with their ranges, identifiers, and the base of all tables."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from scenelux.errors import QuantityError
from scenelux.scene.quantities import DIMENSIONS, DimensionName, parse_quantity
from scenelux.units import UnitSystem

__all__ = [
    "Angle",
    "Coordinate",
    "Heading",
    "Height",
    "Identifier",
    "Illuminance",
    "Level",
    "Lossfactor",
    "Luminance",
    "Point",
    "PositiveLength",
    "Quantity",
    "Range",
    "Slope",
    "Speed",
    "Table",
    "Text",
    "Tilt",
    "Wording",
    "problem",
    "range_is_rising",
]

_LEAST_PERCENT = 2.0  # a smaller number may well have been meant as a ratio


class Table(BaseModel):
    """A table of a document: every key is known, and nothing changes after reading."""

    # Built when first used: a scene needs its own model and the one of cards, not one for each table.
    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True)


def problem(problem: str, accepted: str, key: str | None = None) -> PydanticCustomError:
    """What is wrong with a value, or with one key of a table, and what would be accepted, as pydantic collects it."""
    at = {} if key is None else {"key": key}
    return PydanticCustomError("problem", "{problem}", {"problem": problem, "accepted": accepted, **at})


@dataclass(frozen=True)
class Quantity:
    """Marks a float field as a quantity of a kind within a range, in SI units (angles: degrees)."""

    dimension: DimensionName
    low: float
    high: float
    above: bool = False  # low itself is out of range

    def read(self, value: object, info: core_schema.ValidationInfo) -> float:
        """The quantity in SI units; text and numbers outside the range are refused."""
        system = (info.context or {}).get("units", "metric")
        try:
            number = parse_quantity(value, self.dimension, system)
        except QuantityError as error:
            raise problem(error.problem, error.accepted or "") from None
        if not self.low <= number <= self.high or (self.above and number == self.low):
            raise problem("is out of range", f"give {self.words(system)}{self._as_percent(value)}")
        return number

    def _as_percent(self, value: object) -> str:
        """What a bare number that is far too large for a ratio may have meant."""
        if self.dimension != "ratio" or not isinstance(value, int | float) or abs(value) < _LEAST_PERCENT:
            return ""
        return f'; did you mean "{value:g} %"' if self.low <= value / 100.0 <= self.high else ""

    @property
    def span(self) -> str:
        """The range in words, in SI units."""
        return self.words("metric")

    def words(self, system: UnitSystem) -> str:
        """The range in words, in the units of a document; ends that are not whole are rounded inwards."""
        kind = DIMENSIONS[self.dimension]
        name = kind.bare[1] if system == "us" else kind.si
        unit, factor = f" {name}" if name else "", kind.units.get(name, 1.0)
        ends = ((self.low, ceil), (self.high, floor))
        low, high = (_end(value / factor, inwards) if factor != 1.0 else f"{value:g}" for value, inwards in ends)
        if self.above:
            return f"{kind.name} above {low}{unit} and up to {high}{unit}"
        return f"{kind.name} from {low} to {high}{unit}"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        kind = DIMENSIONS[self.dimension]
        if not kind.units:
            return {"type": "number", "description": self.span, "minimum": self.low, "maximum": self.high}
        says = f"Give {self.span}, such as {kind.examples}; a bare number is in the units of the document"
        return {"anyOf": [{"type": "string"}, {"type": "number"}], "description": says}


def _end(value: float, inwards: Callable[[float], int]) -> str:
    return str(inwards(value)) if abs(value) >= 100.0 else f"{inwards(value * 100.0) / 100.0:g}"


@dataclass(frozen=True)
class Wording:
    """Marks a text field whose form is checked by a function that returns what is wrong, or nothing."""

    check: Callable[[str], str | None]
    accepted: str
    pattern: str = ""

    def read(self, value: object) -> str:
        """The text as given."""
        if not isinstance(value, str):
            raise problem("is not text", self.accepted)
        wrong = self.check(value)
        if wrong:
            raise problem(wrong, self.accepted)
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, **({"pattern": self.pattern} if self.pattern else {})}


_IDENTIFIER = r"[A-Za-z0-9][A-Za-z0-9 _.-]*"


def _not_identifier(text: str) -> str | None:
    fits = re.fullmatch(_IDENTIFIER, text) and len(text) <= 60 and text[-1] not in " ."
    return None if fits else "is not a name that can be used here"


def _not_text(text: str) -> str | None:
    if not text.strip():
        return "is empty"
    return None if text.isprintable() and len(text) <= 300 else "is longer than 300 characters or has line breaks in it"


_REACH_M = 5000.0

Identifier = Annotated[
    str, Wording(_not_identifier, "give letters, digits, blanks, - _ and . and at most 60 of them", f"^{_IDENTIFIER}$")
]
Text = Annotated[str, Wording(_not_text, "give one line of text")]
Coordinate = Annotated[float, Quantity("length", -_REACH_M, _REACH_M)]
Height = Annotated[float, Quantity("length", 0.0, 100.0)]
PositiveLength = Annotated[float, Quantity("length", 0.0, _REACH_M, above=True)]
Angle = Annotated[float, Quantity("angle", -360.0, 360.0)]
Heading = Angle
Tilt = Annotated[float, Quantity("angle", -90.0, 90.0)]
Slope = Annotated[float, Quantity("ratio", -0.3, 0.3)]
Level = Annotated[float, Quantity("ratio", 0.0, 1.0)]
Lossfactor = Annotated[float, Quantity("ratio", 0.0, 1.0, above=True)]
Speed = Annotated[float, Quantity("speed", 0.0, 90.0, above=True)]
Illuminance = Annotated[float, Quantity("illuminance", 0.0, 200_000.0)]
Luminance = Annotated[float, Quantity("luminance", 0.0, 100_000.0, above=True)]
Point = tuple[Coordinate, Coordinate, Coordinate]
Range = tuple[Coordinate, Coordinate]


def range_is_rising(value: tuple[float, float]) -> tuple[float, float]:
    """A range whose first end is the smaller one."""
    if not value[0] < value[1]:
        raise problem("does not rise", "give the smaller end first and then the larger one")
    return value
