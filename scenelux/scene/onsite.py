"""People and objects of a scene: who stands where, what they wear, and what is put up around the vehicle."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, GetJsonSchemaHandler
from pydantic_core import core_schema

from scenelux.errors import QuantityError
from scenelux.scene.fields import Coordinate, Heading, Identifier, Quantity, Table, Text, problem
from scenelux.scene.quantities import parse_quantity
from scenelux.scene.tables import clothing_names
from scenelux.scene.words import near

__all__ = ["DEFAULT_CLOTHING", "Clothing", "Kind", "OnSite", "Person", "Place", "Pose", "RoadObject", "Vest"]

Pose = Literal["standing", "walking", "crouching"]
Vest = Literal["none", "class 1", "class 2", "class 3"]
Kind = Literal["cone", "barricade", "panel"]

DEFAULT_CLOTHING = "dark coat or denim"

_FLAT = 2  # numbers of a place on the ground
_HIGHEST_M = 100.0


def _is_place(value: tuple[float, ...]) -> tuple[float, ...]:
    if not _FLAT <= len(value) <= _FLAT + 1:
        raise problem(f"has {len(value)} parts", "give [forward, left], or [forward, left, up]")
    if len(value) > _FLAT and not 0.0 <= value[2] <= _HIGHEST_M:
        raise problem("is out of range", f"give an up from 0 to {_HIGHEST_M:g} m")
    return value


Place = Annotated[
    tuple[Coordinate, ...], AfterValidator(_is_place), Field(json_schema_extra={"minItems": 2, "maxItems": 3})
]


class _ReadClothing:
    """A named row of the table of clothing, or a reflectance."""

    @staticmethod
    def read(value: object) -> str | float:
        if isinstance(value, str) and value in clothing_names():
            return value
        try:
            share = parse_quantity(value, "ratio")
        except QuantityError:
            known = near(value, clothing_names()) if isinstance(value, str) else f"known: {', '.join(clothing_names())}"
            raise problem("is not clothing that is known", f"{known}, or give a reflectance from 0 to 1") from None
        if not 0.0 <= share <= 1.0:
            raise problem("is out of range", "give a reflectance from 0 to 1, or the name of a kind of clothing")
        return share

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        says = f"A reflectance from 0 to 1, or one of: {', '.join(clothing_names())}"
        return {"anyOf": [{"type": "string"}, {"type": "number"}], "description": says}


Clothing = Annotated[str | float, _ReadClothing()]
PersonHeight = Annotated[float, Quantity("length", 0.5, 2.5)]
Extent = Annotated[float, Quantity("length", 0.01, 20.0)]


class OnSite(Table):
    """What stands on the ground, on a body, or is held at a height: a person or an object.

    position is that of the middle of its foot. Without up it stands on the ground, or on the body that it is on;
    up counts from the ground, of a vehicle's own frame from its origin.
    """

    id: Identifier
    name: Text = ""
    of: Identifier = "site"  # whose frame: a vehicle, or the site
    on: Identifier | None = None  # body on whose top it stands
    position_m: Place = Field(alias="position")

    @property
    def up_m(self) -> float | None:
        """Height at which it is held; none where it stands on something."""
        return self.position_m[2] if len(self.position_m) > _FLAT else None


class Person(OnSite):
    """A person: pose, height, clothing and vest. Heading is the way that the person faces."""

    heading_deg: Heading = Field(default=0.0, alias="heading")
    pose: Pose = "standing"
    height_m: PersonHeight = Field(default=1.75, alias="height")
    clothing: Clothing = DEFAULT_CLOTHING
    vest: Vest = "none"


class RoadObject(OnSite):
    """A cone, a barricade or a flat sheet. Heading is the way that its front faces; what is left out is its kind's."""

    kind: Kind
    heading_deg: Heading = Field(default=180.0, alias="heading")
    width_m: Extent | None = Field(default=None, alias="width")
    height_m: Extent | None = Field(default=None, alias="height")
    sheeting: Text | None = None  # a retroreflective material, or "none" for paint
    colours: tuple[Text, ...] | None = Field(default=None, min_length=1, max_length=6)  # stripes of equal width
