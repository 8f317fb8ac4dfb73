"""Where vehicles and their boxes stand on the site, without arrays: enough to check a document."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from scenelux.geometry import Axes, Vector, attitude_axes, compose, cross, dot, rotate, unit, unrotate
from scenelux.scene.site import Site
from scenelux.scene.vehicle import Body, Vehicle

__all__ = ["Pose", "depth_inside_m", "pose_of"]


@dataclass(frozen=True)
class Pose:
    """Origin and axes of a vehicle in the site frame."""

    origin_m: Vector
    axes: Axes

    def to_site(self, point: Vector) -> Vector:
        """A point of the vehicle frame in the site frame."""
        return _add(self.origin_m, rotate(self.axes, point))

    def to_vehicle(self, point: Vector) -> Vector:
        """A point of the site frame in the vehicle frame."""
        return unrotate(self.axes, _subtract(point, self.origin_m))


def pose_of(site: Site, vehicle: Vehicle) -> Pose:
    """A vehicle standing on the ground: its heading in plan, then its own pitch, roll and ride height.

    Example
    -------
    >>> truck = Vehicle.model_validate({"id": "truck", "position": [10.0, 2.0]})
    >>> pose_of(Site.model_validate({"grade": 0.05}), truck).origin_m
    (10.0, 2.0, 0.5)
    """
    along, left = vehicle.position_m
    normal = unit((-site.grade, -site.crossfall, 1.0))
    h = radians(vehicle.heading_deg)
    forward = unit((cos(h), sin(h), site.grade * cos(h) + site.crossfall * sin(h)))
    standing: Axes = (forward, cross(normal, forward), normal)
    axes = compose(standing, attitude_axes(0.0, vehicle.pitch_deg, vehicle.roll_deg))
    ground: Vector = (along, left, site.grade * along + site.crossfall * left)
    lift = vehicle.ride_height_m
    return Pose(_add(ground, (lift * normal[0], lift * normal[1], lift * normal[2])), axes)


def depth_inside_m(body: Body, point: Vector) -> float:
    """How deep a point of the vehicle frame lies inside a body; negative outside [m].

    Example
    -------
    >>> box = Body.model_validate({"id": "box", "forward": [0, 4], "left": [-1, 1], "up": [0, 2]})
    >>> depth_inside_m(box, (3.5, 0.0, 1.0)), depth_inside_m(box, (5.0, 0.0, 1.0))
    (0.5, -1.0)
    """
    spans = (body.forward_m, body.left_m, body.up_m)
    centre: Vector = tuple(0.5 * (low + high) for low, high in spans)  # type: ignore[assignment]
    away = _subtract(point, centre)
    axes = attitude_axes(body.turn_deg)
    return min(0.5 * (high - low) - abs(dot(axis, away)) for axis, (low, high) in zip(axes, spans, strict=True))


def _add(a: Vector, b: Vector) -> Vector:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _subtract(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])
