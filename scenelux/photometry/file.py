"""A photometric file as read, whatever its format: intensities, opening, keywords, factors and warnings."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import Literal

from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.tilt import TiltTable

__all__ = ["Basis", "Format", "Generation", "PhotometricFile", "TestPoint"]

Format = Literal["LM-63", "EULUMDAT", "TM-33", "H-V table"]
Basis = Literal["measured", "required minimum"]


@dataclass(frozen=True)
class Generation:
    """How a file of LM-63-2019 came about: the token of its field 12, kept as written, and what it says in words."""

    token: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class TestPoint:
    """A point of an H-V table: H to the right and V up [deg], intensity [cd]."""

    __test__ = False  # not a test case, whatever its name says

    h_deg: float
    v_deg: float
    candela: float


@dataclass(frozen=True, eq=False)
class PhotometricFile:
    """A photometric file as read.

    Parameters
    ----------
    format, edition : kind of file, and its year (LM-63) or version (TM-33); no edition where the format has none.
    distribution : intensities with every factor applied and all symmetry unfolded.
    opening : the luminous opening.
    keywords : (key, text) in the order of the file, repeated ones too; a line without a keyword has the key "".
        Other formats use the keywords of LM-63 for what means the same, and user keywords (_NAME) for the rest.
    symmetry : which symmetry the file left out, in words.
    factors : (name, value) of every factor that the intensities were multiplied with.
    lamps : number of lamps in the luminaire as stated; with absolute photometry it says nothing.
    rated_flux_lm : of the rated lamps; None with absolute photometry [lm].
    input_watts : electrical input, never scaled [W].
    tilt : the table of TILT factors, where the file has one; never applied by reading.
    generation : how the file came about, where it says so.
    basis : whether the values are measured or the least that a rule asks for; None where the format cannot say.
    points : the points of an H-V table as listed.
    warnings : what its user should know.
    """

    format: Format
    edition: str
    distribution: IntensityDistribution
    opening: Opening
    keywords: tuple[tuple[str, str], ...]
    symmetry: str
    factors: tuple[tuple[str, float], ...]
    lamps: int
    rated_flux_lm: float | None
    input_watts: float
    warnings: tuple[FileWarning, ...]
    tilt: TiltTable | None = None
    generation: Generation | None = None
    basis: Basis | None = None
    points: tuple[TestPoint, ...] = ()

    @property
    def absolute(self) -> bool:
        """The intensities were measured as they are, not scaled to rated lamps."""
        return self.rated_flux_lm is None

    @property
    def factor(self) -> float:
        """All factors that the intensities were multiplied with, in one."""
        return prod(value for _, value in self.factors)

    @property
    def title(self) -> str:
        """Format and edition in words."""
        return f"{self.format}-{self.edition}" if self.format == "LM-63" else f"{self.format} {self.edition}".strip()

    def text(self, key: str) -> str:
        """The text of a keyword, with the lines that continue it; empty when it is missing."""
        parts: list[str] = []
        for name, text in self.keywords:
            if name == key or (name == "MORE" and parts):
                parts.append(text)
            elif parts:
                break
        return " ".join(parts)
