"""The stupid functions under the engine: scalars in, scalars out, SI units and degrees, nothing optional.

Each lamp arrives as one row of every array of `LampArrays`, each box as one row of its arrays in `BoxArrays`.
"""

from __future__ import annotations

from math import atan2, degrees, pi, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.arrays import Blockers, Lamps
from scenelux.engine.bvh import MeshArrays, no_mesh
from scenelux.engine.cache import inner
from scenelux.engine.rays import mesh_blocks

__all__ = [
    "BoxArrays",
    "LampArrays",
    "blocked",
    "box_arrays",
    "candela",
    "chord",
    "inside",
    "intensity",
    "lamp_arrays",
    "receiver_factor",
]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

TOLERANCE_DEG = 1e-6
"""How far beyond the end angles of a table a direction still belongs to it."""

SKIN_M = 1e-6
"""Outer layer of a box that lets light pass, so that lamps and points on a face are not hidden by touching it."""


class LampArrays(NamedTuple):
    """The arrays of `Lamps`, in the form in which kernels take them."""

    position: Floats
    axes: Floats
    table: Integers
    azimuth: Floats
    azimuth_start: Integers
    polar: Floats
    polar_start: Integers
    candela: Floats
    candela_start: Integers
    opening: Floats
    opening_axes: Floats
    opening_round: NDArray[np.bool_]
    grain: Floats


class BoxArrays(NamedTuple):
    """The arrays of `Blockers`, in the form in which kernels take them."""

    centre: Floats
    half: Floats
    axes: Floats
    mesh: MeshArrays


def lamp_arrays(lamps: Lamps) -> LampArrays:
    """The lamps as the kernels take them."""
    tables = lamps.tables
    return LampArrays(
        lamps.position_m, lamps.axes, lamps.table, tables.azimuth_deg, tables.azimuth_start, tables.polar_deg,
        tables.polar_start, tables.candela, tables.candela_start, lamps.opening_m, lamps.opening_axes,
        lamps.opening_round, tables.grain_rad,
    )  # fmt: skip


def box_arrays(blockers: Blockers) -> BoxArrays:
    """The boxes and the mesh as the kernels take them."""
    mesh = no_mesh() if blockers.mesh is None else blockers.mesh.arrays
    return BoxArrays(blockers.centre_m, blockers.half_m, blockers.axes, mesh)


@inner
def cell(angles: Floats, start: int, stop: int, angle: float) -> int:
    """Index of the last of the ascending angles[start:stop] that is not above the angle, the end one left out."""
    low, high = start, stop - 1
    while high - low > 1:
        middle = (low + high) >> 1
        if angles[middle] <= angle:
            low = middle
        else:
            high = middle
    return low


@inner
def wrapped(first: float, last: float, azimuth: float, polar: float) -> float:
    """The azimuth moved by a turn where that brings it into first..last; at a pole any azimuth of the table will do."""
    if first - TOLERANCE_DEG <= azimuth <= last + TOLERANCE_DEG:
        return azimuth
    if polar < TOLERANCE_DEG or polar > 180.0 - TOLERANCE_DEG:
        return 0.5 * (first + last)
    if azimuth > last:
        return azimuth - 360.0
    return azimuth + 360.0


@inner
def candela(lamps: LampArrays, table: int, azimuth: float, polar: float) -> float:
    """Intensity [cd] of a table at an azimuth (0..360) and polar angle [deg]: bilinear, dark outside the table."""
    a0, a1 = lamps.azimuth_start[table], lamps.azimuth_start[table + 1]
    p0, p1 = lamps.polar_start[table], lamps.polar_start[table + 1]
    first, last = lamps.azimuth[a0], lamps.azimuth[a1 - 1]
    low, high = lamps.polar[p0], lamps.polar[p1 - 1]
    if polar < low - TOLERANCE_DEG or polar > high + TOLERANCE_DEG:
        return 0.0
    azimuth = wrapped(first, last, azimuth, polar)
    if azimuth < first - TOLERANCE_DEG or azimuth > last + TOLERANCE_DEG:
        return 0.0
    azimuth, polar = min(max(azimuth, first), last), min(max(polar, low), high)
    i, j = cell(lamps.azimuth, a0, a1, azimuth), cell(lamps.polar, p0, p1, polar)
    u = (azimuth - lamps.azimuth[i]) / (lamps.azimuth[i + 1] - lamps.azimuth[i])
    v = (polar - lamps.polar[j]) / (lamps.polar[j + 1] - lamps.polar[j])
    width = p1 - p0
    at = lamps.candela_start[table] + (i - a0) * width + (j - p0)
    near = (1.0 - v) * lamps.candela[at] + v * lamps.candela[at + 1]
    far = (1.0 - v) * lamps.candela[at + width] + v * lamps.candela[at + width + 1]
    return float((1.0 - u) * near + u * far)


@inner
def intensity(lamps: LampArrays, lamp: int, dx: float, dy: float, dz: float) -> float:
    """Intensity [cd] of a lamp in a direction of the site, of any length."""
    axes = lamps.axes
    x = axes[lamp, 0, 0] * dx + axes[lamp, 0, 1] * dy + axes[lamp, 0, 2] * dz
    y = axes[lamp, 1, 0] * dx + axes[lamp, 1, 1] * dy + axes[lamp, 1, 2] * dz
    z = axes[lamp, 2, 0] * dx + axes[lamp, 2, 1] * dy + axes[lamp, 2, 2] * dz
    azimuth = degrees(atan2(y, x))
    if azimuth < 0.0:
        azimuth += 360.0
    return candela(lamps, lamps.table[lamp], azimuth, degrees(atan2(sqrt(x * x + y * y), z)))


@inner
def receiver_factor(plane: int, facing: float, rising: float) -> float:
    """What one receiver makes of one lux arriving on the plane square to the light.

    facing and rising are the cosines between the direction to the source and the receiver's normal and up axis:
    max(0, cos eps); sin eps / pi; sin eps (1 + cos alpha) / pi; (1 + cos eps) / 4.
    """
    if plane == 0:
        return max(0.0, facing)
    if plane == 3:
        return 0.25 * (1.0 + facing)
    sine = sqrt(max(0.0, 1.0 - rising * rising))
    if plane == 1:
        return sine / pi
    return (sine + facing) / pi


@inner
def slab(origin: float, step: float, half: float, enter: float, leave: float) -> tuple[float, float]:
    """The part of enter..leave for which origin + t * step lies within -half..half; empty when enter >= leave."""
    if step == 0.0:
        return (enter, leave) if abs(origin) < half else (1.0, 0.0)
    one, two = (-half - origin) / step, (half - origin) / step
    return max(enter, min(one, two)), min(leave, max(one, two))


@inner
def along(boxes: BoxArrays, box: int, axis: int, x: float, y: float, z: float) -> float:
    """Component of a site vector along one edge direction of a box."""
    return float(boxes.axes[box, axis, 0] * x + boxes.axes[box, axis, 1] * y + boxes.axes[box, axis, 2] * z)


@inner
def misses_ball(boxes: BoxArrays, box: int, cx: float, cy: float, cz: float, dx: float, dy: float, dz: float) -> bool:
    """Whether the endless line misses the ball around a box: the cheap question that settles most of them."""
    half = boxes.half
    radius = half[box, 0] * half[box, 0] + half[box, 1] * half[box, 1] + half[box, 2] * half[box, 2]
    length, ahead = dx * dx + dy * dy + dz * dz, cx * dx + cy * dy + cz * dz
    return bool((cx * cx + cy * cy + cz * cz - radius) * length > ahead * ahead)


@inner
def chord(boxes: BoxArrays, box: int, x: float, y: float, z: float, dx: float, dy: float, dz: float) -> bool:
    """Whether the straight line from (x, y, z) to (x + dx, y + dy, z + dz) passes through the inside of a box."""
    cx, cy, cz = x - boxes.centre[box, 0], y - boxes.centre[box, 1], z - boxes.centre[box, 2]
    if misses_ball(boxes, box, cx, cy, cz, dx, dy, dz):
        return False
    enter, leave = 0.0, 1.0
    for axis in range(3):
        origin, step = along(boxes, box, axis, cx, cy, cz), along(boxes, box, axis, dx, dy, dz)
        enter, leave = slab(origin, step, boxes.half[box, axis] - SKIN_M, enter, leave)
        if enter >= leave:
            return False
    return True


@inner
def inside(boxes: BoxArrays, box: int, x: float, y: float, z: float) -> bool:
    """Whether a point lies in the inside of a box."""
    cx, cy, cz = x - boxes.centre[box, 0], y - boxes.centre[box, 1], z - boxes.centre[box, 2]
    for axis in range(3):
        outside = abs(along(boxes, box, axis, cx, cy, cz)) >= boxes.half[box, axis] - SKIN_M
        if outside:
            return False
    return True


@inner
def blocked(
    boxes: BoxArrays, x: float, y: float, z: float, ox: float, oy: float, oz: float, px: float, py: float, pz: float
) -> bool:
    """Whether any body stands between the spot (x + ox, y + oy, z + oz) of a lamp centred at (x, y, z) and a point.

    A spot of the opening that dips into a body, as it does where a lamp is tilted on a face, looks from the centre.
    """
    sx, sy, sz = x + ox, y + oy, z + oz
    for box in range(len(boxes.centre)):
        if chord(boxes, box, sx, sy, sz, px - sx, py - sy, pz - sz) and (
            not inside(boxes, box, sx, sy, sz) or chord(boxes, box, x, y, z, px - x, py - y, pz - z)
        ):
            return True
    if len(boxes.mesh.children) == 0 or not mesh_blocks(boxes.mesh, sx, sy, sz, px, py, pz):
        return False
    return not mesh_blocks(boxes.mesh, x, y, z, sx, sy, sz) or mesh_blocks(boxes.mesh, x, y, z, px, py, pz)
