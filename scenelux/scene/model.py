"""The scene as one frozen value, and the names of all its parts."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import PurePath
from typing import Literal

from pydantic import Field

from scenelux.errors import InputError
from scenelux.scene.approaches import Approach, Headlamps
from scenelux.scene.areas import Area, Facing, Grid, Plane, Window
from scenelux.scene.cards import Beam, Card, CardOpening, CardSource, Input, Luminaire
from scenelux.scene.criteria import Criterion
from scenelux.scene.document import Document
from scenelux.scene.eyes import Eye, Gaze, GazeKind
from scenelux.scene.fields import Identifier, Table, Text
from scenelux.scene.onsite import OnSite, Person, RoadObject
from scenelux.scene.positions import path_text
from scenelux.scene.signals import PatternText, Signal, SignalCriterion
from scenelux.scene.site import Lane, LightLevel, MapFrame, Site, State
from scenelux.scene.variants import Change, Variant
from scenelux.scene.vehicle import Body, Lamp, Vehicle
from scenelux.scene.weather import Weather
from scenelux.units import UnitSystem

__all__ = [
    "SCENE_FORMAT",
    "Approach",
    "Area",
    "Beam",
    "Body",
    "Card",
    "CardOpening",
    "CardSource",
    "Change",
    "Criterion",
    "Eye",
    "Facing",
    "Gaze",
    "GazeKind",
    "Grid",
    "Headlamps",
    "Input",
    "Lamp",
    "Lane",
    "LightLevel",
    "Luminaire",
    "MapFrame",
    "OnSite",
    "Person",
    "Plane",
    "RoadObject",
    "SceneDocument",
    "SceneText",
    "Signal",
    "SignalCriterion",
    "Site",
    "State",
    "Variant",
    "Vehicle",
    "Weather",
    "Window",
]

SCENE_FORMAT = "scenelux scene 1"


class SceneText(Table):
    """A scene document as written."""

    format: Literal["scenelux scene 1"]
    title: Text
    data: Literal["invented", "project"]
    units: UnitSystem
    base: Identifier = "as written"
    site: Site = Field(default_factory=Site)
    circuits: Mapping[Identifier, Text]
    vehicles: tuple[Vehicle, ...] = Field(min_length=1)
    states: Mapping[Identifier, State] = Field(min_length=1)
    light: Mapping[Identifier, LightLevel] = Field(min_length=1)
    areas: tuple[Area, ...] = ()
    windows: tuple[Window, ...] = ()
    eyes: tuple[Eye, ...] = ()
    people: tuple[Person, ...] = ()
    objects: tuple[RoadObject, ...] = ()
    weather: Weather = Field(default_factory=Weather)
    approaches: tuple[Approach, ...] = ()
    criteria: tuple[Criterion, ...] = ()
    patterns: Mapping[Identifier, PatternText] = {}
    signals: tuple[Signal, ...] = ()
    signal_criteria: tuple[SignalCriterion, ...] = ()
    switching: Text | None = None  # file of the switching document, from the folder of the scene
    variants: Mapping[Identifier, Variant] = {}
    map: MapFrame = Field(default_factory=MapFrame)


class SceneDocument(SceneText):
    """A scene that was read and checked: vehicles made like others are filled in, luminaires are found."""

    file: str = ""  # as shown in messages
    folder: str = ""  # in which it lies
    inputs: tuple[Input, ...] = ()  # the scene first, then cards and photometric files
    luminaires: Mapping[str, Luminaire] = {}  # by the name that lamps use
    document: Document | None = Field(default=None, repr=False)  # where everything was written

    @property
    def name(self) -> str:
        """Name of the file without folder and ending."""
        return PurePath(self.file).stem

    def locate(self, error: InputError, path: str) -> InputError:
        """An error about a key of this scene, with its place filled in.

        Parameters
        ----------
        error : as it arose.
        path : the key as messages write it, such as "criteria[2].unit".
        """
        if self.document is None:
            return error.at(key=path)
        place = next((known for known in self.document.places if path_text(known) == path), ())
        return self.document.located(error, place)

    @property
    def demonstration(self) -> bool:
        """Whether the scene or a luminaire in it is invented."""
        return self.data == "invented" or any(
            luminaire.card.source.status == "invented" for luminaire in self.luminaires.values()
        )
