"""A scene on its site: vehicles with their lamps, objects, people, and all that stands in the light."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps
from scenelux.placement.bodies import PlacedVehicle, place_vehicle
from scenelux.placement.boxes import Patch, PlacedBox, blockers_of
from scenelux.placement.ground import Ground
from scenelux.placement.lamps import PlacedLamp, engine_lamps, place_lamp
from scenelux.placement.luminaires import LuminaireData, load_luminaire
from scenelux.placement.materials import GroundSurface, ground_surface
from scenelux.placement.objects import PlacedObject, place_object
from scenelux.placement.people import PlacedPerson, place_person
from scenelux.scene.model import SceneDocument

__all__ = ["PlacedScene", "place"]


@dataclass(frozen=True, eq=False)
class PlacedScene:
    """A scene on its site: the document, its lamps and bodies as the engine takes them, and what was read for it.

    Parameters
    ----------
    scene, ground, vehicles, placed_lamps, lamps : the document and its parts on the site.
    luminaires : by the name that the scene uses.
    objects, people : in the order of the document.
    boxes : all boxes with their owners: bodies of vehicles, then objects, then people.
    blockers : bodies and objects. Light on areas, at windows and at eyes that rules judge is computed past these:
        whoever measures does not stand in the light.
    blockers_with_people : all boxes. For pictures, approaches, and the light on people.
    surface : the ground as the eye sees it.
    notes : sentences about what was read.

    The first boxes are those of `blockers`, so box number b is `boxes[b]` in both, and surface number 1 + b in a
    picture, whose number 0 is the ground.
    """

    scene: SceneDocument
    ground: Ground
    vehicles: Mapping[str, PlacedVehicle]
    placed_lamps: tuple[PlacedLamp, ...]
    lamps: Lamps
    blockers: Blockers
    notes: tuple[str, ...]
    luminaires: Mapping[str, LuminaireData]
    objects: tuple[PlacedObject, ...]
    people: tuple[PlacedPerson, ...]
    boxes: tuple[PlacedBox, ...]
    blockers_with_people: Blockers
    surface: GroundSurface

    @property
    def lamp_ids(self) -> tuple[str, ...]:
        """Names of the lamps, in the order of all per-lamp arrays."""
        return tuple(lamp.id for lamp in self.placed_lamps)

    @property
    def loss_factors(self) -> NDArray[np.float64]:
        """Light loss factor of each lamp, (lamps,)."""
        return np.array([lamp.light_loss_factor for lamp in self.placed_lamps])

    @property
    def reflectances(self) -> NDArray[np.float64]:
        """Diffuse reflectance of the ground and of each box, (1 + boxes,)."""
        return np.array([self.surface.drawn.value, *(box.reflectance.value for box in self.boxes)])

    @property
    def patches(self) -> tuple[Patch, ...]:
        """Patches of all objects and people."""
        of_objects = (patch for item in self.objects for patch in item.patches)
        return (*of_objects, *(patch for person in self.people for patch in person.patches))

    def surface_of(self, patch: Patch) -> int:
        """Number of a patch's box among the surfaces of a picture."""
        names = [(box.owner, box.owner_id, box.part) for box in self.boxes]
        return 1 + names.index((patch.owner, patch.owner_id, patch.part))


def place(scene: SceneDocument) -> PlacedScene:
    """Puts a scene, as written, on its site.

    Parameters
    ----------
    scene : a document to which its variant has been applied.
    """
    ground = Ground(scene.site.grade, scene.site.crossfall)
    vehicles = {vehicle.id: place_vehicle(vehicle, ground) for vehicle in scene.vehicles}
    luminaires = {name: load_luminaire(luminaire) for name, luminaire in scene.luminaires.items()}
    lamps = tuple(
        place_lamp(lamp, vehicles[vehicle.id], luminaires[lamp.luminaire])
        for vehicle in scene.vehicles
        for lamp in vehicle.lamps
    )
    objects = tuple(place_object(item, vehicles, ground) for item in scene.objects)
    people = tuple(place_person(person, vehicles, ground) for person in scene.people)
    still = (*_bodies(vehicles), *(box for item in objects for box in item.boxes))
    boxes = (*still, *(box for person in people for box in person.boxes))
    return PlacedScene(
        scene=scene,
        ground=ground,
        vehicles=vehicles,
        placed_lamps=lamps,
        lamps=engine_lamps(lamps),
        blockers=blockers_of(still),
        notes=_notes(luminaires, lamps),
        luminaires=luminaires,
        objects=objects,
        people=people,
        boxes=boxes,
        blockers_with_people=blockers_of(boxes),
        surface=ground_surface(scene.site.surface),
    )


def _bodies(vehicles: Mapping[str, PlacedVehicle]) -> tuple[PlacedBox, ...]:
    return tuple(
        PlacedBox("vehicle", body.vehicle_id, body.body_id, body.centre_m, body.half_m, body.axes, body.reflectance)
        for vehicle in vehicles.values()
        for body in vehicle.bodies
    )


def _notes(luminaires: Mapping[str, LuminaireData], lamps: tuple[PlacedLamp, ...]) -> tuple[str, ...]:
    warnings = (f"{name}: {warning}" for name, data in luminaires.items() for warning in data.warnings)
    applied = (
        f"{lamp.id}: TILT factor {lamp.tilt_factor:.4g} applied, at {lamp.burning_tilt_deg:.4g} deg"
        for lamp in lamps
        if lamp.luminaire.tilt_table is not None
    )
    return (*warnings, *applied)
