"""Areas and windows of a scene: where light is asked for, on which plane, at which points."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, GetJsonSchemaHandler, model_validator
from pydantic_core import core_schema

from scenelux.errors import QuantityError
from scenelux.geometry import Vector
from scenelux.scene.fields import Coordinate, Height, Identifier, Point, PositiveLength, Table, Text, problem
from scenelux.scene.quantities import parse_quantity
from scenelux.scene.site import RisingRange

__all__ = ["Area", "Facing", "Grid", "Plane", "Window"]

Plane = Literal["horizontal", "pavement", "vertical", "cylindrical", "semi-cylindrical", "hemispherical"]
FACING_PLANES = ("vertical", "semi-cylindrical")

_WORDS = {"forward": 0.0, "left": 90.0, "rear": 180.0, "right": 270.0}
_ACCEPTED = 'give forward, rear, left or right, a heading such as "120 deg", or a vector such as [-1, 0, 0]'


@dataclass(frozen=True)
class Facing:
    """The direction an upright plane faces: as written, and as a horizontal unit vector of its frame."""

    words: str
    direction: Vector

    @classmethod
    def read(cls, value: object) -> Facing:
        """Reads a word, a heading or a vector."""
        if isinstance(value, list):
            return cls._of_vector(value)
        heading = _WORDS.get(value) if isinstance(value, str) else None
        if heading is None:
            try:
                heading = parse_quantity(value, "angle")
            except QuantityError:
                raise problem("is not a direction", _ACCEPTED) from None
        words = value if isinstance(value, str) else f"{heading:g} deg"
        # Rounded so that "rear" is exactly (-1, 0, 0).
        return cls(words, (round(cos(radians(heading)), 15) + 0.0, round(sin(radians(heading)), 15) + 0.0, 0.0))

    @classmethod
    def _of_vector(cls, value: list[object]) -> Facing:
        plain = (isinstance(v, int | float) and not isinstance(v, bool) and abs(v) < 1e9 for v in value)
        if len(value) != 3 or not all(plain):
            raise problem("is not a direction", _ACCEPTED)
        forward, left, up = (float(v) for v in value)  # type: ignore[arg-type]
        length = hypot(forward, left)
        if length == 0.0 or abs(up) > 1e-9 * length:
            raise problem("is not horizontal", "an upright plane faces horizontally: give a vector such as [-1, 0, 0]")
        return cls(f"({forward:g}, {left:g}, {up:g})", (forward / length, left / length, 0.0))

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(cls.read)

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        vector = {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3}
        says = "forward, rear, left, right, a heading or a horizontal vector (forward, left, 0)"
        return {"anyOf": [{"type": "string"}, {"type": "number"}, vector], "description": says}


Count = Annotated[int, Field(strict=True, ge=1)]


class Grid(Table):
    """How an area is divided: equal cells no larger than a spacing, the published rule, or stated counts."""

    spacing_m: PositiveLength | None = Field(default=None, alias="spacing")
    rule: Literal["published"] | None = None
    counts: tuple[Count, Count] | None = None  # rows along, columns across

    @model_validator(mode="after")
    def _exactly_one(self) -> Grid:
        if sum(item is not None for item in (self.spacing_m, self.rule, self.counts)) != 1:
            accepted = 'give one of spacing = "1 ft", rule = "published", counts = [rows, columns]'
            raise problem("does not say one grid", accepted)
        return self


_Edge = tuple[tuple[float, float], tuple[float, float]]


def _simple(corners: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """A polygon of three corners or more, with area, whose edges do not cross."""
    if not 3 <= len(corners) <= 200:
        raise problem(f"has {len(corners)} corners", "give 3 to 200 corners")
    edges = list(zip(corners, [*corners[1:], corners[0]], strict=True))
    if any(hypot(b[0] - a[0], b[1] - a[1]) < 1e-6 for a, b in edges):
        raise problem("has the same corner twice", "give each corner once; the outline closes by itself")
    for i, first in enumerate(edges):
        for j in range(i + 2, len(edges)):
            if (i, j) != (0, len(edges) - 1) and _cross(first, edges[j]):
                raise problem("has edges that cross", "give the corners in order around the area")
    if abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in edges)) < 1e-6:
        raise problem("encloses no area", "give corners that do not lie on one line")

    return corners


def _cross(first: _Edge, second: _Edge) -> bool:
    (a, b), (c, d) = first, second
    parted = _side(a, b, c) * _side(a, b, d) <= 0.0 and _side(c, d, a) * _side(c, d, b) <= 0.0
    return parted and _boxes_meet(first, second)


def _side(a: tuple[float, float], b: tuple[float, float], p: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _boxes_meet(first: _Edge, second: _Edge) -> bool:
    (a, b), (c, d) = first, second
    return all(max(a[k], b[k]) >= min(c[k], d[k]) and max(c[k], d[k]) >= min(a[k], b[k]) for k in (0, 1))


Polygon = Annotated[tuple[tuple[Coordinate, Coordinate], ...], AfterValidator(_simple)]


class Area(Table):
    """Points of a rectangle or polygon, on the ground, at a height, or on the top face of a body."""

    id: Identifier
    name: Text = ""
    of: Identifier = "site"  # whose frame: a vehicle, or the site
    forward_m: RisingRange | None = Field(default=None, alias="forward")
    left_m: RisingRange | None = Field(default=None, alias="left")
    polygon_m: Polygon | None = Field(default=None, alias="polygon")
    height_m: Height = Field(default=0.0, alias="height")  # above the ground, or above the body's top face
    on: Identifier | None = None
    plane: Plane
    facing: Facing | None = None
    grid: Grid = Field(default_factory=lambda: Grid(rule="published"))
    headroom_m: Height = Field(default=2.0, alias="headroom")

    @model_validator(mode="after")
    def _one_outline(self) -> Area:
        sides = (self.forward_m is not None, self.left_m is not None)
        if sides[0] != sides[1]:
            raise problem("has only one of forward and left", "give both, or a polygon")
        if self.polygon_m is not None and any(sides):
            raise problem("has both a rectangle and a polygon", "give forward and left, or polygon")
        if self.polygon_m is None and not any(sides) and self.on is None:
            raise problem("has no outline", "give forward and left, or polygon")
        return self

    @model_validator(mode="after")
    def _facing_where_needed(self) -> Area:
        if self.plane in FACING_PLANES and self.facing is None:
            raise problem("does not say where its plane faces", 'give facing, such as facing = "rear"')
        if self.plane not in FACING_PLANES and self.facing is not None:
            raise problem(f"has a facing, which a {self.plane} plane does not have", "leave facing out")
        return self


class Window(Table):
    """A window of a house near by: light on it is a nuisance."""

    id: Identifier
    name: Text = ""
    position_m: Point = Field(alias="position")
    facing: Facing
