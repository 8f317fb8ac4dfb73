"""Points of a tile left to the exact path: near to a lamp, where its table is steep, behind thin boxes and meshes.

Those near to a lamp, or where it is steep, are only marked by the kernel of the fast path. They are computed afterwards
by the one kernel of the exact path, so that each of the two is compiled without the other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import merged
from scenelux.engine.exact import light_some
from scenelux.engine.fast.stages import AZIMUTH_REST, LUX, POLAR_REST
from scenelux.engine.fast.tables import START, STOP, WIDTH
from scenelux.engine.fast.tiles import SIZE, TileArrays
from scenelux.engine.kernels import BoxArrays, LampArrays, chord
from scenelux.engine.rays import mesh_blocks

if TYPE_CHECKING:
    from scenelux.engine.fast.drive import FastLamps, Room

__all__ = ["MARK_BYTES", "Left", "left_over", "mark_near", "mark_steep", "shade_by_mesh", "shade_exactly"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]
Bits = NDArray[np.uint8]

MARK_BYTES = SIZE // 8
"""Marks of one lamp on one tile, a bit for each point."""

STEEP = 2
"""Flag of a steep cell; one beside it has 1."""

MARGIN = 1.0 / 128.0
"""How near to a cell a point may lie, in parts of its own cell, and yet belong to it."""


class Left(NamedTuple):
    """What is left to the exact path: lamps, points, and the illuminance of each lamp at its point [lx]."""

    lamp: NDArray[np.int64]
    point: Shorts
    lux: Floats


def left_over(marks: Bits, tiles: TileArrays, lamps: LampArrays, boxes: BoxArrays, threads: int | None) -> Left:
    """What bits (lamps, tiles, 32) mark among the points of the tiles, computed; lamp after lamp."""
    some = np.flatnonzero(marks.reshape(-1).view(np.uint64))
    at, bit = np.nonzero(np.unpackbits(marks.reshape(-1, 8)[some], axis=1, bitorder="little"))
    lamp, place = np.divmod(some[at] * 64 + bit, marks.shape[1] * SIZE)
    point = tiles.order[place]
    if len(point) == 0:
        return Left(lamp, point, np.empty(0))
    start = np.searchsorted(lamp, np.arange(len(marks) + 1))
    places = (tiles.points, tiles.normals, tiles.frame[2], tiles.plane)
    return Left(lamp, point, light_some(lamps, boxes, *places, point, start, threads))


@merged
def mark_near(points: Floats, position: Floats, limit: float, order: Shorts, rows: Singles, marks: Bits) -> None:
    """Leave the points that are not farther from a lamp than a limit to the exact path."""
    for k in range(len(order)):
        i = order[k]
        dx, dy, dz = points[i, 0] - position[0], points[i, 1] - position[1], points[i, 2] - position[2]
        if dx * dx + dy * dy + dz * dz <= limit * limit:
            mark(k, order, rows, marks)


@merged
def mark_steep(lamps: FastLamps, lamp: int, room: Room, order: Shorts, marks: Bits) -> None:
    """Leave the points that look where a lamp's table is steep to the exact path."""
    places = lamps.tables.places[lamps.exact.table[lamp]]
    steep = lamps.tables.steep[places[START] // 4 : places[STOP] // 4]
    for k in range(len(order)):
        flag = steep[room.cells[k] // 4]
        if flag > 0 and room.rows[LUX + k] > 0.0 and steep_here(steep, room.cells[k] // 4, places[WIDTH], room.rows, k):
            mark(k, order, room.rows, marks)


@merged
def mark(k: int, order: Shorts, rows: Singles, marks: Bits) -> None:
    """A point that fills up a tile by standing there once more is marked once."""
    rows[LUX + k] = 0.0
    if k == 0 or order[k] != order[k - 1]:
        marks[k >> 3] |= np.uint8(1 << (k & 7))


@merged
def steep_here(steep: NDArray[np.uint8], cell: int, width: int, rows: Singles, k: int) -> bool:
    """Whether point k of a tile, which looks into a cell, may look into a steep one."""
    if steep[cell] == STEEP:
        return True
    across = len(steep) // width
    azimuth, polar = cell // width, cell % width
    v, u = rows[POLAR_REST + k], rows[AZIMUTH_REST + k]
    below = max(polar - 1, 0) if v < MARGIN else polar
    above = min(polar + 1, width - 1) if v > 1.0 - MARGIN else polar
    before = (azimuth + across - 1) % across if u < MARGIN else azimuth
    after = (azimuth + 1) % across if u > 1.0 - MARGIN else azimuth
    return bool(
        steep[before * width + below] == STEEP or steep[before * width + above] == STEEP
        or steep[after * width + below] == STEEP or steep[after * width + above] == STEEP
    )  # fmt: skip


@merged
def shade_exactly(
    places: Floats, order: NDArray[np.int32], lamps: FastLamps, lamp: int, box: int, rows: Singles
) -> None:
    """The shadow of one box, point by point in double precision."""
    x, y, z = lamps.exact.position[lamp, 0], lamps.exact.position[lamp, 1], lamps.exact.position[lamp, 2]
    for k in range(len(order)):
        i = order[k]
        if chord(lamps.boxes, box, x, y, z, places[i, 0] - x, places[i, 1] - y, places[i, 2] - z):
            rows[LUX + k] = np.float32(0.0)


@merged
def shade_by_mesh(places: Floats, order: NDArray[np.int32], lamps: FastLamps, lamp: int, rows: Singles) -> None:
    """The shadow of the mesh on points that are lit up to here, ray by ray."""
    x, y, z = lamps.exact.position[lamp, 0], lamps.exact.position[lamp, 1], lamps.exact.position[lamp, 2]
    for k in range(len(order)):
        i = order[k]
        if rows[LUX + k] > np.float32(0.0) and mesh_blocks(
            lamps.boxes.mesh, x, y, z, places[i, 0], places[i, 1], places[i, 2]
        ):
            rows[LUX + k] = np.float32(0.0)
