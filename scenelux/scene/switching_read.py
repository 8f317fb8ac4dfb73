"""Reads the switching document of a scene: validated, and checked against the scene."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from scenelux.errors import DocumentError, InputError, UsageError
from scenelux.scene.cards import Input
from scenelux.scene.catalogue import check_format, recorded, shown_name
from scenelux.scene.document import Document, read_document, read_limited
from scenelux.scene.model import SceneDocument
from scenelux.scene.positions import path_text
from scenelux.scene.problems import first_problem, validated
from scenelux.scene.switching import SWITCHING_FORMAT, SwitchingText
from scenelux.scene.switching_checks import switching_faults
from scenelux.shipped import shipped

__all__ = ["SwitchingDocument", "read_switching_text", "switching_of", "validated_switching"]

LARGEST_SWITCHING_BYTES = 500_000


@dataclass(frozen=True, eq=False)
class SwitchingDocument:
    """A switching document that fits its scene.

    Parameters
    ----------
    text : as written.
    document : where everything was written.
    read : file and digest, as results record it.
    """

    text: SwitchingText
    document: Document
    read: Input

    def locate(self, error: InputError) -> InputError:
        """An error whose key is one of this document, with its place filled in.

        Parameters
        ----------
        error : as it arose.
        """
        place = next((known for known in self.document.places if path_text(known) == error.key), None)
        return error if place is None else self.document.located(error, place)


def switching_of(scene: SceneDocument, file: str | Path | None = None) -> SwitchingDocument:
    """The switching document that a scene names, or another one instead.

    Parameters
    ----------
    scene : as read by `read_scene`.
    file : path from the working directory, or of a shipped document as the scene would name it.
    """
    if file is not None:
        return read_switching_text(scene, _found(Path(file), str(file), None))
    if scene.switching is None:
        accepted = 'name a document in it, such as switching = "switching/truck.toml", or give --switching FILE'
        raise UsageError("names no switching document", value=scene.name, accepted=accepted)
    try:
        path = _found(Path(scene.folder) / scene.switching, scene.switching, scene)
    except InputError as error:
        raise scene.locate(error, "switching") from None
    return read_switching_text(scene, path)


def _found(path: Path, written: str, scene: SceneDocument | None) -> Path:
    """The file itself, else the shipped one of that name."""
    if not written.isprintable():
        raise DocumentError("is not a name of a file")
    name = written if written.endswith(".toml") else f"{written}.toml"
    for found in (path, shipped("scenes") / name, shipped("scenes") / "switching" / name):
        if os.path.isfile(found):
            return found
    begins = "paths start at the folder of the scene" if scene else "name a switching document"
    raise DocumentError("is not a file", value=None if scene else written, accepted=begins)


def read_switching_text(scene: SceneDocument, path: Path) -> SwitchingDocument:
    """A switching document, checked against a scene.

    Parameters
    ----------
    scene : whose circuits, duty states, light levels, areas and eyes it names.
    path : the file.
    """
    shown = shown_name(path)
    data = read_limited(path, shown, LARGEST_SWITCHING_BYTES, "a switching document")
    document = read_document(data, shown)
    check_format(document, SWITCHING_FORMAT, "a switching document")
    text = validated_switching(document)
    faults = [
        document.error(at, problem, accepted, at_key=at_key)
        for at, problem, accepted, at_key in switching_faults(text, scene)
    ]
    if faults:
        raise first_problem(faults)
    return SwitchingDocument(text, document, recorded(path, Path(scene.folder), data))


def validated_switching(document: Document) -> SwitchingText:
    """A switching document by itself; whether the names in it are known hangs on a scene.

    Parameters
    ----------
    document : as parsed.
    """
    units = document.table.get("units")
    return validated(SwitchingText, document, {"units": units if units in ("metric", "us") else "metric"})
