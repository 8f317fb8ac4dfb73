"""Luminaire cards: what a luminaire is, where its intensities come from, and how far its data go."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import Field, model_validator

from scenelux.scene.fields import PositiveLength, Quantity, Table, Text, Wording, problem

__all__ = ["CARD_FORMAT", "Beam", "Card", "CardOpening", "CardSource", "DataClass", "Input", "Kind", "Luminaire"]

CARD_FORMAT = "scenelux luminaire 1"

Kind = Literal["flood", "work", "side", "warning", "arrow", "headlamp"]
DataClass = Literal["measured file", "fitted from several figures", "fitted from one figure"]

Flux = Annotated[float, Quantity("flux", 0.0, 1e7, above=True)]
BeamAngle = Annotated[float, Quantity("angle", 0.0, 180.0, above=True)]
Elevation = Annotated[float, Quantity("angle", -90.0, 90.0)]
Power = Annotated[float, Quantity("power", 0.0, 100_000.0, above=True)]


def _not_sha256(text: str) -> str | None:
    return None if re.fullmatch(r"[0-9a-f]{64}", text) else "is not a SHA-256"


Sha256 = Annotated[str, Wording(_not_sha256, "give its 64 digits 0-9 a-f", "^[0-9a-f]{64}$")]

_WIDTHS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "cosine-power": ("beam_angle_deg",),
        "elliptical-gaussian": ("across_deg", "up_deg"),
        "flat-top": ("across_deg", "up_deg", "edge_deg"),
    }
)


class Beam(Table):
    """A beam stated by its flux and full widths at half of the maximum, with an optional cut-off line."""

    form: Literal["cosine-power", "elliptical-gaussian", "flat-top"]
    flux_lm: Flux = Field(alias="flux")
    beam_angle_deg: BeamAngle | None = Field(default=None, alias="beam_angle")
    across_deg: BeamAngle | None = Field(default=None, alias="across")
    up_deg: BeamAngle | None = Field(default=None, alias="up")
    edge_deg: BeamAngle | None = Field(default=None, alias="edge")
    cutoff_above_deg: Elevation | None = Field(default=None, alias="cutoff_above")

    @model_validator(mode="after")
    def _widths_of_the_form(self) -> Beam:
        for field in ("beam_angle_deg", "across_deg", "up_deg", "edge_deg"):
            given, key = getattr(self, field) is not None, field.removesuffix("_deg")
            if given != (field in _WIDTHS[self.form]):
                needed = " and ".join(name.removesuffix("_deg") for name in _WIDTHS[self.form])
                raise problem(f"{'states' if given else 'lacks'} {key}", f"a {self.form} beam states {needed}")
        return self


class CardOpening(Table):
    """The luminous opening of a stated beam: length across, width up."""

    shape: Literal["point", "rectangle", "ellipse"] = "rectangle"
    length_m: PositiveLength = Field(alias="length")
    width_m: PositiveLength = Field(alias="width")


class CardSource(Table):
    """The address of the card's data."""

    title: Text
    edition: Text = ""
    clause: Text = ""
    status: Literal["published", "quoted", "unconfirmed", "invented", "own"]


class Card(Table):
    """A luminaire as its card tells it."""

    format: Literal["scenelux luminaire 1"]
    name: Text
    kind: Kind
    file: Text | None = None
    sha256: Sha256 | None = None
    beam: Beam | None = None
    opening: CardOpening | None = None
    face: Text | None = None  # photometric direction that goes to the beam
    top: Text | None = None  # photometric direction that goes to the lamp's up
    power_w: Power | None = Field(default=None, alias="power")
    colour: Text = "white"
    data_class: DataClass
    source: CardSource

    @model_validator(mode="after")
    def _file_or_beam(self) -> Card:
        if (self.file is None) == (self.beam is None):
            raise problem("needs one of file and beam", 'give file = "NAME.ies", or a [beam] table')
        if self.sha256 is not None and self.file is None:
            raise problem("has a sha256 and no file", "leave sha256 out")
        if self.opening is not None and self.beam is None:
            raise problem("has an opening beside a file", "the file states the opening: leave opening out")
        if (self.face is None) != (self.top is None):
            raise problem("has only one of face and top", "give both or neither")
        return self


@dataclass(frozen=True)
class Input:
    """A file that was read for a scene."""

    file: str
    sha256: str


@dataclass(frozen=True)
class Luminaire:
    """A luminaire of a scene: the name it goes by there, its card, and the bytes of its photometric file."""

    name: str
    card: Card
    card_file: str | None  # none for a photometric file named without a card
    data_file: str | None  # none for a stated beam
    data: bytes | None
    inputs: tuple[Input, ...] = ()
