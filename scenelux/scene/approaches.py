"""Approaches of a scene: a driver who comes along a lane, with own headlamps, and whom the driver must see in time."""

from __future__ import annotations

from itertools import pairwise
from math import pi
from typing import Annotated, Any

from pydantic import AfterValidator, Field, GetJsonSchemaHandler, model_validator
from pydantic_core import core_schema

from scenelux.scene.eyes import Age, EyeHeight, Gaze, Pigmentation
from scenelux.scene.fields import (
    Coordinate,
    Identifier,
    PositiveLength,
    Quantity,
    Speed,
    Table,
    Text,
    Tilt,
    problem,
)

__all__ = ["LEAST_START_M", "LOW_BEAM", "Approach", "Headlamps"]

LEAST_START_M = 300.0
"""An approach that states no start begins at least so far away."""

LOW_BEAM = "headlamp-low"
"""The shipped low beam, for right-hand traffic."""

STEEPEST = 0.3
MOST_PROFILE_POINTS = 50

Distance = Annotated[float, Quantity("length", 0.0, 5000.0)]
LampHeight = Annotated[float, Quantity("length", 0.1, 5.0)]
Spacing = Annotated[float, Quantity("length", 0.0, 5.0)]
Aside = Annotated[float, Quantity("length", -5.0, 5.0)]
Level = Annotated[float, Quantity("number", 0.0, 1000.0, above=True)]
Reaction = Annotated[float, Quantity("time", 0.0, 20.0)]


def _is_radius(value: float) -> float:
    if abs(value) < 20.0:
        raise problem("is out of range", "give 20 m or more, negative where the road turns right; none is straight")
    return value


def _is_profile(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    if not 1 <= len(points) <= MOST_PROFILE_POINTS:
        raise problem(f"has {len(points)} points", f"give 1 to {MOST_PROFILE_POINTS} of [distance, height]")
    for (near, low), (far, high) in pairwise(((0.0, 0.0), *points) if points[0][0] > 0.0 else points):
        if far <= near:
            raise problem("does not go on", "give points with rising distances from the vehicle")
        if abs(high - low) > STEEPEST * (far - near):
            raise problem("is too steep", "let it rise or fall by at most 30 % between points")
    if points[0] == (0.0, points[0][1]) and points[0][1] != 0.0:
        raise problem("does not begin at the vehicle's own road", "give height 0 at distance 0")
    return points


Radius = Annotated[float, Quantity("length", -100_000.0, 100_000.0), AfterValidator(_is_radius)]
Profile = Annotated[tuple[tuple[Distance, Coordinate], ...], AfterValidator(_is_profile)]


class Headlamps(Table):
    """The two headlamps of the approaching vehicle, alike, beside each other."""

    luminaire: Text = LOW_BEAM
    height_m: LampHeight = Field(default=0.6, alias="height")  # above the road
    spacing_m: Spacing = Field(default=1.3, alias="spacing")
    ahead_of_eye_m: Aside = Field(default=2.0, alias="ahead_of_eye")
    left_of_eye_m: Aside | None = Field(default=None, alias="left_of_eye")  # the middle between them
    tilt_deg: Tilt = Field(default=0.0, alias="tilt")  # beside the aim that the photometric file has in it


class _OrNone:
    """Lets the word "none" stand where no headlamps are wanted."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        found: core_schema.CoreSchema = handler(source)
        return core_schema.no_info_before_validator_function(lambda value: None if value == "none" else value, found)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"anyOf": [{"const": "none"}, *handler(schema)["anyOf"]]}


class Approach(Table):
    """A driver comes along a lane towards a vehicle and must see people there in time."""

    id: Identifier
    name: Text = ""
    lane: Identifier
    vehicle: Identifier | None = None  # the one it approaches; the first when not given
    speed_m_s: Speed | None = Field(default=None, alias="speed")  # the posted speed when not given
    eye_height_m: EyeHeight = Field(default=1.08, alias="eye_height")
    ages_years: tuple[Age, ...] = Field(default=(25.0, 50.0, 70.0), alias="ages", min_length=1, max_length=10)
    pigmentation: Pigmentation = 0.5
    gaze: tuple[Gaze, ...] = Field(default_factory=lambda: (Gaze("road", "road"),), min_length=1, max_length=10)
    from_m: PositiveLength | None = Field(default=None, alias="from")  # none: by the stopping sight distance
    to_m: PositiveLength = Field(default=20.0, alias="to")
    step_m: PositiveLength = Field(default=5.0, alias="step")
    radius_m: Radius | None = Field(default=None, alias="radius")  # positive turns left; none is straight
    profile_m: Profile | None = Field(default=None, alias="profile")  # [distance, height above the site's ground]
    headlamps: Annotated[Headlamps | None, _OrNone()] = Field(default_factory=Headlamps)
    people: tuple[Identifier, ...] | None = None  # all when not given
    objects: tuple[Identifier, ...] | None = None
    visibility_level: Level = 7.0
    reaction_time_s: Reaction = Field(default=2.5, alias="reaction_time")
    states: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    light: tuple[Identifier, ...] | None = Field(default=None, min_length=1)

    @model_validator(mode="after")
    def _comes_nearer(self) -> Approach:
        if self.from_m is not None and not self.from_m > self.to_m:
            raise problem("comes no nearer", "from is the far end: give a larger from than to")
        if self.from_m is None and self.to_m >= LEAST_START_M:
            raise problem("has a to that may lie beyond its start", "give from as well")
        start = self.from_m or LEAST_START_M
        if self.radius_m is not None and start > pi * abs(self.radius_m):
            raise problem("turns by more than half a circle", "give a larger radius or a smaller from")
        return self
