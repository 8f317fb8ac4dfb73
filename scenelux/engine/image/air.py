"""Light that fog or rain throws into the eye: along every line of sight of a picture, from every lamp.

Single scatter, and bodies throw no shadows into the air. A line of sight is followed by the angle at the lamp, over
which light that falls with the square of the distance is even, and only where it meets the lamp's cone of light.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import acos, atan2, cos, exp, pi, sin, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Lamps, check_memory
from scenelux.engine.cache import compiled, inner
from scenelux.engine.fast.tables import table_arrays
from scenelux.engine.image.camera import Camera, ViewArrays
from scenelux.engine.kernels import LampArrays, intensity, lamp_arrays
from scenelux.engine.threads import in_blocks
from scenelux.errors import UsageError

__all__ = ["Haze", "airlight"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

ALIKE = 0.15
"""Where neighbours differ by no more than this part of themselves, a line of sight between them is their mean."""

FIRST_STEP = 20.0
"""Longest step of the angle at the lamp, in angles over which its table changes noticeably."""

LEAST_STEP = 1.0 / 512.0
"""Shortest step, as a part of all that is lit."""

ALLOWED = 1e-2
"""How far a step may be off, as a part of the light of all steps so far; then it is halved."""

RAY_WORK = 16
"""So many times as much is done for a lamp and a line of sight as for a lamp and a point."""

NOTHING_CD_M2 = 1e-5
"""A step may also be off by this much at full output, a tenth of the darkest night sky."""

KRONROD = (
    (0.9604912687080202, 0.7745966692414834, 0.4342437493468026, 0.0),
    (0.1046562260264673, 0.2684880898683334, 0.4013974147759622, 0.4509165386584741),
    (0.0, 0.5555555555555556, 0.0, 0.8888888888888889),
)
"""Places -1..1 of a step, right of the middle, and their weights by 7 places and, to tell how far off, by 3."""

PHASES = 1441
"""Places of the table of scattering angles, 0..180 deg."""

NEAREST_M = 1e-3
"""A line of sight passes no lamp nearer than this."""

FAR_OPTICAL = 30.0
"""Beyond so many times the length in which a part of e is left, nothing comes back."""


@dataclass(frozen=True, eq=False)
class Haze:
    """Air that scatters light. Build by `of`.

    Parameters
    ----------
    extinction_per_m : what a metre takes, above 0 [1/m].
    phase : (places,), share of scattered light against the scattering angle, in even steps from 0 to 180 deg [1/sr].
    """

    extinction_per_m: float
    phase: Floats

    @classmethod
    def of(cls, extinction_per_m: float, phase: Callable[[Floats], Floats]) -> Haze:
        """Air with a law of scattering.

        Parameters
        ----------
        extinction_per_m : as in the class.
        phase : share of scattered light [1/sr] against the scattering angle [deg], as vision gives it.

        Example
        -------
        >>> Haze.of(0.02, lambda angle_deg: 0.0 * angle_deg + 0.08).extinction_per_m
        0.02
        """
        if not 0.0 < extinction_per_m < np.inf:
            raise UsageError("is not above 0", key="extinction_per_m", accepted="clear air has no haze")
        return cls(float(extinction_per_m), np.ascontiguousarray(phase(np.linspace(0.0, 180.0, PHASES)), np.float64))

    def transmitted(self, distance_m: ArrayLike) -> Floats:
        """Share of light that comes through a length of this air."""
        through: Floats = np.exp(-self.extinction_per_m * np.asarray(distance_m, np.float64))
        return through


@inner
def at_angle(phase: Floats, radians_on: float) -> float:
    """The table between its places."""
    place = min(max(radians_on * ((len(phase) - 1) / pi), 0.0), len(phase) - 1.0)
    low = min(int(place), len(phase) - 2)
    return float(phase[low] + (place - low) * (phase[low + 1] - phase[low]))


@inner
def from_lamp(
    lamps: LampArrays, lamp: int, cone: Floats, eye: Floats, ax: float, ay: float, az: float, begin: float,
    far: float, extinction: float, phase: Floats, nodes: Floats, others: float,
) -> float:  # fmt: skip
    """Luminance by one lamp along a line of sight, to a part of itself or of what others give."""
    dx, dy, dz = lamps.position[lamp, 0] - eye[0], lamps.position[lamp, 1] - eye[1], lamps.position[lamp, 2] - eye[2]
    near = dx * ax + dy * ay + dz * az
    wx, wy, wz = near * ax - dx, near * ay - dy, near * az - dz  # from the lamp to where the line passes it
    past = sqrt(wx * wx + wy * wy + wz * wz)
    flat = 1.0 / max(past, 1e-12)
    wx, wy, wz, past = wx * flat, wy * flat, wz * flat, max(past, NEAREST_M)
    start, stop = atan2(begin - near, past), atan2(far - near, past)
    across, along = wx * cone[0] + wy * cone[1] + wz * cone[2], ax * cone[0] + ay * cone[1] + az * cone[2]
    reach = sqrt(across * across + along * along)
    if cone[3] > reach:
        return 0.0
    if cone[3] > 0.0:  # The lit part is one piece: half of it is less than a right angle.
        middle, half = atan2(along, across), acos(cone[3] / reach)
        start, stop = max(start, middle - half), min(stop, middle + half)
    total, scale, least = 0.0, extinction / past, LEAST_STEP * (stop - start)
    step = min(stop - start, FIRST_STEP * lamps.grain[lamps.table[lamp]])
    while stop - start > least:
        step = min(step, stop - start)
        fine, coarse = 0.0, 0.0
        for k in range(nodes.shape[1]):
            angle = stop - 0.5 * step * (1.0 + nodes[0, k])
            c, s = cos(angle), sin(angle)
            light = intensity(lamps, lamp, c * wx + s * ax, c * wy + s * ay, c * wz + s * az)
            if light > 0.0:
                light *= exp(-extinction * (near + past * (1.0 + s) / c)) * at_angle(phase, 0.5 * pi + angle)
                fine += nodes[1, k] * light
                coarse += nodes[2, k] * light
        found = 0.5 * step * scale * fine
        wrong = abs(0.5 * step * scale * coarse - found)
        if wrong > NOTHING_CD_M2 + ALLOWED * (total + found + others) and step > least:
            step *= 0.5
            continue
        total += found
        stop -= step
        step *= 2.0
    return total


@compiled
def _air_rows(
    view: ViewArrays, distance: Singles, lamps: LampArrays, cones: Floats, shares: Floats, begin: float,
    extinction: float, phase: Floats, nodes: Floats, every: int, apart: bool, out: Singles, between: bool,
    first: int, last: int,
) -> None:  # fmt: skip
    """Every second line of sight both ways; then those between, by lamp from their neighbours where these agree."""
    ahead, right, down = view.forward, view.right, view.down
    rows, columns = out.shape[1], out.shape[2]
    for i in range(first, last):
        row = min(i * every, view.height - 1)
        y = row + 0.5 - 0.5 * view.height
        for j in range(columns):
            if (i % 2 == 0 or i == rows - 1) and (j % 2 == 0 or j == columns - 1):
                if between:
                    continue
            elif not between:
                continue
            column = min(j * every, view.width - 1)
            x = column + 0.5 - 0.5 * view.width
            ax = ahead[0] + x * right[0] + y * down[0]
            ay = ahead[1] + x * right[1] + y * down[1]
            az = ahead[2] + x * right[2] + y * down[2]
            length = sqrt(ax * ax + ay * ay + az * az)
            ax, ay, az = ax / length, ay / length, az / length
            end = np.float64(distance[row, column])
            far, others = min(end, FAR_OPTICAL / extinction), 0.0
            top, bottom = (i, i) if i % 2 == 0 or i == rows - 1 else (i - 1, i + 1)
            left, beside = (j, j) if j % 2 == 0 or j == columns - 1 else (j - 1, j + 1)
            alike = between and ends_alike(distance, every, begin, extinction, end, top, bottom, left, beside)
            around = 0.0
            if alike and not apart:
                for lamp in range(len(shares)):
                    around += shares[lamp] * out[lamp, top, left]
            for lamp in range(len(shares)):
                if not shares[lamp] > 0.0:
                    continue
                a, b = out[lamp, top, left], out[lamp, top, beside]
                c, d = out[lamp, bottom, left], out[lamp, bottom, beside]
                most = max(a, b, c, d)
                if alike and most - min(a, b, c, d) <= max(ALIKE * most, ALLOWED * around / shares[lamp]):
                    out[lamp, i, j] = np.float32(0.25) * (a + b + c + d)
                else:
                    out[lamp, i, j] = from_lamp(
                        lamps, lamp, cones[lamp], view.eye, ax, ay, az, begin, far, extinction, phase, nodes,
                        others / shares[lamp],
                    )  # fmt: skip
                if not apart:
                    others += shares[lamp] * out[lamp, i, j]


@inner
def ends_alike(
    distance: Singles, every: int, begin: float, extinction: float, end: float, top: int, bottom: int, left: int,
    beside: int,
) -> bool:  # fmt: skip
    """Whether lines of sight of the coarse picture end about as far away as one does, as the air counts it."""
    reach = exp(-extinction * max(end - begin, 0.0))
    for i in (top, bottom):
        for j in (left, beside):
            other = distance[min(i * every, distance.shape[0] - 1), min(j * every, distance.shape[1] - 1)]
            if abs(exp(-extinction * max(other - begin, 0.0)) - reach) > ALIKE:
                return False
    return True


@compiled
def _fill_rows(reach: Singles, coarse: Singles, every: int, first: int, last: int, out: Singles) -> None:
    """Every pixel from the four lines of sight around it, those counting most that end as far away."""
    height, width = reach.shape
    for row in range(first, last):
        top = row // every
        down = row / every - top
        for column in range(width):
            left = column // every
            aside = column / every - left
            total = 0.0
            for k in range(4):
                i, j = min(top + k // 2, coarse.shape[1] - 1), min(left + k % 2, coarse.shape[2] - 1)
                share = (down if k // 2 else 1.0 - down) * (aside if k % 2 else 1.0 - aside) + 1e-9
                apart = reach[row, column] - reach[min(i * every, height - 1), min(j * every, width - 1)]
                weight = share / (1e-6 + apart * apart)
                total += weight
                for lamp in range(len(out)):
                    out[lamp, row, column] += np.float32(weight * coarse[lamp, i, j])
            for lamp in range(len(out)):
                out[lamp, row, column] = np.float32(out[lamp, row, column] / total)


def airlight(
    camera: Camera,
    distance_m: Singles,
    lamps: Lamps,
    haze: Haze,
    *,
    levels: ArrayLike | None = None,
    beyond_m: float = 0.0,
    every: int = 1,
    apart: bool = False,
    threads: int | None = None,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Singles:
    """Luminance that the air between the eye and what it sees has from lamps.

    Parameters
    ----------
    camera : a pinhole.
    distance_m : (h, w) where each line of sight ends, from `first_hits`; inf is the sky.
    lamps : what shines.
    haze : the air.
    levels : (L,), 1 is full output; full output unless stated.
    beyond_m : the air nearer to the eye than this is left out [m].
    every : lines of sight that are followed, each so many pixels across and down; between them the light is drawn from
        the neighbours that end nearly as far away.
    apart : whether lamps are kept apart.
    threads, memory_limit_bytes : as in `illuminance_image`.

    Returns
    -------
    (L, h, w), or (1, h, w) for all together [cd/m2].
    """
    if camera.parallel:
        raise UsageError("of parallel rays has no eye", key="camera")
    shares = np.ones(len(lamps)) if levels is None else np.ascontiguousarray(levels, np.float64)
    height, width = distance_m.shape
    rows, columns = -(-(height - 1) // every) + 1, -(-(width - 1) // every) + 1
    count = len(lamps) if apart else 1
    check_memory(4 * (count * height * width + len(lamps) * rows * columns), memory_limit_bytes, "light of the air")
    by_lamp = np.zeros((len(lamps), rows, columns), np.float32)
    air = (float(beyond_m), haze.extinction_per_m, haze.phase, _nodes())
    fixed = (camera.view, distance_m, lamp_arrays(lamps), _cones(lamps), shares, *air, every, apart, by_lamp)
    work = rows * columns * RAY_WORK * max(1, len(lamps))
    for between in (False, True):  # The first are all known before the others ask them.
        in_blocks(partial(_air_rows, *fixed, between), rows, work, threads)
    by_lamp *= shares[:, None, None].astype(np.float32)
    coarse = by_lamp if apart else by_lamp.sum(axis=0, keepdims=True)
    if every == 1:
        return coarse
    out = np.zeros((count, height, width), np.float32)
    reach = haze.transmitted(np.maximum(distance_m - np.float32(beyond_m), 0.0)).astype(np.float32)
    in_blocks(lambda first, last: _fill_rows(reach, coarse, every, first, last, out), height, out.size, threads)
    return out


def _nodes() -> Floats:
    right = np.array(KRONROD)
    return np.concatenate((right[:, :3] * [[-1.0], [1.0], [1.0]], right[:, ::-1]), axis=1)


def _cones(lamps: Lamps) -> Floats:
    """Axis of each lamp's cone of light on the site, and cosine and sine of the angle about it, (L, 5)."""
    cones = table_arrays(lamps.tables)[1][lamps.table, :5]
    return np.concatenate((np.einsum("lij,li->lj", lamps.axes, cones[:, :3]), cones[:, 3:]), axis=1)
