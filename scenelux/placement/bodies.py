"""Vehicles on the site: their frames, their bodies as boxes, and the face that an approaching driver meets first."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Axes, Vector, attitude_axes, compose, rotate
from scenelux.placement.ground import Ground
from scenelux.placement.materials import Share, body_reflectance
from scenelux.scene.model import Body, Vehicle

__all__ = ["PlacedBody", "PlacedVehicle", "place_vehicle"]

Array = NDArray[np.float64]

HEADROOM_M = 2.0
"""A body that stays higher than this above the ground is no part of a vehicle's faces: a boom, an arrow board."""


@dataclass(frozen=True)
class PlacedBody:
    """A box in the site frame."""

    vehicle_id: str
    body_id: str
    centre_m: Vector
    half_m: Vector
    axes: Axes
    reflectance: Share

    def corners_m(self) -> Array:
        """The eight corners, (8, 3), site frame [m]."""
        signs = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=np.float64)
        return np.asarray(np.array(self.centre_m) + (signs * self.half_m) @ np.array(self.axes))


@dataclass(frozen=True)
class PlacedVehicle:
    """A vehicle's frame in the site frame, and its bodies."""

    vehicle_id: str
    origin_m: Vector
    axes: Axes
    heading_deg: float
    bodies: tuple[PlacedBody, ...]
    low_bodies: tuple[PlacedBody, ...]  # those that a driver can run into, of which the faces are made

    def to_site(self, point: Vector) -> Vector:
        """A point given in the vehicle frame, in the site frame [m]."""
        turned = rotate(self.axes, point)
        return (self.origin_m[0] + turned[0], self.origin_m[1] + turned[1], self.origin_m[2] + turned[2])

    def reach_m(self) -> tuple[float, float]:
        """Lowest and highest position along the site that a low body of the vehicle reaches [m]."""
        along = self._low_corners_m()[:, 0]
        return float(along.min()), float(along.max())

    def face_centre_m(self, rear: bool) -> Vector:
        """Centre of the rear or front face of the box around the low bodies, site frame [m]."""
        corners = self._low_corners_m()
        low, high = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
        return (low[0] if rear else high[0], 0.5 * (low[1] + high[1]), 0.5 * (low[2] + high[2]))

    def rear_face_m(self) -> float:
        """Rear face of the low bodies, forward of the origin in plan along the vehicle's heading [m]."""
        return float(self.plan_m(self._low_corners_m())[:, 0].min())

    def plan_m(self, points_m: Array) -> Array:
        """Distances forward and left of the origin in plan, (n, 2), of points (n, 3) of the site frame [m]."""
        h = radians(self.heading_deg)
        away = points_m[:, :2] - np.array(self.origin_m[:2])
        return np.asarray(away @ np.array([(cos(h), -sin(h)), (sin(h), cos(h))]))

    def _low_corners_m(self) -> Array:
        return np.concatenate([body.corners_m() for body in self.low_bodies] or [np.array([self.origin_m])])


def place_vehicle(vehicle: Vehicle, ground: Ground) -> PlacedVehicle:
    """Puts a vehicle on the ground: heading in plan, standing on the pavement, then its own pitch, roll and height."""
    along, left = vehicle.position_m
    axes = ground.lay(vehicle.heading_deg, vehicle.pitch_deg, vehicle.roll_deg)
    lift = tuple(vehicle.ride_height_m * component for component in ground.normal)
    origin = (along + lift[0], left + lift[1], ground.height_m(along, left) + lift[2])
    bodies = tuple(_place_body(vehicle.id, body, origin, axes) for body in vehicle.bodies)
    low = tuple(body for body in bodies if _clearance_m(body, ground) < HEADROOM_M)
    return PlacedVehicle(vehicle.id, origin, axes, vehicle.heading_deg, bodies, low or bodies)


def _clearance_m(body: PlacedBody, ground: Ground) -> float:
    """Least height of a body's corners above the ground below them [m]."""
    corners = body.corners_m()
    return float((corners[:, 2] - ground.heights_m(corners[:, 0], corners[:, 1])).min())


def _place_body(vehicle_id: str, body: Body, origin: Vector, axes: Axes) -> PlacedBody:
    spans = (body.forward_m, body.left_m, body.up_m)
    middle = tuple(0.5 * (low + high) for low, high in spans)
    half = tuple(0.5 * (high - low) for low, high in spans)
    turned = rotate(axes, middle)  # type: ignore[arg-type]
    centre = (origin[0] + turned[0], origin[1] + turned[1], origin[2] + turned[2])
    turned_axes = compose(axes, attitude_axes(body.turn_deg))
    return PlacedBody(vehicle_id, body.id, centre, half, turned_axes, body_reflectance(body.reflectance))  # type: ignore[arg-type]
