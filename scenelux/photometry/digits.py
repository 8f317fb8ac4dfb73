"""Numbers of photometric files: which words are numbers, and the digits that are written."""

from __future__ import annotations

import re

import numpy as np

__all__ = ["FIGURE", "LONGEST_NUMBER", "NUMBER", "PLAIN_NUMBER", "SPECIAL_NUMBER", "shortest", "six_digits"]

FIGURE = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
"""Digits with or without a decimal point, without a sign."""

PLAIN_NUMBER = re.compile(rf"[+-]?{FIGURE}".encode())
"""A number of every photometric format: digits with a decimal point, nothing else."""

NUMBER = re.compile(PLAIN_NUMBER.pattern + rb"(?:[eEdD][+-]?[0-9]+)?")
"""The same with the exponent that some programs write."""

SPECIAL_NUMBER = re.compile(rb"[+-]?(?:nan|inf|infinity|0x[0-9a-f]*|[0-9.]*_[0-9._]*)", re.IGNORECASE)
"""What programs take for a number and no format does."""

LONGEST_NUMBER = 400
"""Characters of a number: as many as the smallest one needs that is written without an exponent."""

_LEAST = 1e-9


def shortest(value: float) -> str:
    """The shortest decimal that reads back as the same number, without an exponent; below a billionth it is 0.

    Example
    -------
    >>> shortest(22.25), shortest(1e-7), shortest(-1e-10)
    ('22.25', '0.0000001', '0')
    """
    if abs(value) < _LEAST:
        return "0"
    return np.format_float_positional(value, unique=True, trim="-")


def six_digits(value: float) -> str:
    """Six significant digits without an exponent; what is below a billionth is 0.

    Example
    -------
    >>> six_digits(1234567.0), six_digits(0.1), six_digits(2.5e-12)
    ('1234570', '0.1', '0')
    """
    if abs(value) < _LEAST:
        return "0"
    text = f"{value:.6g}"
    if "e" not in text:
        return text
    return np.format_float_positional(value, precision=6, unique=False, fractional=False, trim="-")
