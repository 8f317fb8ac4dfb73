"""`scenelux luminaire make`: photometric files from stated beams."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from scenelux.photometry import Beam
    from scenelux.scene.quantities import DimensionName

__all__ = ["make"]


def make(
    out: Annotated[Path, typer.Argument(metavar="OUT", help="The .ies file to write; with --from, the folder.")],
    beam: Annotated[str, typer.Option("--beam", help="cosine-power, elliptical-gaussian or flat-top.")] = "",
    flux: Annotated[str, typer.Option("--flux", help='Flux that leaves the lamp, such as "4200 lm".')] = "",
    beam_angle: Annotated[str, typer.Option("--beam-angle", help="Full width at half of the peak (round).")] = "",
    across: Annotated[str, typer.Option("--across", help="Full width at half of the peak, left to right.")] = "",
    up: Annotated[str, typer.Option("--up", help="Full width at half of the peak, bottom to top.")] = "",
    edge: Annotated[str, typer.Option("--edge", help="Width of the soft edge (flat-top).")] = "",
    cutoff_above: Annotated[str, typer.Option("--cutoff-above", help="No light from this angle upwards.")] = "",
    title: Annotated[str, typer.Option("--title", help="What the luminaire is, in words.")] = "Stated beam",
    manufacturer: Annotated[str, typer.Option("--manufacturer", help="Text of the keyword MANUFAC.")] = "Not stated",
    recipes: Annotated[Path | None, typer.Option("--from", help="Make every luminaire of a list of beams.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Overwrite a file that is already there.")] = False,
) -> None:
    """Make an LM-63-2002 file from a stated beam; its flux is exactly the stated one.

    An existing file is never overwritten without --force.

    Example: scenelux luminaire make flood.ies --beam cosine-power --flux "4200 lm" --beam-angle "60 deg"
    """
    figures = {
        "beam_angle_deg": beam_angle,
        "across_deg": across,
        "up_deg": up,
        "edge_deg": edge,
        "cutoff_above_deg": cutoff_above,
    }
    given = {key: text for key, text in figures.items() if text}
    if recipes is not None:
        _make_all(out, recipes, bool(beam or flux or given), force)
    else:
        _make_one(out, beam, flux, given, [("MANUFAC", manufacturer), ("LUMINAIRE", title)], force)


def _make_one(
    out: Path, form: str, flux: str, given: dict[str, str], keywords: list[tuple[str, str]], force: bool
) -> None:
    from shlex import quote

    from scenelux.cli.files import write_all
    from scenelux.errors import UsageError
    from scenelux.names import CALCULATED_FROM_BEAM
    from scenelux.photometry import sample, write_lm63

    if out.suffix.lower() != ".ies":
        raise UsageError("does not end in .ies", key="OUT", value=str(out), accepted="name a file such as flood.ies")
    stated = _beam(form, flux, given)
    figures = [f"{key.removesuffix('_deg').replace('_', ' ')} {text}" for key, text in given.items()]
    words = ("OTHER", ", ".join([f"Beam {form}", f"flux {flux}", *figures]))
    first = [("TEST", f"None, {CALCULATED_FROM_BEAM}"), ("TESTLAB", "None"), ("ISSUEDATE", "Not stated")]
    data = write_lm63(sample(stated), [*first, *keywords, words])
    write_all({out: data}, force)
    typer.echo(f"{out} written; look at it with: scenelux luminaire show {quote(str(out))}")


def _beam(form: str, flux: str, given: dict[str, str]) -> Beam:
    from dataclasses import MISSING, fields

    from scenelux.errors import UsageError
    from scenelux.photometry import FORMS

    if form not in FORMS:
        raise UsageError("is not a form of beam", key="--beam", value=form, accepted=f"give {', '.join(FORMS)}")
    needed = {field.name: field.default is MISSING for field in fields(FORMS[form])}
    required = [name for name, must in needed.items() if must and name != "flux_lm"]
    if not flux or not set(required) <= set(given) <= set(needed):
        options = ", ".join(_option(name) for name in required)
        accepted = f"give --flux, {options}, and --cutoff-above where it has one"
        raise UsageError("takes other figures", key="--beam", value=form, accepted=accepted)
    angles = {key: _figure(_option(key), text, "angle") for key, text in given.items()}
    try:
        return FORMS[form](flux_lm=_figure("--flux", flux, "flux"), **angles)
    except UsageError as error:  # of the library, which calls the figures by its own names
        value = flux if error.key == "flux_lm" else given.get(error.key or "")
        option = _option(error.key) if error.key else None
        raise UsageError(error.problem, key=option, value=value, accepted=error.accepted) from None


def _figure(option: str, text: str, dimension: DimensionName) -> float:
    from scenelux.errors import QuantityError
    from scenelux.scene.quantities import parse_quantity

    try:
        return parse_quantity(text, dimension)
    except QuantityError as error:
        raise error.at(key=option) from None


def _option(name: str) -> str:
    """The option for a figure of a beam."""
    return f"--{name.removesuffix('_deg').removesuffix('_lm').replace('_', '-')}"


def _make_all(folder: Path, recipes: Path, has_figures: bool, force: bool) -> None:
    from hashlib import sha256
    from os.path import isdir

    from scenelux.cli.files import write_all
    from scenelux.errors import UsageError
    from scenelux.photometry import read_recipes
    from scenelux.scene.document import LARGEST_BYTES, read_limited

    if has_figures:
        raise UsageError("takes no figures of a beam", key="--from", value=str(recipes), accepted="leave them out")
    if not isdir(folder):
        raise UsageError("is not a folder", key="OUT", value=str(folder))
    data = read_limited(recipes, str(recipes), LARGEST_BYTES, "a list of beams")
    made = {f"{name}.ies": recipe.file() for name, recipe in read_recipes(data, str(recipes)).items()}
    write_all({folder / name: content for name, content in made.items()}, force)
    for name, content in made.items():
        typer.echo(f"{sha256(content).hexdigest()}  {name}")
