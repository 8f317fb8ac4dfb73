"""`scenelux luminaire convert`: photometric data in another format."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scenelux.cli.options import Json, Quiet, print_json

if TYPE_CHECKING:
    from collections.abc import Collection

    from scenelux.photometry import Converted, PhotometricFile, Target
    from scenelux.placement import LuminaireData
    from scenelux.scene.cards import Luminaire

__all__ = ["convert"]

FILE = "A photometric file, a card (.toml), or the name of a shipped luminaire."
OUT = "The file to write: .ies (LM-63), .ldt (EULUMDAT), .xml (TM-33) or .csv (test points)."
ENDINGS = {".ies": "LM-63", ".ldt": "EULUMDAT", ".xml": "TM-33", ".csv": "H-V table"}


def convert(
    file: Annotated[str, typer.Argument(metavar="FILE", help=FILE)],
    out: Annotated[Path, typer.Argument(metavar="OUT", help=OUT)],
    edition: Annotated[str, typer.Option("--edition", help="Of LM-63: 2002 or 2019.")] = "2002",
    type_c: Annotated[bool, typer.Option("--type-c", help="Turn photometric types A and B into type C.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Overwrite files that are already there.")] = False,
    quiet: Quiet = False,
    json: Json = False,
) -> None:
    """Write photometric data in another format, all factors in the intensities, and say what could not be kept.

    A card is written beside the file where one was given, or where the file alone would hang otherwise or lose its
    mark of required values: name the card in a scene.

    Example: scenelux luminaire convert side-flood out/side-flood.ldt
    """
    from scenelux.cli.files import write_all
    from scenelux.errors import InputError
    from scenelux.photometry import convert as converted_to
    from scenelux.placement.luminaires import load_luminaire
    from scenelux.scene.catalogue import Catalogue

    target = _target(out, edition)
    try:
        luminaire = Catalogue.beside(Path.cwd()).find(file)
        loaded = load_luminaire(luminaire)
        done = converted_to(loaded.file or _made(loaded), target, type_c=type_c)
    except InputError as error:
        raise (error if error.file else error.at(value=file)) from None
    files = {out: done.data}
    turned = done.photometric_type != loaded.distribution.photometric_type
    if turned or _loses_basis(loaded, target) or luminaire.card_file is not None:
        files[out.with_suffix(".toml")] = _card(luminaire, loaded, done, out, target, turned).encode()
    write_all(files, force)
    _tell(list(files), (*done.notes, *_advice(luminaire, out, files, turned)), done.photometric_type, quiet, json)


def _loses_basis(loaded: LuminaireData, target: Target) -> bool:
    return target == "EULUMDAT" and loaded.file is not None and loaded.file.basis is not None


def _advice(luminaire: Luminaire, out: Path, files: Collection[Path], turned: bool) -> tuple[str, ...]:
    """What to do with the card that was written."""
    said = []
    if turned:
        said.append(f"name {out.stem}.toml in a scene: {out.name} alone would hang turned")
    if luminaire.card_file is None and len(files) > 1:
        said.append(f'the card says kind = "{luminaire.card.kind}": correct it where the lamp is of another kind')
    return tuple(said)


def _tell(files: list[Path], notes: tuple[str, ...], photometric_type: str, quiet: bool, json: bool) -> None:
    if json:
        print_json({"files": [str(path) for path in files], "photometric_type": photometric_type, "notes": list(notes)})
        return
    if quiet:
        return
    for sentence in notes:
        typer.echo(f"note: {sentence}", err=True)
    for path in files:
        typer.echo(f"{path} written")


def _target(out: Path, edition: str) -> Target:
    from scenelux.errors import UsageError

    kind = ENDINGS.get(out.suffix.lower())
    if kind is None:
        accepted = "end it in .ies, .ldt, .xml or .csv"
        raise UsageError("has an ending that names no format", key="OUT", value=str(out), accepted=accepted)
    if edition not in ("2002", "2019"):
        raise UsageError("is not an edition that is written", key="--edition", value=edition, accepted="2002 or 2019")
    return f"LM-63-{edition}" if kind == "LM-63" else kind  # type: ignore[return-value]


def _made(loaded: LuminaireData) -> PhotometricFile:
    """A stated beam as a file."""
    from scenelux.names import CALCULATED_FROM_BEAM, INVENTED
    from scenelux.photometry import PhotometricFile

    first = f"{INVENTED} demonstration data" if loaded.status == "invented" else f"None, {CALCULATED_FROM_BEAM}"
    keywords = (("TEST", first), ("TESTLAB", f"None, {CALCULATED_FROM_BEAM}"), ("ISSUEDATE", "Not stated"))
    return PhotometricFile(
        format="LM-63", edition="2002", distribution=loaded.distribution, opening=loaded.opening,
        keywords=(*keywords, ("MANUFAC", "Not stated"), ("LUMINAIRE", loaded.title)), symmetry="none", factors=(),
        lamps=1, rated_flux_lm=None, input_watts=loaded.power_w or 0.0, warnings=(),
    )  # fmt: skip


def _card(luminaire: Luminaire, loaded: LuminaireData, done: Converted, out: Path, target: Target, turned: bool) -> str:
    """The card of the new file: as the old one says, with the mounting in the angles of the new type."""
    from hashlib import sha256

    from scenelux.photometry import default_orientation, orientation_text
    from scenelux.scene.card_text import card_text

    table: dict[str, Any] = dict(luminaire.card_table) or _plain_card(luminaire)
    for key in ("beam", "opening", "lamp_set", "emitter", "spectrum", "face", "top"):
        table.pop(key, None)
    if loaded.file is not None and loaded.file.basis is not None:
        table["basis"] = loaded.file.basis
    if target in ("EULUMDAT", "H-V table"):
        table.pop("apply_tilt_table", None)
    table.update(file=out.name, sha256=sha256(done.data).hexdigest())
    if turned or loaded.orientation != default_orientation(loaded.distribution.photometric_type):
        table["face"], table["top"] = orientation_text(loaded.orientation)
    return card_text(table)


def _plain_card(luminaire: Luminaire) -> dict[str, Any]:
    card = luminaire.card
    source = {"title": card.source.title, "status": card.source.status}
    return {"name": card.name, "kind": card.kind, "data_class": card.data_class, "source": source}
