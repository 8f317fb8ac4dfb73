"""The same sum as others write it: numpy plain and by an expert, and a straightforward kernel of numba.

They take the cases of this suite: points on the ground that look up, tables of 73 x 181 intensities in even steps.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from math import acos, atan2, pi, sqrt
from typing import NamedTuple

import numba
import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers
from tests.speed.cases import Case

__all__ = ["chunked_numpy", "expert_numpy", "plain_numba", "plain_numpy"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
single = np.float32

COLUMNS, ROWS = 73, 181
SKIN_M = 1e-6
"""Boxes are smaller by so much on every side, as the engine's are."""


def plain_numpy(case: Case) -> Floats:
    """The formula as one writes it with whole arrays: one lamp at a time over all points, float64."""
    lamps, blockers, points = case
    total = np.zeros(len(points))
    for position, axes, table in zip(lamps.position_m, lamps.axes, lamps.table, strict=True):
        away = points - position
        square = (away * away).sum(axis=1)
        turned = away @ axes.T
        azimuth = np.degrees(np.arctan2(turned[:, 1], turned[:, 0])) % 360.0
        polar = np.degrees(np.arctan2(np.hypot(turned[:, 0], turned[:, 1]), turned[:, 2]))
        cosine = np.clip(-away[:, 2] / np.sqrt(square), 0.0, None)
        light = _between(_tables(case)[table], azimuth, polar)
        total += light * cosine / square * ~_behind_boxes(blockers, position, away)
    return total


def _tables(case: Case) -> Floats:
    return case.lamps.tables.candela.reshape(-1, COLUMNS, ROWS)


def _between(candela: Floats, azimuth: Floats, polar: Floats) -> Floats:
    """Bilinear look-up of whole arrays."""
    azimuths, polars = np.linspace(0.0, 360.0, COLUMNS), np.linspace(0.0, 180.0, ROWS)
    i = np.clip(np.searchsorted(azimuths, azimuth, side="right") - 1, 0, COLUMNS - 2)
    j = np.clip(np.searchsorted(polars, polar, side="right") - 1, 0, ROWS - 2)
    u = (azimuth - azimuths[i]) / (azimuths[i + 1] - azimuths[i])
    v = (polar - polars[j]) / (polars[j + 1] - polars[j])
    near = (1 - v) * candela[i, j] + v * candela[i, j + 1]
    return (1 - u) * near + u * ((1 - v) * candela[i + 1, j] + v * candela[i + 1, j + 1])


def _behind_boxes(blockers: Blockers, position: Floats, away: Floats) -> NDArray[np.bool_]:
    """Slab test of whole arrays against every box."""
    hidden = np.zeros(len(away), dtype=np.bool_)
    for centre, half, axes in zip(blockers.centre_m, blockers.half_m, blockers.axes, strict=True):
        start, step = axes @ (position - centre), away @ axes.T
        with np.errstate(divide="ignore"):
            one, two = (SKIN_M - half - start) / step, (half - SKIN_M - start) / step
        enter, leave = np.minimum(one, two).max(axis=1), np.maximum(one, two).min(axis=1)
        hidden |= np.maximum(enter, 0.0) < np.minimum(leave, 1.0)
    return hidden


SMALL_CHUNK = 8192
"""Points at a time, the fastest for whole arrays in chunks."""


def chunked_numpy(case: Case) -> Singles:
    """The same sum by somebody who writes numpy well: one array a coordinate, single precision, chunks that stay in the
    cache, even tables looked up without a search, boxes only for points that are lit."""
    total = np.zeros(len(case.points), single)
    rows, tables = np.ascontiguousarray(case.points.T, single), _tables(case).astype(single)
    with np.errstate(divide="ignore", invalid="ignore"):
        for first in range(0, len(case.points), SMALL_CHUNK):
            points, out = rows[:, first : first + SMALL_CHUNK], total[first : first + SMALL_CHUNK]
            for lamp, table in enumerate(case.lamps.table):
                _add_chunk(case, lamp, tables[table].ravel(), points, out)
    return total


def _add_chunk(case: Case, lamp: int, table: Singles, points: Singles, out: Singles) -> None:
    dx, dy, dz = (row - place for row, place in zip(points, case.lamps.position_m[lamp].astype(single), strict=True))
    square = dx * dx + dy * dy + dz * dz
    factor = np.maximum(-dz, single(0)) / (square * np.sqrt(square))
    u, v, w = (a * dx + b * dy + c * dz for a, b, c in case.lamps.axes[lamp].astype(single))
    around = np.arctan2(v, u)
    around = np.where(around < 0, around + single(2 * np.pi), around) * single((COLUMNS - 1) / (2 * np.pi))
    down = np.arctan2(np.sqrt(u * u + v * v), w) * single((ROWS - 1) / np.pi)
    column, row = np.minimum(around.astype(np.int32), COLUMNS - 2), np.minimum(down.astype(np.int32), ROWS - 2)
    around -= column
    down -= row
    at = column * ROWS + row
    near = table.take(at) * (1 - down) + table.take(at + 1) * down
    far = table.take(at + ROWS) * (1 - down) + table.take(at + ROWS + 1) * down
    light = (near + (far - near) * around) * factor
    lit = np.flatnonzero(light > 0)
    dx, dy, dz, hidden = dx[lit], dy[lit], dz[lit], np.zeros(len(lit), dtype=np.bool_)
    for centre, half, axes in zip(case.blockers.centre_m, case.blockers.half_m, case.blockers.axes, strict=True):
        start = (axes @ (case.lamps.position_m[lamp] - centre)).astype(single)
        enter, leave = single(0), single(1)
        for axis in range(3):
            a, b, c = axes[axis].astype(single)
            slope = single(1) / (a * dx + b * dy + c * dz)
            middle, reach = -start[axis] * slope, single(half[axis] - SKIN_M) * np.abs(slope)
            enter, leave = np.maximum(enter, middle - reach), np.minimum(leave, middle + reach)
        hidden |= enter < leave
    light[lit] *= ~hidden
    out += light


CHUNK = 24_000
"""Points at a time, the fastest for the expert on both cases."""


class Ready(NamedTuple):
    """What the expert makes of lamps and boxes once: cells of each table with their four corners, cosine of the angle
    beyond which each is dark, boxes seen from each lamp, and the level boxes around them."""

    position: Singles
    axes: Singles
    cells: list[Singles]
    edge: Singles
    box_axes: Singles
    box_half: Singles
    from_lamp: Singles
    low: Floats
    high: Floats


def expert_numpy(case: Case, culling: bool) -> Singles:
    """The same sum by somebody who knows numpy and the ways of the fast path: the four corners of a cell in one piece,
    arrays that are written in place, and chunks.

    With culling, angles too are only for points within a lamp's light, and boxes only where they may reach a chunk.
    """
    ready = _ready(case)
    total = np.zeros(len(case.points), single)
    rows = np.ascontiguousarray(case.points.T, single)
    with np.errstate(divide="ignore", invalid="ignore"):
        for first in range(0, len(case.points), CHUNK):
            points, out = rows[:, first : first + CHUNK], total[first : first + CHUNK]
            low, high = points.min(axis=1), points.max(axis=1)
            for lamp, table in enumerate(case.lamps.table):
                seen = np.flatnonzero(
                    (ready.low <= np.maximum(high, case.lamps.position_m[lamp])).all(axis=1)
                    & (ready.high >= np.minimum(low, case.lamps.position_m[lamp])).all(axis=1)
                )
                _add_lamp(ready, lamp, int(table), points, seen, out, culling)
    return total


def _ready(case: Case) -> Ready:
    lamps, blockers, _ = case
    reach = np.einsum("bij,bi->bj", np.abs(blockers.axes), blockers.half_m)
    away = blockers.centre_m - lamps.position_m[:, None]
    tables = _tables(case)
    last = np.array([np.flatnonzero(table.any(axis=0))[-1] for table in tables])
    return Ready(
        lamps.position_m.astype(single), lamps.axes.astype(single),
        [np.stack((t[:-1, :-1], t[:-1, 1:], t[1:, :-1], t[1:, 1:]), axis=-1).reshape(-1, 4).astype(single)
         for t in tables],
        np.cos(np.radians(np.minimum(last + 1.0, 180.0))).astype(single) - single(1e-6),
        blockers.axes.astype(single), (blockers.half_m - SKIN_M).astype(single),
        np.einsum("bij,lbj->lbi", blockers.axes, away).astype(single),
        blockers.centre_m - reach, blockers.centre_m + reach,
    )  # fmt: skip


def _add_lamp(
    ready: Ready, lamp: int, table: int, points: Singles, seen: NDArray[np.intp], out: Singles, culling: bool
) -> None:
    """The light of one lamp on one chunk."""
    away = points - ready.position[lamp][:, None]
    square = np.einsum("in,in->n", away, away)
    distance = np.sqrt(square)
    lit: NDArray[np.intp] | slice = slice(None)
    if culling:
        inside = (ready.axes[lamp, 2] @ away > ready.edge[table] * distance) & (away[2] < 0)
        if not inside.any():
            return
        if not inside.all():
            lit = np.flatnonzero(inside)
            away, square, distance = away.take(lit, axis=1), square.take(lit), distance.take(lit)
    light = _look_up(ready.cells[table], ready.axes[lamp] @ away)
    light *= np.maximum(-away[2], 0)
    light /= square * distance
    if not culling:
        lit, seen = np.flatnonzero(light), np.arange(len(ready.box_half))
        away, light = away.take(lit, axis=1), light.take(lit)
    for box in seen:
        light *= _clear(away, ready.box_axes[box], ready.box_half[box], ready.from_lamp[lamp, box])
    out[lit] += light


def _look_up(cells: Singles, turned: Singles) -> Singles:
    u, v, w = turned
    around = np.arctan2(v, u)
    around *= single((COLUMNS - 1) / (2 * np.pi))
    around += (around < 0) * single(COLUMNS - 1)
    down = np.arctan2(np.sqrt(u * u + v * v), w)
    down *= single((ROWS - 1) / np.pi)
    column = np.minimum(around.astype(np.int32), COLUMNS - 2)
    row = np.minimum(down.astype(np.int32), ROWS - 2)
    around -= column
    down -= row
    column *= ROWS - 1
    column += row
    one, two, three, four = cells.take(column, axis=0, mode="clip").T
    near: Singles = three - one
    light: Singles = four - two
    near *= around
    near += one
    light *= around
    light += two
    light -= near
    light *= down
    light += near
    return light


def _clear(away: Singles, axes: Singles, half: Singles, centre: Singles) -> NDArray[np.bool_]:
    """Which points one box does not hide; slabs in place."""
    reach = axes @ away
    np.reciprocal(reach, out=reach)
    middle = reach * centre[:, None]
    np.abs(reach, out=reach)
    reach *= half[:, None]
    first = middle - reach
    middle += reach
    enter = np.maximum(np.maximum(first[0], first[1]), first[2])
    leave = np.minimum(np.minimum(middle[0], middle[1]), middle[2])
    clear: NDArray[np.bool_] = np.maximum(enter, single(0)) >= np.minimum(leave, single(1))
    return clear


def _light_points(
    position: Floats, axes: Floats, table: NDArray[np.int64], candela: Floats, centre: Floats, half: Floats,
    box_axes: Floats, points: Floats, first: int, last: int, lux: Floats,
) -> None:  # fmt: skip
    """Points, lamps, boxes: three loops, angles from the library, out as soon as something is dark."""
    for p in range(first, last):
        total = 0.0
        for k in range(len(position)):
            x, y, z = points[p, 0] - position[k, 0], points[p, 1] - position[k, 1], points[p, 2] - position[k, 2]
            if z >= 0.0:
                continue
            square = x * x + y * y + z * z
            distance = sqrt(square)
            u = axes[k, 0, 0] * x + axes[k, 0, 1] * y + axes[k, 0, 2] * z
            v = axes[k, 1, 0] * x + axes[k, 1, 1] * y + axes[k, 1, 2] * z
            w = axes[k, 2, 0] * x + axes[k, 2, 1] * y + axes[k, 2, 2] * z
            azimuth = atan2(v, u)
            if azimuth < 0.0:
                azimuth += 2.0 * pi
            a = azimuth * (72 / (2.0 * pi))
            b = acos(max(-1.0, min(1.0, w / distance))) * (180 / pi)
            i, j = min(int(a), 71), min(int(b), 179)
            a -= i
            b -= j
            t = table[k]
            near = candela[t, i, j] * (1.0 - b) + candela[t, i, j + 1] * b
            far = candela[t, i + 1, j] * (1.0 - b) + candela[t, i + 1, j + 1] * b
            light = near * (1.0 - a) + far * a
            if light <= 0.0:
                continue
            for box in range(len(centre)):
                enter, leave = 0.0, 1.0
                dx, dy, dz = (
                    position[k, 0] - centre[box, 0],
                    position[k, 1] - centre[box, 1],
                    position[k, 2] - centre[box, 2],
                )
                for axis in range(3):
                    start = box_axes[box, axis, 0] * dx + box_axes[box, axis, 1] * dy + box_axes[box, axis, 2] * dz
                    step = box_axes[box, axis, 0] * x + box_axes[box, axis, 1] * y + box_axes[box, axis, 2] * z
                    reach = half[box, axis]
                    if abs(step) < 1e-12:
                        if abs(start) > reach:
                            leave = -1.0
                        continue
                    one, two = (-reach - start) / step, (reach - start) / step
                    enter, leave = max(enter, min(one, two)), min(leave, max(one, two))
                if enter < leave:
                    light = 0.0
                    break
            total += light * -z / (square * distance)
        lux[p] = total


KERNELS = {
    False: numba.njit(nogil=True)(_light_points),
    True: numba.njit(nogil=True, fastmath=True)(_light_points),
}
BLOCKS = 16


def plain_numba(case: Case, threads: int, fastmath: bool) -> Floats:
    """The sum by a kernel as one writes it first, float64, with blocks of points shared out among threads."""
    lamps, blockers, points = case
    lux = np.empty(len(points))
    kernel: Callable[..., None] = KERNELS[fastmath]
    edges = np.linspace(0, len(points), BLOCKS + 1).astype(int).tolist()
    fixed = (lamps.position_m, lamps.axes, lamps.table, _tables(case), blockers.centre_m, blockers.half_m - SKIN_M,
             blockers.axes, points)  # fmt: skip

    def fill(block: int) -> None:
        kernel(*fixed, edges[block], edges[block + 1], lux)

    if threads == 1:
        kernel(*fixed, 0, len(points), lux)
    else:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(fill, range(BLOCKS)))
    return lux
