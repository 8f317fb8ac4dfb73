"""`scenelux luminaire show`: what a luminaire sends where."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scenelux.cli.options import Json, print_json

if TYPE_CHECKING:
    from scenelux.photometry import Opening, Summary, Widths
    from scenelux.pictures.luminaire_facts import Identity
    from scenelux.scene.cards import Card

__all__ = ["show"]

FILE = "An .ies file, a card (.toml), or the name of a shipped luminaire."
AT = "Print the intensity at C,gamma of the mounted lamp; may be repeated."
TILT = "Tilt of the beam, negative = down, for the upward light and the picture."


def show(
    file: Annotated[str, typer.Argument(metavar="FILE", help=FILE)],
    at: Annotated[list[str] | None, typer.Option("--at", help=AT)] = None,
    tilt: Annotated[str, typer.Option("--tilt", help=TILT)] = "0 deg",
    picture: Annotated[Path | None, typer.Option("--picture", help="Draw its diagrams to a PNG file.")] = None,
    json: Json = False,
) -> None:
    """Show what a luminaire sends where: flux, peak, beam and field angles, opening, warnings.

    C and gamma are those of the lamp as it hangs: gamma 0 is the beam axis; seen along it C 0 is right and C 90 up.

    Example: scenelux luminaire show tail-flood-round --at 0,0 --at 90,30 --tilt "-35 deg"
    """
    identity, summary = _look(file, _angle_deg(tilt))
    intensities = [_intensity(summary, text) for text in at or []]
    if picture is not None:
        _draw(identity, summary, picture)
    if json:
        print_json(_document(identity, summary, intensities))
    else:
        _print(identity, summary, intensities)
        typer.echo(f"{picture} written") if picture is not None else None


def _angle_deg(text: str) -> float:
    """Degrees, with the unit or bare."""
    from scenelux.scene.quantities import parse_quantity

    try:
        return parse_quantity(float(text), "angle")
    except ValueError:
        return parse_quantity(text, "angle")


def _look(name: str, tilt_deg: float) -> tuple[Identity, Summary]:
    from scenelux.errors import InputError
    from scenelux.photometry import read_photometric, summarise
    from scenelux.pictures.luminaire_facts import Identity
    from scenelux.placement.luminaires import load_luminaire
    from scenelux.scene.catalogue import Catalogue

    try:
        luminaire = Catalogue.beside(Path.cwd()).find(name)
        loaded, card = load_luminaire(luminaire), luminaire.card
    except InputError as error:
        raise (error if error.file else error.at(value=name)) from None
    source = read_photometric(luminaire.data, luminaire.data_file or name) if luminaire.data is not None else None
    summary = summarise(
        source or loaded.distribution,
        loaded.orientation,
        opening=None if source else _stated_opening(card, loaded.distribution),
        tilt_deg=tilt_deg,
    )
    said = card.source
    kind, colour = (card.kind, card.colour) if luminaire.card_file else ("kind not stated", "colour not stated")
    identity = Identity(luminaire.name, card.name, kind, colour, card.data_class, said.title, said.status, card.power_w)
    return identity, summary


def _stated_opening(card: Card, distribution: Any) -> Opening | None:
    from scenelux.photometry import stated_opening

    if card.opening is None:
        return None
    return stated_opening(distribution, card.opening.shape, card.opening.length_m, card.opening.width_m)


def _intensity(summary: Summary, text: str) -> dict[str, float]:
    from math import isfinite

    from scenelux.errors import UsageError
    from scenelux.photometry import candela_in_vehicle_convention

    try:
        c, gamma = (float(part) for part in text.split(","))
    except ValueError:
        c = gamma = float("nan")
    if not (isfinite(c) and isfinite(gamma)):
        accepted = "give C,gamma in degrees, such as 90,30"
        raise UsageError("is not a pair of angles", key="--at", value=text, accepted=accepted)
    if not 0.0 <= gamma <= 180.0:
        accepted = "gamma runs from 0 deg (along the beam axis) to 180 deg, and C all around"
        raise UsageError("has a gamma that is out of range", key="--at", value=text, accepted=accepted)
    candela = candela_in_vehicle_convention(summary.distribution, summary.orientation, c, gamma)
    return {"C_deg": c, "gamma_deg": gamma, "cd": float(candela)}


def _print(identity: Identity, summary: Summary, intensities: list[dict[str, float]]) -> None:
    from scenelux.pictures.luminaire_facts import fact_rows

    for name, text in fact_rows(identity, summary):
        typer.echo(f"{name:13} {text}")
    for one in intensities:
        typer.echo(f"{'intensity':13} {one['cd']:.6g} cd at C {one['C_deg']:g}, gamma {one['gamma_deg']:g} deg")


def _document(identity: Identity, summary: Summary, intensities: list[dict[str, float]]) -> dict[str, Any]:
    """The JSON form of the command."""
    peak, kind = summary.peak, summary.distribution.photometric_type
    own = {} if kind == "C" else {"H_deg": peak.horizontal_deg, "V_deg": peak.vertical_deg}
    across, up, depth = summary.opening.across_up_depth_m
    outline = "ellipse" if summary.opening.is_round else "rectangle" if across or up or depth else "point"
    return {
        "luminaire": identity.name,
        "title": identity.title,
        "data_class": identity.data_class,
        "source": {"title": identity.source, "status": identity.status},
        "edition": summary.edition,
        "photometric_type": kind,
        "symmetry": summary.symmetry,
        "factors": dict(summary.factors),
        "flux_lm": summary.flux_lm,
        "rated_flux_lm": summary.rated_flux_lm,
        "peak_cd": peak.candela,
        "peak_at": {"C_deg": peak.C_deg, "gamma_deg": peak.gamma_deg, **own},
        "beam_angle_deg": _widths(summary.beam_deg, "half"),
        "field_angle_deg": _widths(summary.field_deg, "a tenth"),
        "opening_m": {"shape": outline, "across": across, "up": up, "depth": depth},
        "tilt_deg": summary.tilt_deg,
        "flux_above_horizontal_lm": summary.flux_above_lm,
        "warnings": [{"code": one.code, "line": one.line, "sentence": one.sentence} for one in summary.warnings],
        "intensity": intensities,
    }


def _widths(widths: Widths, share: str) -> dict[str, Any]:
    from math import isfinite

    from scenelux.pictures.luminaire_facts import width_reason

    pairs = (("across", widths.across_deg), ("up", widths.up_deg))
    found = {key: value if isfinite(value) else None for key, value in pairs}
    reason = width_reason(widths, share)
    return {**found, "reason": reason} if reason else found


def _draw(identity: Identity, summary: Summary, path: Path) -> None:
    from scenelux.errors import UsageError
    from scenelux.pictures.luminaire import luminaire_sheet
    from scenelux.pictures.sheet import png_bytes

    try:
        path.write_bytes(png_bytes(luminaire_sheet(identity, summary)))
    except OSError as error:
        raise UsageError(f"cannot be written: {error.strerror}", key="--picture", value=str(path)) from None
