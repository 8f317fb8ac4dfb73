"""Light of every lamp by itself on what a picture shows, made luminance: matt, mirrored by a film of water, in air.

The mirror is one lobe of small facets about the plane of the ground. Light that falls on a facet is mirrored with the
share that Fresnel's formulas give for water; facets that others hide at flat angles give none.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Lamps, check_memory
from scenelux.engine.cache import compiled, inner
from scenelux.engine.image.camera import ViewArrays
from scenelux.engine.image.hits import Hits
from scenelux.engine.threads import in_blocks
from scenelux.errors import UsageError

__all__ = ["Film", "reflected"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

FLATTEST = 1e-4
"""Cosine of light or view against the normal; flatter ones count as this one."""


@dataclass(frozen=True)
class Film:
    """A film of water on the ground.

    Parameters
    ----------
    refractive_index : of the water.
    roughness : of its facets, the square root of twice their mean square slope; 0 would be a mirror.

    Source
    ------
    Distribution and shadowing of facets: Beckmann; the rational fit of the shadowing by Walter and others, 2007, from
    memory. Mirrored share: Fresnel.
    """

    refractive_index: float
    roughness: float


@inner
def fresnel(cosine: float, index: float) -> float:
    """Share of unpolarised light that is mirrored where it meets a medium of a higher index."""
    g = sqrt(index * index - 1.0 + cosine * cosine)
    first = (g - cosine) / (g + cosine)
    second = (cosine * (g + cosine) - 1.0) / (cosine * (g - cosine) + 1.0)
    return 0.5 * first * first * (1.0 + second * second)


@inner
def hidden_share(cosine: float, roughness: float) -> float:
    """How many facets are hidden behind others for one that is seen from a direction."""
    tangent = sqrt(max(0.0, 1.0 - cosine * cosine)) / cosine
    a = 1.0 / max(roughness * tangent, 1e-9)
    return (1.0 - 1.259 * a + 0.396 * a * a) / (3.535 * a + 2.181 * a * a) if a < 1.6 else 0.0


@inner
def mirrored(to_lamp: float, to_eye: float, facet: float, between: float, index: float, roughness: float) -> float:
    """Luminance per lux on the plane: cosines of lamp, eye and facet to the normal, and of lamp to facet."""
    if to_lamp <= 0.0 or to_eye <= 0.0 or facet <= 0.0:
        return 0.0
    lit, seen, square = max(to_lamp, FLATTEST), max(to_eye, FLATTEST), facet * facet
    slope = (1.0 - square) / (square * roughness * roughness)
    if slope > 30.0:
        return 0.0
    spread = exp(-slope) / (pi * roughness * roughness * square * square)
    free = 1.0 / (1.0 + hidden_share(lit, roughness) + hidden_share(seen, roughness))
    return fresnel(between, index) * spread * free / (4.0 * lit * seen)


@compiled
def _reflect_rows(
    view: ViewArrays, surface: NDArray[np.int32], distance: Singles, normal: Floats, places: Floats, shares: Floats,
    lux: Singles, factor: Singles, index: float, roughness: float, extinction: float, apart: bool,
    first: int, last: int, out: Singles,
) -> None:  # fmt: skip
    eye, ahead, right, down = view.eye, view.forward, view.right, view.down
    for row in range(first, last):
        y = row + 0.5 - 0.5 * view.height
        for column in range(view.width):
            if surface[row, column] < 0:
                continue
            x = column + 0.5 - 0.5 * view.width
            ax = ahead[0] + x * right[0] + y * down[0]
            ay = ahead[1] + x * right[1] + y * down[1]
            az = ahead[2] + x * right[2] + y * down[2]
            length = sqrt(ax * ax + ay * ay + az * az)
            ax, ay, az, far = ax / length, ay / length, az / length, distance[row, column]
            px, py, pz = eye[0] + far * ax, eye[1] + far * ay, eye[2] + far * az
            to_eye = -(ax * normal[0] + ay * normal[1] + az * normal[2])
            side = 1.0 if to_eye > 0.0 else -1.0
            for lamp in range(len(places)):
                light = lux[lamp, row, column]
                if not light > 0.0:
                    continue
                gain = np.float64(factor[row, column])
                dx, dy, dz = places[lamp, 0] - px, places[lamp, 1] - py, places[lamp, 2] - pz
                way = sqrt(dx * dx + dy * dy + dz * dz)
                if roughness > 0.0 and surface[row, column] == 0 and way > 0.0:
                    dx, dy, dz = dx / way, dy / way, dz / way
                    hx, hy, hz = dx - ax, dy - ay, dz - az
                    half = sqrt(hx * hx + hy * hy + hz * hz)
                    if half > 0.0:
                        to_lamp = side * (dx * normal[0] + dy * normal[1] + dz * normal[2])
                        facet = side * (hx * normal[0] + hy * normal[1] + hz * normal[2]) / half
                        gain += mirrored(
                            to_lamp, side * to_eye, facet, (dx * hx + dy * hy + dz * hz) / half, index, roughness
                        )
                if extinction > 0.0:
                    gain *= exp(-extinction * (way + far))
                out[lamp if apart else 0, row, column] += np.float32(shares[lamp] * gain * light)


def reflected(
    hits: Hits,
    lamps: Lamps,
    illuminance_lx: Singles,
    per_lux: Singles,
    *,
    levels: ArrayLike | None = None,
    film: Film | None = None,
    extinction_per_m: float = 0.0,
    apart: bool = False,
    threads: int | None = None,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Singles:
    """Luminance of what is seen by the light of each lamp, past a film of water and the air between.

    Parameters
    ----------
    hits : what the picture shows, from a pinhole.
    lamps : what shines.
    illuminance_lx : (L, h, w) of `illuminance_images`; nan counts as nothing.
    per_lux : (h, w) matt luminance per lux [1/sr].
    levels : (L,), 1 is full output; full output unless stated.
    film : on the ground; none is dry.
    extinction_per_m : what a metre of air takes, on the way from the lamp and on that to the eye; 0 is clear air.
    apart : whether lamps are kept apart.
    threads, memory_limit_bytes : as in `illuminance_images`.

    Returns
    -------
    (L, h, w), or (1, h, w) for all together [cd/m2].
    """
    camera, count = hits.camera, len(lamps)
    shares = np.ones(count) if levels is None else np.asarray(levels, np.float64)
    shape = hits.surface.shape
    if camera.parallel:
        raise UsageError("of parallel rays has no eye", key="camera")
    if illuminance_lx.shape != (count, *shape) or per_lux.shape != shape or shares.shape != (count,):
        raise UsageError(f"does not fit {count} lamps and a picture of {shape}", key="illuminance_lx")
    check_memory(4 * (count if apart else 1) * hits.surface.size, memory_limit_bytes, "picture")
    out = np.zeros((count if apart else 1, *shape), np.float32)
    normal = np.array((0.0, 0.0, 1.0)) if hits.ground is None else hits.ground.normal
    index, roughness = (1.0, 0.0) if film is None else (film.refractive_index, film.roughness)
    fixed = (camera.view, hits.surface, hits.distance_m, normal, lamps.position_m, shares, illuminance_lx, per_lux)
    in_blocks(
        lambda first, last: _reflect_rows(*fixed, index, roughness, extinction_per_m, apart, first, last, out),
        shape[0], hits.surface.size * count, threads,
    )  # fmt: skip
    return out
