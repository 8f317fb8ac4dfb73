"""Luminaire cards: what a luminaire is, where its intensities come from, and how far its data go."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from scenelux.names import COLOUR_WORDS, WHITE_RANGE_K, WHITE_WITH_CCT
from scenelux.scene.fields import PositiveLength, Quantity, Table, Text, Wording, problem
from scenelux.scene.supply import Current, Supply, watts_disagree

__all__ = [
    "CARD_FORMAT",
    "Basis",
    "Beam",
    "Card",
    "CardOpening",
    "CardSource",
    "Chromaticity",
    "ColourWord",
    "DataClass",
    "Input",
    "Kind",
    "Luminaire",
]

CARD_FORMAT = "scenelux luminaire 1"

Kind = Literal["flood", "work", "side", "warning", "arrow", "headlamp"]
DataClass = Literal["measured file", "fitted from several figures", "fitted from one figure"]
Basis = Literal["required minimum", "measured"]

Flux = Annotated[float, Quantity("flux", 0.0, 1e7, above=True)]
BeamAngle = Annotated[float, Quantity("angle", 0.0, 180.0, above=True)]
Elevation = Annotated[float, Quantity("angle", -90.0, 90.0)]
Power = Annotated[float, Quantity("power", 0.0, 100_000.0, above=True)]


def _not_sha256(text: str) -> str | None:
    return None if re.fullmatch(r"[0-9a-f]{64}", text) else "is not a SHA-256"


Sha256 = Annotated[str, Wording(_not_sha256, "give its 64 digits 0-9 a-f", "^[0-9a-f]{64}$")]


def _not_colour(text: str) -> str | None:
    white = re.fullmatch(WHITE_WITH_CCT, text)
    if white and not WHITE_RANGE_K[0] <= int(white[1]) <= WHITE_RANGE_K[1]:
        return f"has a colour temperature outside {WHITE_RANGE_K[0]:,} to {WHITE_RANGE_K[1]:,} K"
    return None if white or text in COLOUR_WORDS else "is not a colour that is known here"


def _is_chromaticity(value: tuple[float, float]) -> tuple[float, float]:
    if value[1] == 0.0 or sum(value) > 1.0:
        raise problem("is not a chromaticity", "give x and y of CIE 1931 such as [0.570, 0.425], in sum at most 1")
    return value


ColourWord = Annotated[
    str,
    Wording(
        _not_colour,
        f'give "white 5000 K" or one of the words {", ".join(COLOUR_WORDS)}',
        f"^({'|'.join(COLOUR_WORDS)}|{WHITE_WITH_CCT})$",
    ),
]
Coordinate = Annotated[float, Quantity("number", 0.0, 1.0)]
Chromaticity = Annotated[tuple[Coordinate, Coordinate], AfterValidator(_is_chromaticity)]
ScotopicRatio = Annotated[float, Quantity("number", 0.0, 100.0, above=True)]
DataShare = Annotated[float, Quantity("ratio", 0.0, 10.0, above=True)]
SetNumber = Annotated[int, Field(strict=True, ge=1)]

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
        for width in ("beam_angle_deg", "across_deg", "up_deg", "edge_deg"):
            given, key = getattr(self, width) is not None, width.removesuffix("_deg")
            if given != (width in _WIDTHS[self.form]):
                needed = " and ".join(name.removesuffix("_deg") for name in _WIDTHS[self.form])
                raise problem(f"{'states' if given else 'lacks'} {key}", f"a {self.form} beam states {needed}")
        return self


class CardOpening(Table):
    """The luminous opening of a stated beam: length across, width up."""

    shape: Literal["point", "rectangle", "ellipse"] = "rectangle"
    length_m: PositiveLength = Field(alias="length")
    width_m: PositiveLength = Field(alias="width")


class CardUncertainty(Table):
    """Share by which the light of a luminaire may be off, in its beam and outside it, where glare comes from."""

    in_beam: DataShare
    outside_beam: DataShare


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
    current_a: Current | None = Field(default=None, alias="current")
    supply: Supply | None = None
    colour: ColourWord = "white"
    chromaticity: Chromaticity | None = None
    spectrum: Text | None = None  # CSV of wavelength and power, beside the card
    sp_ratio: ScotopicRatio | None = None
    basis: Basis | None = None  # of a table of test points
    apply_tilt_table: bool = Field(default=False, strict=True)
    lamp_set: SetNumber | None = None  # of an EULUMDAT file with several
    emitter: SetNumber | None = None  # of a TM-33 file with several
    data_class: DataClass
    uncertainty: CardUncertainty | None = None  # none: by the data class
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

    @model_validator(mode="after")
    def _keys_of_files(self) -> Card:
        for key in ("basis", "apply_tilt_table", "lamp_set", "emitter"):
            if self.file is None and key in self.model_fields_set:
                raise problem("belongs to a photometric file, and the card has none", "leave it out", key)
        if self.lamp_set is not None and self.emitter is not None:
            accepted = "give lamp_set for an EULUMDAT file and emitter for a TM-33 file"
            raise problem("stands beside lamp_set", accepted, "emitter")
        return self

    @model_validator(mode="after")
    def _figures_agree(self) -> Card:
        if self.chromaticity is not None and self.spectrum is not None:
            accepted = "give one: the chromaticity follows from the spectrum"
            raise problem("stands beside a spectrum", accepted, "chromaticity")
        wrong = watts_disagree(self.power_w, self.supply, self.current_a)
        if wrong:
            raise problem(wrong, "correct power, current or voltage", "current")
        return self

    @property
    def colour_stated(self) -> str | None:
        """The colour word as the card states it; none where it is left out."""
        return self.colour if "colour" in self.model_fields_set else None


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
    spectrum_file: str | None = None
    spectrum: bytes | None = None
    card_table: Mapping[str, Any] = field(default_factory=dict)  # the card as parsed
    neighbours: tuple[tuple[str, bytes], ...] = ()  # files that the photometric file names
