"""The one bridge from the scene document to the engine's arrays: lamps, bodies, ground, areas and eyes on the site."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps
from scenelux.placement.areas import DIRECTIONS, UP, AreaPoints, area_outline, area_points, area_shape, facing_words
from scenelux.placement.bodies import PlacedBody, PlacedVehicle, blockers_of, place_vehicle
from scenelux.placement.eyes import EyePath, eye_path, station_count
from scenelux.placement.ground import Ground
from scenelux.placement.lamps import PlacedLamp, engine_lamps, place_lamp
from scenelux.placement.luminaires import LuminaireData, load_luminaire
from scenelux.scene.model import SceneDocument

__all__ = [
    "DIRECTIONS",
    "UP",
    "AreaPoints",
    "EyePath",
    "Ground",
    "LuminaireData",
    "PlacedBody",
    "PlacedLamp",
    "PlacedScene",
    "PlacedVehicle",
    "area_outline",
    "area_points",
    "area_shape",
    "eye_path",
    "facing_words",
    "load_luminaire",
    "place",
    "station_count",
]


@dataclass(frozen=True, eq=False)
class PlacedScene:
    """A scene on its site: the document, its lamps and bodies as the engine takes them, and what was read for it."""

    scene: SceneDocument
    ground: Ground
    vehicles: Mapping[str, PlacedVehicle]
    placed_lamps: tuple[PlacedLamp, ...]
    lamps: Lamps
    blockers: Blockers
    notes: tuple[str, ...]

    @property
    def lamp_ids(self) -> tuple[str, ...]:
        """Names of the lamps, in the order of all per-lamp arrays."""
        return tuple(lamp.id for lamp in self.placed_lamps)

    @property
    def loss_factors(self) -> NDArray[np.float64]:
        """Light loss factor of each lamp, (lamps,)."""
        return np.array([lamp.light_loss_factor for lamp in self.placed_lamps])


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
    return PlacedScene(
        scene=scene,
        ground=ground,
        vehicles=vehicles,
        placed_lamps=lamps,
        lamps=engine_lamps(lamps),
        blockers=blockers_of(tuple(vehicles.values())),
        notes=(
            *(f"{name}: {warning}" for name, data in luminaires.items() for warning in data.warnings),
            *(
                f"{lamp.id}: TILT factor {lamp.tilt_factor:.4g} applied, at {lamp.burning_tilt_deg:.4g} deg"
                for lamp in lamps
                if lamp.luminaire.tilt_table is not None
            ),
        ),
    )
