"""`scenelux luminaire fit`: a photometric file and a card from the figures of a data sheet."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scenelux.cli.luminaire_fitted import fit_card, fit_document, fit_file, print_fit
from scenelux.cli.options import Json, print_json

if TYPE_CHECKING:
    from scenelux.photometry.fit import Claims, Fit
    from scenelux.scene.quantities import DimensionName

__all__ = ["fit"]

_LONGEST_TEXT = 300  # characters of a name on a card

Points = tuple[tuple[float, float, float], ...]

OUT = "The .ies file to write; its card goes beside it."
KIND_OF_FLUX = "delivered (leaves the lamp), or raw (of the bare chips, an upper limit)."
THROW = 'An illuminance at a distance, such as "1 lx at 62 m"; may be repeated.'
POINT = (
    'Degrees right, degrees up, and candela or percent of the peak, such as "10,-5,2400" or "10,0,80 %"; repeatable.'
)
POINTS = "A table of digitised points, measured ones."
FORM = "cosine-power, elliptical-gaussian or flat-top; the best is chosen when not given."


def fit(
    out: Annotated[Path, typer.Argument(metavar="OUT", help=OUT)],
    flux: Annotated[str, typer.Option("--flux", help='Luminous flux, such as "4200 lm".')] = "",
    flux_kind: Annotated[str, typer.Option("--flux-kind", help=KIND_OF_FLUX)] = "delivered",
    peak: Annotated[str, typer.Option("--peak", help='The highest intensity, such as "12000 cd".')] = "",
    beam_angle: Annotated[str, typer.Option("--beam-angle", help="Full width at 50 % of the peak (round).")] = "",
    across: Annotated[str, typer.Option("--across", help="Full width at 50 %, left to right.")] = "",
    up: Annotated[str, typer.Option("--up", help="Full width at 50 %, bottom to top.")] = "",
    field_angle: Annotated[str, typer.Option("--field-angle", help="Full width at 10 % of the peak (round).")] = "",
    field_across: Annotated[str, typer.Option("--field-across", help="Full width at 10 %, left to right.")] = "",
    field_up: Annotated[str, typer.Option("--field-up", help="Full width at 10 %, bottom to top.")] = "",
    throw: Annotated[list[str] | None, typer.Option("--throw", help=THROW)] = None,
    point: Annotated[list[str] | None, typer.Option("--point", help=POINT)] = None,
    points: Annotated[Path | None, typer.Option("--points", help=POINTS)] = None,
    cutoff_above: Annotated[str, typer.Option("--cutoff-above", help="No light from this angle upwards.")] = "",
    form: Annotated[str, typer.Option("--form", help=FORM)] = "",
    title: Annotated[str, typer.Option("--title", help="What the luminaire is, in words.")] = "Fitted to a data sheet",
    manufacturer: Annotated[str, typer.Option("--manufacturer", help="Text of the keyword MANUFAC.")] = "Not stated",
    kind: Annotated[str, typer.Option("--kind", help="Kind of luminaire on the card.")] = "work",
    force: Annotated[bool, typer.Option("--force", help="Overwrite files that are already there.")] = False,
    json: Json = False,
) -> None:
    """Fit a beam to the figures of a data sheet, and write it with a card that a scene can name.

    Widths with a cut-off are those of the beam before it is cut. Claims that contradict each other are refused.

    Example: scenelux luminaire fit lamp.ies --flux "4200 lm" --beam-angle "40 deg" --throw "1 lx at 92 m"
    """
    from scenelux.cli.files import write_all
    from scenelux.photometry.fit import fit_beam

    figures = {
        "flux_lm": flux,
        "peak_cd": peak,
        "beam_angle_deg": beam_angle,
        "across_deg": across,
        "up_deg": up,
        "field_angle_deg": field_angle,
        "field_across_deg": field_across,
        "field_up_deg": field_up,
        "cutoff_above_deg": cutoff_above,
    }
    card = _checked(out, title, manufacturer, kind)
    single = {key: _figure(_option(key), text, _dimension(key)) for key, text in figures.items() if text}
    throws = tuple(_throw(text) for text in throw or [])
    written = {**{key: text for key, text in figures.items() if text}, "flux_kind": flux_kind, "form": form}
    found = _in_options(
        written,
        lambda: fit_beam(_claims(single, flux_kind, throws, *_all_points(point or [], points), form or None)),
    )
    ies = fit_file(found, title, manufacturer)
    write_all({out: ies, card: fit_card(found, out.name, ies, title, kind)}, force)
    if json:
        print_json(fit_document(found, out, card))
    else:
        print_fit(found, out, card)


def _checked(out: Path, title: str, manufacturer: str, kind: str) -> Path:
    """The place of the card, after a look at the words that go into it."""
    from os.path import isdir
    from typing import get_args

    from scenelux.errors import UsageError
    from scenelux.scene.cards import Kind

    if out.suffix.lower() != ".ies" or not out.name.isprintable():
        raise UsageError("does not end in .ies", key="OUT", value=str(out), accepted="name a file such as flood.ies")
    for option, text in (("--title", title), ("--manufacturer", manufacturer)):
        if not text.strip() or not text.isprintable() or len(text) > _LONGEST_TEXT:
            accepted = f"give one line of at most {_LONGEST_TEXT} characters"
            raise UsageError("is not a line of text", key=option, value=text, accepted=accepted)
    if kind not in get_args(Kind):
        accepted = f"give {', '.join(get_args(Kind))}"
        raise UsageError("is not a kind of luminaire", key="--kind", value=kind, accepted=accepted)
    card = out.with_suffix(".toml")
    for path in (out, card):
        if isdir(path):
            raise UsageError("is a folder", value=str(path), accepted="give another name")
    return card


def _claims(
    figures: dict[str, float],
    flux_kind: str,
    throws: tuple[tuple[float, float], ...],
    points: Points,
    shares: Points,
    form: str | None,
) -> Claims:
    from scenelux.photometry.fit import Claims

    return Claims(
        **figures,  # lengths of keys and values are those of the dataclass
        flux_kind=flux_kind,  # type: ignore[arg-type]  # the dataclass refuses other words
        illuminance=throws,
        points=points,
        relative_points=shares,
        form=form,
    )


def _in_options(written: dict[str, str], make: Callable[[], Fit]) -> Fit:
    """Calls the library, and names the options in its errors where it names its own figures."""
    from scenelux.errors import InputError

    try:
        return make()
    except InputError as error:
        if error.key is None:
            raise
        value = written.get(error.key) or error.value
        raise type(error)(error.problem, key=_option(error.key), value=value, accepted=error.accepted) from None


def _option(key: str) -> str:
    """The option for a figure of the claims."""
    special = {"illuminance": "--throw", "points": "--point", "relative_points": "--point"}
    name = key.removesuffix("_deg").removesuffix("_lm").removesuffix("_cd").replace("_", "-")
    return special.get(key, f"--{name}")


def _dimension(key: str) -> DimensionName:
    return "flux" if key.endswith("_lm") else "intensity" if key.endswith("_cd") else "angle"


def _figure(option: str, text: str, dimension: DimensionName, *, whole: str = "") -> float:
    """A quantity with its unit; an error shows all that stands at the option."""
    from scenelux.errors import QuantityError
    from scenelux.scene.quantities import parse_quantity

    try:
        return parse_quantity(text, dimension)
    except QuantityError as error:
        raise QuantityError(error.problem, key=option, value=whole or text, accepted=error.accepted) from None


def _throw(text: str) -> tuple[float, float]:
    from scenelux.errors import UsageError

    level, at, distance = text.partition(" at ")
    if not at:
        accepted = 'give it as in "1 lx at 62 m" or "1 fc at 60 ft"'
        raise UsageError("is no illuminance at a distance", key="--throw", value=text, accepted=accepted)
    return (
        _figure("--throw", level, "illuminance", whole=text),
        _figure("--throw", distance, "length", whole=text),
    )


def _all_points(texts: list[str], table: Path | None) -> tuple[Points, Points]:
    """Points in candela, and points in percent of the peak."""
    found = [_point(text) for text in texts]
    listed = _listed(table) if table is not None else ()
    absolute = (*(place for place, is_share in found if not is_share), *listed)
    return absolute, tuple(place for place, is_share in found if is_share)


def _point(text: str) -> tuple[tuple[float, float, float], bool]:
    from scenelux.errors import UsageError

    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 3:
        accepted = 'give degrees right, degrees up and candela or percent, such as "10,-5,2400"'
        raise UsageError("is not a point", key="--point", value=text, accepted=accepted)
    h, v = (_bare_or_quantity(part, "angle", text) for part in parts[:2])
    if parts[2].endswith("%"):
        return (h, v, 100.0 * _figure("--point", parts[2], "ratio", whole=text)), True
    return (h, v, _bare_or_quantity(parts[2], "intensity", text)), False


def _bare_or_quantity(text: str, dimension: DimensionName, whole: str) -> float:
    bare = re.fullmatch(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)", text)
    unit = "deg" if dimension == "angle" else "cd"
    return _figure("--point", f"{text} {unit}" if bare else text, dimension, whole=whole)


def _listed(path: Path) -> Points:
    from scenelux.errors import UsageError
    from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
    from scenelux.photometry.fit import points_of_table
    from scenelux.photometry.hv.read import read_hv_table
    from scenelux.scene.document import read_limited

    data = read_limited(path, str(path), LARGEST_PHOTOMETRIC_BYTES, "a table of points")
    table = read_hv_table(data, str(path))
    try:
        return points_of_table(table)
    except UsageError as error:
        raise UsageError(error.problem, file=str(path), accepted=error.accepted) from None
