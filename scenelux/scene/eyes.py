"""Eyes of a scene: a driver coming along a lane, a fixed eye or mirror, a person's own, and where they look."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import Field, GetJsonSchemaHandler, model_validator
from pydantic_core import core_schema

from scenelux.errors import QuantityError
from scenelux.geometry import Vector
from scenelux.scene.fields import (
    Coordinate,
    Identifier,
    Level,
    Luminance,
    Point,
    PositiveLength,
    Quantity,
    Speed,
    Table,
    Text,
    problem,
)
from scenelux.scene.quantities import parse_quantity
from scenelux.units import UnitSystem

__all__ = ["Age", "Eye", "EyeHeight", "Gaze", "GazeKind", "Pigmentation"]

GazeKind = Literal["road", "down", "vehicle", "ahead", "heading", "point"]

_ACCEPTED = (
    'give "road", "1 deg down", "vehicle", "ahead" of a person, a heading such as "90 deg", '
    "or { point = [along, left, up] }"
)
_EYE_OF_A_PERSON_M = 1.65  # until the person is known; what is placed goes by the person's own height

Age = Annotated[float, Quantity("number", 1.0, 100.0)]
Pigmentation = Annotated[float, Quantity("number", 0.0, 1.2)]
EyeHeight = Annotated[float, Quantity("length", 0.0, 100.0, above=True)]


@dataclass(frozen=True)
class Gaze:
    """A line of sight: along the road, some degrees below it, at the vehicle's near face, the way a person faces, a
    heading, or a point; the last two in the frame of what the eye is of."""

    words: str
    kind: GazeKind
    angle_deg: float = 0.0  # below the road, or the heading
    point_m: Vector | None = None

    @classmethod
    def read(cls, value: object, info: core_schema.ValidationInfo) -> Gaze:
        """Reads a word, an angle or a point."""
        if isinstance(value, dict):
            return cls._at_point(value, (info.context or {}).get("units", "metric"))
        if value == "road":
            return cls("road", "road")
        if value == "vehicle":
            return cls("vehicle", "vehicle")
        if value == "ahead":
            return cls("ahead", "ahead")
        if not isinstance(value, str):
            raise problem("is not a line of sight", _ACCEPTED)
        down = re.fullmatch(r"\s*(.*?)\s*down\s*", value)
        try:
            angle = parse_quantity(down[1] if down else value, "angle")
        except QuantityError:
            raise problem("is not a line of sight", _ACCEPTED) from None
        if down and not 0.0 <= angle <= 90.0:
            raise problem("is out of range", "give 0 to 90 deg down")
        if abs(angle) > 360.0:
            raise problem("is out of range", "give a heading from -360 to 360 deg")
        return cls(value.strip(), "down" if down else "heading", angle)

    @classmethod
    def _at_point(cls, table: dict[str, object], units: UnitSystem) -> Gaze:
        point = table.get("point")
        if set(table) != {"point"} or not isinstance(point, list) or len(point) != 3:
            raise problem("is not a line of sight", _ACCEPTED)
        try:
            along, left, up = (parse_quantity(part, "length", units) for part in point)
        except QuantityError as error:
            raise problem(f"has a point whose part {error.problem}", error.accepted or "") from None
        return cls(f"at ({along:.4g}, {left:.4g}, {up:.4g}) m", "point", 0.0, (along, left, up))

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(cls.read)

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        part = {"anyOf": [{"type": "string"}, {"type": "number"}]}
        point = {
            "type": "object",
            "properties": {"point": {"type": "array", "items": part, "minItems": 3, "maxItems": 3}},
            "required": ["point"],
            "additionalProperties": False,
        }
        return {"anyOf": [{"type": "string"}, point], "description": _ACCEPTED.replace("give ", "A line of sight: ")}


class Eye(Table):
    """An eye that comes along a lane towards a vehicle, one that stays at a place or at a vehicle, or a person's."""

    id: Identifier
    name: Text = ""
    lane: Identifier | None = None
    from_m: PositiveLength | None = Field(default=None, alias="from")  # along the road to the vehicle's nearest face
    to_m: PositiveLength | None = Field(default=None, alias="to")
    step_m: PositiveLength = Field(default=5.0, alias="step")
    offset_left_m: Coordinate = Field(default=0.0, alias="offset_left")  # left of the lane's centre line, site frame
    vehicle: Identifier | None = None  # the one it approaches; the first when not given
    at_m: Point | None = Field(default=None, alias="at")
    of: Identifier | None = None  # vehicle in whose frame a fixed eye is given, such as its mirror; else the site
    person: Identifier | None = None  # whose eye it is
    height_m: EyeHeight = Field(alias="height")
    age_years: Age = Field(default=25.0, alias="age")
    pigmentation: Pigmentation = 0.5
    gaze: tuple[Gaze, ...] = Field(default_factory=lambda: (Gaze("road", "road"),), min_length=1, max_length=10)
    speed_m_s: Speed | None = Field(default=None, alias="speed")  # the posted speed when not given
    veil_limit_cd_m2: Luminance | None = Field(default=None, alias="veil_limit")
    veil_ratio: Level | None = None

    @model_validator(mode="before")
    @classmethod
    def _height_of_fixed_eye(cls, table: object) -> object:
        if not isinstance(table, dict):
            return table
        at = table.get("at")
        fixed = isinstance(at, list) and len(at) == 3
        if not fixed and "person" not in table:
            return table
        if "height" in table:
            knows = "the third number of at" if fixed else "the person"
            raise problem("has both a height and a place", f"leave height out: {knows} is the height")
        return {**table, "height": at[2] if isinstance(at, list) and fixed else _EYE_OF_A_PERSON_M}

    @model_validator(mode="after")
    def _path_or_place(self) -> Eye:
        if sum(item is not None for item in (self.lane, self.at_m, self.person)) != 1:
            accepted = "give a lane with from and to, at = [along, left, up], or person"
            raise problem("needs one of lane, at and person", accepted)
        if self.of is not None and self.at_m is None:
            raise problem("is of a vehicle and has no place there", "give at = [forward, left, up], or leave of out")
        if self.person is None and any(gaze.kind == "ahead" for gaze in self.gaze):
            raise problem("looks ahead and is no person's eye", 'give "road" or a heading, or name a person')
        if self.lane is None and (self.from_m is not None or self.to_m is not None):
            raise problem("is fixed and has a path", "leave from and to out, or give a lane in place of at")
        if self.lane is not None and (self.from_m is None or self.to_m is None):
            raise problem("has a lane and no path", 'give from and to, such as from = "150 m" and to = "20 m"')
        if self.from_m is not None and self.to_m is not None and not self.from_m > self.to_m:
            raise problem("comes no nearer", "from is the far end: give a larger from than to")
        return self

    @model_validator(mode="after")
    def _one_limit(self) -> Eye:
        if self.veil_limit_cd_m2 is not None and self.veil_ratio is not None:
            raise problem("has both a veil limit and a veiling ratio", "give one of veil_limit and veil_ratio")
        return self
