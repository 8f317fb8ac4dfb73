"""Hit points made ready for the lamps: tiles of 256 points that lie close together, in the order of the picture.

A tile of the picture whose points lie close together is a tile of points. Other hits wait in a basket for each box, and
for each step of distance on the ground and on the mesh, until 256 have come together.
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled, merged
from scenelux.engine.fast.tiles import ROWS, SIZE
from scenelux.engine.image.camera import ViewArrays
from scenelux.engine.image.cover import NOWHERE, TALL, WIDE, HitArrays

__all__ = ["FARTHEST_LIT_M", "Baskets", "Strip", "baskets_for", "sort_rows", "strip_for"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]

FARTHEST_LIT_M = 1e6
"""Farther from the eye than this counts as dark; it is ground at the horizon."""

NEAREST_M = 1e-30
"""Depth 0 stands for what has no place; a hit in the plane of the eye has this."""

CLOSE = 1.25
"""The points of a tile are close together when the farthest is so many times as far as the nearest."""

GRID = 64.0
"""Steps of distance for parallel rays, in pixels."""

STEPS = 256
"""Baskets for the ground, and for the mesh; steps of distance that are so many apart share one."""

STEPS_OF_BOX = 4


class Strip(NamedTuple):
    """Points and normals of a strip of the picture, pixel by pixel, which pixels each tile holds, and room for
    the rows of the tiles."""

    points: Floats
    normals: Floats
    order: Shorts
    rows: Singles


class Baskets(NamedTuple):
    """Pixels that wait (n, 256) and how many they are (n,); of the tile at hand row of its plane and distance."""

    waiting: Shorts
    filled: Shorts
    far: Floats


def baskets_for(boxes: int) -> Baskets:
    """Empty baskets for so many boxes."""
    number = 2 * STEPS + STEPS_OF_BOX * boxes
    return Baskets(np.empty((number, SIZE), np.int32), np.zeros(number, np.int32), np.empty(WIDE * TALL))


def strip_for(pixels: int, baskets: Baskets) -> Strip:
    """Room for the points of so many pixels; each basket may leave a tile that is not full."""
    tiles = -(-pixels // SIZE) + len(baskets.filled)
    return Strip(
        np.empty((pixels, 3)), np.empty((pixels, 3)), np.empty(tiles * SIZE, np.int32),
        np.empty(tiles * ROWS * SIZE, np.float32),
    )  # fmt: skip


@compiled
def sort_rows(
    view: ViewArrays, hits: HitArrays, planes: Floats, triangle: Shorts, boxes: int, top: int, bottom: int,
    baskets: Baskets, out: Strip,
) -> int:  # fmt: skip
    """The hits of the rows top..bottom in tiles; how many tiles there are. Pixels count from the first of the rows."""
    tiles = 0
    baskets.filled[:] = 0
    for high in range(top, bottom, TALL):
        for left in range(0, view.width, WIDE):
            low, right = min(high + TALL, bottom), min(left + WIDE, view.width)
            near, far, count = np.inf, 0.0, 0
            for row in range(high, low):
                for column in range(left, right):
                    place = (row - high) * WIDE + column - left
                    t = locate(view, hits, planes, triangle, boxes, row, column, (row - top) * view.width + column, out)
                    baskets.far[place] = t
                    if t > 0.0:
                        near, far, count = min(near, t), max(far, t), count + 1
            together = far - near <= GRID * step_of(view) if view.parallel else far <= CLOSE * near
            if count == SIZE and together:
                fill(out.order, tiles, (high - top) * view.width + left, view.width)
                tiles += 1
            elif count > 0:
                tiles = share_out(view, hits, boxes, top, high, low, left, right, baskets, out.order, tiles)
    return leave(baskets, out.order, tiles)


@merged
def step_of(view: ViewArrays) -> float:
    """Width of a pixel, of a pinhole at 1 m."""
    return sqrt(view.right[0] * view.right[0] + view.right[1] * view.right[1] + view.right[2] * view.right[2])


@merged
def locate(
    view: ViewArrays, hits: HitArrays, planes: Floats, triangle: Shorts, boxes: int, row: int, column: int, pixel: int,
    out: Strip,
) -> float:  # fmt: skip
    """Write the place and the normal of a hit; its depth, or 0 for the sky and for what is too far to be lit."""
    surface = hits.surface[row, column]
    if surface == NOWHERE or hits.distance[row, column] > FARTHEST_LIT_M:
        return 0.0
    plane = 0
    if surface > boxes:
        plane = triangle[surface - 1 - boxes]
    elif surface > 0:
        plane = 6 * surface - 5 + hits.side[row, column]
    x, y = column + 0.5 - 0.5 * view.width, row + 0.5 - 0.5 * view.height
    near = planes[plane, 3] + planes[plane, 4] * x + planes[plane, 5] * y
    t = -near if view.parallel else 1.0 / near
    beside = 1.0 if view.parallel else t
    for axis in range(3):
        away = x * view.right[axis] + y * view.down[axis]
        out.points[pixel, axis] = view.eye[axis] + t * view.forward[axis] + beside * away
        out.normals[pixel, axis] = planes[plane, axis]
    return float(max(t, NEAREST_M))


@merged
def fill(order: Shorts, tile: int, pixel: int, width: int) -> None:
    """A tile of the picture as a tile of points."""
    for i in range(TALL):
        for j in range(WIDE):
            order[tile * SIZE + i * WIDE + j] = pixel + i * width + j


@merged
def share_out(
    view: ViewArrays, hits: HitArrays, boxes: int, top: int, high: int, low: int, left: int, right: int,
    baskets: Baskets, order: Shorts, tiles: int,
) -> int:  # fmt: skip
    """Put the hits of a tile of the picture into their baskets; those that are full become tiles."""
    for row in range(high, low):
        for column in range(left, right):
            t = baskets.far[(row - high) * WIDE + column - left]
            if t > 0.0:
                basket = basket_of(view, hits.surface[row, column], boxes, t)
                baskets.waiting[basket, baskets.filled[basket]] = (row - top) * view.width + column
                baskets.filled[basket] += 1
                if baskets.filled[basket] == SIZE:
                    tiles = empty(baskets, basket, order, tiles)
    return tiles


@merged
def basket_of(view: ViewArrays, surface: int, boxes: int, t: float) -> int:
    """The basket of a surface at a depth: eight steps to each doubling, or steps of so many pixels."""
    step = int(t / (GRID * step_of(view))) if view.parallel else int(np.float32(t).view(np.int32)) >> 20
    if surface == 0:
        return step & (STEPS - 1)
    if surface > boxes:
        return STEPS + (step & (STEPS - 1))
    return 2 * STEPS + STEPS_OF_BOX * (surface - 1) + ((step >> 2) & (STEPS_OF_BOX - 1))


@merged
def empty(baskets: Baskets, basket: int, order: Shorts, tiles: int) -> int:
    """Make a tile of a basket; one that is not full is filled up with its last pixel."""
    count = baskets.filled[basket]
    for k in range(SIZE):
        order[tiles * SIZE + k] = baskets.waiting[basket, min(k, count - 1)]
    baskets.filled[basket] = 0
    return tiles + 1


@merged
def leave(baskets: Baskets, order: Shorts, tiles: int) -> int:
    """Make tiles of what still waits."""
    for basket in range(len(baskets.filled)):
        if baskets.filled[basket] > 0:
            tiles = empty(baskets, basket, order, tiles)
    return tiles
