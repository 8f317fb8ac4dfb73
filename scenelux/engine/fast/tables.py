"""Intensity tables made ready for one look-up a point: the four corners of every cell side by side, over the sphere.

Both angles are counted in bins, a whole number of them to a right angle, so that the place inside a bin keeps its
digits. Where the listed angles fit on a grid of bins, each bin is a cell. Where not, a bin says in which interval
between listed angles it starts. What lies outside the table is cells of zeros.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce
from math import gcd
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.fast.cones import Cone, lit_cone
from scenelux.engine.fast.steep import steep_cells
from scenelux.engine.tables import Tables

__all__ = [
    "AZIMUTH_ENDS",
    "ENDS",
    "FIRST",
    "KNOTS",
    "LAST",
    "MIDDLE",
    "POLAR_ENDS",
    "POLE",
    "QUARTER",
    "SCALE",
    "START",
    "STEEP",
    "STEPS",
    "STOP",
    "UNEVEN",
    "WIDTH",
    "FastTable",
    "TableArrays",
    "fast_table",
    "table_arrays",
]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]

MICRO, DECIMALS = 1_000_000, 6
"""Angles that are whole millionths of a degree may lie on a grid; others never do."""

FILLED, SMALL_CELLS = 4, 20_000
"""A grid may have so many times the cells that are listed, or so many cells."""

MOST_BINS = 1024
"""Most bins to a right angle where listed angles do not fit on a grid."""

END_DEG = 2e-5
"""How far beyond an end angle a direction still belongs to the table: the noise of single precision."""

DARK_CD = 1e-20
"""Less is no light; it would only slow the processor down."""


@dataclass(frozen=True)
class Axis:
    """One of the two angles of a table: bins, and where its listed angles lie among them."""

    quarter: int
    knots: Floats  # places in bins where intervals start, from 0 to the whole turn
    first: Shorts  # interval in which each bin starts
    steps: int  # most knots inside a bin
    lit: tuple[int, int]  # first interval of the table and the one after its last
    ends: tuple[float, ...]  # the end angles in bins
    nodes: Floats  # the angles [deg] at the ends of the intervals of the table


@dataclass(frozen=True, eq=False)
class FastTable:
    """One table: corners (azimuth, polar, 4) of all cells, which of them are steep (2) or beside such a one (1), its
    axes, whether its ends need care, the cone of its light, and that of its steep cells and those beside them."""

    corners: Singles
    steep: NDArray[np.uint8]
    polar: Axis
    azimuth: Axis
    uneven: bool
    ends: bool
    cone: Cone
    steep_cone: Cone


def fast_table(azimuth_deg: Floats, polar_deg: Floats, candela: Floats) -> FastTable:
    """The table made ready; the same content is made ready once."""
    return _fast_table(azimuth_deg.tobytes(), polar_deg.tobytes(), candela.tobytes())


@lru_cache(maxsize=128)
def _fast_table(azimuth_bytes: bytes, polar_bytes: bytes, candela_bytes: bytes) -> FastTable:
    azimuth, polar = _ends_snapped(azimuth_bytes, 360.0), _ends_snapped(polar_bytes, 180.0)
    candela = np.frombuffer(candela_bytes).reshape(len(azimuth), len(polar))
    candela = np.where(candela < DARK_CD, 0.0, candela)
    quarters = _quarter(polar), _quarter(azimuth)
    cells = 8 * (quarters[0] or MICRO) * (quarters[1] or MICRO)
    even = cells <= max(FILLED * candela.size, SMALL_CELLS)
    if even:  # Written alike, a listed angle and its grid line are the same number, and dark cells stay dark.
        azimuth, polar = np.round(azimuth, DECIMALS), np.round(polar, DECIMALS)
    up, around = (_even if even else _uneven)(polar, 180.0), (_even if even else _uneven)(azimuth, 360.0)
    steep = steep_cells(azimuth, polar, candela)
    placed = _placed(steep[np.ix_(_listed(around, azimuth), _listed(up, polar))], up, around)
    return FastTable(
        _corners(azimuth, polar, candela, up, around), placed, up, around, not even,
        _ends_matter(azimuth, polar, candela), lit_cone(azimuth, polar, candela),
        lit_cone(azimuth, polar, _touching(steep)),
    )  # fmt: skip


def _ends_snapped(data: bytes, turn: float) -> Floats:
    angles = np.frombuffer(data).copy()
    angles[0], angles[-1] = max(angles[0], 0.0), min(angles[-1], turn)
    return angles


def _quarter(angles: Floats) -> int | None:
    """How many equal bins a right angle needs so that all angles lie between bins; none if no sensible number does."""
    whole = np.rint(angles * MICRO).astype(np.int64)
    if np.abs(angles * MICRO - whole).max() > 1e-3:
        return None
    return 90 * MICRO // reduce(gcd, whole.tolist(), 90 * MICRO)


def _even(angles: Floats, turn: float) -> Axis:
    """Bins that are cells."""
    quarter = _quarter(angles) or 1
    knots = np.arange(round(turn / 90.0) * quarter + 1, dtype=np.float64)
    low, high = np.rint(angles[[0, -1]] * quarter / 90.0).astype(int).tolist()
    nodes = np.round(knots[low : high + 1] * (90.0 / quarter), DECIMALS)
    return Axis(quarter, knots, knots[:-1].astype(np.int32), 0, (low, high), (float(low), float(high)), nodes)


def _uneven(angles: Floats, turn: float) -> Axis:
    """Bins about as wide as the narrowest interval, and for each the interval in which it starts."""
    quarter = int(min(MOST_BINS, np.ceil(90.0 / np.diff(angles).min())))
    before, after = [0.0] if angles[0] > 0.0 else [], [turn] if angles[-1] < turn else []
    knots = np.concatenate((before, angles, after)) * (quarter / 90.0)
    edges = np.arange(round(turn / 90.0) * quarter + 1, dtype=np.float64)
    places = np.searchsorted(knots, edges, side="right") - 1
    first = np.minimum(places[:-1], len(knots) - 2)
    steps = int((np.searchsorted(knots, edges[1:], side="left") - 1 - places[:-1]).max(initial=0))
    start = len(before)
    lit = (start, start + len(angles) - 1)
    ends = float(knots[start]), float(knots[lit[1]])
    return Axis(quarter, knots, first.astype(np.int32), steps, lit, ends, angles)


def _corners(azimuth: Floats, polar: Floats, candela: Floats, up: Axis, around: Axis) -> Singles:
    """The four corners of all cells: (azimuth, polar), (azimuth, next polar), then the same of the next azimuth."""
    rows = np.stack([np.interp(up.nodes, polar, row) for row in candela])
    nodes = np.stack([np.interp(around.nodes, azimuth, column) for column in rows.T], axis=1)
    corners = np.zeros((len(around.knots) - 1, len(up.knots) - 1, 4), dtype=np.float32)
    inside = corners[around.lit[0] : around.lit[1], up.lit[0] : up.lit[1]]
    inside[..., 0], inside[..., 1] = nodes[:-1, :-1], nodes[:-1, 1:]
    inside[..., 2], inside[..., 3] = nodes[1:, :-1], nodes[1:, 1:]
    return corners


def _listed(axis: Axis, angles: Floats) -> NDArray[np.int64]:
    """The listed interval in which each interval of the table's bins lies."""
    middles = 0.5 * (axis.nodes[:-1] + axis.nodes[1:])
    places: NDArray[np.int64] = np.searchsorted(angles, middles, side="right") - 1
    return places


def _placed(steep: NDArray[np.bool_], up: Axis, around: Axis) -> NDArray[np.uint8]:
    """Flags of the table's cells among those of the whole sphere: 2 a steep cell, 1 one beside such a cell."""
    cells = np.zeros((len(around.knots) - 1, len(up.knots) - 1), dtype=np.bool_)
    cells[around.lit[0] : around.lit[1], up.lit[0] : up.lit[1]] = steep
    beside = cells | np.roll(cells, 1, axis=0) | np.roll(cells, -1, axis=0)
    beside[:, 1:], beside[:, :-1] = beside[:, 1:] | beside[:, :-1], beside[:, :-1] | beside[:, 1:]
    found: NDArray[np.uint8] = beside.astype(np.uint8) + cells
    return found


def _touching(steep: NDArray[np.bool_]) -> Floats:
    """1 at the listed directions at which a steep cell ends, so that whatever lies beside one is lit as well."""
    ends = np.zeros((steep.shape[0] + 1, steep.shape[1] + 1))
    for place in (np.s_[:-1, :-1], np.s_[:-1, 1:], np.s_[1:, :-1], np.s_[1:, 1:]):
        ends[place] += steep
    ends[0] = ends[-1] = ends[0] + ends[-1]  # The circle closes.
    return ends


def _ends_matter(azimuth: Floats, polar: Floats, candela: Floats) -> bool:
    """Whether light falls off a cliff at an end angle, or a pole has no azimuth of its own."""
    closed = azimuth[0] <= 0.0 and azimuth[-1] >= 360.0
    cliff = (polar[0] > 0.0 and candela[:, 0].any()) or (polar[-1] < 180.0 and candela[:, -1].any())
    return bool(cliff or not closed)


SCALE, QUARTER, LAST, POLAR_ENDS, AZIMUTH_ENDS, POLE, MIDDLE = 0, 2, 4, 6, 14, 22, 23
"""Numbers of a table: bins to a radian and to a right angle, the last bin (polar, azimuth); for each axis its ends:
lower and upper end, a place just inside the upper one, tolerance and whole turn; the far pole; the azimuth that stands
for a pole. Places are in bins, as a whole number and a rest."""

START, STOP, WIDTH, UNEVEN, ENDS, STEEP, FIRST, KNOTS, STEPS = 0, 1, 2, 3, 4, 5, 6, 8, 10
"""Places of a table: where its corners start and stop, polar cells to an azimuth, whether bins are not cells, whether
ends matter, whether any cell is steep, where bins and knots of each axis start, and how many knots a bin may hold."""


class TableArrays(NamedTuple):
    """All tables of some lamps, in the form in which kernels take them."""

    corners: Singles
    steep: NDArray[np.uint8]
    first: Shorts
    knots: Singles
    numbers: Singles
    places: NDArray[np.int64]


@lru_cache(maxsize=4)
def table_arrays(given: Tables) -> tuple[TableArrays, Floats]:
    """Tables made ready, one after the other, and the two cones of each: axis, cosine and sine of both (T, 10)."""
    tables = [fast_table(*given.parts(table)) for table in range(len(given))]
    flat = [axis for table in tables for axis in (table.polar, table.azimuth)]
    starts = _starts([table.corners.size for table in tables])
    firsts = _starts([len(axis.first) for axis in flat])[:-1].reshape(-1, 2)
    knots = _starts([3 * len(axis.knots) for axis in flat])[:-1].reshape(-1, 2)
    rest = np.array([(table.corners.shape[1], table.uneven, table.ends, table.steep.any()) for table in tables])
    steps = np.array([axis.steps for axis in flat]).reshape(-1, 2)
    places = np.column_stack((starts[:-1], starts[1:], rest.reshape(-1, 4), firsts, knots, steps)).astype(np.int64)
    arrays = TableArrays(
        _joined([table.corners.ravel() for table in tables], np.float32),
        _joined([table.steep.ravel() for table in tables], np.uint8),
        _joined([axis.first for axis in flat], np.int32),
        _joined([_knot_rows(axis).ravel() for axis in flat], np.float32),
        np.array([_numbers(table) for table in tables], dtype=np.float32).reshape(-1, MIDDLE + 2),
        places,
    )
    cones = [
        part
        for table in tables
        for cone in (table.cone, table.steep_cone)
        for part in (*cone.axis, cone.cosine, cone.sine)
    ]
    return arrays, np.array(cones, dtype=np.float64).reshape(-1, 10)


def _numbers(table: FastTable) -> list[float]:
    quarters, turns = (table.polar.quarter, table.azimuth.quarter), (2 * table.polar.quarter, 4 * table.azimuth.quarter)
    return [
        *(quarter / (0.5 * np.pi) for quarter in quarters), *quarters, *(turn - 1 for turn in turns),
        *_ends(table.polar, 0), *_ends(table.azimuth, turns[1]), turns[0], *_split(sum(table.azimuth.ends) / 2.0),
    ]  # fmt: skip


def _ends(axis: Axis, turn: int) -> list[float]:
    low, high = axis.ends
    return [*_split(low), *_split(high), *_split(high - 1e-6), END_DEG * axis.quarter / 90.0, turn]


def _knot_rows(axis: Axis) -> Floats:
    """For each knot: whole bins, rest, and one over the interval that starts there (0 at the end)."""
    widths = np.append(np.diff(axis.knots), np.inf)
    return np.column_stack((*_split(axis.knots), 1.0 / widths))


def _split(places: Any) -> tuple[Any, Any]:
    """Whole bins and the rest; a hair below a whole number is that number."""
    whole = np.floor(places + 1e-7)
    return whole, places - whole


def _joined(parts: Sequence[NDArray[Any]], kind: type) -> Any:
    return np.concatenate(parts).astype(kind) if parts else np.empty(0, dtype=kind)


def _starts(sizes: list[int]) -> NDArray[np.int64]:
    return np.concatenate(([0], np.cumsum(sizes, dtype=np.int64))).astype(np.int64)
