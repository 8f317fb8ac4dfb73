"""Invented luminaires from a list of stated beams: the same list gives the same LM-63 files, byte for byte."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from scenelux.errors import DocumentError, InputError
from scenelux.names import CALCULATED_FROM_BEAM, INVENTED
from scenelux.photometry.beams import Beam, Compound, CosinePower, EllipticalGaussian, FlatTop
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.lm63.write import write_lm63
from scenelux.photometry.sampling import sample

__all__ = ["FORMS", "Recipe", "read_recipes", "stated_opening"]

RECIPES_FORMAT = "scenelux beams 1"

FORMS: Mapping[str, type[CosinePower] | type[EllipticalGaussian] | type[FlatTop]] = {
    "cosine-power": CosinePower,
    "elliptical-gaussian": EllipticalGaussian,
    "flat-top": FlatTop,
}

Outline = Literal["point", "rectangle", "ellipse"]


@dataclass(frozen=True)
class Recipe:
    """A luminaire to make: what it is called, its beams, its opening as seen on the lamp, and its input.

    Parameters
    ----------
    name, title : short name, and what it is in words.
    lamp : the light source in words.
    parts : beams with the degrees right and up of their centres.
    shape, across_m, up_m : luminous opening seen along the beam [m].
    input_watts : electrical input [W].
    """

    name: str
    title: str
    lamp: str
    parts: tuple[tuple[Beam, float, float], ...]
    shape: Outline
    across_m: float
    up_m: float
    input_watts: float

    @property
    def beam(self) -> Beam | Compound:
        """The beam, a single one where there is one centred part."""
        if len(self.parts) == 1 and self.parts[0][1:] == (0.0, 0.0):
            return self.parts[0][0]
        return Compound(self.parts)

    def file(self) -> bytes:
        """The luminaire as an LM-63 file, marked as invented."""
        distribution = sample(self.beam)
        keywords = [
            ("TEST", f"{INVENTED} demonstration data: {self.name}"),
            ("TESTLAB", f"None, {CALCULATED_FROM_BEAM}"),
            ("ISSUEDATE", "2026-01-15"),
            ("MANUFAC", f"{INVENTED} for demonstration"),
            ("LUMCAT", self.name),
            ("LUMINAIRE", self.title),
            ("LAMP", self.lamp),
            *(("OTHER", _in_words(*part)) for part in self.parts),
        ]
        opening = stated_opening(distribution, self.shape, self.across_m, self.up_m)
        return write_lm63(distribution, keywords, opening=opening, input_watts=self.input_watts)


def stated_opening(distribution: IntensityDistribution, shape: Outline, across_m: float, up_m: float) -> Opening:
    """An opening stated as seen on the lamp, along the photometric axes of its distribution in the usual mounting.

    Parameters
    ----------
    distribution : its type decides which axis is which: length is across for type C, up for type B.
    shape : outline along the beam.
    across_m, up_m : sizes left to right and bottom to top [m].

    Example
    -------
    >>> lamp = IntensityDistribution("B", [-90, 90], [-90, 90], [[1, 1]] * 2)
    >>> stated_opening(lamp, "rectangle", across_m=0.3, up_m=0.1).length_m
    0.1
    """
    if shape == "point":
        return Opening()
    if distribution.photometric_type == "A":
        return Opening(shape, 0.0, across_m, up_m, f"upright {shape}")
    length, width = (across_m, up_m) if distribution.photometric_type == "C" else (up_m, across_m)
    return Opening(shape, length, width, 0.0, shape)


def _in_words(beam: Beam, right_deg: float, up_deg: float) -> str:
    form = next(name for name, kind in FORMS.items() if isinstance(beam, kind))
    figures = [f"{key} {value:g}" for key, value in vars(beam).items() if value is not None]
    moved = [f"right_deg {right_deg:g}", f"raised_deg {up_deg:g}"] if (right_deg, up_deg) != (0.0, 0.0) else []
    return ", ".join([f"Beam {form}", *figures, *moved])


def read_recipes(data: bytes, name: str = "") -> dict[str, Recipe]:
    """Reads a list of luminaires to make.

    Parameters
    ----------
    data : a TOML document of the format "scenelux beams 1": a table for each luminaire, with its `parts`.
    name : of the file, for messages.
    """
    try:
        table = tomllib.loads(data.decode("utf-8"))
    except (ValueError, RecursionError) as error:  # a digit too many, or brackets without end
        raise DocumentError(f"is not TOML ({error})", file=name or None) from None
    if table.pop("format", None) != RECIPES_FORMAT:
        raise DocumentError("has another format", file=name or None, accepted=f'begin with format = "{RECIPES_FORMAT}"')
    return {key: _recipe(key, value, name) for key, value in table.items()}


def _recipe(key: str, table: Any, file: str) -> Recipe:
    try:
        parts = tuple(_part(part) for part in table["parts"])
        shape = table["shape"]
        if shape not in get_args(Outline) or not parts:
            raise DocumentError("has no parts, or a shape that is not point, rectangle or ellipse")
        sizes = (float(table[one]) for one in ("across_m", "up_m", "input_watts"))
        return Recipe(key, str(table["title"]), str(table["lamp"]), parts, shape, *sizes)
    except InputError as error:
        raise DocumentError(f"cannot be made: {str(error).rstrip('.')}", file=file or None, key=key) from None
    except (KeyError, TypeError, ValueError, OverflowError) as error:
        raise DocumentError(f"lacks or misuses {error}", file=file or None, key=key) from None


def _part(table: Mapping[str, Any]) -> tuple[Beam, float, float]:
    figures = {key: float(value) for key, value in dict(table).items() if key != "form"}
    right, raised = figures.pop("right_deg", 0.0), figures.pop("raised_deg", 0.0)
    return FORMS[table["form"]](**figures), right, raised
