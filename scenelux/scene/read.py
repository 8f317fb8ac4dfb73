"""Reads a scene: parsed, validated, checked across, its luminaires found; any fault is one sentence with its place."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from scenelux.errors import DocumentError, InputError
from scenelux.scene.cards import CARD_FORMAT
from scenelux.scene.catalogue import Catalogue, check_format, read_luminaire, recorded, shown_name
from scenelux.scene.crosschecks import check_references
from scenelux.scene.document import LARGEST_BYTES, Document, read_document, read_limited
from scenelux.scene.model import SCENE_FORMAT, Luminaire, SceneDocument, SceneText
from scenelux.scene.mounting import (
    areas_on_bodies,
    lamps_inside_bodies,
    lamps_of_variants_inside_bodies,
    standing_inside_bodies,
    standing_on_bodies,
)
from scenelux.scene.positions import KeyPath
from scenelux.scene.problems import first_problem, validated
from scenelux.scene.sizes import check_sizes
from scenelux.scene.switching import SWITCHING_FORMAT, SwitchingText
from scenelux.scene.switching_read import switching_of, validated_switching
from scenelux.scene.vehicle import with_copies
from scenelux.scene.words import near
from scenelux.shipped import shipped

__all__ = ["Checked", "check_document", "find_scene", "read_scene", "shipped_scenes"]


def shipped_scenes() -> tuple[str, ...]:
    """Names of the scenes that travel with scenelux."""
    return tuple(sorted(path.stem for path in shipped("scenes").glob("*.toml")))


def find_scene(scene: str | Path) -> Path:
    """Path of a scene file, given by its path or by the name of a shipped scene.

    Parameters
    ----------
    scene : a file, or a name such as "causeway-truck"; a file of that name comes first.
    """
    text = str(scene)
    if "\0" in text or not text:
        raise DocumentError("is not the name of a file", value=text, accepted="name a scene file")
    path = Path(text)
    if os.path.isfile(path):  # unlike Path.is_file never an error, as for too long a name
        return path
    if os.path.isdir(path):
        raise DocumentError("is a folder", value=text, accepted="name a scene file in it")
    name = text.removesuffix(".toml")
    if path.parent == Path() and name in shipped_scenes():
        return shipped("scenes") / f"{name}.toml"
    beside = f"{text}.toml"
    meant = f'did you mean "{beside}"' if os.path.isfile(beside) else near(name, shipped_scenes())
    accepted = f"name a file, or a shipped scene; {meant}"
    raise DocumentError("is neither a file nor a shipped scene", value=text, accepted=accepted)


def read_scene(scene: str | Path) -> SceneDocument:
    """A scene, checked so far that it can be placed and computed.

    Parameters
    ----------
    scene : path of a scene file, or the name of a shipped scene.

    Example
    -------
    >>> read_scene("causeway-truck").base
    'tilted'
    """
    path = find_scene(scene)
    shown = shown_name(path)
    data = read_limited(path, shown, LARGEST_BYTES, "a scene")
    document = read_document(data, shown)
    check_format(document, SCENE_FORMAT, "a scene")
    return _checked(document, path, data)


def _checked(document: Document, path: Path, data: bytes) -> SceneDocument:
    units = document.table.get("units")
    text = validated(SceneText, document, {"units": units if units in ("metric", "us") else "metric"})
    text = _with_copies(text, document)
    _raise_first(check_references(text, document))
    check_sizes(text, document)
    text = areas_on_bodies(text, document)
    beside = [*standing_on_bodies(text, document), *standing_inside_bodies(text, document)]
    _raise_first([*lamps_inside_bodies(text, document), *lamps_of_variants_inside_bodies(text, document), *beside])
    luminaires = _luminaires(text, document, Catalogue.beside(path.parent))
    inputs = {recorded(path, path.parent, data): None}
    inputs.update({file: None for luminaire in luminaires.values() for file in luminaire.inputs})
    parts = {name: getattr(text, name) for name in SceneText.model_fields}
    return SceneDocument.model_construct(
        **parts,
        file=document.file,
        folder=str(path.parent),
        inputs=tuple(inputs),
        luminaires=luminaires,
        document=document,
    )


def _with_copies(text: SceneText, document: Document) -> SceneText:
    try:
        return text.model_copy(update={"vehicles": with_copies(text.vehicles)})
    except InputError as error:
        raise document.located(error, ("vehicles",)) from None


def _raise_first(errors: list[DocumentError]) -> None:
    if errors:
        raise first_problem(errors)


def _luminaires(text: SceneText, document: Document, catalogue: Catalogue) -> dict[str, Luminaire]:
    found: dict[str, Luminaire] = {}
    for path, name in _named(text):
        if name not in found:
            try:
                found[name] = catalogue.find(name)
            except InputError as error:
                # A fault inside the card keeps the card's own place.
                raise error if error.file else document.located(error, path) from None
    return found


def _named(text: SceneText) -> Iterator[tuple[KeyPath, str]]:
    for i, vehicle in enumerate(text.vehicles):
        for j, lamp in enumerate(vehicle.lamps):
            yield ("vehicles", i, "lamps", j, "luminaire"), lamp.luminaire
    for name, variant in text.variants.items():
        for j, change in enumerate(variant.changes):
            if change.luminaire is not None:
                yield ("variants", name, "changes", j, "luminaire"), change.luminaire
    for i, approach in enumerate(text.approaches):
        if approach.headlamps is not None:
            yield ("approaches", i, "headlamps", "luminaire"), approach.headlamps.luminaire


@dataclass(frozen=True)
class Checked:
    """A document that is good: what it is, and what it holds in a few words."""

    kind: str
    holds: str


def check_document(name: str) -> Checked:
    """Checks a scene with the switching document that it names, a luminaire card, or a switching document alone.

    Parameters
    ----------
    name : path of a document, or the name of a shipped scene.
    """
    path = find_scene(name)
    shown = shown_name(path)
    data = read_limited(path, shown, LARGEST_BYTES, "a scene or a luminaire card")
    document = read_document(data, shown)
    if document.table.get("format") == SWITCHING_FORMAT:
        return Checked("switching", _switching_counts(validated_switching(document)))
    if document.table.get("format") != CARD_FORMAT:
        check_format(document, SCENE_FORMAT, "a scene")
        scene = _checked(document, path, data)
        switching = "" if scene.switching is None else f"; {_switching_counts(switching_of(scene).text)}"
        return Checked("scene", _counts(scene) + switching)
    luminaire = read_luminaire(path.name, path, path.parent)
    card = luminaire.card
    return Checked("luminaire", f'{card.kind} luminaire "{card.name}", {card.data_class}, data {card.source.status}')


def _switching_counts(text: SwitchingText) -> str:
    parts = ((len(text.inputs), "input"), (len(text.rules), "rule"))
    counted = [f"{count} {word}{'' if count == 1 else 's'}" for count, word in parts]
    stated = len(text.properties)
    return f"switching with {', '.join(counted)}, {stated} {'property' if stated == 1 else 'properties'}"


def _counts(scene: SceneDocument) -> str:
    lamps = sum(len(vehicle.lamps) for vehicle in scene.vehicles)
    parts = (
        (len(scene.vehicles), "vehicle"),
        (lamps, "lamp"),
        (len(scene.areas), "area"),
        (len(scene.eyes), "eye"),
        (len(scene.states), "duty state"),
        (len(scene.light), "light level"),
        (len(scene.variants), "variant"),
    )
    further = (
        (scene.objects, "object", "objects"),
        (scene.approaches, "approach", "approaches"),
        (scene.signals, "flashing entry", "flashing entries"),
        (scene.signal_criteria, "criterion of flashing", "criteria of flashing"),
    )
    rules = f"{len(scene.criteria)} {'criterion' if len(scene.criteria) == 1 else 'criteria'}"
    counted = [f"{count} {word}{'' if count == 1 else 's'}" for count, word in parts]
    who = f"{len(scene.people)} {'person' if len(scene.people) == 1 else 'people'}"
    counted += [who] if scene.people else []
    counted += [f"{len(found)} {word if len(found) == 1 else several}" for found, word, several in further if found]
    return f"scene with {', '.join([*counted, rules])}"
