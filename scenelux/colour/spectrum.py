"""The spectrum of a lamp: reads it from a table of wavelength and power."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import InputError, LimitError, PhotometricError
from scenelux.names import LARGEST_SPECTRUM_BYTES

__all__ = ["COVERED_NM", "LONGEST_STEP_NM", "MOST_ROWS", "RANGE_NM", "Spectrum", "read_spectrum", "spectrum_of"]

Array = NDArray[np.float64]

RANGE_NM = (300.0, 1000.0)
COVERED_NM = (400.0, 700.0)
"""What every spectrum must cover."""

VISIBLE_NM = (380.0, 780.0)
LONGEST_STEP_NM = 10.0
MOST_ROWS = 20_000

_MOST_NEGATIVE = 0.02  # of the peak: noise of an instrument, counted as 0
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,4})?")
_LONGEST_NUMBER = 40
_COLUMNS = 2
_ACCEPTED = "give rows of wavelength [nm] and power, parted by comma, semicolon or tab"


@dataclass(frozen=True, eq=False)
class Spectrum:
    """Spectral power in any unit over rising wavelengths, straight between them and zero outside."""

    wavelength_nm: Array  # (n,)
    power: Array  # (n,) largest is 1
    notes: tuple[str, ...] = ()


def spectrum_of(wavelength_nm: ArrayLike, power: ArrayLike) -> Spectrum:
    """A spectrum from its two columns, checked.

    Parameters
    ----------
    wavelength_nm : (n,) rising, from 300 to 1000, covering 400 to 700 in steps of at most 10 [nm].
    power : (n,) in any unit; values below zero are noise and count as 0 while above -2 % of the largest.

    Example
    -------
    >>> spectrum_of([380, 780], [1, 1])
    Traceback (most recent call last):
    scenelux.errors.PhotometricError: has a step of 400 nm from 380 nm; give steps of at most 10 nm from 400 to 700 nm.
    """
    wavelength, values = np.array(wavelength_nm, np.float64), np.array(power, np.float64)
    if wavelength.ndim != 1 or wavelength.shape != values.shape:
        raise PhotometricError("does not have one power for each wavelength", accepted=_ACCEPTED)
    if not (np.isfinite(wavelength).all() and np.isfinite(values).all()):
        raise PhotometricError("has a value that is not a finite number", accepted=_ACCEPTED)
    _check_wavelengths(wavelength)
    values, notes = _cleaned(values)
    if wavelength[0] > VISIBLE_NM[0] or wavelength[-1] < VISIBLE_NM[1]:
        notes = (*notes, f"the spectrum ends at {wavelength[0]:g} and {wavelength[-1]:g} nm and counts as 0 outside")
    for array in (wavelength, values):
        array.setflags(write=False)
    return Spectrum(wavelength, values, notes)


def _check_wavelengths(wavelength: Array) -> None:
    low, high = COVERED_NM
    outside = wavelength[(wavelength < RANGE_NM[0]) | (wavelength > RANGE_NM[1])]
    if outside.size:
        accepted = f"give wavelengths from {RANGE_NM[0]:g} to {RANGE_NM[1]:g} nm"
        raise PhotometricError(f"has a wavelength of {outside[0]:g} nm", accepted=accepted)
    steps = np.diff(wavelength)
    if (steps <= 0.0).any():
        at = int(np.argmax(steps <= 0.0))
        problem = f"goes from {wavelength[at]:g} to {wavelength[at + 1]:g} nm"
        raise PhotometricError(problem, accepted="give rising wavelengths, each once")
    if not wavelength.size or wavelength[0] > low or wavelength[-1] < high:
        span = f"{wavelength[0]:g} to {wavelength[-1]:g} nm" if wavelength.size else "nothing"
        raise PhotometricError(f"covers {span}", accepted=f"give at least {low:g} to {high:g} nm")
    wide = (steps > LONGEST_STEP_NM) & (wavelength[1:] > low) & (wavelength[:-1] < high)
    if wide.any():
        at = int(np.argmax(wide))
        problem = f"has a step of {steps[at]:g} nm from {wavelength[at]:g} nm"
        accepted = f"give steps of at most {LONGEST_STEP_NM:g} nm from {low:g} to {high:g} nm"
        raise PhotometricError(problem, accepted=accepted)


def _cleaned(values: Array) -> tuple[Array, tuple[str, ...]]:
    largest = float(values.max())
    if not largest > 0.0:
        raise PhotometricError("has no power at any wavelength", accepted=_ACCEPTED)
    values = values / largest
    lowest = float(values.min())
    if lowest < -_MOST_NEGATIVE:
        problem = f"has a power of {lowest * 100.0:.3g} % of the largest"
        raise PhotometricError(problem, accepted="give powers of zero or more")
    notes = (f"{int((values < 0.0).sum())} powers below zero count as 0",) if lowest < 0.0 else ()
    return np.maximum(values, 0.0), notes


def read_spectrum(data: bytes, name: str) -> Spectrum:
    """A spectrum from a table with a wavelength and a power in each row.

    One line of titles at most, comments after #, and a decimal comma where a semicolon or tab parts the numbers.

    Parameters
    ----------
    data : the file, at most 1 MB and 20,000 rows.
    name : of the file, for messages.

    Example
    -------
    >>> rows = "".join(f"{nm};1,0\\n" for nm in range(380, 785, 5))
    >>> read_spectrum(("nm;power\\n" + rows).encode(), "equal.csv").power.size
    81
    """
    if len(data) > LARGEST_SPECTRUM_BYTES:
        problem = f"is a file of {len(data) / 1e6:.1f} MB"
        raise LimitError(problem, file=name, accepted=f"a spectrum has at most {LARGEST_SPECTRUM_BYTES / 1e6:g} MB")
    lines = [line.partition("#")[0].strip() for line in _text(data, name).splitlines()]
    rows = [(number, line) for number, line in enumerate(lines, 1) if line]
    if len(rows) > MOST_ROWS:
        raise LimitError(f"has {len(rows):,} rows", file=name, accepted=f"a spectrum has at most {MOST_ROWS:,}")
    if not rows:
        raise PhotometricError("is an empty file", file=name, accepted=_ACCEPTED)
    mark = next((mark for mark in ";\t" if mark in rows[-1][1]), ",")
    if _number(_fields(rows[0][1], mark)[0], mark) is None:
        rows = rows[1:]
    pairs = [_row(line, mark, name, number) for number, line in rows]
    try:
        return spectrum_of([pair[0] for pair in pairs], [pair[1] for pair in pairs])
    except InputError as error:
        raise error.at(file=name) from None


def _text(data: bytes, name: str) -> str:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = data.decode("utf-16", errors="replace")
    else:
        text = data.decode("utf-8-sig", errors="replace")
    if "\0" in text:
        raise PhotometricError("is not a text file", file=name, accepted=_ACCEPTED)
    return text


def _fields(line: str, mark: str) -> list[str]:
    fields = [field.strip().strip('"') for field in line.split(mark)]
    return fields[:-1] if fields[-1] == "" and len(fields) > 1 else fields


def _number(field: str, mark: str) -> float | None:
    """The number in a field, or nothing where it holds none; infinite where it is too large."""
    text = field if mark == "," else field.replace(",", ".", 1)
    return float(text) if len(text) <= _LONGEST_NUMBER and _NUMBER.fullmatch(text) else None


def _row(line: str, mark: str, name: str, number: int) -> tuple[float, float]:
    fields = _fields(line, mark)
    if len(fields) != _COLUMNS:
        few = "only one number" if len(fields) < _COLUMNS else f"{len(fields)} columns"
        raise PhotometricError(f"has {few}", file=name, line=number, value=line, accepted=_ACCEPTED)
    pair = [_number(field, mark) for field in fields]
    for value, field in zip(pair, fields, strict=True):
        if value is None:
            accepted = "give digits with a decimal point, such as 0.125 or 1.25e-1"
            raise PhotometricError("is not a number", file=name, line=number, value=field, accepted=accepted)
        if math.isinf(value):
            raise PhotometricError("is too large a number", file=name, line=number, value=field)
    return float(pair[0] or 0.0), float(pair[1] or 0.0)
