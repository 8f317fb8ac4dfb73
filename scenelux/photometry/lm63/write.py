"""Writes LM-63-2002: all factors in the candelas, only exact symmetry left out, plain text that any reader takes."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.lm63.openings import opening_codes

__all__ = ["REQUIRED_KEYWORDS", "write_lm63"]

Array = NDArray[np.float64]

REQUIRED_KEYWORDS = ("TEST", "TESTLAB", "ISSUEDATE", "MANUFAC")

_LINE = 132
_EDGE_DEG = 0.01  # a table that stops early falls to 0 within this
_DIGITS = 6


def write_lm63(
    distribution: IntensityDistribution,
    keywords: Sequence[tuple[str, str]],
    *,
    opening: Opening | None = None,
    input_watts: float = 0.0,
) -> bytes:
    """A distribution as an LM-63-2002 file: absolute photometry, metres, six significant digits, CRLF.

    Parameters
    ----------
    distribution : of any type; a table that stops short of the required end angles is continued with 0.
    keywords : (key, text) in order, without brackets; required ones that are missing say "not stated".
        Texts become plain ASCII and long ones continue with MORE.
    opening : luminous opening; a point when not given.
    input_watts : electrical input [W].

    Source
    ------
    ANSI/IESNA LM-63-2002, clauses 5 and 6, Table 1 and Annex A.

    Example
    -------
    >>> lamp = IntensityDistribution("C", [0, 360], [0, 90], [[100, 0]] * 2)
    >>> write_lm63(lamp, [("TEST", "invented")]).split(bytes((13, 10)))[-5:-1]
    [b'1 1 0', b'0 90', b'0', b'100 0']
    """
    if not (np.isfinite(input_watts) and input_watts >= 0.0):
        raise UsageError("is not an electrical input", key="input_watts", value=input_watts)
    h, v, candela = _reduced(distribution)
    codes = {"C": 1, "B": 2, "A": 3}
    sizes = " ".join(_number(size) for size in opening_codes(opening or Opening()))
    lines = ["IESNA:LM-63-2002", *_keyword_lines(keywords), "TILT=NONE"]
    lines.append(f"1 -1 1 {v.size} {h.size} {codes[distribution.photometric_type]} 2 {sizes}")
    lines.append(f"1 1 {_number(input_watts)}")
    for record in (v, h):
        lines += _record(map(_angle, record.tolist()))
    for row in candela:
        lines += _record(map(_number, row.tolist()))
    return "".join(f"{line}\r\n" for line in lines).encode("ascii")


def _keyword_lines(keywords: Sequence[tuple[str, str]]) -> list[str]:
    present = {key for key, _ in keywords}
    missing = [(key, "not stated") for key in REQUIRED_KEYWORDS if key not in present]
    lines = []
    for key, text in [*missing, *keywords]:
        first = f"[{_ascii(key)}] " if key else ""
        if len(first) > 110 or any(bracket in key for bracket in "[]"):
            raise UsageError("is not a keyword", key="keywords", value=key, accepted="use a short one without brackets")
        lines += _folded(first, " ".join(_ascii(text).split()))
    return lines


def _folded(first: str, text: str) -> list[str]:
    """One keyword on as many lines as it needs, later ones under MORE."""
    lines: list[str] = []
    start = first
    while True:
        room = _LINE - len(start)
        if len(text) <= room:
            return [*lines, f"{start}{text}".rstrip()]
        cut = text.rfind(" ", 1, room + 1)
        cut = cut if cut > 0 else room
        lines.append(f"{start}{text[:cut]}".rstrip())
        text, start = text[cut:].lstrip(), "[MORE] "


def _ascii(text: str) -> str:
    """Letters without their accents; what has no plain letter becomes a question mark."""
    plain = unicodedata.normalize("NFKD", text)
    kept = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return "".join(letter if " " <= letter <= "~" else "?" if letter > "~" else " " for letter in kept)


def _record(numbers: Iterable[str]) -> list[str]:
    """Numbers on lines of at most 132 characters, at least one line."""
    lines: list[str] = []
    line: list[str] = []
    used = 0
    for number in numbers:
        if line and used + 1 + len(number) > _LINE:
            lines.append(" ".join(line))
            line, used = [], 0
        used += len(number) + (1 if line else 0)
        line.append(number)
    return [*lines, " ".join(line)]


def _angle(value: float) -> str:
    """The shortest decimal that reads back as the same number, without an exponent."""
    return np.format_float_positional(value + 0.0, unique=True, trim="-")


def _number(value: float) -> str:
    """Six significant digits without an exponent; what is below a billionth is 0."""
    if abs(value) < 1e-9:
        return "0"
    return np.format_float_positional(value + 0.0, precision=_DIGITS, unique=False, fractional=False, trim="-")


def _reduced(distribution: IntensityDistribution) -> tuple[Array, Array, Array]:
    """Angles and intensities as written: what exact mirror symmetry repeats is left out."""
    h, v, candela = distribution.horizontal_deg, distribution.vertical_deg, distribution.candela
    if distribution.photometric_type == "C":
        low = 90.0 if v[0] >= 90.0 else 0.0
        v, candela = _stretched(v, candela, low, 90.0 if v[-1] <= 90.0 else 180.0)
        return _reduced_circle(h, v, candela)
    v, candela = _halved(*_stretched(v, candela, -90.0, 90.0))
    h, turned = _halved(*_stretched(h, candela.T, -90.0, 90.0))
    return h, v, turned.T


def _reduced_circle(h: Array, v: Array, candela: Array) -> tuple[Array, Array, Array]:
    if (candela == candela[0]).all():
        return h[:1], v, candela[:1]
    for end, mirror in ((180.0, 360.0), (90.0, 180.0)):
        within = h <= mirror
        angles, rows = h[within], candela[within]
        symmetrical = np.array_equal(angles, mirror - angles[::-1]) and np.array_equal(rows, rows[::-1])
        if end not in angles or not symmetrical:
            break
        h, candela = h[h <= end], candela[h <= end]
    return h, v, candela


def _halved(angles: Array, candela: Array) -> tuple[Array, Array]:
    """The half from 0 up, when the last axis is exactly symmetrical about the angle 0."""
    symmetrical = np.array_equal(angles, -angles[::-1]) and np.array_equal(candela, candela[:, ::-1])
    if not symmetrical or 0.0 not in angles:
        return angles, candela
    return angles[angles >= 0.0], candela[:, angles >= 0.0]


def _stretched(angles: Array, candela: Array, low: float, high: float) -> tuple[Array, Array]:
    """The last axis continued with 0 to the required end angles."""
    before = [low] if low < angles[0] - _EDGE_DEG else []
    before += [angles[0] - _EDGE_DEG] if low < angles[0] - 2 * _EDGE_DEG else []
    after = [angles[-1] + _EDGE_DEG] if high > angles[-1] + 2 * _EDGE_DEG else []
    after += [high] if high > angles[-1] + _EDGE_DEG else []
    padded = np.pad(candela, ((0, 0), (len(before), len(after))))
    stretched = np.concatenate((np.round(before, 6), angles, np.round(after, 6)))
    if 0.0 < abs(stretched[0] - low) <= _EDGE_DEG:
        stretched[0] = low
    if 0.0 < abs(stretched[-1] - high) <= _EDGE_DEG:
        stretched[-1] = high
    return stretched, padded
