"""The ambient-light sensor, the supply and the evening of a switching document."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from pydantic import Field, GetJsonSchemaHandler, model_validator
from pydantic_core import core_schema

from scenelux.scene.fields import Identifier, Illuminance, Point, PositiveLength, Quantity, Speed, Table, Text, problem
from scenelux.scene.supply import Voltage
from scenelux.scene.switching_values import OneOrMore, Value

__all__ = ["AmbientSensor", "Disturbance", "Dusk", "Harness", "Instant", "PowerSupply"]

Seconds = Annotated[float, Quantity("time", 0.0, 86_400.0)]
Duration = Annotated[float, Quantity("time", 60.0, 172_800.0)]
Amperes = Annotated[float, Quantity("current", 0.0, 10_000.0)]
View = Annotated[float, Quantity("angle", 1.0, 180.0)]
Charge = Annotated[float, Quantity("charge", 0.0, 10_000.0, above=True)]
Section = Annotated[float, Quantity("cross-section", 0.0, 1000.0, above=True)]
Ohms = Annotated[float, Quantity("resistance", 0.0, 10.0)]
Share = Annotated[float, Quantity("ratio", 0.0, 1.0, above=True)]


class _InstantText:
    """Marks a date with time and offset from UTC."""

    def read(self, value: object) -> datetime:
        """The instant in UTC."""
        accepted = "give a date with time, without quotes, such as 2026-10-15T22:00:00Z"
        if not isinstance(value, datetime):
            raise problem("is no instant", accepted)
        if value.tzinfo is None:
            raise problem("has no offset from UTC", accepted)
        if not 1950 <= value.year < 2050:
            raise problem("is out of range", "give a year from 1950 to 2049")
        return value.astimezone(UTC)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"description": "Date with time and offset, without quotes: 2026-10-15T22:00:00Z"}


Instant = Annotated[datetime, _InstantText()]


class AmbientSensor(Table):
    """A sensor with two thresholds and a time to wait each way; it gives the input "ambient light"."""

    of: Identifier | None = None  # vehicle in whose frame it is; the first when not given
    position_m: Point = Field(alias="position")
    facing: Literal["up", "forward", "left", "rear", "right"] = "up"
    field_of_view_deg: View = Field(default=180.0, alias="field_of_view")  # full angle
    dark_below_lx: Illuminance = Field(alias="dark_below")
    bright_above_lx: Illuminance = Field(alias="bright_above")
    dark_delay_s: Seconds = Field(default=0.0, alias="dark_delay")
    bright_delay_s: Seconds = Field(default=0.0, alias="bright_delay")
    averaging: Literal["none", "first order", "moving mean"] = "none"
    averaging_time_s: Seconds = Field(default=0.0, alias="averaging_time")
    starts: Literal["day", "night"] = "day"
    fails_to: OneOrMore = ()
    flutter_within_s: Seconds = Field(default=60.0, alias="flutter_within")  # a turn turned back sooner is a flutter

    @model_validator(mode="after")
    def _fits(self) -> AmbientSensor:
        if not 0.0 < self.dark_below_lx <= self.bright_above_lx:
            raise problem("is not above 0 and at most bright_above", "give the lower threshold here", "dark_below")
        if (self.averaging == "none") != (self.averaging_time_s == 0.0):
            raise problem("has only one of averaging and averaging_time", "give both or neither")
        return self


class Harness(Table):
    """Copper to a circuit: one way, the way back counts too."""

    length_m: PositiveLength = Field(alias="length")
    cross_section_mm2: Section = Field(alias="cross_section")


class PowerSupply(Table):
    """Alternator, battery and harness, and in which order circuits are given up."""

    voltage_v: Voltage = Field(alias="voltage")  # at the battery, engine running
    battery_voltage_v: Voltage | None = Field(default=None, alias="battery_voltage")  # engine off; else the same
    battery_resistance_ohm: Ohms = Field(default=0.0, alias="battery_resistance")
    alternator_idle_a: Amperes = Field(alias="alternator_idle")
    alternator_driving_a: Amperes = Field(alias="alternator_driving")
    other_loads_a: Amperes = Field(default=0.0, alias="other_loads")
    battery_ah: Charge = Field(alias="battery")
    usable_share: Share = Field(default=0.5, alias="usable")
    harness: Mapping[Identifier, Harness] = {}
    shedding: tuple[Identifier, ...] = ()

    @model_validator(mode="after")
    def _driving_gives_more(self) -> PowerSupply:
        if self.battery_voltage_v is not None and self.battery_voltage_v > self.voltage_v:
            raise problem("is above the voltage of the running engine", "give less", "battery_voltage")
        if self.alternator_driving_a < self.alternator_idle_a:
            raise problem("is less than at idle", "give the larger current for driving", "alternator_driving")
        return self


_LASTING = ("tunnel", "dark tunnel", "cloud")


class Disturbance(Table):
    """What comes between the sky and the sensor, or adds to its light."""

    id: Identifier
    kind: Literal[
        "street lamps", "tunnel", "dark tunnel", "lightning", "cloud", "passing car", "stuck low", "stuck high", "noisy"
    ]  # the last three are faults of the sensor from then on
    at_s: Seconds = Field(alias="at")  # after the start of the evening
    lasts_s: Seconds | None = Field(default=None, alias="lasts")
    speed_m_s: Speed | None = Field(default=None, alias="speed")
    count: Annotated[int, Field(strict=True, ge=1, le=200)] | None = None
    approach: Identifier | None = None  # of the scene: whose headlamps pass
    inputs: Mapping[Identifier, Value] = {}  # that differ while it is run

    @model_validator(mode="after")
    def _complete(self) -> Disturbance:
        needs = {"street lamps": ("speed", "count"), "passing car": ("approach",)}
        needs |= dict.fromkeys(_LASTING, ("lasts",))
        fields = {"speed": "speed_m_s", "lasts": "lasts_s"}
        for key in ("lasts", "speed", "count", "approach"):
            given, wanted = getattr(self, fields.get(key, key)) is not None, key in needs.get(self.kind, ())
            if wanted and not given:
                raise problem(f"has no {key}", f"{self.kind} needs {' and '.join(needs[self.kind])}")
            if given and not wanted and (self.kind, key) != ("passing car", "count"):
                raise problem(f"does not belong to {self.kind}", f"leave {key} out", key)
        return self


class Dusk(Table):
    """An evening, or a whole day, at a place."""

    place: Text = ""  # in words
    latitude_deg: Annotated[float, Quantity("angle", -90.0, 90.0)] = Field(alias="latitude")
    longitude_deg: Annotated[float, Quantity("angle", -180.0, 180.0)] = Field(alias="longitude")  # east positive
    start: Instant
    duration_s: Duration = Field(alias="duration")
    cloud: Annotated[float, Quantity("number", 1.0, 100.0)] = 1.0  # divides the light of the sky
    inputs: Mapping[Identifier, Value] = {}  # that are not normal
    disturbances: tuple[Disturbance, ...] = ()
