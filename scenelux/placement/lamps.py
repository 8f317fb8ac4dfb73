"""Lamps on the site: from a luminaire card and an aim to what the engine takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import acos, asin, atan2, degrees, isnan

import numpy as np

from scenelux.engine import Lamps
from scenelux.errors import DocumentError
from scenelux.geometry import Axes, Vector, aim_axes, compose
from scenelux.photometry import PolarTable, direction, flux_above_horizontal_lm
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
    def tilt_factor(self) -> float:
        """Factor of the luminaire's TILT table as the lamp hangs; 1 where none is applied."""
        table = self.luminaire.tilt_table
        factor = 1.0 if table is None else table.factor_at(self.burning_tilt_deg)
        if isnan(factor):
            problem = f"hangs at {self.burning_tilt_deg:.4g} deg, outside the TILT table of its luminaire"
            raise DocumentError(problem, key=f"lamp {self.id}", accepted="leave apply_tilt_table out of its card")
        return factor

    @property
    def burning_tilt_deg(self) -> float:
        """Angle by which the TILT table is read: how far the light source hangs from where it was measured [deg].

        Geometry 1, or a lamp position along the photometric zero: angle between the photometric zero and straight
        down. Otherwise the angle of the light source out of the horizontal.
        """
        table = self.luminaire.tilt_table
        if table is None:
            return 0.0
        source = direction("C", *table.source_position_deg)
        x, y, z = np.array(self.luminaire.orientation.axes_in_lamp()) @ np.array(self.axes)
        if abs(source[2]) > 1.0 - 1e-9:
            return degrees(acos(max(-1.0, min(1.0, float(z[2])))))
        upwards = float((np.stack((x, y, z)).T @ source)[2])
        return abs(degrees(asin(max(-1.0, min(1.0, upwards)))))

    @property
    def flux_above_horizontal_lm(self) -> float:
        """Flux that leaves the lamp upwards, as it hangs on the site [lm]."""
        beam, left, up = self.axes
        tilt = degrees(asin(max(-1.0, min(1.0, beam[2]))))
        roll = degrees(atan2(left[2], up[2]))
        distribution, orientation = self.luminaire.distribution, self.luminaire.orientation
        return self.tilt_factor * flux_above_horizontal_lm(distribution, orientation, tilt_deg=tilt, roll_deg=roll)


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
    """The lamps as the engine takes them; lamps of one luminaire, and one TILT factor, share its table."""
    keys = [(id(lamp.luminaire), lamp.tilt_factor) for lamp in lamps]
    tables = {key: _table(lamp.luminaire.table, key[1]) for key, lamp in zip(keys, lamps, strict=True)}
    index = {key: number for number, key in enumerate(tables)}
    hung = np.array([lamp.axes for lamp in lamps])  # (lamps, 3, 3), rows beam, left, up in the site frame
    table_axes = np.array([lamp.luminaire.table.axes for lamp in lamps])
    opening_axes = np.array([lamp.luminaire.opening_axes for lamp in lamps])
    return Lamps.from_tables(
        list(tables.values()),
        table=[index[key] for key in keys],
        position_m=[lamp.position_m for lamp in lamps],
        axes=table_axes @ hung,
        opening_m=[lamp.luminaire.opening_m for lamp in lamps],
        opening_axes=opening_axes @ hung,
        opening_round=[lamp.luminaire.opening_round for lamp in lamps],
    )


def _table(table: PolarTable, factor: float) -> PolarTable:
    return table if factor == 1.0 else replace(table, candela=table.candela * factor)
