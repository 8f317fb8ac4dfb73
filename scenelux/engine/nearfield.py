"""The light of one lamp at one point, from one spot when far away and from many spots of its opening when near.

A spot sends the lamp's intensity, times its share of the opening, in the direction from the spot to the point. The
opening is flat, a rectangle or an ellipse. It is halved again and again until every panel is small for its distance;
each panel then has four spots at the nodes of the two-point Gauss rule.
"""

from __future__ import annotations

from math import cos, hypot, nan, pi, sin, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import inner
from scenelux.engine.kernels import BoxArrays, LampArrays, blocked, intensity, receiver_factor

__all__ = ["NEAREST", "Receiver", "lamp_lux", "panel_stack"]

Floats = NDArray[np.float64]

NEAREST = 40.0
"""Nearer than the larger side of the opening divided by this, there is no answer (nan)."""

FAR, FAR_GRAIN = 0.07, 0.35
"""One spot is enough when diagonal / distance is below FAR and below FAR_GRAIN times the grain of the table."""

FINE, FINE_GRAIN = 0.3, 1.2
"""Longest panel side / distance, absolute and in grains of the table: the error of the four spots stays below 1 %."""

CUT = 0.07
"""Panels that a flat receiver's own plane cuts are made this much finer: light stops at that plane."""

FLAT = 0  # Plane.PLANE, as the kernels take it
GAUSS = 1.0 / sqrt(3.0)
QUARTER_TURN = 0.5 * pi


class Receiver(NamedTuple):
    """A point with its normal (facing for semi-cylindrical), the up axis, and the kind of receiver."""

    x: float
    y: float
    z: float
    nx: float
    ny: float
    nz: float
    ux: float
    uy: float
    uz: float
    plane: int


def panel_stack() -> Floats:
    """Room for the panels that wait while others are halved; more than any opening needs down to the limit."""
    return np.empty((64, 4))


@inner
def spot_lux(lamps: LampArrays, boxes: BoxArrays, lamp: int, ox: float, oy: float, oz: float, at: Receiver) -> float:
    """Illuminance [lx] at the receiver if the whole lamp shone from its centre moved by (ox, oy, oz): I f / d^2."""
    x, y, z = lamps.position[lamp, 0], lamps.position[lamp, 1], lamps.position[lamp, 2]
    dx, dy, dz = x + ox - at.x, y + oy - at.y, z + oz - at.z
    square = dx * dx + dy * dy + dz * dz
    distance = sqrt(square)
    facing = (at.nx * dx + at.ny * dy + at.nz * dz) / distance
    rising = (at.ux * dx + at.uy * dy + at.uz * dz) / distance
    lux = receiver_factor(at.plane, facing, rising) / square
    if lux <= 0.0:
        return 0.0
    lux *= intensity(lamps, lamp, -dx, -dy, -dz)
    if lux <= 0.0 or blocked(boxes, x, y, z, ox, oy, oz, at.x, at.y, at.z):
        return 0.0
    return float(lux)


@inner
def place(is_round: bool, length: float, width: float, a: float, b: float) -> tuple[float, float, float]:
    """Where (a, b) lies on the opening [m, m], and its density: a, b from -1/2 to 1/2, or radius 0..1 and angle."""
    if is_round:
        return 0.5 * length * a * cos(b), 0.5 * width * a * sin(b), a / pi
    return length * a, width * b, 1.0


@inner
def sides(is_round: bool, length: float, width: float, panel: Floats) -> tuple[float, float]:
    """Lengths [m] of a panel along its two parameters."""
    a, b = panel[1] - panel[0], panel[3] - panel[2]
    if not is_round:
        return length * a, width * b
    radius, around = 0.0, 0.0
    for angle in (panel[2], panel[3]):
        radius = max(radius, 0.5 * hypot(length * cos(angle), width * sin(angle)))
        around = max(around, 0.5 * hypot(length * sin(angle), width * cos(angle)))
    return a * radius, b * panel[1] * around


@inner
def whole(is_round: bool, stack: Floats) -> int:
    """Put the undivided opening on the stack, one rectangle or four quarters of an ellipse; how many panels it is."""
    if not is_round:
        stack[0, 0], stack[0, 1], stack[0, 2], stack[0, 3] = -0.5, 0.5, -0.5, 0.5
        return 1
    for quarter in range(4):
        stack[quarter, 0], stack[quarter, 1] = 0.0, 1.0
        stack[quarter, 2], stack[quarter, 3] = quarter * QUARTER_TURN, (quarter + 1) * QUARTER_TURN
    return 4


@inner
def halve(stack: Floats, top: int, first: int) -> None:
    """Replace panel `top` by its two halves along the parameter whose limits are at `first` and `first + 1`."""
    for column in range(4):
        stack[top + 1, column] = stack[top, column]
    middle = 0.5 * (stack[top, first] + stack[top, first + 1])
    stack[top, first + 1] = middle
    stack[top + 1, first] = middle


@inner
def panel_lux(lamps: LampArrays, boxes: BoxArrays, lamp: int, panel: Floats, at: Receiver) -> float:
    """Illuminance [lx] from one panel: four spots."""
    length, width, is_round = lamps.opening[lamp, 0], lamps.opening[lamp, 1], lamps.opening_round[lamp]
    axes = lamps.opening_axes
    half_a, half_b = 0.5 * (panel[1] - panel[0]), 0.5 * (panel[3] - panel[2])
    total = 0.0
    for spot in range(4):
        a = 0.5 * (panel[0] + panel[1]) + (GAUSS if spot & 1 else -GAUSS) * half_a
        b = 0.5 * (panel[2] + panel[3]) + (GAUSS if spot & 2 else -GAUSS) * half_b
        x, y, density = place(is_round, length, width, a, b)
        ox = x * axes[lamp, 0, 0] + y * axes[lamp, 1, 0]
        oy = x * axes[lamp, 0, 1] + y * axes[lamp, 1, 1]
        oz = x * axes[lamp, 0, 2] + y * axes[lamp, 1, 2]
        total += density * half_a * half_b * spot_lux(lamps, boxes, lamp, ox, oy, oz, at)
    return total


@inner
def nearest_m(is_round: bool, length: float, width: float, x: float, y: float, z: float) -> float:
    """Distance [m] from the opening to (x, y, z) in its own axes; for an ellipse measured towards its centre."""
    if is_round:
        ratio = hypot(x / (0.5 * length), y / (0.5 * width))
        beyond = hypot(x, y) * (1.0 - 1.0 / ratio) if ratio > 1.0 else 0.0
        return hypot(beyond, z)
    return hypot(hypot(max(0.0, abs(x) - 0.5 * length), max(0.0, abs(y) - 0.5 * width)), z)


@inner
def is_cut(lamps: LampArrays, lamp: int, at: Receiver, a: float, b: float, c: float, half: float) -> bool:
    """Whether a flat receiver's plane may pass through a panel, centred (a, b, c) from it in the opening's axes."""
    if at.plane != FLAT:
        return False
    axes = lamps.opening_axes
    n_a = axes[lamp, 0, 0] * at.nx + axes[lamp, 0, 1] * at.ny + axes[lamp, 0, 2] * at.nz
    n_b = axes[lamp, 1, 0] * at.nx + axes[lamp, 1, 1] * at.ny + axes[lamp, 1, 2] * at.nz
    n_c = axes[lamp, 2, 0] * at.nx + axes[lamp, 2, 1] * at.ny + axes[lamp, 2, 2] * at.nz
    return bool(abs(n_a * a + n_b * b + n_c * c) < hypot(n_a, n_b) * half)


@inner
def opening_lux(
    lamps: LampArrays, boxes: BoxArrays, lamp: int, x: float, y: float, z: float, at: Receiver, stack: Floats
) -> float:
    """Illuminance [lx] from the whole opening at a receiver that lies at (x, y, z) in the opening's axes."""
    length, width, is_round = lamps.opening[lamp, 0], lamps.opening[lamp, 1], lamps.opening_round[lamp]
    fine = min(FINE, FINE_GRAIN * lamps.grain[lamps.table[lamp]])
    total = 0.0
    count = whole(is_round, stack)
    while count > 0:
        panel = stack[count - 1]
        side_a, side_b = sides(is_round, length, width, panel)
        cx, cy, _ = place(is_round, length, width, 0.5 * (panel[0] + panel[1]), 0.5 * (panel[2] + panel[3]))
        reach = fine * sqrt((x - cx) ** 2 + (y - cy) ** 2 + z * z)
        if is_cut(lamps, lamp, at, cx - x, cy - y, -z, 0.5 * (side_a + side_b)):
            reach *= CUT
        if max(side_a, side_b) > reach and count < len(stack):
            halve(stack, count - 1, 0 if side_a >= side_b else 2)
            count += 1
        else:
            total += panel_lux(lamps, boxes, lamp, panel, at)
            count -= 1
    return total


@inner
def lamp_lux(lamps: LampArrays, boxes: BoxArrays, lamp: int, at: Receiver, stack: Floats) -> float:
    """Illuminance [lx] from one lamp at full output; nan nearer than a fortieth of its opening, or at a point lamp."""
    dx, dy, dz = at.x - lamps.position[lamp, 0], at.y - lamps.position[lamp, 1], at.z - lamps.position[lamp, 2]
    length, width = lamps.opening[lamp, 0], lamps.opening[lamp, 1]
    distance = sqrt(dx * dx + dy * dy + dz * dz)
    if distance == 0.0:
        return nan
    if sqrt(length * length + width * width) <= distance * min(FAR, FAR_GRAIN * lamps.grain[lamps.table[lamp]]):
        return spot_lux(lamps, boxes, lamp, 0.0, 0.0, 0.0, at)
    axes = lamps.opening_axes
    x = axes[lamp, 0, 0] * dx + axes[lamp, 0, 1] * dy + axes[lamp, 0, 2] * dz
    y = axes[lamp, 1, 0] * dx + axes[lamp, 1, 1] * dy + axes[lamp, 1, 2] * dz
    z = axes[lamp, 2, 0] * dx + axes[lamp, 2, 1] * dy + axes[lamp, 2, 2] * dz
    if nearest_m(lamps.opening_round[lamp], length, width, x, y, z) < max(length, width) / NEAREST:
        return nan
    return opening_lux(lamps, boxes, lamp, x, y, z, at, stack)
