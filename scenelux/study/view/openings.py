"""Lamps as bright openings in a picture: over its pixels they add up to what the eye gets of each lamp."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Camera, Lamps
from scenelux.study.view.lamps import LampsSeen

__all__ = ["add_openings"]

Array = NDArray[np.float64]
Singles = NDArray[np.float32]

SAMPLES_PER_PIXEL = 3
MOST_SAMPLES = 400
"""Along an edge of an opening."""


def add_openings(luminance: Singles, camera: Camera, lamps: Lamps, seen: LampsSeen) -> None:
    """Draws every lamp that the eye sees, in place.

    Parameters
    ----------
    luminance : (h, w) [cd/m2].
    camera : a pinhole.
    lamps, seen : what shines, and what the eye gets of it.

    Over the pixels that an opening covers, luminance times solid angle adds up to the illuminance of the lamp at the
    eye, square to the way to it. An opening smaller than a pixel is shared by the four pixels around it.
    """
    for lamp in np.flatnonzero(seen.illuminance_lx > 0.0):
        points = _samples(camera, lamps, int(lamp), float(seen.distance_m[lamp]))
        column, row, _ = camera.pixels_of(points)
        _splat(luminance, camera, column, row, float(seen.illuminance_lx[lamp]) / len(points))


def _samples(camera: Camera, lamps: Lamps, lamp: int, distance_m: float) -> Array:
    """Points spread evenly over an opening, as many as its pixels need."""
    centre, size, axes = lamps.position_m[lamp], lamps.opening_m[lamp], lamps.opening_axes[lamp]
    pixel_m = camera.step * max(distance_m, 1e-3)
    counts = [1 if edge == 0.0 else min(MOST_SAMPLES, 2 + int(SAMPLES_PER_PIXEL * edge / pixel_m)) for edge in size]
    counts[2] = min(counts[2], 2 + MOST_SAMPLES // 100)
    grid = np.meshgrid(*((np.arange(n) + 0.5) / n - 0.5 for n in counts), indexing="ij")
    places = np.stack([part.ravel() for part in grid], axis=1)
    if lamps.opening_round[lamp]:
        inside = (places[:, 0] ** 2 + places[:, 1] ** 2) <= 0.25
        places = places[inside] if inside.any() else places[:1] * 0.0
    return np.asarray(centre + (places * size) @ axes)


def _splat(luminance: Singles, camera: Camera, column: Array, row: Array, lux: float) -> None:
    """Shares the light of points among the pixels around each; what falls outside the picture is lost."""
    height, width = luminance.shape
    ahead = np.isfinite(column) & (np.abs(column) < 1e9) & (np.abs(row) < 1e9)
    column, row = column[ahead], row[ahead]
    left, top = np.floor(column).astype(np.int64), np.floor(row).astype(np.int64)
    for right in (0, 1):
        for down in (0, 1):
            i, j = top + down, left + right
            share = np.abs(1 - right - (column - left)) * np.abs(1 - down - (row - top))
            inside = (i >= 0) & (i < height) & (j >= 0) & (j < width)
            at = np.ravel_multi_index((i[inside], j[inside]), luminance.shape)
            places, where = np.unique(at, return_inverse=True)
            light = np.bincount(where, share[inside], minlength=len(places)) * lux
            luminance.reshape(-1)[places] += light / _solid_angle_sr(camera, places)


def _solid_angle_sr(camera: Camera, places: NDArray[np.int64]) -> Array:
    """Solid angle of pixels by their numbers; as of `Camera.solid_angles_sr`, of a few pixels."""
    row, column = np.unravel_index(places, (camera.height_px, camera.width_px))
    x: Array = np.asarray(column - 0.5 * camera.width_px, np.float64) * camera.step
    y: Array = np.asarray(row - 0.5 * camera.height_px, np.float64) * camera.step

    def corner(a: Array, b: Array) -> Array:
        return np.asarray(np.arctan(a * b / np.sqrt(1.0 + a * a + b * b)))

    s = camera.step
    return corner(x + s, y + s) - corner(x, y + s) - corner(x + s, y) + corner(x, y)
