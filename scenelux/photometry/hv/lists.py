"""Tables that list one test point on a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import Basis
from scenelux.photometry.hv.cells import Row, Rows
from scenelux.photometry.hv.columns import Column, Unit, column_of, is_degrees, unit_of
from scenelux.photometry.hv.notation import point_name, point_of
from scenelux.photometry.hv.table import Cells, Table, counted
from scenelux.photometry.limits import GRID_LIMIT
from scenelux.photometry.symmetry import LEAST_STEP_DEG

__all__ = ["is_list", "read_list"]

Array = NDArray[np.float64]

_HEADER = 'name the columns "point" and "cd", or "H", "V" and "cd"'
_POINT = 'name it as "10U-5L", "H-V" or "5D-20R"'


@dataclass(frozen=True)
class _Layout:
    """Which cells of a row hold what; H and V are None when one cell names the point."""

    point: int | None
    h: int | None
    v: int | None
    value: int
    basis: Basis | None
    unit: Unit | None


def is_list(first: Row, rows: Rows) -> bool:
    """Whether a row begins a list: a header that names its columns, or a test point and a number.

    Parameters
    ----------
    first : row of the table.
    rows : of the table.
    """
    if point_of(first.cells[0], comma=rows.delimiter != ",") is not None:
        return len(first.cells) > 1
    roles = {column_of(cell).role for cell in first.cells}
    return "value" in roles and ("point" in roles or {"H", "V"} <= roles)


def read_list(first: Row, rest: Sequence[Row], basis: Basis | None, rows: Rows, log: FaultLog) -> Table:
    """The points of a list.

    Parameters
    ----------
    first : header, or the first point of a list without one.
    rest : of the rows.
    basis : which values are wanted, where the table says so.
    rows, log : for the place and the words of a fault.
    """
    cells = Cells(rows, log)
    layout, lines = _layout(first, rest, basis, cells)
    h, v, value, kept, empty = [], [], [], [], 0
    for row in lines:
        if len(row.cells) > len(first.cells) and any(cell.strip() for cell in row.cells[len(first.cells) :]):
            raise cells.fault(
                25, f"has {len(row.cells)} cells, the first row has {len(first.cells)}", row, len(first.cells), "row",
                "quote text that holds a delimiter, write decimal points",
            )  # fmt: skip
        at = _place(row, layout, cells)
        number = cells.number(row, layout.value, "candela")
        if number is None:
            empty += 1
            continue
        h.append(at[0])
        v.append(at[1])
        value.append(number)
        kept.append(row)
    cells.finish()
    if empty:
        log.warn(161, counted(empty, "point without a value is left out", "points without a value are left out"))
    if not kept:
        raise log.error(24, "are too few: none has a value", rows.offset(first.line), key="points",
                        accepted="give the candela of each")  # fmt: skip
    return _gathered(np.array(h), np.array(v), np.array(value), kept, layout, cells)


def _place(row: Row, layout: _Layout, cells: Cells) -> tuple[float, float]:
    if layout.h is not None and layout.v is not None:
        return cells.angle(row, layout.h, "H"), cells.angle(row, layout.v, "V")
    column = layout.point or 0
    text = row.cells[column] if column < len(row.cells) else ""
    at = point_of(text, comma=cells.comma)
    if at is None:
        raise cells.fault(153, "is not a test point", row, column, "point", _POINT)
    cells.note(text, row, column)
    return cells.in_range(at[0], row, column, "point"), cells.in_range(at[1], row, column, "point")


def _layout(first: Row, rest: Sequence[Row], basis: Basis | None, cells: Cells) -> tuple[_Layout, Sequence[Row]]:
    """Which columns hold what, and the rows with points."""
    if point_of(first.cells[0], comma=cells.comma) is not None:
        filled = [number for number, cell in enumerate(first.cells) if cell.strip()]
        if filled != [0, 1]:
            raise cells.fault(152, "begins a table of several columns without their names", first, 0, "row", _HEADER)
        return _Layout(0, None, None, 1, None, None), [first, *rest]
    columns = [column_of(cell) for cell in first.cells]
    h, v = _only("H", columns, first, cells), _only("V", columns, first, cells)
    point = _only("point", columns, first, cells)
    if point is None and (h is None or v is None):
        raise cells.fault(152, "does not name the columns of a table", first, 0, "row", _HEADER)
    value = _value_column(columns, basis, first, cells)
    by_angles = h is not None and v is not None
    for at in (h, v) if by_angles else ():
        if at is not None and not is_degrees(columns[at].unit):
            raise cells.fault(151, "is not in degrees to the right and up", first, at, "column",
                              'write "H [deg]", positive to the right, and "V [deg]", positive up')  # fmt: skip
    unit = _unit(columns[value], first, value, cells)
    angles = (h, v) if by_angles else (None, None)
    return _Layout(point, *angles, value, columns[value].basis, unit), rest


def _only(role: str, columns: Sequence[Column], first: Row, cells: Cells) -> int | None:
    found = [number for number, column in enumerate(columns) if column.role == role]
    if len(found) > 1:
        raise cells.fault(152, "is named twice", first, found[1], "column", _HEADER)
    return found[0] if found else None


def _value_column(columns: Sequence[Column], basis: Basis | None, first: Row, cells: Cells) -> int:
    """The column of the values: the measured one before the required one, unless the table asks for the latter."""
    by_basis: dict[Basis | None, list[int]] = {}
    for number, column in enumerate(columns):
        if column.role == "value":
            by_basis.setdefault(column.basis, []).append(number)
    if not by_basis:
        raise cells.fault(152, "names no column of candela", first, 0, "row", _HEADER)
    wanted: tuple[Basis | None, ...] = (basis, None) if basis else ("measured", None, "required minimum")
    chosen = next((one for one in wanted if one in by_basis), None)
    if chosen not in by_basis:
        raise cells.fault(160, f"has no column of {basis} values", first, 0, "row", "state the basis that it has")
    if len(by_basis[chosen]) > 1 or (basis is None and chosen is None and len(by_basis) > 1):
        raise cells.fault(152, "leaves open which column to read", first, by_basis[chosen][-1], "column",
                          'name the columns "measured" and "required minimum"')  # fmt: skip
    if len(by_basis) > 1:
        cells.log.warn(162, f'of several columns of values "{first.cells[by_basis[chosen][0]].strip()}" is read')
    return by_basis[chosen][0]


def _unit(column: Column, first: Row, cell: int, cells: Cells) -> Unit | None:
    if not column.unit:
        return None
    unit = unit_of(column.unit)
    if unit is None:
        raise cells.fault(151, "names no unit of luminous intensity", first, cell, "column",
                          'write "cd", "kcd" or "lx at 25 m" with the distance of the test')  # fmt: skip
    return unit


def _gathered(h: Array, v: Array, value: Array, kept: Sequence[Row], layout: _Layout, cells: Cells) -> Table:
    """The list on the grid of all angles that occur; a point listed twice must have one value."""
    _check_repeats(h, v, value, kept, layout, cells)
    angles_h, i = np.unique(h, return_inverse=True)
    angles_v, j = np.unique(v, return_inverse=True)
    for angles, number in ((angles_h, i), (angles_v, j)):
        close = np.flatnonzero(np.diff(angles) <= LEAST_STEP_DEG)
        if close.size:
            row = kept[int(np.flatnonzero(number == close[0] + 1)[0])]
            raise cells.fault(45, f"is nearer than {LEAST_STEP_DEG:g} deg to another", row, 0, "row",
                              "write equal angles alike")  # fmt: skip
    if angles_h.size * angles_v.size > GRID_LIMIT:
        raise cells.log.error(57, f"lie on a grid of {angles_h.size} x {angles_v.size} angles", key="points",
                              accepted="their grid may have 4 million nodes at most")  # fmt: skip
    grid = np.full((angles_h.size, angles_v.size), np.nan)
    rows = np.zeros(grid.shape, np.int32)
    grid[i, j], rows[i, j] = value, np.arange(h.size)
    first = np.sort(np.unique(i * angles_v.size + j, return_index=True)[1])

    def place(at_h: int, at_v: int) -> int:
        return cells.rows.offset(kept[rows[at_h, at_v]].line, layout.value)

    return Table(angles_h, angles_v, grid, np.stack((i, j), axis=-1)[first], place, layout.basis, layout.unit)


def _check_repeats(h: Array, v: Array, value: Array, kept: Sequence[Row], layout: _Layout, cells: Cells) -> None:
    order = np.lexsort((np.arange(h.size), v, h))
    same = (np.diff(h[order]) == 0.0) & (np.diff(v[order]) == 0.0)
    for at in np.flatnonzero(same):
        one, other = int(order[at]), int(order[at + 1])
        name, line = point_name(float(h[one]), float(v[one])), kept[one].line
        if value[one] != value[other]:
            raise cells.fault(155, f"differs from {value[one]:g} for the same point {name} on line {line}", kept[other],
                              layout.value, "candela", "list each point once")  # fmt: skip
    if same.any():
        row = kept[int(order[np.flatnonzero(same)[0] + 1])]
        cells.log.warn(155, f"{counted(int(same.sum()), 'point is', 'points are')} listed again with the same value",
                       cells.rows.offset(row.line))  # fmt: skip
