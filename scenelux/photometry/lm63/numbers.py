"""The numbers of an LM-63 file: one stream of tokens over the bytes, with a number grammar of its own."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.text import NUMBER, PLAIN_NUMBER

__all__ = ["NumberStream", "with_decimal_points"]

Array = NDArray[np.float64]

_DELIMITERS = b" \t\r\n,\v\f"
_IS_TOKEN = np.ones(256, np.bool_)
_IS_TOKEN[list(_DELIMITERS)] = False
_TO_BLANK = bytes.maketrans(_DELIMITERS, b" " * len(_DELIMITERS))
_TO_E = bytes.maketrans(b"EdD", b"eee")
_TOKEN = re.compile(rb"[^ \t\r\n,\v\f]+")
_LOOKS_SPECIAL = re.compile(rb"[+-]?(?:nan|inf|infinity|0x[0-9a-f]*|[0-9.]*_[0-9._]*)", re.IGNORECASE)
_BLOCK = 1 << 17


def with_decimal_points(body: bytes, start: int) -> bytes | None:
    """The text with each comma between two digits, from an offset on, as a point; None where there is none."""
    changed = re.sub(rb"(?<=[0-9]),(?=[0-9])", b".", body[start:])
    return None if changed == body[start:] else body[:start] + changed


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
        token = _IS_TOKEN[np.frombuffer(body, np.uint8, offset=start)] if start < len(body) else np.empty(0, np.bool_)
        self._starts = start + np.flatnonzero(token & ~np.concatenate(([False], token[:-1]))).astype(np.int64)
        if match := re.compile(rb",[ \t]*,").search(body, start):
            log.warn(103, "two commas touch, read as one", match.start())

    @property
    def left(self) -> int:
        """How many tokens are left."""
        return int(self._starts.size) - self.position

    def offset(self, index: int | None = None) -> int:
        """Where a token begins, by default the next one; the end of the text when there is none."""
        at = self.position if index is None else index
        return int(self._starts[at]) if at < self._starts.size else len(self._body)

    def peek(self, index: int | None = None) -> bytes:
        """A token, by default the next one; empty when there is none."""
        match = _TOKEN.match(self._body, self.offset(index))
        return match[0] if match else b""

    def first_inside_line(self, indices: NDArray[np.int64]) -> int | None:
        """The first of some tokens (each with one before it) that does not begin a line; None when all do."""
        text = np.frombuffer(self._body, np.uint8)
        line_ends = np.flatnonzero((text == 10) | (text == 13))
        before, at = np.searchsorted(line_ends, self._starts[[indices - 1, indices]])
        inside = np.flatnonzero(before == at)
        return int(indices[inside[0]]) if inside.size else None

    def real(self, key: str) -> float:
        """Takes one number."""
        return float(self.reals(key, 1)[0])

    def whole(self, key: str) -> int:
        """Takes one whole number, which may be written as 3.0 but not with an exponent."""
        self._need(key, 1)
        token, offset = self.peek(), self.offset()
        if NUMBER.fullmatch(token) and not PLAIN_NUMBER.fullmatch(token):
            raise self._log.error(20, "is not a whole number written plainly", offset, key=key, value=_shown(token))
        value = self.real(key)
        if value != int(value):
            raise self._log.error(21, "is not a whole number", offset, key=key, value=_shown(token))
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
            found = f"ends here: expected {count} {'number' if count == 1 else 'numbers'}, found {self.left}"
            raise self._log.error(24, found, self.offset(), key=key)

    def _block(self, key: str, count: int) -> Array:
        last = self.offset(self.position + count - 1)
        text = self._body[self.offset() : last + len(self.peek(self.position + count - 1))].translate(_TO_BLANK)
        others = set(text.translate(None, b"0123456789+-. "))
        if others and others <= set(b"eEdD"):
            text = text.translate(_TO_E)
        elif others:
            raise self._misfit(key, count)
        try:
            # float() of a token of these letters alone takes exactly the grammar: no nan, hex or underscore.
            values = np.array(list(map(float, text.split())))
        except ValueError:
            raise self._misfit(key, count) from None
        if others:
            self._log.warn(20, "numbers are written with exponents", self.offset())
        if not np.isfinite(values).all():
            at = self.position + int(np.flatnonzero(~np.isfinite(values))[0])
            raise self._log.error(22, "is too large", self.offset(at), key=key, value=_shown(self.peek(at)))
        return values

    def _misfit(self, key: str, count: int) -> Exception:
        """The error for the first token that is no number."""
        at = next(at for at in range(self.position, self.position + count) if not NUMBER.fullmatch(self.peek(at)))
        token, offset = self.peek(at), self.offset(at)
        if _LOOKS_SPECIAL.fullmatch(token):
            return self._log.error(22, "is not a number of the format", offset, key=key, value=_shown(token),
                                   accepted="give digits with a decimal point")  # fmt: skip
        if re.fullmatch(rb"[0-9.+-]+", token):
            return self._log.error(23, "runs numbers together", offset, key=key, value=_shown(token),
                                   accepted="put a blank between numbers")  # fmt: skip
        return self._log.error(27, "stands where a number belongs", offset, key=key, value=_shown(token))


def _shown(token: bytes) -> str:
    return token[:40].decode("ascii", errors="replace")
