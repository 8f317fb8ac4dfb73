"""Frames and rotations in plain Python: vehicle and lamp axes (forward, left, up), right-handed.

No arrays here: a scene has few lamps and bodies, and reading a document must not wait for numpy.
"""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, radians, sin, sqrt

__all__ = [
    "IDENTITY",
    "Axes",
    "Vector",
    "aim_axes",
    "attitude_axes",
    "compose",
    "cross",
    "dot",
    "heading_tilt",
    "rotate",
    "unit",
    "unrotate",
]

Vector = tuple[float, float, float]
Axes = tuple[Vector, Vector, Vector]
"""Forward, left and up axes of a frame, as unit vectors of the frame around it."""

IDENTITY: Axes = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vector) -> Vector:
    """The vector at length one."""
    length = sqrt(dot(a, a))
    return (a[0] / length, a[1] / length, a[2] / length)


def rotate(axes: Axes, v: Vector) -> Vector:
    """Components of v, given in the inner frame, in the frame around it."""
    return (
        v[0] * axes[0][0] + v[1] * axes[1][0] + v[2] * axes[2][0],
        v[0] * axes[0][1] + v[1] * axes[1][1] + v[2] * axes[2][1],
        v[0] * axes[0][2] + v[1] * axes[1][2] + v[2] * axes[2][2],
    )


def unrotate(axes: Axes, v: Vector) -> Vector:
    """Components of v, given in the outer frame, in the inner frame."""
    return (dot(axes[0], v), dot(axes[1], v), dot(axes[2], v))


def compose(outer: Axes, inner: Axes) -> Axes:
    """Axes of the inner frame seen from outside the outer one."""
    return (rotate(outer, inner[0]), rotate(outer, inner[1]), rotate(outer, inner[2]))


def aim_axes(heading_deg: float, tilt_deg: float, roll_deg: float = 0.0) -> Axes:
    """Axes of a lamp aimed on a vehicle: beam (forward), left and up of the lamp.

    Parameters
    ----------
    heading_deg : 0 forward, 90 left, 180 rear, counter-clockwise from above [deg].
    tilt_deg : negative = down [deg].
    roll_deg : clockwise when looking along the beam [deg].

    Example
    -------
    >>> [[round(x, 3) + 0.0 for x in axis] for axis in aim_axes(180, -90)]
    [[0.0, 0.0, -1.0], [0.0, -1.0, 0.0], [-1.0, 0.0, 0.0]]
    """
    h, t, r = radians(heading_deg), radians(tilt_deg), radians(roll_deg)
    beam = (cos(t) * cos(h), cos(t) * sin(h), sin(t))
    left = (-sin(h), cos(h), 0.0)
    up = cross(beam, left)
    # Clockwise seen along the beam: the top goes towards the right, which is minus left.
    rolled_up = tuple(cos(r) * u - sin(r) * w for u, w in zip(up, left, strict=True))
    rolled_left = tuple(cos(r) * w + sin(r) * u for u, w in zip(up, left, strict=True))
    return (beam, rolled_left, rolled_up)  # type: ignore[return-value]


def attitude_axes(heading_deg: float, pitch_deg: float = 0.0, roll_deg: float = 0.0) -> Axes:
    """Axes of a vehicle on the site, turned by heading, then pitch, then roll.

    Parameters
    ----------
    heading_deg : counter-clockwise from above [deg].
    pitch_deg : positive = nose down (rotation about the left axis, ISO 8855) [deg].
    roll_deg : positive = right side down (rotation about the forward axis, ISO 8855) [deg].

    Example
    -------
    >>> [[round(x, 3) + 0.0 for x in axis] for axis in attitude_axes(90)]
    [[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]
    """
    h, p, r = radians(heading_deg), radians(pitch_deg), radians(roll_deg)
    yaw: Axes = ((cos(h), sin(h), 0.0), (-sin(h), cos(h), 0.0), (0.0, 0.0, 1.0))
    pitch: Axes = ((cos(p), 0.0, -sin(p)), (0.0, 1.0, 0.0), (sin(p), 0.0, cos(p)))
    roll: Axes = ((1.0, 0.0, 0.0), (0.0, cos(r), sin(r)), (0.0, -sin(r), cos(r)))
    return compose(compose(yaw, pitch), roll)


def heading_tilt(direction: Vector) -> tuple[float, float]:
    """Heading and tilt of a direction [deg], the inverse of `aim_axes` for the beam."""
    forward, left, up = direction
    return degrees(atan2(left, forward)) % 360.0, degrees(atan2(up, hypot(forward, left)))
