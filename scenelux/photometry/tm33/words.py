"""Texts and numbers as XML 1.0 takes them."""

from __future__ import annotations

import re
from xml.sax.saxutils import escape, quoteattr

import numpy as np

__all__ = ["holds", "plain_number", "quoted", "six_digits", "xml_text"]

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_KEPT_AS_CODES = {"\r": "&#13;"}
_KEPT_IN_ATTRIBUTES = {"\r": "&#13;", "\n": "&#10;", "\t": "&#9;"}


def holds(text: str) -> bool:
    """Whether XML can hold every letter of a text."""
    return not _FORBIDDEN.search(text)


def xml_text(text: str) -> str:
    """A text between two tags; letters that XML cannot hold are left out."""
    return escape(_FORBIDDEN.sub("", text), _KEPT_AS_CODES)


def quoted(text: str) -> str:
    """The value of an attribute, in quotes."""
    return quoteattr(_FORBIDDEN.sub("", text), _KEPT_IN_ATTRIBUTES)


def plain_number(value: float) -> str:
    """The shortest decimal that reads back as the same number, without an exponent.

    Example
    -------
    >>> plain_number(22.25), plain_number(1e-7)
    ('22.25', '0.0000001')
    """
    return np.format_float_positional(value + 0.0, unique=True, trim="-")


def six_digits(value: float) -> str:
    """Six significant digits without an exponent; what is below a billionth is 0.

    Example
    -------
    >>> six_digits(1234567.0), six_digits(0.1), six_digits(2.5e-12)
    ('1234570', '0.1', '0')
    """
    if abs(value) < 1e-9:
        return "0"
    text = f"{value:.6g}"
    if "e" not in text:
        return text
    return np.format_float_positional(value, precision=6, unique=False, fractional=False, trim="-")
