"""Writes LM-63: all factors in the candelas, only exact symmetry left out, plain text that any reader takes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.names import CALCULATED_FROM_BEAM
from scenelux.photometry.digits import shortest, six_digits
from scenelux.photometry.distribution import IntensityDistribution, Opening
from scenelux.photometry.edges import continued
from scenelux.photometry.limits import check_written_table, written
from scenelux.photometry.lm63.generation import CALCULATED, UNDEFINED, generation_of
from scenelux.photometry.lm63.keyword_lines import LONGEST_LINE, keyword_lines
from scenelux.photometry.lm63.openings import opening_codes
from scenelux.photometry.lm63.text import REQUIRED_KEYWORDS
from scenelux.photometry.symmetry import NONE, SIDEWAYS, listed_planes, symmetry_of
from scenelux.photometry.tilt import TiltTable

__all__ = ["REQUIRED_KEYWORDS", "WrittenEdition", "write_lm63"]

Array = NDArray[np.float64]
WrittenEdition = Literal["2002", "2019"]

_SAME_DEG = 1e-9  # mirrored angles carry the rounding of a subtraction

_FIRST_LINES: dict[WrittenEdition, str] = {"2002": "IESNA:LM-63-2002", "2019": "IES:LM-63-2019"}


def write_lm63(
    distribution: IntensityDistribution,
    keywords: Sequence[tuple[str, str]],
    *,
    opening: Opening | None = None,
    input_watts: float = 0.0,
    edition: WrittenEdition = "2002",
    generation: str | None = None,
    tilt: TiltTable | None = None,
    lamps: int = 1,
) -> bytes:
    """A distribution as an LM-63 file: absolute photometry, metres, six significant digits, CRLF.

    Parameters
    ----------
    distribution : of any type; a table that stops short of the required end angles is continued with 0.
    keywords : (key, text) in order, without brackets; required ones that are missing say "not stated".
        Texts become plain ASCII and long ones continue with MORE.
    opening : luminous opening; a point when not given.
    input_watts : electrical input [W].
    edition : "2002" or "2019".
    generation : how the file came about, as the token of field 12 of 2019; when not given, "calculated" or
        "undefined" by whether the keywords say that it was made from a beam. The edition of 2002 has no place for it.
    tilt : table that goes into the file, never applied.
    lamps : number of lamps in the luminaire.

    Source
    ------
    ANSI/IESNA LM-63-2002, clauses 5 and 6, Table 1 and Annexes A and F; the edition of 2019 as described by
    implementers.

    Example
    -------
    >>> lamp = IntensityDistribution("C", [0, 360], [0, 90], [[100, 0]] * 2)
    >>> write_lm63(lamp, [("TEST", "invented")]).split(bytes((13, 10)))[-5:-1]
    [b'1 1 0', b'0 90', b'0', b'100 0']
    """
    if not (np.isfinite(input_watts) and input_watts >= 0.0):
        raise UsageError("is not an electrical input", key="input_watts", value=input_watts)
    if edition not in get_args(WrittenEdition):
        raise UsageError("is no edition that is written", key="edition", value=edition, accepted="use 2002 or 2019")
    if lamps < 1:
        raise UsageError("is not a number of lamps", key="lamps", value=lamps, accepted="give 1 or more")
    h, v, candela = _reduced(distribution)
    check_written_table(h.size, v.size)
    codes = {"C": 1, "B": 2, "A": 3}
    sizes = " ".join(six_digits(size) for size in opening_codes(opening or Opening()))
    lines = [_FIRST_LINES[edition], *keyword_lines(keywords), *_tilt_lines(tilt)]
    lines.append(f"{lamps} -1 1 {v.size} {h.size} {codes[distribution.photometric_type]} 2 {sizes}")
    lines.append(f"1 {_field_12(edition, generation, keywords)} {six_digits(input_watts)}")
    for record in (v, h):
        lines += _record(map(shortest, record.tolist()))
    for row in candela:
        lines += _record(map(six_digits, row.tolist()))
    return written("".join(f"{line}\r\n" for line in lines).encode("ascii"))


def _field_12(edition: WrittenEdition, generation: str | None, keywords: Sequence[tuple[str, str]]) -> str:
    if edition == "2002":
        return "1"
    if generation is not None:
        return generation if generation_of(generation) else UNDEFINED
    return CALCULATED if any(CALCULATED_FROM_BEAM in text for _, text in keywords) else UNDEFINED


def _tilt_lines(tilt: TiltTable | None) -> list[str]:
    if tilt is None:
        return ["TILT=NONE"]
    lists = [line for record in (tilt.angles_deg, tilt.factors) for line in _record(map(shortest, record))]
    return ["TILT=INCLUDE", str(tilt.geometry), str(len(tilt.angles_deg)), *lists]


def _record(numbers: Iterable[str]) -> list[str]:
    """Numbers on as few lines as they need, at least one."""
    lines: list[str] = []
    line: list[str] = []
    used = 0
    for number in numbers:
        if line and used + 1 + len(number) > LONGEST_LINE:
            lines.append(" ".join(line))
            line, used = [], 0
        used += len(number) + (1 if line else 0)
        line.append(number)
    return [*lines, " ".join(line)]


def _rounded(candela: Array) -> Array:
    """The intensities that stand in the file: symmetry is looked for in these, so that what is read again is the same.

    Rows that are written alike are alike, and the file says so in the shortest way.
    """
    rows = [[float(six_digits(value)) for value in row.tolist()] for row in candela]
    return np.array(rows)


def _reduced(distribution: IntensityDistribution) -> tuple[Array, Array, Array]:
    """Angles and intensities as written: what exact mirror symmetry repeats is left out."""
    kind, candela = distribution.photometric_type, _rounded(distribution.candela)
    h, v, candela = continued(kind, distribution.horizontal_deg, distribution.vertical_deg, candela)
    if kind == "C":
        candela[-1] = candela[0]  # plane 360 is plane 0
        symmetry = symmetry_of(h, candela)
        h, candela = listed_planes(NONE if symmetry == SIDEWAYS else symmetry, h, candela)
        return h, v, candela
    v, candela = _halved(v, candela)
    h, turned = _halved(h, candela.T)
    return h, v, turned.T


def _halved(angles: Array, candela: Array) -> tuple[Array, Array]:
    """The half from 0 up, when the last axis is exactly symmetrical about the angle 0."""
    same = np.abs(angles + angles[::-1]).max() <= _SAME_DEG
    if not same or not np.array_equal(candela, candela[:, ::-1]) or 0.0 not in angles:
        return angles, candela
    return angles[angles >= 0.0], candela[:, angles >= 0.0]
