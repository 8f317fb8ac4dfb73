"""The weather of a scene: how far one can see through the air."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from scenelux.scene.fields import Quantity, Table, problem

__all__ = ["Weather"]

Visibility = Annotated[float, Quantity("length", 10.0, 100_000.0)]


class Weather(Table):
    """Clear air, or air in which the meteorological visibility is a stated distance."""

    kind: Literal["clear", "fog", "rain", "snow"] = "clear"
    visibility_m: Visibility | None = Field(default=None, alias="visibility")  # none: endless

    @model_validator(mode="after")
    def _seen_as_far_as_the_kind_says(self) -> Weather:
        if self.kind == "clear" and self.visibility_m is not None:
            raise problem("has a visibility in clear air", "leave visibility out, or give kind fog, rain or snow")
        if self.kind != "clear" and self.visibility_m is None:
            raise problem(f"has {self.kind} and no visibility", 'give it, such as visibility = "200 m"')
        return self
