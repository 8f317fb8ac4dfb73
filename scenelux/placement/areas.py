"""Areas on the site: their grid points, the planes there, and where nobody can stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Plane
from scenelux.geometry import Vector, heading_tilt, rotate
from scenelux.grids import cell_centres, cells_of_published_rule, cells_of_spacing, inside_polygon
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.ground import Ground
from scenelux.scene.model import Area

__all__ = ["DIRECTIONS", "UP", "AreaPoints", "area_outline", "area_points", "area_shape", "facing_words"]

Array = NDArray[np.float64]

UP: Vector = (0.0, 0.0, 1.0)

DIRECTIONS: Mapping[str, Vector] = {
    "up": UP,
    "down": (0.0, 0.0, -1.0),
    "forward": (1.0, 0.0, 0.0),
    "rear": (-1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
}

_PLANES = {
    "cylindrical": Plane.CYLINDRICAL,
    "semi-cylindrical": Plane.SEMI_CYLINDRICAL,
    "hemispherical": Plane.HEMISPHERICAL,
}


@dataclass(frozen=True, eq=False)
class AreaPoints:
    """An area's grid in the site frame, row by row.

    points_m is (rows * columns, 3); floor_up_m is (rows * columns,) height of what one stands on; outside is True
    for cells of the enclosing rectangle that lie outside a polygon; normal is one for the whole area.
    """

    area: Area
    points_m: Array
    floor_up_m: Array
    outside: NDArray[np.bool_]
    normal: Vector
    plane: Plane
    facing: str
    outline_m: Array
    shape: tuple[int, int]
    cell_m: tuple[float, float]
    size_m: tuple[float, float] | None


def area_points(vehicles: Mapping[str, PlacedVehicle], ground: Ground, area: Area) -> AreaPoints:
    """Lays an area's grid on the ground, or on the top of a body of the vehicle that it belongs to.

    Parameters
    ----------
    vehicles : the placed vehicles by id.
    ground : the pavement.
    area : as the document has it.
    """
    vehicle = _vehicle_of(vehicles, area)
    corners = _corners(area, vehicle)
    low, high = corners.min(axis=0), corners.max(axis=0)
    shape = area_shape(vehicles, area)
    flat = cell_centres((low[0], high[0]), (low[1], high[1]), *shape)
    inside = inside_polygon(flat, [tuple(corner) for corner in corners.tolist()])
    floor = _on_floor(flat, vehicle, ground, area)
    normal, facing = _normal(area, vehicle, ground)
    return AreaPoints(
        area=area,
        points_m=floor + np.array([0.0, 0.0, area.height_m]),
        floor_up_m=floor[:, 2],
        outside=~inside,
        normal=normal,
        plane=_PLANES.get(area.plane, Plane.PLANE),
        facing=facing,
        outline_m=area_outline(vehicles, ground, area),
        shape=shape,
        cell_m=((high[0] - low[0]) / shape[0], (high[1] - low[1]) / shape[1]),
        size_m=None if area.polygon_m else (float(high[0] - low[0]), float(high[1] - low[1])),
    )


def area_shape(vehicles: Mapping[str, PlacedVehicle], area: Area) -> tuple[int, int]:
    """Rows along and columns across of an area's grid, without laying it.

    Parameters
    ----------
    vehicles : the placed vehicles by id.
    area : as the document has it.
    """
    corners = _corners(area, _vehicle_of(vehicles, area))
    along, left = np.ptp(corners, axis=0).tolist()
    return _cells(area, along, left)


def area_outline(vehicles: Mapping[str, PlacedVehicle], ground: Ground, area: Area) -> Array:
    """Corners of an area at its height, (corners, 3), site frame [m].

    Parameters
    ----------
    vehicles, ground, area : as in `area_points`.
    """
    vehicle = _vehicle_of(vehicles, area)
    floor = _on_floor(_corners(area, vehicle), vehicle, ground, area)
    return np.asarray(floor + np.array([0.0, 0.0, area.height_m]))


def _vehicle_of(vehicles: Mapping[str, PlacedVehicle], area: Area) -> PlacedVehicle | None:
    return vehicles[area.of] if area.of != "site" else None


def _corners(area: Area, vehicle: PlacedVehicle | None) -> Array:
    """Outline in the area's own frame; without one it is the whole top of the body."""
    if area.polygon_m:
        return np.array(area.polygon_m, dtype=np.float64)
    if area.forward_m is None or area.left_m is None:
        assert vehicle is not None
        return _top(vehicle, area.on)
    (back, front), (right, left) = area.forward_m, area.left_m
    return np.array([(back, right), (front, right), (front, left), (back, left)], dtype=np.float64)


def _top(vehicle: PlacedVehicle, body_id: str | None) -> Array:
    body = next(body for body in vehicle.bodies if body.body_id == body_id)
    axes = np.array(vehicle.axes)
    edges = np.array(body.axes)[:2] @ axes.T * np.array(body.half_m[:2])[:, None]  # half edges in the vehicle frame
    centre = (np.array(body.centre_m) - vehicle.origin_m) @ axes.T
    signs = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    return np.array([(centre + forward * edges[0] + left * edges[1])[:2] for forward, left in signs])


def _cells(area: Area, along_m: float, left_m: float) -> tuple[int, int]:
    if area.grid.counts is not None:
        return area.grid.counts
    if area.grid.spacing_m is not None:
        return cells_of_spacing(along_m, left_m, area.grid.spacing_m)
    return cells_of_published_rule(along_m, left_m)


def _on_floor(flat: Array, vehicle: PlacedVehicle | None, ground: Ground, area: Area) -> Array:
    """Points (n, 2) of the area's frame on the floor below them, (n, 3) in the site frame."""
    if vehicle is None:
        return np.column_stack((flat, ground.heights_m(flat[:, 0], flat[:, 1])))
    axes, origin = np.array(vehicle.axes), np.array(vehicle.origin_m)
    if area.on:
        body = next(body for body in vehicle.bodies if body.body_id == area.on)
        top = np.array(body.centre_m) + body.half_m[2] * np.array(body.axes[2])
        up_in_vehicle = float((top - origin) @ axes[2])
        return np.asarray(origin + np.column_stack((flat, np.full(len(flat), up_in_vehicle))) @ axes)
    plan = origin[:2] + _plan(vehicle, flat)
    return np.column_stack((plan, ground.heights_m(plan[:, 0], plan[:, 1])))


def _plan(vehicle: PlacedVehicle, flat: Array) -> Array:
    """Distances along and left of a vehicle, turned by its heading only: the ground does not pitch with the load."""
    h = radians(vehicle.heading_deg)
    return np.asarray(flat @ np.array([(cos(h), sin(h)), (-sin(h), cos(h))]))


def _normal(area: Area, vehicle: PlacedVehicle | None, ground: Ground) -> tuple[Vector, str]:
    if area.plane == "pavement":
        return ground.normal, ""
    if area.facing is None:
        return UP, ""
    direction = area.facing.direction
    if vehicle is not None:
        h = radians(vehicle.heading_deg)
        direction = rotate(((cos(h), sin(h), 0.0), (-sin(h), cos(h), 0.0), UP), direction)
    return direction, area.facing.words


def facing_words(direction: Vector) -> str:
    """A direction in words, in the frame in which it was given.

    Example
    -------
    >>> facing_words((-1.0, 0.0, 0.0)), facing_words((0.6, 0.8, 0.0))
    ('rear', 'heading 53.13 deg')
    """
    for word, axis in DIRECTIONS.items():
        if sum(abs(a - b) for a, b in zip(direction, axis, strict=True)) < 1e-9:
            return word
    heading, tilt = heading_tilt(direction)
    return f"heading {heading:.4g} deg" + (f", tilt {tilt:.3g} deg" if abs(tilt) > 1e-9 else "")
