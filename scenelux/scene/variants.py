"""Variants of a scene: named changes to selected lamps, people or objects, and other flash patterns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeVar

from pydantic import Field, model_validator

from scenelux.errors import UsageError
from scenelux.scene.fields import Angle, Heading, Identifier, Lossfactor, Table, Text, Tilt, problem
from scenelux.scene.onsite import Clothing, OnSite, Person, Place, Pose, RoadObject, Vest
from scenelux.scene.signals import Signal
from scenelux.scene.vehicle import Lamp, Vehicle
from scenelux.scene.words import near

if TYPE_CHECKING:
    from scenelux.scene.model import SceneDocument, SceneText
    from scenelux.scene.positions import KeyPath

__all__ = ["CHANGED", "Change", "Variant", "apply_variant", "changed_lamps", "changed_on_site"]

CHANGED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "lamps": ("tilt_deg", "heading_deg", "roll_deg", "position_m", "light_loss_factor", "luminaire"),
        "people": ("pose", "clothing", "vest", "heading_deg", "position_m"),
        "objects": ("position_m", "heading_deg", "sheeting"),
    }
)
"""What a variant may change of lamps, of people and of objects."""

_PLACE_OF_A_LAMP = 3  # forward, left, up


class Change(Table):
    """New values for the lamps named, for all lamps of a circuit, or for the people or objects named."""

    lamps: tuple[Text, ...] | None = Field(default=None, min_length=1)  # copied ones too, such as "second/tail-left"
    circuit: Identifier | None = None
    people: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    objects: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    luminaire: Text | None = None
    position_m: Place | None = Field(default=None, alias="position")
    heading_deg: Heading | None = Field(default=None, alias="heading")
    tilt_deg: Tilt | None = Field(default=None, alias="tilt")
    roll_deg: Angle | None = Field(default=None, alias="roll")
    light_loss_factor: Lossfactor | None = None
    pose: Pose | None = None
    clothing: Clothing | None = None
    vest: Vest | None = None
    sheeting: Text | None = None

    @model_validator(mode="after")
    def _some_lamps_some_change(self) -> Change:
        named = [item is not None for item in (self.lamps, self.circuit, self.people, self.objects)]
        if sum(named) != 1:
            accepted = 'give one of lamps = ["tail-left"], circuit = "tail scene", people = ["worker"] and objects'
            raise problem("names more than one kind" if any(named) else "does not say which lamps", accepted)
        for name in dict.fromkeys(name for names in CHANGED.values() for name in names):
            if getattr(self, name) is not None and name not in CHANGED[self.of]:
                raise problem(f"is nothing that {self.of} have", "leave it out", self._key(name))
        if not self.values():
            keys = [self._key(name) for name in CHANGED[self.of]]
            raise problem("changes nothing", f"give {', '.join(keys[:-1])} or {keys[-1]}")
        return self

    @model_validator(mode="after")
    def _whole_place_of_a_lamp(self) -> Change:
        if self.of == "lamps" and self.position_m is not None and len(self.position_m) != _PLACE_OF_A_LAMP:
            raise problem(f"has {len(self.position_m)} parts", "give [forward, left, up] of a lamp", "position")
        return self

    @property
    def of(self) -> str:
        """What is changed: lamps, people or objects."""
        return "people" if self.people is not None else "objects" if self.objects is not None else "lamps"

    def _key(self, name: str) -> str:
        return type(self).model_fields[name].alias or name

    def values(self) -> dict[str, object]:
        """Field of a lamp, a person or an object -> its new value."""
        return {name: getattr(self, name) for name in CHANGED[self.of] if getattr(self, name) is not None}

    def selects(self, lamp_id: str, circuit: str) -> bool:
        """Whether a lamp is changed."""
        if self.of != "lamps":
            return False
        return lamp_id in self.lamps if self.lamps is not None else circuit == self.circuit


class Variant(Table):
    """The document with some lamps, people or objects changed, starting as written or from another variant."""

    say: Text
    based_on: Identifier | None = None
    changes: tuple[Change, ...] = ()
    signals: tuple[Signal, ...] = ()  # after those of the scene, so that they win

    @model_validator(mode="after")
    def _some_change(self) -> Variant:
        if not self.changes and not self.signals:
            raise problem("changes nothing", "give changes or signals")
        return self


def apply_variant(scene: SceneDocument, name: str) -> SceneDocument:
    """The scene with a variant's changes made; the base name gives the scene as written.

    Parameters
    ----------
    scene : a scene that was read, with no circles among its variants.
    name : its base name or one of its variants.
    """
    if name == scene.base:
        return scene
    if name not in scene.variants:
        known = [scene.base, *scene.variants]
        raise UsageError("is not a variant of this scene", value=name, accepted=near(name, known))
    variant = scene.variants[name]
    start = apply_variant(scene, variant.based_on or scene.base)
    vehicles, people, objects = start.vehicles, start.people, start.objects
    for change in variant.changes:
        vehicles = tuple(_changed(vehicle, change) for vehicle in vehicles) if change.of == "lamps" else vehicles
        people = _standing(people, change, change.people)
        objects = _standing(objects, change, change.objects)
    signals = (*start.signals, *variant.signals)
    standing = {"people": people, "objects": objects}
    return start.model_copy(update={"vehicles": vehicles, **standing, "signals": signals})


def changed_lamps(vehicles: tuple[Vehicle, ...], change: Change) -> tuple[Lamp, ...]:
    """Lamps that a change selects."""
    return tuple(lamp for vehicle in vehicles for lamp in vehicle.lamps if change.selects(lamp.id, lamp.circuit))


def changed_on_site(scene: SceneText) -> Iterator[tuple[KeyPath, Change, Person | RoadObject]]:
    """Every change of every variant to a person or an object: where it stands in the document, and whom it changes.

    Parameters
    ----------
    scene : whose people and objects are known.
    """
    for name, variant in scene.variants.items():
        for j, change in enumerate(variant.changes):
            standing: tuple[Person | RoadObject, ...] = (*scene.people, *scene.objects)
            for one in standing:
                named = change.people if isinstance(one, Person) else change.objects
                if one.id in (named or ()):
                    yield ("variants", name, "changes", j), change, one


_Standing = TypeVar("_Standing", bound=OnSite)


def _standing(
    all_of_them: tuple[_Standing, ...], change: Change, named: tuple[str, ...] | None
) -> tuple[_Standing, ...]:
    """People or objects with those changed that are named; the same tuple where none is."""
    if named is None:
        return all_of_them
    return tuple(one.model_copy(update=change.values()) if one.id in named else one for one in all_of_them)


def _changed(vehicle: Vehicle, change: Change) -> Vehicle:
    new = change.values()
    lamps = tuple(
        lamp.model_copy(update=new) if change.selects(lamp.id, lamp.circuit) else lamp for lamp in vehicle.lamps
    )
    return vehicle.model_copy(update={"lamps": lamps})
