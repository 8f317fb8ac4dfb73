"""Values and conditions of a switching document: yes or no, a word, a number, or a band of numbers."""

from __future__ import annotations

import math
from typing import Annotated, Any, TypeAlias

from pydantic import GetJsonSchemaHandler
from pydantic_core import core_schema

from scenelux.scene.fields import problem

__all__ = ["ConditionTable", "OneOrMore", "Value", "plain_value"]

_VALUE_SCHEMA = [{"type": "string"}, {"type": "number"}, {"enum": [True, False]}]
_SAID = "give true, false, a word or a number"
_BAND = ("below", "at_least")


def plain_value(value: object) -> bool | str | float | None:
    """A value of an input; none where it is no such thing.

    Example
    -------
    >>> plain_value(True), plain_value(8), plain_value([])
    (True, 8.0, None)
    """
    if isinstance(value, bool):
        return value
    if isinstance(value, str):
        return value if value and value.isprintable() and len(value) <= 60 else None
    return float(value) if isinstance(value, int | float) and math.isfinite(value) else None


class _ValueText:
    """Marks a value of an input."""

    def read(self, value: object) -> bool | str | float:
        """The value, a number as float."""
        found = plain_value(value)
        if found is None:
            raise problem("is no value of an input", _SAID)
        return found

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"anyOf": _VALUE_SCHEMA, "description": "A value of an input: true, false, a word or a number"}


class _ValuesText:
    """Marks one value or a list of them."""

    def read(self, value: object) -> tuple[bool | str | float, ...]:
        """The values in their order."""
        found = [plain_value(one) for one in (value if isinstance(value, list | tuple) else [value])]
        if not found or None in found:
            raise problem("is no value of an input", f"{_SAID}, or a list of them")
        return tuple(one for one in found if one is not None)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        several = {"type": "array", "items": {"anyOf": _VALUE_SCHEMA}, "minItems": 1}
        return {"anyOf": [*_VALUE_SCHEMA, several], "description": "One value or a list of values"}


class _ConditionText:
    """Marks a table of inputs and values that must all hold."""

    def read(self, value: object) -> dict[str, Any]:
        """The table; whether inputs and values are known is checked with the whole document."""
        if not isinstance(value, dict):
            raise problem("is no condition", 'give inputs and their values, such as { "park brake" = true }')
        return {name: self._wanted(str(name), wanted) for name, wanted in value.items()}

    def _wanted(self, name: str, wanted: object) -> object:
        if isinstance(wanted, dict):
            ends = {key: plain_value(end) for key, end in wanted.items()}
            numbers = all(isinstance(end, float) for end in ends.values())
            if not ends or set(ends) - set(_BAND) or not numbers:
                raise problem("is no band", "give { below = 8 }, { at_least = 8 } or both", name)
            return ends
        values = [plain_value(one) for one in (wanted if isinstance(wanted, list) else [wanted])]
        if not values or None in values:
            raise problem("is no value of an input", f"{_SAID}, a list of them, or a band", name)
        return values if isinstance(wanted, list) else values[0]

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        several = {"type": "array", "items": {"anyOf": _VALUE_SCHEMA}, "minItems": 1}
        ends = {key: {"type": "number"} for key in _BAND}
        band = {"type": "object", "properties": ends, "additionalProperties": False, "minProperties": 1}
        says = "Inputs and what they must be, all together: a value, a list of values, or a band of a number"
        wanted = {"anyOf": [*_VALUE_SCHEMA, several, band]}
        return {"type": "object", "additionalProperties": wanted, "description": says}


Value: TypeAlias = Annotated[bool | str | float, _ValueText()]
OneOrMore: TypeAlias = Annotated[tuple[bool | str | float, ...], _ValuesText()]
ConditionTable: TypeAlias = Annotated[dict[str, Any], _ConditionText()]
