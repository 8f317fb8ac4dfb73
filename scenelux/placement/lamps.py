"""Lamps on the site: from a luminaire card and an aim to what the engine takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, atan2, degrees

import numpy as np

from scenelux.engine import Lamps
from scenelux.geometry import Axes, Vector, aim_axes, compose
from scenelux.photometry import flux_above_horizontal_lm
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.luminaires import LuminaireData
from scenelux.scene.model import Lamp

__all__ = ["PlacedLamp", "engine_lamps", "place_lamp"]


@dataclass(frozen=True, eq=False)
class PlacedLamp:
    """A lamp in the site frame; axes are its beam, left and up."""

    id: str
    vehicle_id: str
    circuit: str
    luminaire: LuminaireData
    light_loss_factor: float
    heading_deg: float
    tilt_deg: float
    position_m: Vector
    axes: Axes

    @property
    def flux_above_horizontal_lm(self) -> float:
        """Flux that leaves the lamp upwards, as it hangs on the site [lm]."""
        beam, left, up = self.axes
        tilt = degrees(asin(max(-1.0, min(1.0, beam[2]))))
        roll = degrees(atan2(left[2], up[2]))
        return flux_above_horizontal_lm(
            self.luminaire.distribution, self.luminaire.orientation, tilt_deg=tilt, roll_deg=roll
        )


def place_lamp(lamp: Lamp, vehicle: PlacedVehicle, luminaire: LuminaireData) -> PlacedLamp:
    """Puts a lamp on its vehicle and the vehicle's attitude under it."""
    return PlacedLamp(
        id=lamp.id,
        vehicle_id=vehicle.vehicle_id,
        circuit=lamp.circuit,
        luminaire=luminaire,
        light_loss_factor=lamp.light_loss_factor,
        heading_deg=lamp.heading_deg,
        tilt_deg=lamp.tilt_deg,
        position_m=vehicle.to_site(lamp.position_m),
        axes=compose(vehicle.axes, aim_axes(lamp.heading_deg, lamp.tilt_deg, lamp.roll_deg)),
    )


def engine_lamps(lamps: Sequence[PlacedLamp]) -> Lamps:
    """The lamps as the engine takes them; lamps of one luminaire share its table."""
    luminaires = list({id(lamp.luminaire): lamp.luminaire for lamp in lamps}.values())
    index = {id(luminaire): number for number, luminaire in enumerate(luminaires)}
    hung = np.array([lamp.axes for lamp in lamps])  # (lamps, 3, 3), rows beam, left, up in the site frame
    table_axes = np.array([lamp.luminaire.table.axes for lamp in lamps])
    opening_axes = np.array([lamp.luminaire.opening_axes for lamp in lamps])
    return Lamps.from_tables(
        [luminaire.table for luminaire in luminaires],
        table=[index[id(lamp.luminaire)] for lamp in lamps],
        position_m=[lamp.position_m for lamp in lamps],
        axes=table_axes @ hung,
        opening_m=[lamp.luminaire.opening_m for lamp in lamps],
        opening_axes=opening_axes @ hung,
        opening_round=[lamp.luminaire.opening_round for lamp in lamps],
    )
