"""Variants of a scene: named changes to selected lamps, or to people."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field, model_validator

from scenelux.errors import UsageError
from scenelux.scene.fields import Angle, Coordinate, Heading, Height, Identifier, Lossfactor, Table, Text, Tilt, problem
from scenelux.scene.onsite import Clothing, Person, Pose, Vest
from scenelux.scene.vehicle import Lamp, Vehicle
from scenelux.scene.words import near

if TYPE_CHECKING:
    from scenelux.scene.model import SceneDocument

__all__ = ["CHANGED", "Change", "Variant", "apply_variant", "changed_lamps"]

CHANGED = ("luminaire", "position_m", "heading_deg", "tilt_deg", "roll_deg", "light_loss_factor")
"""What a variant may change of a lamp."""

CHANGED_OF_PEOPLE = ("pose", "clothing", "vest", "heading_deg")


class Change(Table):
    """New values for the lamps named, for all lamps of a circuit, or for the people named."""

    lamps: tuple[Text, ...] | None = Field(default=None, min_length=1)  # copied ones too, such as "second/tail-left"
    circuit: Identifier | None = None
    people: tuple[Identifier, ...] | None = Field(default=None, min_length=1)
    luminaire: Text | None = None
    position_m: tuple[Coordinate, Coordinate, Height] | None = Field(default=None, alias="position")
    heading_deg: Heading | None = Field(default=None, alias="heading")
    tilt_deg: Tilt | None = Field(default=None, alias="tilt")
    roll_deg: Angle | None = Field(default=None, alias="roll")
    light_loss_factor: Lossfactor | None = None
    pose: Pose | None = None
    clothing: Clothing | None = None
    vest: Vest | None = None

    @model_validator(mode="after")
    def _some_lamps_some_change(self) -> Change:
        if sum(item is not None for item in (self.lamps, self.circuit, self.people)) != 1:
            accepted = 'give one of lamps = ["tail-left"], circuit = "tail scene" and people = ["worker"]'
            raise problem("does not say which lamps" if self.people is None else "names more than people", accepted)
        whose = ("lamps", CHANGED) if self.people is None else ("people", CHANGED_OF_PEOPLE)
        for name in (*CHANGED, *CHANGED_OF_PEOPLE):
            if getattr(self, name) is not None and name not in whose[1]:
                key = type(self).model_fields[name].alias or name
                raise problem(f"is nothing that {whose[0]} have", "leave it out", key)
        if not self.values():
            lamps = "give tilt, heading, roll, position, light_loss_factor or luminaire"
            raise problem("changes nothing", lamps if self.people is None else "give pose, clothing, vest or heading")
        return self

    def values(self) -> dict[str, object]:
        """Field of a lamp, or of a person -> its new value."""
        names = CHANGED if self.people is None else CHANGED_OF_PEOPLE
        return {name: getattr(self, name) for name in names if getattr(self, name) is not None}

    def selects(self, lamp_id: str, circuit: str) -> bool:
        """Whether a lamp is changed."""
        if self.people is not None:
            return False
        return lamp_id in self.lamps if self.lamps is not None else circuit == self.circuit


class Variant(Table):
    """The document with some lamps or people changed, starting from itself as written or from another variant."""

    say: Text
    based_on: Identifier | None = None
    changes: tuple[Change, ...] = Field(min_length=1)


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
    vehicles, people = start.vehicles, start.people
    for change in variant.changes:
        if change.people is None:
            vehicles = tuple(_changed(vehicle, change) for vehicle in vehicles)
        else:
            people = tuple(_dressed(person, change, change.people) for person in people)
    return start.model_copy(update={"vehicles": vehicles, "people": people})


def changed_lamps(vehicles: tuple[Vehicle, ...], change: Change) -> tuple[Lamp, ...]:
    """Lamps that a change selects."""
    return tuple(lamp for vehicle in vehicles for lamp in vehicle.lamps if change.selects(lamp.id, lamp.circuit))


def _dressed(person: Person, change: Change, named: tuple[str, ...]) -> Person:
    return person.model_copy(update=change.values()) if person.id in named else person


def _changed(vehicle: Vehicle, change: Change) -> Vehicle:
    new = change.values()
    lamps = tuple(
        lamp.model_copy(update=new) if change.selects(lamp.id, lamp.circuit) else lamp for lamp in vehicle.lamps
    )
    return vehicle.model_copy(update={"lamps": lamps})
