"""Light that fog or rain throws into the eye: along every line of sight of a picture, from every lamp.

Single scatter, and bodies throw no shadows into the air. Along a line of sight the samples lie at equal steps of the
angle at the lamp, where the light that falls with the square of the distance is even.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, exp, pi, sqrt, tan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Lamps, check_memory
from scenelux.engine.cache import compiled, inner
from scenelux.engine.image.camera import Camera, ViewArrays
from scenelux.engine.kernels import LampArrays, intensity, lamp_arrays
from scenelux.engine.threads import in_blocks
from scenelux.errors import UsageError

__all__ = ["Haze", "airlight"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

STEPS = 32
"""Samples along a line of sight for each lamp."""

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


@compiled
def _air_rows(
    view: ViewArrays, distance: Singles, lamps: LampArrays, shares: Floats, extinction: float, phase: Floats,
    every: int, apart: bool, first: int, last: int, out: Singles,
) -> None:  # fmt: skip
    eye, ahead, right, down = view.eye, view.forward, view.right, view.down
    for row in range(first, last):
        y = min(row * every, view.height - 1) + 0.5 - 0.5 * view.height
        for column in range(out.shape[2]):
            x = min(column * every, view.width - 1) + 0.5 - 0.5 * view.width
            ax = ahead[0] + x * right[0] + y * down[0]
            ay = ahead[1] + x * right[1] + y * down[1]
            az = ahead[2] + x * right[2] + y * down[2]
            length = sqrt(ax * ax + ay * ay + az * az)
            ax, ay, az = ax / length, ay / length, az / length
            end = distance[min(row * every, view.height - 1), min(column * every, view.width - 1)]
            far = min(np.float64(end), FAR_OPTICAL / extinction)
            for lamp in range(len(shares)):
                if shares[lamp] == 0.0:
                    continue
                dx = lamps.position[lamp, 0] - eye[0]
                dy = lamps.position[lamp, 1] - eye[1]
                dz = lamps.position[lamp, 2] - eye[2]
                near = dx * ax + dy * ay + dz * az
                wx, wy, wz = dx - near * ax, dy - near * ay, dz - near * az
                past = max(sqrt(wx * wx + wy * wy + wz * wz), NEAREST_M)
                start, stop = atan2(-near, past), atan2(far - near, past)
                step = (stop - start) / STEPS
                total = 0.0
                for k in range(STEPS):
                    angle = start + (k + 0.5) * step
                    beyond = past * tan(angle)
                    light = intensity(lamps, lamp, beyond * ax - wx, beyond * ay - wy, beyond * az - wz)
                    if light > 0.0:
                        lost = extinction * (sqrt(past * past + beyond * beyond) + near + beyond)
                        total += light * exp(-lost) * at_angle(phase, 0.5 * pi + angle)
                gain = shares[lamp] * extinction * total * step / past
                out[lamp if apart else 0, row, column] += np.float32(gain)


def airlight(
    camera: Camera,
    distance_m: Singles,
    lamps: Lamps,
    haze: Haze,
    *,
    levels: ArrayLike | None = None,
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
    count = len(lamps) if apart else 1
    check_memory(4 * count * height * width, memory_limit_bytes, "light of the air")
    rows, columns = -(-(height - 1) // every) + 1, -(-(width - 1) // every) + 1
    out = np.zeros((count, rows, columns), np.float32)
    fixed = (camera.view, distance_m, lamp_arrays(lamps), shares, haze.extinction_per_m, haze.phase, every, apart)
    in_blocks(
        lambda first, last: _air_rows(*fixed, first, last, out),
        rows, rows * columns * STEPS * max(1, len(lamps)), threads,
    )  # fmt: skip
    return out if every == 1 else _between(out, haze, distance_m, every)


def _between(coarse: Singles, haze: Haze, distance_m: Singles, every: int) -> Singles:
    """Every pixel from the four lines of sight around it, those counting most that end as far away."""
    height, width = distance_m.shape
    reach = haze.transmitted(distance_m)
    row, column = np.minimum(np.arange(height), height - 1) / every, np.arange(width) / every
    top, left = np.floor(row).astype(int), np.floor(column).astype(int)
    total, weights = np.zeros((len(coarse), height, width)), np.zeros((height, width))
    for down in (0, 1):
        for right in (0, 1):
            i, j = np.minimum(top + down, coarse.shape[1] - 1), np.minimum(left + right, coarse.shape[2] - 1)
            share_down = np.abs(1 - down - (row - top))[:, None]
            share = share_down * np.abs(1 - right - (column - left)) + 1e-9
            there = reach[np.minimum(i * every, height - 1)][:, np.minimum(j * every, width - 1)]
            weight = share / (1e-6 + (reach - there) ** 2)
            total += weight * coarse[:, i][:, :, j]
            weights += weight
    return np.asarray(total / weights, np.float32)
