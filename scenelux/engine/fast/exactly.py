"""Points of a tile left to the exact path: near to a lamp, where its table is steep, behind thin boxes and meshes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import merged
from scenelux.engine.exact import light_exactly
from scenelux.engine.fast.stages import AZIMUTH_REST, LUX, POLAR_REST
from scenelux.engine.fast.tables import START, STOP, WIDTH
from scenelux.engine.kernels import chord
from scenelux.engine.rays import mesh_blocks

if TYPE_CHECKING:
    from scenelux.engine.fast.drive import FastLamps, Outcome, Room
    from scenelux.engine.fast.tiles import TileArrays

__all__ = ["light_near", "light_steep", "shade_by_mesh", "shade_exactly"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

UNTOUCHED = -1.0

STEEP = 2
"""Flag of a steep cell; one beside it has 1."""

MARGIN = 1.0 / 128.0
"""How near to a cell a point may lie, in parts of its own cell, and yet belong to it."""


@merged
def light_near(
    tiles: TileArrays, lamps: FastLamps, lamp: int, limit: float, room: Room, order: NDArray[np.int32], out: Outcome
) -> None:
    """The points that are near a lamp, by the exact path."""
    room.near[:] = UNTOUCHED
    light_exactly(
        lamps.exact, lamps.boxes, lamp, tiles.points, tiles.normals, tiles.frame[2], tiles.plane, order, limit,
        room.near, room.stack,
    )  # fmt: skip
    for k in range(len(order)):
        if room.near[k] != UNTOUCHED:
            room.rows[LUX + k] = room.near[k]
            if out.kept:
                out.lux[lamp, order[k]] = room.near[k]


@merged
def light_steep(tiles: TileArrays, lamps: FastLamps, lamp: int, room: Room, order: NDArray[np.int32]) -> None:
    """The points that look where a lamp's table is steep, by the exact path."""
    places = lamps.tables.places[lamps.exact.table[lamp]]
    steep = lamps.tables.steep[places[START] // 4 : places[STOP] // 4]
    for k in range(len(order)):
        flag = steep[room.cells[k] // 4]
        if flag > 0 and room.rows[LUX + k] > 0.0 and steep_here(steep, room.cells[k] // 4, places[WIDTH], room.rows, k):
            light_exactly(
                lamps.exact, lamps.boxes, lamp, tiles.points, tiles.normals, tiles.frame[2], tiles.plane,
                order[k : k + 1], np.inf, room.near[k : k + 1], room.stack,
            )  # fmt: skip
            room.rows[LUX + k] = room.near[k]


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
