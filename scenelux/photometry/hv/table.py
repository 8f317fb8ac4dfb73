"""The numbers of an H-V table as read, and the reading of one cell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import PhotometricError
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import Basis
from scenelux.photometry.hv.cells import Row, Rows
from scenelux.photometry.hv.columns import Unit
from scenelux.photometry.hv.notation import Axis, angle_of, number_of

__all__ = ["MOST_POINTS", "Cells", "Table", "counted"]

Array = NDArray[np.float64]

MOST_POINTS = 100_000
"""Most points of a list."""

_NOTHING = ("", "-", "–", "—", "n/a", "n.a.", "na")
_NUMBER = 'give a number such as "12.5"'
_ANGLES = {
    "H": 'give degrees such as "20L", "20R", "V" or "-20"',
    "V": 'give degrees such as "10U", "10D", "H" or "-10"',
}


def counted(number: int, one: str, several: str) -> str:
    """A number with its noun and verb.

    Parameters
    ----------
    number : how many.
    one, several : the words for one, and for more.

    Example
    -------
    >>> counted(1, "node lies", "nodes lie"), counted(3, "node lies", "nodes lie")
    ('1 node lies', '3 nodes lie')
    """
    return f"{number} {one if number == 1 else several}"


@dataclass(frozen=True, eq=False)
class Table:
    """A table as read.

    Parameters
    ----------
    h, v : angles that occur, ascending [deg].
    value : (nH, nV) as written, nan where nothing is listed.
    listed : (n, 2) indices of the points in the order of the file; None for a grid with too many to keep.
    place : byte of the value at (i, j), for messages.
    basis, unit : as the header says, None where it does not.
    """

    h: Array
    v: Array
    value: Array
    listed: NDArray[np.int64] | None
    place: Callable[[int, int], int]
    basis: Basis | None = None
    unit: Unit | None = None


@dataclass
class Cells:
    """Reads the cells of one table and keeps in mind how its decimals are written."""

    rows: Rows
    log: FaultLog
    comma_at: tuple[int, int] | None = field(default=None, init=False)
    point_at: tuple[int, int] | None = field(default=None, init=False)

    @property
    def comma(self) -> bool:
        """A comma within a cell is a decimal comma."""
        return self.rows.delimiter != ","

    def fault(self, code: int, problem: str, row: Row, cell: int, key: str, accepted: str) -> PhotometricError:
        """An error about a cell, or about a whole row from this cell on."""
        value: str | None = row.cells[cell].strip() if cell < len(row.cells) else None
        if key == "row":
            value = " | ".join(text.strip() for text in row.cells[:8])
        return self.log.error(code, problem, self.rows.offset(row.line, cell), key=key, value=value, accepted=accepted)

    def number(self, row: Row, cell: int, key: str) -> float | None:
        """The number in a cell, None when the cell is empty or a dash."""
        text = row.cells[cell] if cell < len(row.cells) else ""
        if text.strip().lower() in _NOTHING:
            return None
        value = number_of(text, comma=self.comma)
        if value is None:
            if "," in text and number_of(text, comma=True) is not None:
                raise self.fault(19, "has a decimal comma between commas", row, cell, key,
                                 "separate the cells by semicolons, or write decimal points")  # fmt: skip
            raise self.fault(22, "is not a number", row, cell, key, _NUMBER)
        self.note(text, row, cell)
        return value

    def note(self, text: str, row: Row, cell: int) -> None:
        """Keeps where decimal commas and points were met."""
        if self.comma and "," in text:
            self.comma_at = self.comma_at or (row.line, cell)
        if "." in text:
            self.point_at = self.point_at or (row.line, cell)

    def angle(self, row: Row, cell: int, axis: Axis) -> float:
        """The angle in a cell [deg]."""
        text = row.cells[cell] if cell < len(row.cells) else ""
        value = angle_of(text, axis, comma=self.comma)
        if value is None:
            raise self.fault(153, "is not an angle", row, cell, f"{axis} angle", _ANGLES[axis])
        self.note(text, row, cell)
        return self.in_range(value, row, cell, f"{axis} angle")

    def in_range(self, value: float, row: Row, cell: int, key: str) -> float:
        """The angle, refused when it leaves the front half."""
        if not -90.0 <= value <= 90.0:
            raise self.fault(154, "leaves the range of its type", row, cell, key, "give angles from -90 to 90")
        return value

    def finish(self) -> None:
        """Refuses decimal commas beside decimal points; commas alone are told."""
        if self.comma_at is None:
            return
        at = self.rows.offset(*self.comma_at)
        if self.point_at is not None:
            other = self.log.place(self.rows.offset(*self.point_at))[0]
            raise self.log.error(
                19, f"are written with a comma here and with a point on line {other}", at, key="decimals",
                accepted="write all of them one way, without marks between thousands",
            )  # fmt: skip
        self.log.warn(19, "numbers are written with decimal commas, read as decimal points", at)
