"""The lines of an EULUMDAT file, one value each, with the number grammar of every photometric format."""

from __future__ import annotations

import re
import sys

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import PhotometricError
from scenelux.photometry.digits import NUMBER, PLAIN_NUMBER, SPECIAL_NUMBER
from scenelux.photometry.eulumdat.fields import Field
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.limits import LARGEST_NUMBER
from scenelux.photometry.text import decoded

__all__ = ["Lines", "with_plain_line_ends"]

Array = NDArray[np.float64]

_TO_PYTHON = bytes.maketrans(b",dDE\t", b".eee ")
_BLANK = b" \t"
_BLOCK = 1 << 16
_BLANK_LINES = 1000  # so many may stand between numbers whatever the size of the table
_ONE_NUMBER = "give one number on the line, digits with a decimal point"


def with_plain_line_ends(text: bytes) -> bytes:
    """The text with LF alone at the end of each line; CR CR LF, which careless programs write, is one line end."""
    if text.count(b"\r\r\n") == text.count(b"\n"):
        text = text.replace(b"\r\r\n", b"\n")
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")


class Lines:
    """Lines taken one after the other, then a table of numbers with a line each.

    Parameters
    ----------
    log : takes the warnings and words the errors; its body is the text, with plain line ends.
    """

    def __init__(self, log: FaultLog) -> None:
        self._log = log
        self._body = log.body.rstrip(b" \t\n\0\x1a")
        self._at = 0
        self._starts = np.empty(0, np.int64)
        self._blanks_stand_between = False
        self.offsets: dict[str, int] = {}
        self.empty: list[str] = []

    @property
    def left(self) -> int:
        """How many lines are left."""
        return 0 if self._at > len(self._body) else self._body.count(b"\n", self._at) + 1

    @property
    def offset(self) -> int:
        """Where the next line begins."""
        return min(self._at, len(self._body))

    def peek(self) -> str:
        """The next line, not taken."""
        return decoded(self._line_at(self.offset))[0].strip()

    def forget(self) -> None:
        """Gives back the memory that only reading the table needs."""
        self._starts = np.empty(0, np.int64)

    def text(self, field: Field) -> str:
        """Takes a line of text."""
        text, encoding = decoded(self._take(field).strip())
        if not text.isascii():
            self._log.warn(29, f"text beyond plain ASCII is read as {encoding}", self.offsets[field.name])
        return text.strip()

    def number(self, field: Field, when_empty: float | None = None) -> float:
        """Takes a number; an empty line counts as the number for it, where there is one."""
        line = self._take(field).strip(_BLANK)
        if not line and when_empty is not None:
            if field.number != "26f":  # the last field of a lamp set is often left out
                self.empty.append(field.name)
            return when_empty
        offset = self.offsets[field.name]
        token = line.replace(b",", b".")
        if not NUMBER.fullmatch(token):
            raise self._misfit(line, offset, field.key)
        if not PLAIN_NUMBER.fullmatch(token):
            self._tell_exponents(offset)
        if token != line:
            self._tell_commas(offset)
        value = float(token.translate(_TO_PYTHON))
        if not abs(value) <= (sys.float_info.max if field.kind == "whole" else LARGEST_NUMBER):
            raise self._log.error(22, "is too large", offset, key=field.key, value=_shown(line), accepted=_ONE_NUMBER)
        return value

    def whole(self, field: Field) -> int:
        """Takes a whole number, which may be written as 3.0 but not with an exponent."""
        value, offset = self.number(field), self.offsets[field.name]
        token = self._line_at(offset).strip(_BLANK)
        accepted = "give digits only"
        if not PLAIN_NUMBER.fullmatch(token.replace(b",", b".")):
            raise self._log.error(20, "is not a whole number written plainly", offset, key=field.key,
                                  value=_shown(token), accepted=accepted)  # fmt: skip
        if value != int(value):
            raise self._log.error(21, "is not a whole number", offset, key=field.key, value=_shown(token),
                                  accepted=accepted)  # fmt: skip
        return int(value)

    def _take(self, field: Field) -> bytes:
        if self._at > len(self._body):
            raise self._log.error(24, "is missing: the file ends here", len(self._body), key=field.key,
                                  accepted="an EULUMDAT file has a line for each field")  # fmt: skip
        line = self._line_at(self._at)
        self.offsets[field.name] = self._at
        self._at += len(line) + 1
        return line

    def _line_at(self, offset: int) -> bytes:
        end = self._body.find(b"\n", offset)
        return self._body[offset : end if end >= 0 else len(self._body)]

    def begin_table(self, key: str, expected: int, announced: str) -> None:
        """Checks that the rest of the file holds so many numbers; blank lines between them do not count.

        Parameters
        ----------
        key : what the table holds.
        expected : how many numbers.
        announced : why so many, for messages.
        """
        found = self.left
        if found > 2 * expected + _BLANK_LINES:
            raise self._left_over(self._at, found - expected, announced)
        if found >= expected:
            self._find_starts(expected)
            found = self._starts.size
        if found < expected:
            raise self._log.error(24, f"are too few: expected {expected} lines, found {found}", len(self._body),
                                  key=key, accepted=announced)  # fmt: skip
        if found > expected:
            self._check_rest(expected, announced)

    def _find_starts(self, expected: int) -> None:
        """Where the lines of the table begin; without the blank ones when there are more than expected."""
        text = np.frombuffer(self._body, np.uint8, offset=self._at)
        starts = np.concatenate(((0,), np.flatnonzero(text == 10) + 1)) if text.size else np.zeros(1, np.int64)
        if starts.size > expected:
            self._blanks_stand_between = True
            letters = (text > 32).view(np.uint8)
            starts = starts[np.add.reduceat(letters, starts, dtype=np.int32) > 0]
        self._starts = starts + self._at

    def _check_rest(self, expected: int, announced: str) -> None:
        offset = int(self._starts[expected])
        rest = self._line_at(offset).strip()
        if rest[:1] in (b"", *(bytes((letter,)) for letter in b"0123456789+-.,")):
            raise self._left_over(offset, self._starts.size - expected, announced)
        self._log.warn(26, "text follows the last intensity and is left out", offset)

    def _left_over(self, offset: int, count: int, announced: str) -> PhotometricError:
        return self._log.error(25, f"are left over: {count} more than the table needs", offset, key="lines",
                               accepted=announced)  # fmt: skip

    def table(self, field: Field, first: int, count: int) -> Array:
        """Numbers of the table, from the one with this index on."""
        self.offsets[field.name] = int(self._starts[first])
        values = np.empty(count)
        for done in range(0, count, _BLOCK):
            size = min(_BLOCK, count - done)
            values[done : done + size] = self._block(field, first + done, size)
        return values

    def offset_of(self, index: int) -> int:
        """Where a line of the table begins."""
        return int(self._starts[index])

    def _block(self, field: Field, first: int, count: int) -> Array:
        text = self._body[self.offset_of(first) : self._end_of(first + count - 1)]
        others = text.translate(None, b"0123456789+-.\n \t")
        if others.translate(None, b",eEdD"):
            raise self._first_misfit(field, first, count)
        if others:
            text = text.translate(_TO_PYTHON)
        items = text.split(b"\n")
        if self._blanks_stand_between:
            items = [item for item in items if item.strip()]
        try:
            # float() of a text of these letters alone takes exactly the grammar: no nan, hex or underscore.
            values = np.array(list(map(float, items)))
        except ValueError:
            raise self._first_misfit(field, first, count) from None
        self._check_block(field, first, values, others)
        return values

    def _check_block(self, field: Field, first: int, values: Array, others: bytes) -> None:
        if b"," in others:
            self._tell_commas(self.offset_of(first))
        if others.translate(None, b","):
            self._tell_exponents(self.offset_of(first))
        if not np.isfinite(values).all():
            offset = self.offset_of(first + int(np.flatnonzero(~np.isfinite(values))[0]))
            raise self._log.error(22, "is too large", offset, key=field.key, value=_shown(self._line_at(offset)),
                                  accepted=_ONE_NUMBER)  # fmt: skip

    def _end_of(self, index: int) -> int:
        offset = self.offset_of(index)
        return offset + len(self._line_at(offset))

    def _first_misfit(self, field: Field, first: int, count: int) -> PhotometricError:
        for index in range(first, first + count):
            line = self._line_at(self.offset_of(index)).strip(_BLANK)
            if not NUMBER.fullmatch(line.replace(b",", b".")):
                break
        return self._misfit(line, self.offset_of(index), field.key)

    def _misfit(self, line: bytes, offset: int, key: str) -> PhotometricError:
        """The error for a line that is no number."""
        code, problem = 27, "stands where a number belongs"
        if not line:
            return self._log.error(24, "is empty", offset, key=key, accepted=_ONE_NUMBER)
        if SPECIAL_NUMBER.fullmatch(line):
            code, problem = 22, "is not a number of the format"
        elif re.fullmatch(rb"[0-9.,+\- \t]+", line):
            several = len(line.split()) > 1
            code, problem = (15, "holds several numbers") if several else (23, "is not one number")
        return self._log.error(code, problem, offset, key=key, value=_shown(line), accepted=_ONE_NUMBER)

    def _tell_commas(self, offset: int) -> None:
        self._log.warn(19, "numbers are written with decimal commas, read as decimal points", offset)

    def _tell_exponents(self, offset: int) -> None:
        self._log.warn(20, "numbers are written with exponents", offset)


def _shown(line: bytes) -> str:
    return decoded(line[:40])[0]
