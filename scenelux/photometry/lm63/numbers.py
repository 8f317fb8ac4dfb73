"""The numbers of an LM-63 file: one stream of tokens over the bytes, with a number grammar of its own."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import PhotometricError
from scenelux.photometry.digits import LONGEST_NUMBER, NUMBER, PLAIN_NUMBER, SPECIAL_NUMBER
from scenelux.photometry.faults import FaultLog

__all__ = ["NumberStream", "as_delimiters_or_points", "shown"]

Array = NDArray[np.float64]
Read = TypeVar("Read")

_DELIMITERS = b" \t\r\n,\v\f"
_IS_TOKEN = np.ones(256, np.bool_)
_IS_TOKEN[list(_DELIMITERS)] = False
_IS_DIGIT = np.zeros(256, np.bool_)
_IS_DIGIT[list(b"0123456789")] = True
_TO_BLANK = bytes.maketrans(_DELIMITERS, b" " * len(_DELIMITERS))
_TO_E = bytes.maketrans(b"EdD", b"eee")
_TOKEN = re.compile(rb"[^ \t\r\n,\v\f]{1,%d}" % (LONGEST_NUMBER + 1))
_TOUCHING = re.compile(rb",[ \t]*,")
_DECIMAL_COMMA = re.compile(rb"(?<=[0-9]),(?=[0-9])")
_TAIL = re.compile(rb"[\0\x1a]")
_OF_ONE_TOKEN = (20, 22, 23, 27, 56)  # faults that have nothing to do with how commas are read
_BLOCK = 1 << 16  # numbers read at a time
_BYTES = 1 << 20  # bytes looked at at a time
_KEPT = 4_500_000  # places of tokens that are kept; a file at the limits of the reader has fewer


def as_delimiters_or_points(body: bytes, start: int, log: FaultLog, read: Callable[[bytes, FaultLog], Read]) -> Read:
    """Reads numbers with the comma as a delimiter, or else as a decimal point when that fits the counts exactly.

    Parameters
    ----------
    body : the text as bytes.
    start : where the numbers begin.
    log : takes the warnings of the reading that fits.
    read : reads all numbers of a text, or raises.
    """
    first = replace(log, warnings=[])
    try:
        result = read(body, first)
    except PhotometricError as failed:
        error = failed.with_traceback(None)
        error.__context__ = None  # both let go of the numbers read so far
    else:
        log.warnings += first.warnings
        return result
    pointed, second = _with_decimal_points(body, start), replace(log, warnings=[])
    if pointed is None:
        raise error
    try:
        result = read(pointed, second)
    except PhotometricError:
        if error.code not in _OF_ONE_TOKEN:
            hint = "a decimal comma is read only where all counts fit, write decimal points"
            error.accepted = "; ".join(part for part in (error.accepted, hint) if part)
        raise error from None
    match = _DECIMAL_COMMA.search(body, start)
    at = match.start() if match else start
    log.warn(19, "numbers are written with decimal commas, read as decimal points", at)
    log.warnings += second.warnings
    return result


def _with_decimal_points(body: bytes, start: int) -> bytes | None:
    """The text with each comma between two digits, from an offset on, as a point; None where there is none."""
    text = np.frombuffer(bytearray(body), np.uint8)
    changed = False
    for first in range(start, len(body), _BYTES):
        commas = first + np.flatnonzero(text[first : first + _BYTES] == ord(","))
        commas = commas[(commas > start) & (commas < len(body) - 1)]
        commas = commas[_IS_DIGIT[text[commas - 1]] & _IS_DIGIT[text[commas + 1]]]
        text[commas] = ord(".")
        changed = changed or commas.size > 0
    return text.tobytes() if changed else None


class NumberStream:
    """Tokens from an offset on, taken one after the other.

    Parameters
    ----------
    body : the text as bytes.
    start : where the numbers begin.
    log : takes the warnings and words the errors.
    """

    def __init__(self, body: bytes, start: int, log: FaultLog) -> None:
        self._body, self._log, self.position = body, log, 0
        self._end = max(start, len(body.rstrip(b"\0\x1a" + _DELIMITERS)))
        self._starts, self._count = _token_starts(body, start, self._end)
        if match := _TOUCHING.search(body, start):
            log.warn(103, "two commas touch, read as one", match.start())
        if match := _TAIL.search(body, self._end):
            log.warn(26, "the file ends in Ctrl-Z or zero bytes, which are left out", match.start())

    @property
    def left(self) -> int:
        """How many tokens are left."""
        return self._count - self.position

    def offset(self, index: int | None = None) -> int:
        """Where a token begins, by default the next one; the end of the text when there is none."""
        at = self.position if index is None else index
        return int(self._starts[at]) if at < self._starts.size else self._end

    def peek(self, index: int | None = None) -> bytes:
        """A token, by default the next one, cut where no number is as long; empty when there is none."""
        match = _TOKEN.match(self._body, self.offset(index), self._end)
        return match[0] if match else b""

    def begins_line(self, index: int | None = None) -> bool:
        """Whether a token, by default the next one, is the first on its line; the end of the text begins one."""
        at = self.position if index is None else index
        if at == 0 or at >= self._count:
            return True
        gap = self._body[self.offset(at - 1) : self.offset(at)]
        return b"\n" in gap or b"\r" in gap

    def first_inside_line(self, indices: Iterable[int]) -> int | None:
        """The first of some tokens that does not begin a line; None when all do."""
        return next((at for at in indices if not self.begins_line(at)), None)

    def real(self, key: str) -> float:
        """Takes one number."""
        return float(self.reals(key, 1)[0])

    def whole(self, key: str) -> int:
        """Takes one whole number, which may be written as 3.0 but not with an exponent."""
        self._need(key, 1)
        token, offset = self.peek(), self.offset()
        if NUMBER.fullmatch(token) and not PLAIN_NUMBER.fullmatch(token):
            raise self._log.error(20, "is not a whole number written plainly", offset, key=key, value=shown(token),
                                  accepted="give digits only")  # fmt: skip
        value = self.real(key)
        if value != int(value):
            raise self._log.error(21, "is not a whole number", offset, key=key, value=shown(token),
                                  accepted="give digits only")  # fmt: skip
        return int(value)

    def reals(self, key: str, count: int) -> Array:
        """Takes several numbers."""
        self._need(key, count)
        values = np.empty(count)
        for first in range(0, count, _BLOCK):
            size = min(_BLOCK, count - first)
            values[first : first + size] = self._block(key, size)
            self.position += size
        return values

    def _need(self, key: str, count: int) -> None:
        if self.left < count:
            several = f"are too few: expected {count}, found {self.left} to the end of the file"
            problem = "is missing: the file ends here" if count == 1 else several
            raise self._log.error(24, problem, self.offset(), key=key, accepted="check that the file is complete")

    def _block(self, key: str, count: int) -> Array:
        last = self.position + count - 1
        text = self._body[self.offset() : self.offset(last) + len(self.peek(last))].translate(_TO_BLANK)
        others = set(text.translate(None, b"0123456789+-. "))
        if others and others <= set(b"eEdD"):
            text = text.translate(_TO_E)
        elif others:
            raise self._misfit(key, count)
        tokens = text.split()
        if len(text) > LONGEST_NUMBER and max(map(len, tokens)) > LONGEST_NUMBER:
            raise self._misfit(key, count)
        try:
            # float() of a token of these letters alone takes exactly the grammar: no nan, hex or underscore.
            values = np.fromiter(map(float, tokens), np.float64, count)
        except ValueError:
            raise self._misfit(key, count) from None
        if others:
            self._log.warn(20, "numbers are written with exponents", self.offset())
        if not np.isfinite(values).all():
            at = self.position + int(np.flatnonzero(~np.isfinite(values))[0])
            raise self._log.error(22, "is too large", self.offset(at), key=key, value=shown(self.peek(at)),
                                  accepted="give digits with a decimal point")  # fmt: skip
        return values

    def _misfit(self, key: str, count: int) -> Exception:
        """The error for the first token that is no number."""
        for at in range(self.position, self.position + count):
            token, offset = self.peek(at), self.offset(at)
            if len(token) > LONGEST_NUMBER or not NUMBER.fullmatch(token):
                break
        code, problem, accepted = _what_is_wrong(token)
        return self._log.error(code, problem, offset, key=key, value=shown(token), accepted=accepted)


def _what_is_wrong(token: bytes) -> tuple[int, str, str | None]:
    """Number of the fault of a token that is no number, the fault in words, and what would be accepted."""
    if len(token) > LONGEST_NUMBER:
        return 22, f"has more than {LONGEST_NUMBER} characters", "give digits with a decimal point"
    if SPECIAL_NUMBER.fullmatch(token):
        return 22, "is not a number of the format", "give digits with a decimal point"
    if re.fullmatch(rb"[.+-]+", token):
        return 22, "is not a number", "give digits with a decimal point"
    if re.fullmatch(rb"[0-9.+-]+", token):
        return 23, "runs numbers together", "put a blank between numbers"
    if token.upper().startswith((b"[BLOCK", b"[ENDBLOCK")):
        return 56, "begins another luminaire before this one has all its numbers", "give one file for each luminaire"
    return 27, "stands where a number belongs", "give digits with a decimal point"


def _token_starts(body: bytes, start: int, end: int) -> tuple[NDArray[np.int32], int]:
    """Where tokens begin, as many as a file at the limits has, and how many there are in all."""
    places, count, after_delimiter = [np.empty(0, np.int32)], 0, True
    for first in range(start, end, _BYTES):
        inside = _IS_TOKEN[np.frombuffer(body, np.uint8, min(_BYTES, end - first), first)]
        begins = inside.copy()
        begins[0] &= after_delimiter
        begins[1:] &= ~inside[:-1]
        after_delimiter = not inside[-1]
        if count < _KEPT:
            places.append((first + np.flatnonzero(begins)).astype(np.int32))
        count += int(np.count_nonzero(begins))
    return np.concatenate(places), count


def shown(token: bytes) -> str:
    """A token for a message."""
    return token[:40].decode("ascii", errors="replace")
