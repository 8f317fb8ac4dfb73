"""What need not be computed for a tile and a lamp. Each answer is on the safe side, so results do not change by a bit.

Tiles are boxes square to the site: centre c and half sizes h, both in double precision.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import merged, stage
from scenelux.engine.kernels import SKIN_M

__all__ = [
    "LENGTH",
    "MISSED",
    "PLACE",
    "SHADED",
    "SIZE",
    "SKIN",
    "THIN",
    "TOUCHED",
    "backwards",
    "leave_out",
    "meeting",
    "noise_m",
    "outside_cone",
    "place_boxes",
]

Floats = NDArray[np.float64]

NOISE = 1e-6
"""Single precision keeps places to better than a third of this, in parts of the distances that take part."""

MISSED, TOUCHED, SHADED, THIN = 0, 1, 2, 3
"""How a box stands to the shaft from a lamp to a tile: beside it, perhaps in it, across all of it; too thin to tell."""


PLACE, SIZE, LENGTH, SKIN = 0, 3, 6, 7
"""A box as seen from a tile: the tile's centre and half sizes in the box's axes, a length for the noise, the skin."""


@merged
def backwards(low: Floats, high: Floats, lowest: float, x: float, y: float, z: float, noise: float) -> bool:
    """Whether all flat receivers of a tile look away from a lamp; x, y, z is the centre seen from the lamp."""
    most = max(-low[0] * x, -high[0] * x) + max(-low[1] * y, -high[1] * y) + max(-low[2] * z, -high[2] * z)
    return bool(most - lowest < -noise)


@merged
def noise_m(half: Floats, x: float, y: float, z: float) -> float:
    """Noise [m] of single precision over a length that no distance from the lamp to a point of the tile exceeds."""
    return float(4.0 * NOISE * (abs(x) + abs(y) + abs(z) + half[0] + half[1] + half[2]))


@merged
def outside_cone(
    half: Floats, x: float, y: float, z: float, axis: Floats, cosine: float, sine: float, noise: float
) -> bool:
    """Whether a tile lies wholly outside the cone about the axis a of a lamp, an angle within which all its light is.

    Up to a right angle the plane that touches the cone on the tile's side must part them. Of a wider cone the
    dark rest is convex, so that all eight corners in it are enough.
    """
    hx, hy, hz, ax, ay, az = half[0], half[1], half[2], axis[0], axis[1], axis[2]
    ahead = ax * x + ay * y + az * z
    if cosine >= 0.0:
        rx, ry, rz = x - ahead * ax, y - ahead * ay, z - ahead * az
        radius = sqrt(rx * rx + ry * ry + rz * rz)
        scale = cosine / radius if radius > 0.0 else 0.0
        nx, ny, nz = scale * rx - sine * ax, scale * ry - sine * ay, scale * rz - sine * az
        return bool(nx * x + ny * y + nz * z - abs(nx) * hx - abs(ny) * hy - abs(nz) * hz > noise)
    for corner in range(8):
        px = x + (hx if corner & 1 else -hx)
        py = y + (hy if corner & 2 else -hy)
        pz = z + (hz if corner & 4 else -hz)
        if ax * px + ay * py + az * pz > cosine * sqrt(px * px + py * py + pz * pz) - noise:
            return False
    return True


@stage
def leave_out(tile: Floats, lamp: Floats, low: Floats, high: Floats, kinds: NDArray[np.int64]) -> None:
    """The cheap question that settles most boxes: those beside the level box around lamp and tile are missed.

    low, high (3, boxes) are the ends of the level boxes around the boxes, tile its centre and half sizes.
    """
    x0, x1 = min(lamp[0], tile[0] - tile[3]), max(lamp[0], tile[0] + tile[3])
    y0, y1 = min(lamp[1], tile[1] - tile[4]), max(lamp[1], tile[1] + tile[4])
    z0, z1 = min(lamp[2], tile[2] - tile[5]), max(lamp[2], tile[2] + tile[5])
    for box in range(len(kinds)):
        apart_x = (high[0, box] < x0) | (low[0, box] > x1)
        apart_y = (high[1, box] < y0) | (low[1, box] > y1)
        apart_z = (high[2, box] < z0) | (low[2, box] > z1)
        kinds[box] = MISSED if apart_x | apart_y | apart_z else TOUCHED


@merged
def place_boxes(bounds: Floats, centre: Floats, half: Floats, axes: Floats, seen: Floats) -> None:
    """Turn a tile into the axes of every box."""
    for box in range(len(centre)):
        seen[box, LENGTH] = 0.0
        for axis in range(3):
            place, size = 0.0, 0.0
            for part in range(3):
                along = axes[box, axis, part]
                place += along * (bounds[part] - centre[box, part])
                size += abs(along) * bounds[3 + part]
            seen[box, PLACE + axis], seen[box, SIZE + axis] = place, size
            seen[box, LENGTH] += abs(place) + 2.0 * size + half[box, axis]


@merged
def meeting(tile: Floats, half: Floats, axes: Floats, seen: Floats, origin: Floats) -> int:
    """How a box stands to the shaft from a lamp (in the box's axes) to a tile of half sizes; its skin is noted."""
    skin = SKIN_M + NOISE * (2.0 * (abs(origin[0]) + abs(origin[1]) + abs(origin[2])) + seen[LENGTH])
    seen[SKIN] = skin
    if min(half[0], half[1], half[2]) < 4.0 * skin:
        return THIN
    for axis in range(3):
        low, high = seen[PLACE + axis] - seen[SIZE + axis], seen[PLACE + axis] + seen[SIZE + axis]
        if beside(half[axis] - 0.5 * skin, origin[axis], low, high):
            return MISSED
    enter, leave = 0.0, 1.0
    for axis in range(3):
        away, size = seen[PLACE + axis] - origin[axis], seen[SIZE + axis]
        enter, leave = within(half[axis] + skin, origin[axis], away - size, away + size, enter, leave)
    if enter >= leave:
        return MISSED
    return SHADED if shaded(tile, half, axes, seen, origin, 3.0 * skin) else TOUCHED


@merged
def beside(face: float, origin: float, low: float, high: float) -> bool:
    """Whether lamp and tile lie on the outer side of one face. On the face counts: a lamp is not hidden by touching."""
    return bool(min(origin, low) >= face or max(origin, high) <= -face)


@merged
def within(face: float, origin: float, low: float, high: float, enter: float, leave: float) -> tuple[float, float]:
    """The part of the way on which the shaft may lie between two faces; both its sides move in straight lines."""
    if low > 0.0:
        leave = min(leave, (face - origin) / low)
    elif low < 0.0:
        enter = max(enter, (face - origin) / low)
    elif origin >= face:
        return 1.0, 0.0
    if high < 0.0:
        leave = min(leave, (-face - origin) / high)
    elif high > 0.0:
        enter = max(enter, (-face - origin) / high)
    elif origin <= -face:
        return 1.0, 0.0
    return enter, leave


@merged
def shaded(tile: Floats, half: Floats, axes: Floats, seen: Floats, origin: Floats, skin: float) -> bool:
    """Whether one box hides a whole tile: the shadow of a convex body is convex, so its corners are enough."""
    if not crossed(half, axes, seen, origin, skin, 0.0, 0.0, 0.0):
        return False
    for corner in range(8):
        x = tile[0] if corner & 1 else -tile[0]
        y = tile[1] if corner & 2 else -tile[1]
        z = tile[2] if corner & 4 else -tile[2]
        if not crossed(half, axes, seen, origin, skin, x, y, z):
            return False
    return True


@merged
def crossed(
    half: Floats, axes: Floats, seen: Floats, origin: Floats, skin: float, x: float, y: float, z: float
) -> bool:
    """Whether the way from a lamp to a place (x, y, z) from the tile's centre meets a box without its skin."""
    enter, leave = 0.0, 1.0
    for axis in range(3):
        place = seen[PLACE + axis] + axes[axis, 0] * x + axes[axis, 1] * y + axes[axis, 2] * z
        enter, leave = pair(origin[axis], place - origin[axis], half[axis] - skin, enter, leave)
    return enter < leave


@merged
def pair(origin: float, step: float, half: float, enter: float, leave: float) -> tuple[float, float]:
    """The part of enter..leave on which a way lies between two faces."""
    if step == 0.0:
        return (enter, leave) if abs(origin) < half else (1.0, 0.0)
    one, two = (-half - origin) / step, (half - origin) / step
    return max(enter, min(one, two)), min(leave, max(one, two))
