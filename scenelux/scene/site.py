"""The site of a scene: the road with its lanes, the ground, duty states, light levels and the map."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from scenelux.scene.fields import (
    Coordinate,
    Identifier,
    Illuminance,
    Level,
    Luminance,
    PositiveLength,
    Range,
    Slope,
    Speed,
    Table,
    Text,
    problem,
    range_is_rising,
)

__all__ = ["Lane", "LightLevel", "MapFrame", "RisingRange", "Site", "State"]

RisingRange = Annotated[Range, AfterValidator(range_is_rising)]


class Lane(Table):
    """A lane: straight along the site, its centre line left of the site's origin."""

    id: Identifier
    name: Text = ""
    centre_left_m: Coordinate = Field(alias="centre_left")
    width_m: PositiveLength = Field(alias="width")
    direction: Literal["same", "opposite"] = "same"


class Site(Table):
    """The road and the ground, one inclined plane through the origin."""

    traffic_side: Literal["right", "left"] = "right"
    surface: Text = "dry asphalt"
    grade: Slope = 0.0
    crossfall: Slope = 0.0
    posted_speed_m_s: Speed | None = Field(default=None, alias="posted_speed")
    lanes: tuple[Lane, ...] = ()


class State(Table):
    """A duty state: which circuits are on, and at what level; circuits not named are off."""

    say: Text
    circuits: Mapping[Identifier, Level]


class LightLevel(Table):
    """Light around the truck and the factor of each circuit in it; circuits not named keep 1."""

    say: Text
    ambient_lx: Illuminance = Field(alias="ambient")
    adaptation_luminance_cd_m2: Luminance = Field(alias="adaptation_luminance")
    road_luminance_cd_m2: Luminance = Field(alias="road_luminance")
    factors: Mapping[Identifier, Level] = {}

    @model_validator(mode="before")
    @classmethod
    def _road_as_adaptation(cls, table: object) -> object:
        if isinstance(table, dict) and "adaptation_luminance" in table and "road_luminance" not in table:
            return {**table, "road_luminance": table["adaptation_luminance"]}
        return table


class MapFrame(Table):
    """The part of the ground that the plan shows; found from lamps and areas where not given."""

    forward_m: RisingRange | None = Field(default=None, alias="forward")
    left_m: RisingRange | None = Field(default=None, alias="left")
    spacing_m: PositiveLength | None = Field(default=None, alias="spacing")

    @model_validator(mode="after")
    def _both_or_neither(self) -> MapFrame:
        if (self.forward_m is None) != (self.left_m is None):
            raise problem("has only one of forward and left", "give both or neither")
        return self
