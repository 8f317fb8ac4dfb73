"""Rows and cells of an H-V table: delimiter, quotes, comment lines, and the place of every cell for messages."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from scenelux.errors import PhotometricError
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.text import decoded

__all__ = ["MOST_COMMENTS", "MOST_LINES", "WIDEST_ROW", "Comment", "Row", "Rows", "delimiter_of"]

WIDEST_ROW = 20_000
"""Most cells in a row."""

MOST_COMMENTS = 10_000
"""Most lines that begin with #."""

MOST_LINES = 500_000
"""Most lines, blank ones too."""

_TALLEST_ROW = 100  # lines of a row whose quoted cells hold line ends
_BREAK = re.compile(rb"\r\n|\r|\n")
_QUOTED = re.compile(r'"[^"]*"')
_END = "\0\x1a \t\r\n"


@dataclass(frozen=True)
class Comment:
    """A line that begins with #: its number, and its text without the sign."""

    line: int
    text: str


@dataclass(frozen=True)
class Row:
    """A row of cells, and the line on which it begins."""

    line: int
    cells: list[str]


def delimiter_of(line: str) -> str | None:
    """The delimiter of a table by one of its lines: a semicolon rules over a tab, a tab over a comma.

    Parameters
    ----------
    line : with cells.
    """
    bare = _QUOTED.sub("", line)
    return next((one for one in ";\t," if one in bare), None)


@dataclass
class Rows:
    """The rows of a table, one after the other; comment lines are put aside.

    Parameters
    ----------
    body : text of the file.
    log : words the errors.
    """

    body: bytes
    log: FaultLog
    comments: list[Comment] = field(default_factory=list)
    delimiter: str | None = None
    _between: bool = True  # the next line begins a row, it does not continue a quoted cell
    _begun: int = 0
    _read: int = 0

    def __iter__(self) -> Iterator[Row]:
        lines = self._lines()
        first = next(lines, None)
        if first is None:
            return
        self.delimiter = delimiter_of(first)
        self._between = True
        reader = csv.reader(
            self._again(first, lines), delimiter=self.delimiter or ",", skipinitialspace=True, strict=True
        )
        while True:
            self._between = True
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error:
                raise self.quote_fault() from None
            yield Row(self._begun, cells)

    def _again(self, first: str, lines: Iterator[str]) -> Iterator[str]:
        self._between = False
        yield first
        yield from lines

    def _lines(self) -> Iterator[str]:
        """Lines with cells; where a row may begin, blank lines and comments are left out."""
        ends, returns, pairs = (self.body.count(end) for end in (b"\n", b"\r", b"\r\n"))
        if ends + returns - pairs > MOST_LINES:
            raise self.log.error(
                57,
                f"has more than {MOST_LINES} lines",
                key="the table",
                accepted="leave out blank ones, or give a grid",
            )
        encoding = "ascii" if self.body.isascii() else _encoding(self.body, self.log)
        text = io.TextIOWrapper(io.BytesIO(self.body), encoding=encoding, errors="replace", newline=None)
        for self._read, line in enumerate(text, 1):
            self._check_limits(line)
            if not self._between:
                yield line
                continue
            bare = line.strip(_END)
            if bare.startswith(("#", '"#')):
                said = bare.strip('"').lstrip("#").rstrip(";, \t").strip('" \t')
                self.comments += [Comment(self._read, said)] if said else []
            elif bare.replace('""', "").strip(";,\t "):
                self._begun, self._between = self._read, False
                yield line.rstrip("\0\x1a")

    def _check_limits(self, line: str) -> None:
        """Refuses what would fill the memory, before its cells are made."""
        if len(line) > WIDEST_ROW and line[:1] != "#" and line.count(self.delimiter or ",") >= WIDEST_ROW:
            key, problem, accepted = "row", f"has more than {WIDEST_ROW} cells", "list the points one on a line"
        elif len(self.comments) > MOST_COMMENTS:
            key, problem, accepted = "lines that begin with #", f"are more than {MOST_COMMENTS}", "leave some out"
        elif not self._between and self._read - self._begun > _TALLEST_ROW:
            raise self.quote_fault()
        else:
            return
        raise self.log.error(57, problem, self.offset(self._read), key=key, accepted=accepted)

    def quote_fault(self) -> PhotometricError:
        """The error of a quoted cell without an end."""
        return self.log.error(
            159, "has a quote that does not close", self.offset(self._begun), key="row",
            accepted="write a quote within a quoted cell twice",
        )  # fmt: skip

    def offset(self, line: int, cell: int = 0) -> int:
        """The byte at which a cell begins, for a message.

        Parameters
        ----------
        line : on which its row begins, counted from 1.
        cell : number in the row, counted from 0.
        """
        at = 0
        for number, found in enumerate(_BREAK.finditer(self.body), 2):
            if number > line:
                break
            at = found.end()
        delimiter, quoted = (self.delimiter or ",").encode(), False
        while cell and at < len(self.body):
            one = self.body[at : at + 1]
            quoted ^= one == b'"'
            cell -= one == delimiter and not quoted
            at += 1
        while self.body[at : at + 1] == b" ":
            at += 1
        return min(at, len(self.body))


def _encoding(body: bytes, log: FaultLog) -> str:
    _, name = decoded(body)
    if name != "UTF-8":
        log.warn(29, f"letters outside ASCII are read as {name}")
    return "utf-8" if name == "UTF-8" else "cp1252"
