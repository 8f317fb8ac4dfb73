"""Tables in the form of a grid: the first row lists one kind of angle, the first column the other."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.hv.cells import WIDEST_ROW, Row, Rows
from scenelux.photometry.hv.notation import Axis, angle_of, number_of, point_of
from scenelux.photometry.hv.table import MOST_POINTS, Cells, Table
from scenelux.photometry.limits import GRID_LIMIT
from scenelux.photometry.symmetry import LEAST_STEP_DEG

__all__ = ["is_grid", "read_grid"]

Array = NDArray[np.float64]

_FAST = re.compile(r"[-+0-9.,eE\t ;]*")
"""What a row of plain numbers holds; float() takes nothing but numbers from these letters."""


def is_grid(first: Row, rows: Rows) -> bool:
    """Whether a row begins a grid: a corner that is no point, then angles of one axis.

    Parameters
    ----------
    first : row of the table.
    rows : of the table.
    """
    return _axis(first, rows) is not None and _trimmed(first.cells) > 2


def _trimmed(cells: list[str]) -> int:
    """Number of cells up to the last one that is not empty."""
    count = len(cells)
    while count and not cells[count - 1].strip():
        count -= 1
    return count


def _axis(first: Row, rows: Rows) -> Axis | None:
    """The axis of the angles in the first row: H, unless one of them is up or down."""
    comma, corner = rows.delimiter != ",", first.cells[0]
    is_point = "/" not in corner and point_of(corner, comma=comma) is not None
    if is_point or number_of(corner, comma=comma) is not None:
        return None
    angles = first.cells[1 : _trimmed(first.cells)]
    axes: tuple[Axis, ...] = ("H", "V")
    return next((axis for axis in axes if all(angle_of(cell, axis, comma=comma) is not None for cell in angles)), None)


def read_grid(first: Row, lines: Iterator[Row], rows: Rows, log: FaultLog) -> Table:
    """The values of a grid; a first row with angles up and down is one of V.

    Parameters
    ----------
    first : row with the angles across.
    lines : the rows below it.
    rows, log : for the place and the words of a fault.
    """
    cells = Cells(rows, log)
    across: Axis = _axis(first, rows) or "H"
    down: Axis = "V" if across == "H" else "H"
    width = _trimmed(first.cells)
    head = np.array([cells.angle(first, number, across) for number in range(1, width)])
    side: list[float] = []
    below: list[Array] = []
    where: list[Row] = []
    for row in lines:
        if (len(below) + 1) * head.size > GRID_LIMIT:
            raise log.error(
                57, "has more than 4 million nodes", rows.offset(row.line), key="grid", accepted="leave angles out"
            )
        if len(below) == WIDEST_ROW:
            raise log.error(57, f"has more than {WIDEST_ROW} rows", rows.offset(row.line), key="grid",
                            accepted="leave angles out")  # fmt: skip
        if _trimmed(row.cells) > width:
            raise cells.fault(25, f"has {_trimmed(row.cells)} cells, the row of angles has {width}", row, width, "row",
                              "give one value for each angle")  # fmt: skip
        side.append(cells.angle(row, 0, down))
        below.append(_values(row, width, cells))
        where.append(Row(row.line, row.cells[:1]))
    cells.finish()
    if not below:
        raise log.error(24, "has no rows below its angles", rows.offset(first.line), key="grid",
                        accepted=f"begin each row with its {down} angle")  # fmt: skip
    order_side = _order(np.array(side), [(row, 0) for row in where], f"{down} angle", cells)
    order_head = _order(head, [(first, number) for number in range(1, width)], f"{across} angle", cells)
    grid = np.array(below)
    below.clear()
    nothing = np.isnan(grid)
    if nothing.all():
        raise log.error(
            24, "has no values", rows.offset(first.line), key="grid", accepted="fill its cells with candela"
        )
    order_side = order_side[~np.asarray(nothing.all(axis=1))[order_side]]  # an angle without any value says nothing
    order_head = order_head[~np.asarray(nothing.all(axis=0))[order_head]]
    del nothing
    grid = grid[np.ix_(order_side, order_head)]
    angles = head[order_head], np.array(side)[order_side]

    def place(at_h: int, at_v: int) -> int:
        at_side, at_head = (at_v, at_h) if across == "H" else (at_h, at_v)
        return rows.offset(where[int(order_side[at_side])].line, int(order_head[at_head]) + 1)

    h, v = angles if across == "H" else angles[::-1]
    value = grid.T if across == "H" else grid
    few = np.count_nonzero(~np.isnan(value)) <= MOST_POINTS
    return Table(h, v, value, np.argwhere(~np.isnan(value)) if few else None, place)


def _values(row: Row, width: int, cells: Cells) -> Array:
    """The numbers of a row, nan for empty cells; cells that are no plain numbers go one by one."""
    texts = row.cells[1:width]
    values = np.full(width - 1, np.nan)
    if "-" in texts:
        texts = ["" if text == "-" else text for text in texts]
    joined = ";".join(texts)
    if cells.comma and "," in joined and "." not in joined:
        texts = [text.replace(",", ".") for text in texts]
    if _FAST.fullmatch(joined) and len(joined) < 40 * width:
        try:
            values[: len(texts)] = [float(text) if text.strip() else np.nan for text in texts]
        except ValueError:
            pass
        else:
            for mark in ",.":
                if mark in joined:
                    cells.note(mark, row, next(number for number, text in enumerate(row.cells[1:], 1) if mark in text))
            return values
    for number in range(1, width):
        value = cells.number(row, number, "candela")
        values[number - 1] = np.nan if value is None else value
    return values


def _order(angles: Array, places: list[tuple[Row, int]], key: str, cells: Cells) -> NDArray[np.int64]:
    """The order in which angles ascend; none may occur twice."""
    order = np.argsort(angles, kind="stable")
    same = np.flatnonzero(np.diff(angles[order]) <= LEAST_STEP_DEG)
    if same.size:
        row, cell = places[int(order[same[0] + 1])]
        raise cells.fault(45, "is listed twice", row, cell, key, "list each angle once")
    return order
