"""Finds the luminaires that a scene names: cards beside it, in a luminaires folder near it, or shipped ones."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from scenelux.errors import DocumentError
from scenelux.scene.cards import CARD_FORMAT, Card, CardSource, Input, Luminaire
from scenelux.scene.document import Document, read_document, read_limited
from scenelux.scene.problems import validated
from scenelux.scene.words import near
from scenelux.shipped import shipped

__all__ = [
    "LARGEST_CARD_BYTES",
    "LARGEST_PHOTOMETRIC_BYTES",
    "Catalogue",
    "check_format",
    "photometric_file",
    "read_card",
    "read_luminaire",
    "shown_name",
]

LARGEST_CARD_BYTES = 100_000
LARGEST_PHOTOMETRIC_BYTES = 20_000_000

_PHOTOMETRIC = ".ies"


def shown_name(path: Path) -> str:
    """Name of a file in messages: below the working directory or the shipped folders where it lies there.

    Example
    -------
    >>> shown_name(shipped("scenes") / "any.toml").endswith("scenes/any.toml")
    True
    """
    root = shipped("scenes").parent
    for base in (Path.cwd(), root):
        if path.is_absolute() and path.is_relative_to(base):
            return path.relative_to(base).as_posix()
    return path.as_posix()


def check_format(document: Document, wanted: str, what: str) -> None:
    """Refuses a document of another format with a sentence of its own."""
    found = document.table.get("format")
    if found == wanted:
        return
    accepted = f'begin it with format = "{wanted}"'
    if "format" not in document.table:
        raise document.error((), f"is not {what}: it states no format", accepted)
    raise document.error(("format",), f"is not the format of {what}", accepted)


def read_card(path: Path) -> tuple[Card, Document, Input]:
    """A luminaire card, its document, and what was read.

    Parameters
    ----------
    path : a TOML file.
    """
    shown = shown_name(path)
    data = read_limited(path, shown, LARGEST_CARD_BYTES, "a luminaire card")
    document = read_document(data, shown)
    check_format(document, CARD_FORMAT, "a luminaire card")
    return validated(Card, document, {"units": "metric"}), document, _input(shown, data)


@dataclass(frozen=True)
class Catalogue:
    """Where luminaires are looked for, the nearest first."""

    folders: tuple[Path, ...]

    @classmethod
    def beside(cls, folder: Path) -> Catalogue:
        """The folder of a scene, a luminaires folder in it or beside it, and the shipped luminaires."""
        near_by = (folder, folder / "luminaires", folder.parent / "luminaires")
        return cls(tuple(dict.fromkeys((*near_by, shipped("luminaires")))))

    def names(self) -> list[str]:
        """Names of the cards in all luminaire folders; a scene's own folder holds other documents too."""
        return sorted({card.stem for folder in self.folders[1:] if folder.is_dir() for card in folder.glob("*.toml")})

    def find(self, name: str) -> Luminaire:
        """A luminaire by the name of its card, or by the path of a card or a photometric file.

        Parameters
        ----------
        name : as a lamp names it; paths start at the folder of the scene.
        """
        path = self._path(name)
        if path.suffix.lower() == _PHOTOMETRIC:
            return _without_card(name, path)
        return read_luminaire(name, path)

    def _path(self, name: str) -> Path:
        if "\0" in name:
            raise DocumentError("is not a name of a file")
        if name.endswith(".toml") or name.lower().endswith(_PHOTOMETRIC):
            path = self.folders[0] / name
            if path.is_file():
                return path
            raise DocumentError("is not a file", accepted="give a path from the folder of the scene")
        for folder in self.folders:
            if (folder / f"{name}.toml").is_file():
                return folder / f"{name}.toml"
        raise DocumentError("is not a luminaire", accepted=near(name, self.names()))


def read_luminaire(name: str, card_file: Path) -> Luminaire:
    """A luminaire from its card, with the bytes of its photometric file.

    Parameters
    ----------
    name : how it is called.
    card_file : path of the card.
    """
    card, document, read = read_card(card_file)
    if card.file is None:
        return Luminaire(name, card, document.file, None, None, (read,))
    data_file = card_file.parent / card.file
    data, shown = photometric_file(document, card, data_file), shown_name(data_file)
    return Luminaire(name, card, document.file, shown, data, (read, _input(shown, data)))


def photometric_file(document: Document, card: Card, path: Path) -> bytes:
    """Bytes of the photometric file of a card, which must be the one whose digest the card states.

    Parameters
    ----------
    document : the card as parsed, for messages.
    card : its content.
    path : the file.
    """
    accepted = "give the name of a file beside the card"
    if Path(card.file or "").is_absolute() or ".." in Path(card.file or "").parts:
        raise document.error(("file",), "lies outside the folder of the card", accepted)
    if not path.is_file():
        raise document.error(("file",), "is not there", accepted)
    data = read_limited(path, shown_name(path), LARGEST_PHOTOMETRIC_BYTES, "a photometric file")
    digest = hashlib.sha256(data).hexdigest()
    if card.sha256 is not None and card.sha256 != digest:
        checked = f"the file has {digest}: check which file is meant, then write that"
        raise document.error(("sha256",), "does not belong to the file", checked)
    return data


def _without_card(name: str, path: Path) -> Luminaire:
    shown = shown_name(path)
    data = read_limited(path, shown, LARGEST_PHOTOMETRIC_BYTES, "a photometric file")
    source = CardSource(title=f"Photometric file {path.name}, no card", status="own")
    card = Card(format="scenelux luminaire 1", name=path.stem, kind="work", file=path.name,
                data_class="measured file", source=source)  # fmt: skip
    return Luminaire(name, card, None, shown, data, (_input(shown, data),))


def _input(shown: str, data: bytes) -> Input:
    return Input(shown, hashlib.sha256(data).hexdigest())
