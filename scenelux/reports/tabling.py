"""What a table of text is, on a page, in the PDF and at the terminal."""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["STATE_AND_LIGHT", "Table", "merged"]

STATE_AND_LIGHT = "state and light"


@dataclass(frozen=True)
class Table:
    """A table of text.

    Parameters
    ----------
    title : what it holds, with the kind of light.
    header : names of the columns, with units.
    rows : texts; the first cell of a verdict table is its verdict.
    note : one sentence below the table, or nothing.
    numbered : notes that cells name by number, from 1.
    shown : how many rows a page shows before the reader opens the others; None for all.
    """

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    numbered: tuple[str, ...] = ()
    shown: int | None = None

    @property
    def is_verdicts(self) -> bool:
        """True when the first column holds verdicts."""
        return self.header[0] == "verdict"


def merged(table: Table) -> Table:
    """The table with rows that differ in nothing but state and light level drawn together."""
    column = table.header.index(STATE_AND_LIGHT)
    together: dict[tuple[str, ...], list[str]] = {}
    for row in table.rows:
        together.setdefault((*row[:column], *row[column + 1 :]), []).append(row[column])
    rows = [(*rest[:column], "; ".join(says), *rest[column:]) for rest, says in together.items()]
    return replace(table, rows=tuple(rows))
