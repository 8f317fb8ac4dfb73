"""Finds the luminaires that a scene names: cards beside it, in a luminaires folder near it, or shipped ones."""

from __future__ import annotations

import hashlib
import os
import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path

from scenelux.errors import DocumentError
from scenelux.names import (
    CALCULATED_FROM_BEAM,
    INVENTED,
    LARGEST_PHOTOMETRIC_BYTES,
    LARGEST_SPECTRUM_BYTES,
    PHOTOMETRIC_ENDINGS,
)
from scenelux.scene.cards import CARD_FORMAT, Card, CardSource, DataClass, Input, Luminaire
from scenelux.scene.document import Document, read_document, read_limited
from scenelux.scene.problems import validated
from scenelux.scene.words import near
from scenelux.shipped import shipped

__all__ = [
    "LARGEST_CARD_BYTES",
    "Catalogue",
    "check_format",
    "luminaires_in",
    "photometric_file",
    "read_card",
    "read_luminaire",
    "recorded",
    "shown_name",
]

LARGEST_CARD_BYTES = 100_000
_HEAD_BYTES = 20_000  # of a photometric file, where its keywords stand

_TILT_FILE = re.compile(rb"(?:\A|[\r\n])TILT=([^\r\n/\\]+)")
LARGEST_TILT_BYTES = 1_000_000


def shown_name(path: Path) -> str:
    """Name of a file in messages: below the shipped folders or the working directory where it lies there.

    Example
    -------
    >>> shown_name(shipped("scenes") / "any.toml").endswith("scenes/any.toml")
    True
    """
    if not path.is_absolute():
        return path.as_posix()
    bases = (shipped("scenes").parent, Path.cwd())
    return next((path.relative_to(base) for base in bases if path.is_relative_to(base)), path).as_posix()


def recorded(path: Path, home: Path, data: bytes) -> Input:
    """A file as results record it, by a name that is the same from any working directory.

    Parameters
    ----------
    path : the file.
    home : folder of the scene; files in it, or in the folder around it, are named from there.
    data : what was read.

    Example
    -------
    >>> recorded(Path("/job/lamps/own.ies"), Path("/job/scenes"), b"").file
    '../lamps/own.ies'
    """
    path, home, root = (Path(os.path.abspath(one)) for one in (path, home, shipped("scenes").parent))
    name = path.as_posix()
    if any(path.is_relative_to(shipped(folder)) for folder in ("scenes", "luminaires")):
        name = path.relative_to(root).as_posix()
    elif path.is_relative_to(home.parent):
        name = Path(os.path.relpath(path, home)).as_posix()
    return Input(name, hashlib.sha256(data).hexdigest())


def check_format(document: Document, wanted: str, what: str) -> None:
    """Refuses a document of another format with a sentence of its own."""
    found = document.table.get("format")
    if found == wanted:
        return
    accepted = f'begin it with format = "{wanted}"'
    if "format" not in document.table:
        raise document.error((), f"is not {what}: it states no format", accepted)
    raise document.error(("format",), f"is not the format of {what}", accepted)


def read_card(path: Path, home: Path) -> tuple[Card, Document, Input]:
    """A luminaire card, its document, and what was read.

    Parameters
    ----------
    path : a TOML file.
    home : folder of the scene.
    """
    shown = shown_name(path)
    data = read_limited(path, shown, LARGEST_CARD_BYTES, "a luminaire card")
    document = read_document(data, shown)
    check_format(document, CARD_FORMAT, "a luminaire card")
    return validated(Card, document, {"units": "metric"}), document, recorded(path, home, data)


@dataclass(frozen=True)
class Catalogue:
    """Where luminaires are looked for, the nearest first."""

    folders: tuple[Path, ...]

    @classmethod
    def beside(cls, folder: Path) -> Catalogue:
        """The folder of a scene, a luminaires folder in it or beside it, and the shipped luminaires."""
        folder = Path(os.path.abspath(folder))  # a scene named without its folder has one around it too
        near_by = (folder, folder / "luminaires", folder.parent / "luminaires")
        return cls(tuple(dict.fromkeys((*near_by, shipped("luminaires")))))

    def names(self) -> list[str]:
        """Names of the cards in all luminaire folders; a scene's own folder holds other documents too."""
        return sorted({card.stem for folder in self.folders[1:] if folder.is_dir() for card in folder.glob("*.toml")})

    def find(self, name: str) -> Luminaire:
        """A luminaire by the name of its card, or by the path of a card or a photometric file.

        A path may lead anywhere: a scene is its user's own and names the user's own files. A card may be passed on,
        so the `file` that it names stays in its folder.

        Parameters
        ----------
        name : as a lamp names it; paths start at the folder of the scene.
        """
        path = self._path(name)
        if path.suffix.lower() != ".toml":
            return _without_card(name, path, self.folders[0])
        return read_luminaire(name, path, self.folders[0])

    def _path(self, name: str) -> Path:
        if not name.isprintable():
            raise DocumentError("is not a name of a file")
        if name.lower().endswith((".toml", *PHOTOMETRIC_ENDINGS)):
            path = self.folders[0] / name
            if os.path.isfile(path):  # unlike Path.is_file never an error, as for too long a name
                return path
            raise DocumentError("is not a file", accepted=_beside(path))
        for folder in self.folders:
            if os.path.isfile(folder / f"{name}.toml"):
                return folder / f"{name}.toml"
        if os.path.isfile(self.folders[0] / name):  # a photometric file of any name
            return self.folders[0] / name
        if os.path.isdir(self.folders[0] / name):
            raise DocumentError("is a folder", accepted="name a card or a photometric file in it")
        raise DocumentError("is not a luminaire", accepted=near(name, self.names()))


def luminaires_in(folder: Path) -> list[str]:
    """Names of the luminaires of a folder: of its cards, and of its photometric files that no card there names.

    Parameters
    ----------
    folder : looked at without those inside it.
    """
    named: set[str] = set()
    cards: list[str] = []
    for path in sorted(folder.glob("*.toml")):
        text = read_limited(path, shown_name(path), LARGEST_CARD_BYTES, "a luminaire card").decode("utf-8", "replace")
        if CARD_FORMAT in text:
            cards.append(path.stem)
            named.update(re.findall(r"""^(?:file|spectrum)\s*=\s*["'](.+?)["']""", text, re.MULTILINE))
    files = (path.name for path in folder.iterdir() if path.suffix.lower() in PHOTOMETRIC_ENDINGS and path.is_file())
    return sorted([*cards, *(name for name in files if name not in named)])


def read_luminaire(name: str, card_file: Path, home: Path) -> Luminaire:
    """A luminaire from its card, with the bytes of its photometric file.

    Parameters
    ----------
    name : how it is called.
    card_file : path of the card.
    home : folder of the scene.
    """
    card, document, read = read_card(card_file, home)
    luminaire = Luminaire(name, card, document.file, None, None, (read,), card_table=document.table)
    if card.file is not None:
        file = card_file.parent / card.file
        data = photometric_file(document, card, file)
        inputs, neighbours = _with_tilt_file(file, home, data)
        inputs = (*luminaire.inputs, *inputs)
        luminaire = replace(luminaire, data_file=shown_name(file), data=data, neighbours=neighbours, inputs=inputs)
    if card.spectrum is not None:
        file = card_file.parent / card.spectrum
        data = _beside_card(document, "spectrum", file, LARGEST_SPECTRUM_BYTES, "a spectrum")
        inputs = (*luminaire.inputs, recorded(file, home, data))
        luminaire = replace(luminaire, spectrum_file=shown_name(file), spectrum=data, inputs=inputs)
    return luminaire


def photometric_file(document: Document, card: Card, path: Path) -> bytes:
    """Bytes of the photometric file of a card, which must be the one whose digest the card states.

    Parameters
    ----------
    document : the card as parsed, for messages.
    card : its content.
    path : the file.
    """
    data = _beside_card(document, "file", path, LARGEST_PHOTOMETRIC_BYTES, "a photometric file")
    digest = hashlib.sha256(data).hexdigest()
    if card.sha256 is not None and card.sha256 != digest:
        checked = f"the file has {digest}: check which file is meant, then write that"
        raise document.error(("sha256",), "does not belong to the file", checked)
    return data


def _beside_card(document: Document, key: str, path: Path, largest_bytes: int, what: str) -> bytes:
    """Bytes of a file that a card names; it stays in the folder of the card."""
    accepted, written = "give the name of a file beside the card", Path(str(document.table[key]))
    if written.is_absolute() or ".." in written.parts:
        raise document.error((key,), "lies outside the folder of the card", accepted)
    if not os.path.isfile(path):
        raise document.error((key,), "is not there", accepted)
    return read_limited(path, shown_name(path), largest_bytes, what)


def _with_tilt_file(path: Path, home: Path, data: bytes) -> tuple[tuple[Input, ...], tuple[tuple[str, bytes], ...]]:
    """What was read: a photometric file and, where it names one that lies beside it, its tilt file."""
    read = (recorded(path, home, data),)
    match = _TILT_FILE.search(data)
    name = match[1].decode("latin-1").strip() if match else "NONE"
    beside = path.parent / name
    if name.upper() in ("NONE", "INCLUDE") or not name.isprintable() or not os.path.isfile(beside):
        return read, ()
    tilt = read_limited(beside, shown_name(beside), LARGEST_TILT_BYTES, "a tilt file")
    return (*read, recorded(beside, home, tilt)), ((name, tilt),)


def _beside(path: Path) -> str:
    """What to give in place of a file that is not there: one of nearly the same name, or a path."""
    if os.path.isdir(path.parent):
        found = get_close_matches(path.name, sorted(os.listdir(path.parent)), n=1, cutoff=0.75)
        if found:
            return f'did you mean "{path.parent.joinpath(found[0]).name}"'
    return f"paths start at the folder {shown_name(path.parent)}"


def _without_card(name: str, path: Path, home: Path) -> Luminaire:
    shown = shown_name(path)
    data = read_limited(path, shown, LARGEST_PHOTOMETRIC_BYTES, "a photometric file")
    head = data[:_HEAD_BYTES].replace(b"\0", b"").partition(b"TILT=")[0].decode("latin-1")
    marks = rf"(?:^|[\]>])[ \t]*{INVENTED}\b|^#[^:\r\n]*:[ \t]*{INVENTED}\b|^#[ \t]*status:[ \t]*(?i:{INVENTED})\b"
    invented = re.search(marks, head, re.MULTILINE)
    source = CardSource(title=f"Photometric file {path.name}, no card", status="invented" if invented else "own")
    data_class: DataClass = "fitted from several figures" if CALCULATED_FROM_BEAM in head else "measured file"
    card = Card(format="scenelux luminaire 1", name=path.stem, kind="work", file=path.name,
                data_class=data_class, source=source)  # fmt: skip
    inputs, neighbours = _with_tilt_file(path, home, data)
    return Luminaire(name, card, None, shown, data, inputs, neighbours=neighbours)
