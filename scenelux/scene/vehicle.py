"""Vehicles of a scene: pose on the site, bodies as boxes, lamps with their aim."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field, model_validator

from scenelux.errors import LimitError
from scenelux.scene.fields import (
    Angle,
    Coordinate,
    Heading,
    Height,
    Identifier,
    Level,
    Lossfactor,
    Quantity,
    Table,
    Text,
    Tilt,
)
from scenelux.scene.site import RisingRange

__all__ = ["MOST_PARTS", "Body", "Lamp", "Vehicle", "with_copies"]

MOST_PARTS = 1000
"""Lamps, or bodies, of all vehicles together; more is a slip of the pen."""

Lean = Annotated[float, Quantity("angle", -30.0, 30.0)]
RideChange = Annotated[float, Quantity("length", -0.5, 0.5)]


class Body(Table):
    """A box of a vehicle, in the vehicle frame, turned about its own vertical axis through its centre."""

    id: Identifier
    forward_m: RisingRange = Field(alias="forward")
    left_m: RisingRange = Field(alias="left")
    up_m: RisingRange = Field(alias="up")
    turn_deg: Angle = Field(default=0.0, alias="turn")
    reflectance: Level | None = None  # of its paint; the default of shared/objects.toml when not given


class Lamp(Table):
    """One luminaire on a vehicle: where it stands, how it is aimed, which circuit feeds it."""

    id: Identifier
    luminaire: Text
    position_m: tuple[Coordinate, Coordinate, Height] = Field(alias="position")
    heading_deg: Heading = Field(alias="heading")
    tilt_deg: Tilt = Field(default=0.0, alias="tilt")
    roll_deg: Angle = Field(default=0.0, alias="roll")
    circuit: Identifier
    light_loss_factor: Lossfactor


class Vehicle(Table):
    """A vehicle standing on the ground of the site; its frame has its origin on the ground under its rear."""

    id: Identifier
    name: Text = ""
    position_m: tuple[Coordinate, Coordinate] = Field(default=(0.0, 0.0), alias="position")
    heading_deg: Heading = Field(default=0.0, alias="heading")
    pitch_deg: Lean = Field(default=0.0, alias="pitch")
    roll_deg: Lean = Field(default=0.0, alias="roll")
    ride_height_m: RideChange = Field(default=0.0, alias="ride_height")
    like: Identifier | None = None
    light_loss_factor: Lossfactor | None = None  # of its lamps that state none, and of all that it copies
    bodies: tuple[Body, ...] = ()
    lamps: tuple[Lamp, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _loss_factor_of_all_lamps(cls, table: object) -> object:
        """Lamps without a light loss factor of their own take the vehicle's."""
        if not isinstance(table, dict) or "light_loss_factor" not in table or not isinstance(table.get("lamps"), list):
            return table
        default = {"light_loss_factor": table["light_loss_factor"]}
        lamps = [{**default, **lamp} if isinstance(lamp, Mapping) else lamp for lamp in table["lamps"]]
        return {**table, "lamps": lamps}


def with_copies(vehicles: tuple[Vehicle, ...]) -> tuple[Vehicle, ...]:
    """Vehicles made like an earlier one get its bodies and lamps after their own; a copied lamp is "vehicle/lamp"."""
    done: dict[str, Vehicle] = {}
    parts = 0
    filled = []
    for vehicle in vehicles:
        model = done.get(vehicle.like or "")
        new = _like(vehicle, model) if model else vehicle
        parts += max(len(new.bodies), len(new.lamps))
        if parts > MOST_PARTS:
            raise LimitError(f"has more than {MOST_PARTS} lamps or bodies", key="vehicles", accepted="give fewer")
        done.setdefault(vehicle.id, new)
        filled.append(new)
    return tuple(filled)


def _like(vehicle: Vehicle, model: Vehicle) -> Vehicle:
    loss = {} if vehicle.light_loss_factor is None else {"light_loss_factor": vehicle.light_loss_factor}
    copies = tuple(
        lamp.model_copy(update={"id": f"{vehicle.id}/{lamp.id.rpartition('/')[2]}", **loss}) for lamp in model.lamps
    )
    return vehicle.model_copy(update={"bodies": (*vehicle.bodies, *model.bodies), "lamps": (*vehicle.lamps, *copies)})
