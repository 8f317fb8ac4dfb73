"""Criteria that a scene applies: rows of the published documents, or rows of the user's own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import Field, model_validator

from scenelux.scene.fields import Identifier, Quantity, Table, Text, problem
from scenelux.scene.words import near

__all__ = ["OWN_QUANTITIES", "Criterion"]

OWN_QUANTITIES: Mapping[str, tuple[str, tuple[str, ...], tuple[str, ...]]] = MappingProxyType(
    {
        "illuminance": ("area", ("lx", "fc"), ("minimum", "average", "maximum")),
        "uniformity": ("area", ("1",), ("minimum over average", "average over minimum")),
        "veiling luminance": ("eye", ("cd/m2",), ("maximum",)),
        "veiling ratio": ("eye", ("1",), ("maximum",)),
        "threshold increment": ("eye", ("%",), ("maximum",)),
        "glare rating": ("eye", ("1",), ("maximum",)),
    }
)
"""Quantity -> what it is judged on, its units and its statistics, for rows of the user's own."""

_OWN = ("id", "quantity", "statistic", "sense", "limit", "unit", "because")

Limit = Annotated[float, Quantity("number", 0.0, 1e9)]


class Criterion(Table):
    """A limit on an area or an eye, in all duty states and light levels or in those named."""

    rule: Identifier | None = None  # a row of the published documents
    id: Identifier | None = None  # a row of the user's own
    name: Text = ""
    quantity: Text | None = None
    statistic: Text | None = None
    sense: Literal["at least", "at most"] | None = None
    limit: Limit | None = None
    unit: Text | None = None
    because: Text | None = None
    area: Identifier | None = None
    eye: Identifier | None = None
    gaze: tuple[Text, ...] | None = Field(default=None, min_length=1)  # gazes of the eye that are judged; else all
    states: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    light: tuple[Identifier, ...] | None = Field(default=None, min_length=1)

    @model_validator(mode="after")
    def _published_or_own(self) -> Criterion:
        given = [key for key in _OWN if getattr(self, key) is not None]
        if self.rule is not None and (given or self.name):
            also = (given or ["name"])[0]
            raise problem(f"names a rule and also gives {also}", "a row of your own has an id and no rule")
        missing = [key for key in _OWN if key not in given]
        if self.rule is None and missing:
            accepted = f"give rule, or all of {', '.join(_OWN)}"
            raise problem(f"has no {'rule' if len(missing) == len(_OWN) else missing[0]}", accepted)
        return self

    @model_validator(mode="after")
    def _one_subject(self) -> Criterion:
        if self.area is not None and self.eye is not None:
            raise problem("names both an area and an eye", "give one of them")
        if self.gaze is not None and self.eye is None:
            raise problem("has a gaze and no eye", "leave gaze out, or name an eye")
        return self

    @model_validator(mode="after")
    def _own_words(self) -> Criterion:
        if self.rule is not None or self.quantity is None:
            return self
        if self.quantity not in OWN_QUANTITIES:
            raise problem("is not a quantity that is known here", near(self.quantity, OWN_QUANTITIES), "quantity")
        subject, units, statistics = OWN_QUANTITIES[self.quantity]
        if self.unit not in units:
            accepted = " or ".join(f'"{unit}"' for unit in units)
            raise problem(f"is not a unit of {self.quantity}", f"give {accepted}", "unit")
        if self.statistic not in statistics:
            accepted = " or ".join(f'"{statistic}"' for statistic in statistics)
            raise problem(f"is not a statistic of {self.quantity}", f"give {accepted}", "statistic")
        if getattr(self, subject) is None:
            raise problem(f"names no {subject}", f"name one: {self.quantity} is judged on an {subject}")
        return self
