"""Where an area lies relative to its vehicle, for rules that ask for a place."""

from __future__ import annotations

from scenelux.checks import AreaPlace
from scenelux.placement import AreaPoints, PlacedScene, PlacedVehicle

__all__ = ["area_place"]

_STRAIGHT_DEG = 1e-6


def area_place(placed: PlacedScene, points: AreaPoints) -> AreaPlace:
    """What an area lies on, how far behind its vehicle's rear face it begins, and how far beside the middle it is.

    Parameters
    ----------
    placed : the vehicles.
    points : the area on the site.

    An area of the site counts relative to the first vehicle, when that stands along the site; otherwise its place is
    not known.
    """
    on, vehicle = points.area.on or "", _vehicle_of(placed, points.area.of)
    if vehicle is None:
        return AreaPlace(on=on)
    outline = vehicle.plan_m(points.outline_m)
    gap = vehicle.rear_face_m() - float(outline[:, 0].max())
    middle = 0.5 * float(outline[:, 1].min() + outline[:, 1].max())
    return AreaPlace(on, vehicle.vehicle_id, gap, middle)


def _vehicle_of(placed: PlacedScene, of: str) -> PlacedVehicle | None:
    if of != "site":
        return placed.vehicles[of]
    first = next(iter(placed.vehicles.values()), None)
    turned = 180.0 if first is None else abs((first.heading_deg + 180.0) % 360.0 - 180.0)
    return first if turned < _STRAIGHT_DEG else None
