"""File generation type of LM-63-2019: how a file came about, told by the digits of its field 12."""

from __future__ import annotations

import re

from scenelux.photometry.file import Generation

__all__ = ["CALCULATED", "UNDEFINED", "generation_of"]

CALCULATED = "1.00010"
"""The token of a file that a computer simulation gave."""

UNDEFINED = "1.00001"
"""The token of a file of which nothing is known."""

_FIXED = {"00001": ("undefined",), "00010": ("computer simulation",)}
_DIGITS = re.compile(r"([01])([01])([01])00")


def generation_of(token: str) -> Generation | None:
    """The generation type that a token names; None when it is none of the ten legal ones.

    Parameters
    ----------
    token : field 12 as written; missing zeros at its end are filled in before it is looked at, and never kept.

    Source
    ------
    ANSI/IES LM-63-19, table 2, as described by implementers.

    Example
    -------
    >>> generation_of("1.111").words
    ('accredited laboratory', 'interpolated angles', 'scaled lumens')
    >>> generation_of("1.5") is None
    True
    """
    words = _words(token)
    return None if words is None else Generation(token, words)


def _decimals(token: str) -> str:
    whole, _, decimals = token.partition(".")
    return decimals.ljust(5, "0") if whole == "1" and len(decimals) <= 5 else ""


def _words(token: str) -> tuple[str, ...] | None:
    decimals = _decimals(token)
    if decimals in _FIXED:
        return _FIXED[decimals]
    match = _DIGITS.fullmatch(decimals)
    if match is None:
        return None
    laboratory = "accredited laboratory" if match[1] == "1" else "unaccredited laboratory"
    added = zip(match.groups()[1:], ("interpolated angles", "scaled lumens"), strict=True)
    return (laboratory, *(words for digit, words in added if digit == "1"))
