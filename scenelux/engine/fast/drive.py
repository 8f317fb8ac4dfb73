"""The door of the fast path: tiles, then lamps, then stages, with everything dark left out beforehand."""

from __future__ import annotations

from functools import lru_cache
from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.arrays import Blockers, Lamps
from scenelux.engine.cache import compiled, merged
from scenelux.engine.fast.boxes import shade
from scenelux.engine.fast.cull import (
    MISSED,
    PLACE,
    SHADED,
    SKIN,
    THIN,
    backwards,
    leave_out,
    meeting,
    noise_m,
    outside_cone,
    place_boxes,
)  # fmt: skip
from scenelux.engine.fast.exactly import (
    MARK_BYTES,
    Bits,
    Left,
    left_over,
    mark_near,
    mark_steep,
    shade_by_mesh,
    shade_exactly,
)  # fmt: skip
from scenelux.engine.fast.gather import next_turn
from scenelux.engine.fast.stages import (
    AZIMUTH,
    LUX,
    POLAR,
    SCRATCH_ROWS,
    TOTAL,
    add,
    cells,
    ends,
    geometry,
    intervals,
    light,
    receive,
    store,
)  # fmt: skip
from scenelux.engine.fast.tables import (
    ENDS,
    FIRST,
    KNOTS,
    START,
    STEEP,
    STEPS,
    STOP,
    UNEVEN,
    WIDTH,
    TableArrays,
    table_arrays,
)  # fmt: skip
from scenelux.engine.fast.tiles import HALF, HIGH, LOW, LOWEST, ROWS, SIZE, TileArrays, Tiles
from scenelux.engine.kernels import BoxArrays, LampArrays, box_arrays, lamp_arrays
from scenelux.engine.nearfield import FAR, FAR_GRAIN
from scenelux.engine.threads import together

__all__ = ["FARTHEST_M", "by_lamp", "summed"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

FARTHEST_M = 1e9
"""Coordinates beyond this do not fit the arithmetic of the fast path: such a lamp is near to all points."""

AHEAD = 16
"""So many times as much is done here in the time after which threads are worth it for the exact path."""

CLOSE = 0.5
"""Points nearer to a lamp than this part of their tile's radius are left to the exact path, to keep their digits."""

TURN, MOVE, AWAY, LEVEL, BOX = 0, 9, 12, 15, 23
"""Numbers of a tile and a lamp: axes of the table, the tile's centre in them and in the site's, level axes with the
centre along them, and then the numbers of one box: its axes, the tile's centre from the lamp, the lamp, half sizes."""

PLANE = 0  # Plane.PLANE, as the kernels take it


class FastLamps(NamedTuple):
    """What the fast path asks of lamps and boxes: how far each lamp is near, axis, cosine and sine of the cone of its
    light (L, 5) and of the steep parts of its table, each lamp in the axes of each box (L, B, 3), ends of the level
    boxes around all boxes (3, B)."""

    near: Floats
    cone: Floats
    steep: Floats
    from_box: Floats
    low: Floats
    high: Floats
    tables: TableArrays
    exact: LampArrays
    boxes: BoxArrays


class Room(NamedTuple):
    """Scratch memory of one thread; small enough to stay in the nearest cache."""

    rows: Singles
    cells: NDArray[np.int32]
    pair: Singles
    seen: Floats
    kinds: NDArray[np.int64]


class Outcome(NamedTuple):
    """Where results go: lamp by lamp (L, n), or their sum at given levels in one row (1, n); and marks (L, T, 32) of
    what is left to the exact path."""

    kept: bool
    levels: Singles
    lux: Floats
    marks: Bits


def by_lamp(
    lamps: Lamps, blockers: Blockers, tiles: Tiles, *, threads: int | None = None, culling: bool = True
) -> Floats:
    """Initial illuminance of every lamp at full output, on receivers made ready before.

    Parameters
    ----------
    lamps, blockers : what shines and what stands in the way, site frame.
    tiles : receivers, from `tiled`; points farther than 1e9 m from the origin do not fit.
    threads : tiles are shared out among so many threads; all processors unless stated. Results do not depend on it.
    culling : leave out beforehand what is dark or cannot stand in the way. Results do not depend on it.

    Returns
    -------
    (L, n) [lx], as `illuminance` with precision "fast".
    """
    lux = np.zeros((len(lamps), len(tiles)))
    some = _run(lamps, blockers, tiles, True, np.ones(len(lamps)), lux, threads, culling)
    lux[some.lamp, some.point] = some.lux
    return lux


def summed(
    lamps: Lamps, blockers: Blockers, tiles: Tiles, levels: Floats, *, threads: int | None = None, culling: bool = True
) -> Floats:
    """Illuminance of all lamps together at their levels, on receivers made ready before.

    Parameters
    ----------
    lamps, blockers, tiles, threads, culling : as in `by_lamp`.
    levels : (L,), 1 is full output; a lamp at level 0 counts for nothing, even where its own value is nan.

    Returns
    -------
    (n,) [lx], as `illuminance_sum` with precision "fast".
    """
    lux = np.empty((1, len(tiles)))
    some = _run(lamps, blockers, tiles, False, levels, lux, threads, culling)
    total: Floats = lux[0]
    np.add.at(total, some.point, levels[some.lamp] * some.lux)
    return total


def _run(
    lamps: Lamps, blockers: Blockers, tiles: Tiles, kept: bool, levels: Floats, lux: Floats, threads: int | None,
    culling: bool,
) -> Left:  # fmt: skip
    """Fill in what the fast path can; the rest comes back from the exact path."""
    fast, a = _fast_lamps(lamps, blockers), tiles.arrays
    out = Outcome(kept, levels.astype(np.float32), lux, np.zeros((len(lamps), tiles.count, MARK_BYTES), np.uint8))
    turns, boxes, work = np.zeros(1, np.int64), len(blockers), len(tiles) * len(lamps)
    together(lambda: _light_tiles(a, fast, out, culling, turns, _room(boxes)), work // AHEAD, threads)
    return left_over(out.marks, a, fast.exact, fast.boxes, threads)


@lru_cache(maxsize=4)
def _fast_lamps(lamps: Lamps, blockers: Blockers) -> FastLamps:
    away = lamps.position_m[:, None, :] - blockers.centre_m
    tables, cones = table_arrays(lamps.tables)
    lit, steep = (_turned(lamps, part) for part in (cones[:, :5], cones[:, 5:]))
    diagonal = np.hypot(lamps.opening_m[:, 0], lamps.opening_m[:, 1])
    near = diagonal / np.minimum(FAR, FAR_GRAIN * lamps.tables.grain_rad[lamps.table]) * (1.0 + 1e-9)
    reach = np.einsum("bij,bi->bj", np.abs(blockers.axes), blockers.half_m)
    return FastLamps(
        np.where(np.abs(lamps.position_m).max(axis=1) < FARTHEST_M, near, np.inf),
        lit, steep,
        np.einsum("bij,lbj->lbi", blockers.axes, away),
        np.ascontiguousarray((blockers.centre_m - reach).T), np.ascontiguousarray((blockers.centre_m + reach).T),
        tables, lamp_arrays(lamps), box_arrays(blockers),
    )  # fmt: skip


def _turned(lamps: Lamps, cones: Floats) -> Floats:
    """Cones of the tables (T, 5), turned with the lamps (L, 5)."""
    axes = np.einsum("lij,li->lj", lamps.axes, cones[lamps.table, :3])
    return np.concatenate((axes, cones[lamps.table, 3:]), axis=1)


def _room(boxes: int) -> Room:
    return Room(
        np.zeros(SCRATCH_ROWS * SIZE, np.float32), np.zeros(SIZE, np.int32), np.zeros(BOX + 18, np.float32),
        np.zeros((boxes, 8)), np.zeros(boxes, np.int64),
    )  # fmt: skip


@compiled
def _light_tiles(
    tiles: TileArrays, lamps: FastLamps, out: Outcome, culling: bool, turns: NDArray[np.int64], room: Room
) -> None:
    """All lamps on one tile after another, those that nobody else has taken."""
    position = lamps.exact.position
    while True:
        tile = next_turn(turns)
        if tile >= len(tiles.bounds):
            return
        points = tiles.rows[tile * ROWS * SIZE : (tile + 1) * ROWS * SIZE]
        order = tiles.order[tile * SIZE : min((tile + 1) * SIZE, len(tiles.order))]
        bounds = tiles.bounds[tile]
        half = bounds[HALF:LOW]
        place_boxes(bounds, lamps.boxes.centre, lamps.boxes.half, lamps.boxes.axes, room.seen)
        room.rows[TOTAL : TOTAL + SIZE] = np.float32(0.0)
        for lamp in range(len(position)):
            if out.levels[lamp] == np.float32(0.0):
                continue
            x, y, z = bounds[0] - position[lamp, 0], bounds[1] - position[lamp, 1], bounds[2] - position[lamp, 2]
            limit = near_limit(half, lamps.near[lamp])
            near = nearest(half, x, y, z) <= limit
            skip = culling and not near
            if skip and dark(bounds, tiles.plane, lamps.cone[lamp], x, y, z):
                continue
            if judge_boxes(bounds, lamps, lamp, room, skip):
                continue
            light_tile(points, tiles.frame, tiles.plane, lamps, lamp, x, y, z, room)
            shade_tile(points, tiles.points, order, lamps, lamp, room, skip)
            if lamps.tables.places[lamps.exact.table[lamp], STEEP] and not (
                skip and outside(half, lamps.steep[lamp], x, y, z)
            ):
                mark_steep(lamps, lamp, room, order, out.marks[lamp, tile])
            if near:
                mark_near(tiles.points, position[lamp], limit, order, room.rows, out.marks[lamp, tile])
            if out.kept:
                store(room.rows[LUX : LUX + SIZE], order, out.lux[lamp])
            else:
                add(room.rows, out.levels[lamp])
        if not out.kept:
            store(room.rows[TOTAL : TOTAL + SIZE], order, out.lux[0])


@merged
def near_limit(half: Floats, near: float) -> float:
    """Distance [m] up to which a lamp's points in this tile are left to the exact path."""
    return max(near, CLOSE * sqrt(half[0] * half[0] + half[1] * half[1] + half[2] * half[2]))


@merged
def nearest(half: Floats, x: float, y: float, z: float) -> float:
    """Least distance [m] from a lamp to the box around a tile."""
    dx, dy, dz = max(0.0, abs(x) - half[0]), max(0.0, abs(y) - half[1]), max(0.0, abs(z) - half[2])
    return sqrt(dx * dx + dy * dy + dz * dz)


@merged
def dark(bounds: Floats, plane: int, cone: Floats, x: float, y: float, z: float) -> bool:
    """Whether a tile looks away from a lamp or lies outside the cone of its light."""
    noise = noise_m(bounds[HALF:LOW], x, y, z)
    if plane == PLANE and backwards(bounds[LOW:HIGH], bounds[HIGH:LOWEST], bounds[LOWEST], x, y, z, noise):
        return True
    return outside(bounds[HALF:LOW], cone, x, y, z)


@merged
def outside(half: Floats, cone: Floats, x: float, y: float, z: float) -> bool:
    """Whether a tile lies outside a cone."""
    return outside_cone(half, x, y, z, cone[0:3], cone[3], cone[4], noise_m(half, x, y, z))


@merged
def judge_boxes(bounds: Floats, lamps: FastLamps, lamp: int, room: Room, skip: bool) -> bool:
    """How each box stands to the shaft from a lamp to a tile; true as soon as one hides the whole tile."""
    boxes = lamps.boxes
    if skip:
        leave_out(bounds, lamps.exact.position[lamp], lamps.low, lamps.high, room.kinds)
    for box in range(len(boxes.half)):
        if skip and room.kinds[box] == MISSED:
            continue
        kind = meeting(bounds[HALF:LOW], boxes.half[box], boxes.axes[box], room.seen[box], lamps.from_box[lamp, box])
        if skip and kind == SHADED:
            return True
        room.kinds[box] = kind
    return False


@merged
def light_tile(
    points: Singles, frame: Floats, plane: int, lamps: FastLamps, lamp: int, x: float, y: float, z: float, room: Room
) -> None:
    """One lamp on one tile as if nothing stood between: geometry, place in the table, receiver, look-up."""
    rows, pair, tables, axes = room.rows, room.pair, lamps.tables, lamps.exact.axes
    for i in range(3):
        pair[MOVE + i] = axes[lamp, i, 0] * x + axes[lamp, i, 1] * y + axes[lamp, i, 2] * z
        for j in range(3):
            pair[TURN + 3 * i + j] = axes[lamp, i, j]
    for i in range(2):
        pair[LEVEL + 4 * i + 3] = frame[i, 0] * x + frame[i, 1] * y + frame[i, 2] * z
        for j in range(3):
            pair[LEVEL + 4 * i + j] = frame[i, j]
    pair[AWAY], pair[AWAY + 1], pair[AWAY + 2] = x, y, z
    table = lamps.exact.table[lamp]
    numbers, places = tables.numbers[table], tables.places[table]
    geometry(points, rows, pair[TURN:MOVE], pair[MOVE:AWAY], numbers)
    if places[ENDS]:
        ends(rows, numbers)
    if places[UNEVEN]:
        intervals(rows, POLAR, tables.first[places[FIRST] :], tables.knots[places[KNOTS] :], places[STEPS])
        intervals(
            rows, AZIMUTH, tables.first[places[FIRST + 1] :], tables.knots[places[KNOTS + 1] :], places[STEPS + 1]
        )
    receive(points, rows, pair[AWAY:LEVEL], pair[LEVEL:BOX], plane)
    cells(rows, room.cells, places[WIDTH])
    light(rows, room.cells, tables.corners[places[START] : places[STOP]])


@merged
def shade_tile(
    points: Singles, places: Floats, order: NDArray[np.int32], lamps: FastLamps, lamp: int, room: Room, skip: bool
) -> None:
    """Shadows of the boxes that may touch the shaft; of one too thin for single precision, point by point."""
    boxes, b = lamps.boxes, room.pair[BOX:]
    for box in range(len(boxes.half)):
        if room.kinds[box] == THIN:
            shade_exactly(places, order, lamps, lamp, box, room.rows)
        elif not skip or room.kinds[box] != MISSED:
            for i in range(3):
                origin = lamps.from_box[lamp, box, i]
                b[9 + i], b[12 + i] = room.seen[box, PLACE + i] - origin, origin
                b[15 + i] = boxes.half[box, i] - room.seen[box, SKIN]
                for j in range(3):
                    b[3 * i + j] = boxes.axes[box, i, j]
            shade(points, room.rows, b)
    if len(boxes.mesh.children) > 0:
        shade_by_mesh(places, order, lamps, lamp, room.rows)
