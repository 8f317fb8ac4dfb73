"""Flashing lamps of a scene: patterns by name, which lamps keep to them and by which clock, and what they must meet."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, GetJsonSchemaHandler, model_validator
from pydantic_core import core_schema

from scenelux.errors import InputError, QuantityError
from scenelux.scene.fields import Angle, Height, Identifier, Quantity, Table, Text, problem
from scenelux.scene.words import near
from scenelux.timing import Pattern, common_patterns, named_pattern, parse_time_us

if TYPE_CHECKING:
    from scenelux.scene.model import SceneText

__all__ = ["SIGNAL_QUANTITIES", "PatternText", "Signal", "SignalCriterion", "pattern_of"]

SIGNAL_QUANTITIES: Mapping[str, str] = MappingProxyType(
    {
        "effective intensity": "cd",
        "peak intensity": "cd",
        "mean intensity": "cd",
        "darkest intensity": "cd",
        "optical power": "cd s/min",
        "flash rate": "1/min",
        "on-time": "s",
        "longest dark": "s",
        "dark share": "%",
    }
)
"""Quantity by direction -> its unit, for rows of the user's own."""

_OWN = ("id", "quantity", "statistic", "sense", "limit", "because")


class _PatternText:
    """Marks a text field that must be a flash pattern, or the name of a common one; the text is kept."""

    def read(self, value: object) -> str:
        """The text as given."""
        if not isinstance(value, str):
            raise problem("is not text", 'write steps, such as "75 per minute: on 100 ms, off"')
        try:
            named_pattern(value)
        except InputError as error:
            raise problem(error.problem, error.accepted or "") from None
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        says = 'Steps such as "75 per minute: 2 x (on 60 ms, off 60 ms), off", or the name of a common pattern'
        return {"type": "string", "minLength": 1, "description": says}


PatternText = Annotated[str, _PatternText()]

Elevation = Annotated[float, Quantity("angle", -8.0, 8.0)]
Limit = Annotated[float, Quantity("number", 0.0, 1e9)]


class Signal(Table):
    """A pattern for lamps or a circuit, in all duty states and light levels or in those named; later entries win."""

    lamps: tuple[Text, ...] | None = Field(default=None, min_length=1)
    circuit: Identifier | None = None
    pattern: Text  # a name of the scene's patterns or of a common one, or the steps themselves
    phase: Text = "0 ms"  # how much later the cycle begins: a time, or a share of the cycle
    group: Identifier | None = None  # whose clock it keeps to; its vehicle's when not given
    states: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    light: tuple[Identifier, ...] | None = Field(default=None, min_length=1)

    @model_validator(mode="after")
    def _some_lamps(self) -> Signal:
        if (self.lamps is None) == (self.circuit is None):
            raise problem("does not say which lamps", 'give one of lamps = ["warning-left"] and circuit = "warning"')
        return self

    def holds(self, lamp_id: str, circuit: str, state: str, light: str) -> bool:
        """Whether it speaks of a lamp in a state at a light level."""
        mine = lamp_id in self.lamps if self.lamps is not None else circuit == self.circuit
        return mine and state in (self.states or (state,)) and light in (self.light or (light,))


class SignalCriterion(Table):
    """What flashing lamps must meet: a published requirement, or a row of the user's own."""

    requirement: Text | None = None  # a row of the published requirements
    id: Identifier | None = None  # a row of the user's own
    name: Text = ""
    quantity: Text | None = None
    statistic: Literal["minimum", "average", "maximum"] | None = None
    sense: Literal["at least", "at most"] | None = None
    limit: Limit | None = None
    because: Text | None = None
    model: Literal["blondel-rey", "blondel-rey-douglas", "form-factor", "allard", "modified-allard"] | None = None
    zone: Literal["A", "B", "C", "D"] | None = None
    heading_deg: tuple[Angle, Angle] | None = Field(default=None, alias="heading")  # from, to, counter-clockwise
    elevation_deg: tuple[Elevation, Elevation] | None = Field(default=None, alias="elevation")
    height_m: Height | None = Field(default=None, alias="height")  # eyes at that height instead of an elevation
    lamps: tuple[Text, ...] | None = Field(default=None, min_length=1)
    circuit: Identifier | None = None
    states: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    light: tuple[Identifier, ...] | None = Field(default=None, min_length=1)

    @model_validator(mode="after")
    def _published_or_own(self) -> SignalCriterion:
        given = [key for key in (*_OWN, "name") if getattr(self, key)]
        if self.requirement is not None and given:
            accepted = "a row of your own has an id and no requirement"
            raise problem(f"names a requirement and also gives {given[0]}", accepted)
        missing = [key for key in _OWN if getattr(self, key) is None]
        if self.requirement is None and missing:
            accepted = f"give requirement, or all of {', '.join(_OWN)}"
            raise problem(f"has no {'requirement' if len(missing) == len(_OWN) else missing[0]}", accepted)
        if self.quantity is not None and self.quantity not in SIGNAL_QUANTITIES:
            raise problem("is not a quantity that is known here", near(self.quantity, SIGNAL_QUANTITIES), "quantity")
        return self

    @model_validator(mode="after")
    def _one_subject_and_place(self) -> SignalCriterion:
        if self.lamps is not None and self.circuit is not None:
            raise problem("names both lamps and a circuit", "give one of them, or neither for all lamps that flash")
        if self.zone is not None and self.heading_deg is not None:
            raise problem("has both a zone and a heading", "give one of them")
        if self.height_m is not None and self.elevation_deg is not None:
            raise problem("has both a height and an elevation", "give one of them")
        if self.elevation_deg is not None and not self.elevation_deg[0] <= self.elevation_deg[1]:
            raise problem("does not rise", "give the smaller end first and then the larger one", "elevation")
        return self

    def counts(self, lamp_id: str, circuit: str) -> bool:
        """Whether a lamp is judged, once it flashes."""
        if self.lamps is not None:
            return lamp_id in self.lamps
        return self.circuit in (None, circuit)


def pattern_of(scene: SceneText, signal: Signal) -> Pattern:
    """The pattern of an entry with its phase; a fault is a QuantityError whose key is "pattern" or "phase".

    Parameters
    ----------
    scene : whose patterns have names.
    signal : one of its entries.
    """
    try:
        pattern = _named(scene, signal.pattern)
    except InputError as error:
        raise error.at(key="pattern") from None
    try:
        return pattern.delayed(parse_time_us(signal.phase, pattern))
    except InputError as error:
        accepted = 'give a time or a share of the cycle, such as "250 ms" or "50 %"'
        raise QuantityError(error.problem, key="phase", value=signal.phase, accepted=accepted) from None


def _named(scene: SceneText, text: str) -> Pattern:
    """A pattern of the scene's own comes before a common one of that name."""
    if text in scene.patterns:
        return named_pattern(scene.patterns[text])
    try:
        return named_pattern(text)
    except QuantityError as error:
        if any(character.isdigit() for character in text) or not scene.patterns:
            raise
        known = [*scene.patterns, *common_patterns()]
        raise QuantityError(error.problem, value=text, accepted=near(text, known)) from None
