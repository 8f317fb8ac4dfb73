"""The stages: each one plain loop over the 256 points of a tile, without branches, in single precision.

A stage reads rows of the tile and of the scratch block and writes rows of the scratch block. `p` is a point from the
centre of its tile, `c` the centre seen from the lamp.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import part, stage
from scenelux.engine.fast.angles import FOUR, ONE, ZERO, eighth, larger, quarters, smaller
from scenelux.engine.fast.gather import EIGHT, eight_lights, element
from scenelux.engine.fast.tables import AZIMUTH_ENDS, LAST, MIDDLE, POLAR_ENDS, POLE, QUARTER, SCALE
from scenelux.engine.fast.tiles import SIZE

__all__ = ["SCRATCH_ROWS", "add", "cells", "ends", "geometry", "intervals", "light", "receive", "store"]

Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]
Floats = NDArray[np.float64]

SCRATCH_ROWS = 9
CUBE, FAR, POLAR, POLAR_REST, AZIMUTH, AZIMUTH_REST, FACTOR, LUX, TOTAL = (row * SIZE for row in range(SCRATCH_ROWS))
"""Where rows start: 1 / d^3, d, both angles as whole bins and rests, receiver factor, illuminance, and its sum."""

X, Y, Z, NX, NY, NZ, ALONG = (row * SIZE for row in range(7))

OVER_PI = np.float32(1.0 / np.pi)
FOURTH = np.float32(0.25)


@part
def bins(
    nearest: np.float32, sign: np.float32, angle: np.float32, scale: np.float32, quarter: np.float32, last: np.float32
) -> tuple[np.float32, np.float32]:
    """An angle of `nearest` right angles plus or minus `angle` in bins: a whole number from 0 to last, and the rest."""
    rest = sign * angle * scale
    base = nearest * quarter
    whole = smaller(larger(np.floor(rest) + base, ZERO), last)
    return whole, rest - (whole - base)


@stage
def geometry(tile: Singles, s: Singles, a: Singles, c: Singles, numbers: Singles) -> None:
    """Direction in the table's frame t = A p + c, distance, and the angles atan2(hypot(tx, ty), tz), atan2(ty, tx)."""
    a00, a01, a02, a10, a11, a12, a20, a21, a22 = a[0], a[1], a[2], a[3], a[4], a[5], a[6], a[7], a[8]
    cx, cy, cz = c[0], c[1], c[2]
    scale_p, scale_a, last_p, last_a = numbers[SCALE], numbers[SCALE + 1], numbers[LAST], numbers[LAST + 1]
    quarter_p, quarter_a = numbers[QUARTER], numbers[QUARTER + 1]
    for k in range(SIZE):
        x, y, z = tile[X + k], tile[Y + k], tile[Z + k]
        tx = a00 * x + (a01 * y + (a02 * z + cx))
        ty = a10 * x + (a11 * y + (a12 * z + cy))
        tz = a20 * x + (a21 * y + (a22 * z + cz))
        across = tx * tx + ty * ty
        square = across + tz * tz
        far = np.sqrt(square)
        s[CUBE + k] = ONE / (square * far)
        s[FAR + k] = far
        side, ahead, behind = np.sqrt(across), abs(tz), tz < ZERO
        nearest, sign = quarters(side, ahead, behind)
        s[POLAR + k], s[POLAR_REST + k] = bins(nearest, sign, eighth(side, ahead), scale_p, quarter_p, last_p)
        side, ahead, behind, below = abs(ty), abs(tx), tx < ZERO, ty < ZERO
        nearest, sign = quarters(side, ahead, behind)
        nearest, sign = (FOUR - nearest if below else nearest), (-sign if below else sign)
        s[AZIMUTH + k], s[AZIMUTH_REST + k] = bins(nearest, sign, eighth(side, ahead), scale_a, quarter_a, last_a)


@part
def drawn_in(whole: np.float32, rest: np.float32, e: Singles) -> tuple[np.float32, np.float32]:
    """A place a hair below the lower end angle becomes that angle, one a hair above the upper end just less than it."""
    tolerance, turn = e[6], e[7]
    below, above = (e[0] - whole) + (e[1] - rest), (whole - e[2]) + (rest - e[3])
    if (below > ZERO and below <= tolerance) or (below + turn > ZERO and below + turn <= tolerance):
        return e[0], e[1]
    if (above >= ZERO and above <= tolerance) or (above + turn >= ZERO and above + turn <= tolerance):
        return e[4], e[5]
    return whole, rest


@stage
def ends(s: Singles, numbers: Singles) -> None:
    """End angles belong to the table; at a pole, which has no azimuth, its middle azimuth stands for all."""
    polar, azimuth = numbers[POLAR_ENDS:AZIMUTH_ENDS], numbers[AZIMUTH_ENDS:POLE]
    tolerance, pole, middle, middle_rest = polar[6], numbers[POLE], numbers[MIDDLE], numbers[MIDDLE + 1]
    for k in range(SIZE):
        whole, rest = drawn_in(s[POLAR + k], s[POLAR_REST + k], polar)
        s[POLAR + k], s[POLAR_REST + k] = whole, rest
        at_pole = whole + rest <= tolerance or (pole - whole) - rest <= tolerance
        around, between = drawn_in(s[AZIMUTH + k], s[AZIMUTH_REST + k], azimuth)
        s[AZIMUTH + k] = middle if at_pole else around
        s[AZIMUTH_REST + k] = middle_rest if at_pole else between


@stage
def intervals(s: Singles, row: int, first: Shorts, knots: Singles, steps: int) -> None:
    """From the place in equal bins to the place between listed angles: which interval, and how far along it (0..1)."""
    for k in range(SIZE):
        whole, rest = s[row + k], s[row + SIZE + k]
        j = element(first, np.int32(whole))
        for _ in range(steps):
            after = 3 * (j + 1)
            if (whole - element(knots, after)) + (rest - element(knots, after + 1)) >= ZERO:
                j = np.int32(j + 1)
        here = 3 * j
        along = (whole - element(knots, here)) + (rest - element(knots, here + 1))
        s[row + k] = np.float32(j)
        s[row + SIZE + k] = along * element(knots, here + 2)


@stage
def receive(tile: Singles, s: Singles, c: Singles, level: Singles, plane: int) -> None:
    """What the receiver makes of the light, over d^2: cosine, sine / pi, (sine + cosine) / pi, (1 + cosine) / 4."""
    cx, cy, cz = c[0], c[1], c[2]
    if plane == 0:
        for k in range(SIZE):
            facing = -(tile[NX + k] * cx + (tile[NY + k] * cy + (tile[NZ + k] * cz + tile[ALONG + k])))
            s[FACTOR + k] = larger(facing, ZERO) * s[CUBE + k]
    elif plane == 3:
        for k in range(SIZE):
            facing = -(tile[NX + k] * cx + (tile[NY + k] * cy + (tile[NZ + k] * cz + tile[ALONG + k])))
            s[FACTOR + k] = FOURTH * larger(s[FAR + k] + facing, ZERO) * s[CUBE + k]
    else:
        cylinders(tile, s, c, level)


@stage
def cylinders(tile: Singles, s: Singles, c: Singles, level: Singles) -> None:
    """Sine from the two level parts of the way, so that it keeps its digits near the axis; a cylinder has no normal."""
    cx, cy, cz = c[0], c[1], c[2]
    a0, a1, a2, a3 = level[0], level[1], level[2], level[3]
    b0, b1, b2, b3 = level[4], level[5], level[6], level[7]
    for k in range(SIZE):
        x, y, z = tile[X + k], tile[Y + k], tile[Z + k]
        one, two = a0 * x + (a1 * y + (a2 * z + a3)), b0 * x + (b1 * y + (b2 * z + b3))
        facing = -(tile[NX + k] * cx + (tile[NY + k] * cy + (tile[NZ + k] * cz + tile[ALONG + k])))
        s[FACTOR + k] = OVER_PI * larger(np.sqrt(one * one + two * two) + facing, ZERO) * s[CUBE + k]


@stage
def cells(s: Singles, at: Shorts, width: int) -> None:
    """Where the corners of each point's cell start in the table."""
    across = np.float32(width)
    for k in range(SIZE):
        at[k] = 4 * np.int32(s[AZIMUTH + k] * across + s[POLAR + k])


@stage
def light(s: Singles, at: Shorts, corners: Singles) -> None:
    """Bilinear intensity from the four corners of the cell, times the receiver's factor: E = I f / d^2."""
    for k in range(0, SIZE, EIGHT):
        eight_lights(corners, at, s, (POLAR_REST, AZIMUTH_REST, FACTOR, LUX), k)


@stage
def add(s: Singles, level: np.float32) -> None:
    """Add this lamp at a level to the sum."""
    for k in range(SIZE):
        s[TOTAL + k] += level * s[LUX + k]


@stage
def store(values: Singles, order: Shorts, lux: Floats) -> None:
    """Put the values of a tile where their points stand."""
    for k in range(len(order)):
        lux[order[k]] = values[k]
