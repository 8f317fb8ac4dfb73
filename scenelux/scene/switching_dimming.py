"""How the devices of a circuit are set: levels are shares of luminous output, a setting is whatever dims the device."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from scenelux.scene.fields import Quantity, Table, Text, problem
from scenelux.scene.supply import Voltage

__all__ = ["Dimming"]

Setting = Annotated[float, Quantity("number", 0.0, 1e6)]
Output = Annotated[float, Quantity("ratio", 0.0, 1.0)]


class Dimming(Table):
    """The basis on which a circuit is dimmed, and the light that settings give."""

    basis: Literal["duty", "voltage", "current"]
    filament_v: Voltage | None = Field(default=None, alias="filament")  # nominal voltage of a filament lamp
    points: tuple[tuple[Setting, Output], ...] | None = Field(default=None, min_length=2, max_length=1000)
    unit: Text = ""  # of the settings of the points; V and mA unless stated
    because: Text = ""  # where the curve comes from

    @model_validator(mode="after")
    def _is_one_curve(self) -> Dimming:
        if self.filament_v is not None and self.basis != "voltage":
            raise problem(f"does not belong to {self.basis}", "leave filament out", "filament")
        if self.filament_v is not None and self.points is not None:
            raise problem("has a filament and points", "give one of them")
        if self.points is None and self.filament_v is None and self.basis != "duty":
            needs = "filament or points" if self.basis == "voltage" else "points"
            raise problem(f"is dimmed by {self.basis} and has no curve", f"give {needs}")
        if self.points is not None and any(b[0] <= a[0] or b[1] <= a[1] for a, b in pairwise(self.points)):
            raise problem("is no curve", "give pairs of setting and light, both rising", "points")
        return self
