"""Tells an EULUMDAT file by its content: a text line, six lines with one number each, and more such lines later."""

from __future__ import annotations

import re

from scenelux.photometry.eulumdat.fields import HEAD
from scenelux.photometry.eulumdat.lines import with_plain_line_ends

__all__ = ["looks_like_eulumdat"]

_LOOKED_AT_BYTES = 65536
_NUMBER = re.compile(rb"[+-]?(?:[0-9]{1,12}(?:[.,][0-9]{0,12})?|[.,][0-9]{1,12})(?:[eE][+-]?[0-9]{1,3})?")
_WHOLE = re.compile(rb"[0-9]{1,9}(?:[.,]0{0,6})?")
_COUNTS = (2, 3, 5)  # lines of symmetry and of the numbers of angles, from 0
_STEPS = (1, 4, 6)  # lines of the first six that may be empty


def looks_like_eulumdat(text: bytes) -> bool:
    """Whether a text is laid out as an EULUMDAT file, be it a faulty one.

    Parameters
    ----------
    text : the file without byte order mark, in a one-byte code page or UTF-8; only its first 64 kB are looked at.

    Example
    -------
    >>> looks_like_eulumdat(b"Invented 1 0 24 15 37 5 x".replace(b" ", bytes([10])))
    True
    >>> looks_like_eulumdat(b"IESNA:LM-63-2002")
    False
    """
    lines = [line.strip() for line in with_plain_line_ends(text[:_LOOKED_AT_BYTES]).split(b"\n", len(HEAD))]
    if len(lines) < 8 or lines[0][:1] == b"<" or any(line.upper().startswith(b"TILT=") for line in lines):
        return False
    if sum(b"," in line for line in lines[1:]) > 0.5 * len(lines):  # a table of two columns
        return False
    first = [bool(_NUMBER.fullmatch(line)) or (at in _STEPS and not line) for at, line in enumerate(lines[1:7], 1)]
    if all(first) and all(_WHOLE.fullmatch(lines[at]) for at in _COUNTS):
        return True
    return sum(first) >= 5 and _fits_later(lines)


def _fits_later(lines: list[bytes]) -> bool:
    """All but one of the later lines that hold numbers, or may be empty, do so."""
    later = [line for line, field in zip(lines, HEAD, strict=False) if field.kind != "text"][6:]
    wrong = [line for line in later if line and not _NUMBER.fullmatch(line)]
    return len(later) >= 10 and len(wrong) <= 1 and len(later) - later.count(b"") >= 4
