"""`scenelux luminaire fit`: a photometric file and a card from the figures of a data sheet."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scenelux.cli.luminaire_figures import (
    Points,
    all_points,
    dimension_of,
    figure,
    lone_dots,
    option_of,
    throw_of,
)
from scenelux.cli.luminaire_fitted import fit_card, fit_document, fit_file, print_fit
from scenelux.cli.options import Json, print_json

if TYPE_CHECKING:
    from scenelux.photometry.fit import Claims, Fit

__all__ = ["fit"]

_LONGEST_TEXT = 300  # characters of a name on a card

OUT = "The .ies file to write; its card goes beside it."
KIND_OF_FLUX = "delivered (leaves the lamp), or raw (of the bare chips, an upper limit)."
THROW = 'An illuminance at a distance, such as "1 lx at 62 m"; may be repeated.'
POINT = (
    'Degrees right, degrees up, and candela or percent of the peak, such as "10,-5,2400" or "10,0,80 %"; repeatable.'
)
POINTS = "A table of digitised points, measured ones."
FORM = (
    "cosine-power, elliptical-gaussian or flat-top; when not given, the first of these (the simplest) whose misfit is "
    "within 2.5 points of the least."
)


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

    Widths with a cut-off are those of the beam before it is cut. Claims that contradict each other are refused. Points
    that have their peak off the axis of the lamp move the beam there.

    Example: scenelux luminaire fit lamp.ies --flux "4200 lm" --beam-angle "40 deg" --throw "1 lx at 92 m"
    """
    from dataclasses import replace

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
    given = {key: text for key, text in figures.items() if text}
    single = {key: figure(option_of(key), text, dimension_of(key)) for key, text in given.items()}
    throws = tuple(throw_of(text) for text in throw or [])
    listed = all_points(point or [], points)
    found = _in_options(
        {**given, "flux_kind": flux_kind, "form": form},
        lambda: fit_beam(_claims(single, flux_kind, throws, listed, form or None)),
    )
    found = replace(found, warnings=(*lone_dots(given, throw or [], point or []), *found.warnings))
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
    listed: Points,
    form: str | None,
) -> Claims:
    from scenelux.photometry.fit import Claims

    return Claims(
        **figures,  # lengths of keys and values are those of the dataclass
        flux_kind=flux_kind,  # type: ignore[arg-type]  # the dataclass refuses other words
        illuminance=throws,
        points=listed.in_candela,
        point_names=listed.names,
        relative_points=listed.in_percent,
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
        raise type(error)(error.problem, key=option_of(error.key), value=value, accepted=error.accepted) from None
