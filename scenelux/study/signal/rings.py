"""Where flashing lamps are looked at: directions all around far away, and eyes on circles around the vehicle."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.placement import PlacedScene, PlacedVehicle
from scenelux.placement.signals import FAR_M, around, far_away, lamps_towards
from scenelux.signals import COVERAGE_ELEVATIONS_DEG
from scenelux.study.results.signal import SignalRing
from scenelux.units import UnitSystem, format_distance, format_length

__all__ = ["EYE_HEIGHTS_M", "HEADINGS_DEG", "eyes_words", "far_rings", "near_rings", "rings_of"]

Array = NDArray[np.float64]

HEADINGS_DEG: Array = np.arange(0.0, 360.0, 5.0)
"""Counter-clockwise from the front, as aims are."""

HEADINGS_DEG.setflags(write=False)

EYE_HEIGHTS_M = (1.08, 1.2, 1.8, 2.33)
"""Eyes of a car driver, of two walks around a vehicle, and of a truck driver."""


def rings_of(
    placed: PlacedScene, vehicle: PlacedVehicle, distance_m: float, units: UnitSystem = "metric"
) -> tuple[SignalRing, ...]:
    """All rings around a vehicle, far ones first.

    Parameters
    ----------
    placed : the scene on its site.
    vehicle : in the middle.
    distance_m : of the near ones.
    units : of their words.
    """
    near = near_rings(placed, vehicle, EYE_HEIGHTS_M, distance_m, units)
    return (*far_rings(placed, vehicle, COVERAGE_ELEVATIONS_DEG), *near)


def far_rings(placed: PlacedScene, vehicle: PlacedVehicle, elevations_deg: ArrayLike) -> tuple[SignalRing, ...]:
    """A ring of directions at each elevation.

    Parameters
    ----------
    placed : the scene on its site.
    vehicle : whose plane elevations count from.
    elevations_deg : (e,).
    """
    elevations = np.asarray(elevations_deg, np.float64)
    eyes = far_away(vehicle, HEADINGS_DEG, elevations)
    seen = lamps_towards(placed, eyes)
    return tuple(
        SignalRing(
            ring_id=f"far{elevation:+g}" if elevation else "far0",
            says=_elevation_words(float(elevation)),
            kind="far",
            elevation_deg=float(elevation),
            height_m=math.nan,
            distance_m=FAR_M * math.cos(math.radians(float(elevation))),
            heading_deg=HEADINGS_DEG,
            points_m=eyes[row],
            by_lamp_cd=seen.candela[:, row],
            hidden=seen.hidden[:, row],
        )
        for row, elevation in enumerate(elevations)
    )


def near_rings(
    placed: PlacedScene,
    vehicle: PlacedVehicle,
    heights_m: Sequence[float],
    distance_m: float,
    units: UnitSystem = "metric",
) -> tuple[SignalRing, ...]:
    """A circle of eyes at each height.

    Parameters
    ----------
    placed : the scene on its site.
    vehicle : in the middle.
    heights_m : above the ground.
    distance_m : level, from the middle of the vehicle.
    units : of words.
    """
    found = []
    for height in heights_m:
        eyes = around(placed, vehicle, HEADINGS_DEG, distance_m, height)
        seen = lamps_towards(placed, eyes)
        found.append(
            SignalRing(
                ring_id=f"near{height:g}",
                says=eyes_words(height, distance_m, units),
                kind="near",
                elevation_deg=math.nan,
                height_m=height,
                distance_m=distance_m,
                heading_deg=HEADINGS_DEG,
                points_m=eyes,
                by_lamp_cd=seen.candela,
                hidden=seen.hidden,
            )
        )
    return tuple(found)


def eyes_words(height_m: float, distance_m: float, units: UnitSystem) -> str:
    """Where eyes near by are.

    Parameters
    ----------
    height_m, distance_m : above the ground, and from the middle of the vehicle.
    units : "metric" or "us".
    """
    return f"eyes {format_length(height_m, units)} up, {format_distance(distance_m, units)} away"


def _elevation_words(elevation_deg: float) -> str:
    if elevation_deg == 0.0:
        return "far away, level"
    return f"far away, {abs(elevation_deg):g} deg {'above' if elevation_deg > 0.0 else 'below'} level"
