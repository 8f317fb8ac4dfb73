"""Illuminance and luminance in a picture: the fast path of the maps on the points that the pixels see."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Blockers, Lamps, Plane, check_memory
from scenelux.engine.fast.drive import by_lamp, summed
from scenelux.engine.fast.tiles import SIZE, Tiles, tiles_in_order
from scenelux.engine.image.camera import Camera, GroundPlane
from scenelux.engine.image.cover import TALL, HitArrays
from scenelux.engine.image.hits import Hits, PlaneTable, first_hits, plane_table
from scenelux.engine.image.receivers import FARTHEST_LIT_M, Baskets, Strip, baskets_for, sort_rows, strip_for
from scenelux.engine.threads import in_blocks, together
from scenelux.errors import UsageError

__all__ = ["Picture", "illuminance_image", "illuminance_images", "luminance_image", "picture"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]

UP = np.array([0.0, 0.0, 1.0])

STRIP_PIXELS = 1 << 16
"""Pixels that are worked on together; each leaves some tiles that are not full, and needs some memory of its own."""


@dataclass(frozen=True, eq=False)
class Picture:
    """What a camera sees under lamps.

    Parameters
    ----------
    luminance_cd_m2 : (h, w) float32.
    surface : (h, w) int32; -1 the sky, 0 the ground, 1 + b box b, 1 + B + m triangle m of the mesh.
    distance_m : (h, w) float32, from the eye; inf for the sky.
    """

    luminance_cd_m2: Singles
    surface: Shorts
    distance_m: Singles


def illuminance_image(
    hits: Hits,
    lamps: Lamps,
    *,
    levels: ArrayLike | None = None,
    threads: int | None = None,
    culling: bool = True,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Singles:
    """Illuminance of all lamps together on the side of each surface that is seen, shadows included; initial light.

    Parameters
    ----------
    hits : what the picture shows; its blockers throw the shadows.
    lamps : what shines, site frame.
    levels : (L,), 1 is full output; full output of all unless stated. A lamp at level 0 counts for nothing.
    threads : strips of the picture are shared out among so many threads; all processors unless stated. Results do not
        depend on it.
    culling : leave out beforehand what is dark or cannot stand in the way. Results do not depend on it.
    memory_limit_bytes : LimitError is raised before more than this is allocated.

    Returns
    -------
    (h, w) [lx], 0 for the sky; of the fast path of `illuminance`. nan where a point lies too near to a lamp for its
    opening. What is farther from the eye than 1000 km is dark.

    Example
    -------
    >>> from types import SimpleNamespace
    >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[90, 90], [90, 90]])
    >>> lamp = Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
    >>> down = Camera.pinhole((0, 0, 1), [[0, 0, -1], [0, 1, 0], [1, 0, 0]], 1, 1, field_deg=20)
    >>> illuminance_image(first_hits(down, Blockers.none(), GroundPlane.through()), lamp).tolist()
    [[10.0]]
    """
    shares = np.ones(len(lamps)) if levels is None else np.array(levels, dtype=np.float64)
    if shares.shape != (len(lamps),) or not np.isfinite(shares).all():
        raise UsageError(f"is not one finite number for each of {len(lamps)} lamps", key="levels")
    out = _images(hits, 1, memory_limit_bytes)

    def light(tiles: Tiles) -> Floats:
        return summed(lamps, hits.blockers, tiles, shares, threads=1, culling=culling)[None]

    _shade(hits, light, out, int(np.count_nonzero(shares)), threads)
    together: Singles = out[0]
    return together


def illuminance_images(
    hits: Hits,
    lamps: Lamps,
    *,
    threads: int | None = None,
    culling: bool = True,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Singles:
    """Illuminance of every lamp at full output by itself, so that states and levels become weighted sums of pictures.

    Parameters
    ----------
    hits, lamps, threads, culling, memory_limit_bytes : as in `illuminance_image`.

    Returns
    -------
    (L, h, w) [lx].
    """
    out = _images(hits, len(lamps), memory_limit_bytes)

    def light(tiles: Tiles) -> Floats:
        return by_lamp(lamps, hits.blockers, tiles, threads=1, culling=culling)

    _shade(hits, light, out, len(lamps), threads)
    return out


def luminance_image(
    hits: Hits,
    illuminance_lx: Singles,
    reflectance: ArrayLike,
    *,
    sky_cd_m2: ArrayLike = 0.0,
    threads: int | None = None,
) -> Singles:
    """Luminance of surfaces that scatter evenly, L = reflectance E / pi.

    Parameters
    ----------
    hits : what the picture shows.
    illuminance_lx : (h, w), on the side that is seen.
    reflectance : one number, or (surfaces,): the ground, the boxes, the triangles; 0..1.
    sky_cd_m2 : luminance where nothing is seen, one number or (h, w) [cd/m2].
    threads : as in `first_hits`.

    Returns
    -------
    (h, w) float32 [cd/m2].

    Example
    -------
    >>> up = Camera.pinhole((0, 0, 1), np.eye(3), 1, 3, field_deg=30)
    >>> hits = first_hits(up, Blockers.none(), GroundPlane.through())
    >>> luminance_image(hits, np.full((3, 1), 10.0, np.float32), np.pi / 10, sky_cd_m2=0.01).ravel().round(3).tolist()
    [0.009999999776482582, 0.009999999776482582, 1.0]
    """
    shape = hits.surface.shape
    if np.shape(illuminance_lx) != shape:
        raise UsageError(f"has shape {np.shape(illuminance_lx)}, not {shape}", key="illuminance_lx")
    factor, found = _factors(hits, reflectance), np.empty(shape, np.float32)
    sky = np.broadcast_to(np.asarray(sky_cd_m2, dtype=np.float32), shape)

    def fill(first: int, last: int) -> None:
        surface, out = hits.surface[first:last], found[first:last]
        np.multiply(factor.take(surface, mode="wrap"), illuminance_lx[first:last], out=out)
        np.copyto(out, sky[first:last], where=surface < 0)

    in_blocks(fill, shape[0], found.size, threads)
    return found


def picture(
    camera: Camera,
    lamps: Lamps,
    blockers: Blockers,
    ground: GroundPlane | None,
    *,
    reflectance: ArrayLike,
    levels: ArrayLike | None = None,
    sky_cd_m2: ArrayLike = 0.0,
    threads: int | None = None,
) -> Picture:
    """What a camera sees of the ground and of bodies that scatter evenly, under lamps; initial light.

    Parameters
    ----------
    camera, blockers, ground : as in `first_hits`.
    lamps, levels, threads : as in `illuminance_image`.
    reflectance, sky_cd_m2 : as in `luminance_image`.
    """
    hits = first_hits(camera, blockers, ground, threads=threads)
    lux = illuminance_image(hits, lamps, levels=levels, threads=threads)
    luminance = luminance_image(hits, lux, reflectance, sky_cd_m2=sky_cd_m2, threads=threads)
    return Picture(luminance, hits.surface, hits.distance_m)


def _images(hits: Hits, count: int, limit_bytes: int) -> Singles:
    check_memory(count * hits.surface.size * 4, limit_bytes, "picture")
    return np.zeros((count, *hits.surface.shape), np.float32)


def _factors(hits: Hits, reflectance: ArrayLike) -> Singles:
    """Luminance for one lux of every surface, and of the sky, which comes last and so is number -1."""
    given = np.asarray(reflectance, dtype=np.float64)
    if given.shape not in ((), (hits.surfaces,)):
        raise UsageError(f"is not one number, or one for each of {hits.surfaces} surfaces", key="reflectance")
    if not ((given >= 0.0) & (given <= 1.0)).all():
        raise UsageError("holds a number that is not within 0..1", key="reflectance")
    each = np.broadcast_to(given / np.pi, (hits.surfaces,))
    return np.append(each, 0.0).astype(np.float32)


def _shade(hits: Hits, light: Callable[[Tiles], Floats], out: Singles, lamps: int, threads: int | None) -> None:
    """Fill pictures (k, h, w) with what `light` answers (k, n) for the points of each strip of the picture."""
    height, width = hits.surface.shape
    rows = max(1, STRIP_PIXELS // (width * TALL)) * TALL
    table = plane_table(hits)
    turns = iter(range(0, height, rows))

    def strips() -> None:
        baskets = baskets_for(len(hits.blockers))
        room = strip_for(rows * width, baskets)
        for top in turns:  # One iterator for all threads: every strip is taken once.
            bottom = min(top + rows, height)
            lux = light(_tiles(hits, table, top, bottom, baskets, room))[:, : (bottom - top) * width]
            lit = hits.distance_m[top:bottom] <= FARTHEST_LIT_M
            np.copyto(out[:, top:bottom], lux.reshape(-1, *lit.shape), where=lit, casting="same_kind")

    together(strips, hits.surface.size * lamps, threads)


def _tiles(hits: Hits, table: PlaneTable, top: int, bottom: int, baskets: Baskets, room: Strip) -> Tiles:
    """The points of a strip of the picture, ready for the lamps."""
    arrays = HitArrays(hits.surface, hits.side, hits.distance_m)
    count = sort_rows(hits.camera.view, arrays, table.planes, table.triangle, table.boxes, top, bottom, baskets, room)
    points, normals, order = room.points[...], room.normals[...], room.order[: count * SIZE]
    for array in (points, normals):
        array.flags.writeable = False  # As all points are that kernels take.
    return tiles_in_order(points, normals, order, UP, int(Plane.PLANE), room.rows, threads=1)
