"""Test points and angles in the words of laboratories: 10U-5L, H-V, 5D, or signed degrees."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Literal

from scenelux.photometry.digits import FIGURE, shortest

__all__ = ["PLAIN", "Axis", "angle_of", "number_of", "point_name", "point_of"]

Axis = Literal["H", "V"]

PLAIN = re.compile(rf"[+-]?{FIGURE}(?:[eE][+-]?[0-9]+)?")
"""A number of a table: decimal digits, nothing else."""

LONGEST = 60
"""Letters of the longest angle, test point or number."""

_DECIMALS = 9  # of an angle

_WORDS = {"U": "UP|U", "D": "DOWN|DN|D", "L": "LEFT|L", "R": "RIGHT|R"}
_SIDE = "|".join(_WORDS.values())
_PART = re.compile(rf"(?P<before>{_SIDE})? ?(?P<figure>{FIGURE}) ?(?P<after>{_SIDE})?|(?P<line>[HV])")
_TOUCHING = re.compile(rf"({FIGURE}(?:{_SIDE})|[HV])({FIGURE}(?:{_SIDE})|[HV])")
_BARE = re.compile(r"[0-9.]+[UDLR]?-[0-9.]+[UDLR]?")
_SEPARATOR = re.compile(r" ?[-/,_;] ?")
_DASHES = str.maketrans({"\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-", "\u2212": "-"})


def number_of(text: str, *, comma: bool = False) -> float | None:
    """The number that a cell holds, None when it holds anything else.

    Parameters
    ----------
    text : of the cell.
    comma : a decimal comma counts as a decimal point.

    Example
    -------
    >>> number_of("12,5", comma=True), number_of("1e3"), number_of("nan"), number_of("0x10")
    (12.5, 1000.0, None, None)
    """
    text = text.strip().translate(_DASHES)
    if comma and "." not in text:
        text = text.replace(",", ".", 1)
    return float(text) if len(text) <= LONGEST and PLAIN.fullmatch(text) else None


def angle_of(text: str, axis: Axis, *, comma: bool = False) -> float | None:
    """The angle in a cell of a known axis [deg]: a signed number, 5L, 10U, or the letter of the line at 0.

    Parameters
    ----------
    text : of the cell.
    axis : "H" for angles to the right, "V" for angles up.
    comma : a decimal comma counts as a decimal point.

    Example
    -------
    >>> angle_of("20L", "H"), angle_of("V", "H"), angle_of("-2.5", "V"), angle_of("5U", "H")
    (-20.0, 0.0, -2.5, None)
    """
    signed = number_of(text, comma=comma)
    if signed is not None:
        return round(signed, _DECIMALS) + 0.0
    found = _part(_plain(text, comma))
    return found[1] if found is not None and found[0] == axis else None


def point_of(text: str, *, comma: bool = False) -> tuple[float, float] | None:
    """The angles (H, V) of a test point as laboratories name it, H positive to the right and V up [deg].

    Parameters
    ----------
    text : such as "10U-5L", "5L 10U", "H-V", "5U-V" or "0.57U-3.43R"; in any order and case.
    comma : a decimal comma counts as a decimal point.

    Example
    -------
    >>> point_of("10U-5L"), point_of("H-V"), point_of("5d 20r"), point_of("10U")
    ((-5.0, 10.0), (0.0, 0.0), (20.0, -5.0), None)
    """
    plain = _plain(text, comma)
    touching = _TOUCHING.fullmatch(plain)
    names = list(touching.groups()) if touching else _SEPARATOR.split(plain)
    if len(names) != 2:
        names = plain.split(" ")
    parts = [_part(name) for name in names]
    if len(parts) != 2:
        return None
    if names == ["0", "0"]:
        return 0.0, 0.0
    first, second = _completed(parts[0], names[0], parts[1]), _completed(parts[1], names[1], parts[0])
    if first is None or second is None or first[0] == second[0]:
        return None
    return (first[1], second[1]) if first[0] == "H" else (second[1], first[1])


def _plain(text: str, comma: bool) -> str:
    """Capitals with plain hyphens, without degree signs, single blanks; empty when it is too long for an angle."""
    if not _BARE.fullmatch(text):
        text = " ".join(text.translate(_DASHES).upper().replace("°", " ").replace("DEG", " ").split())
    if len(text) > LONGEST:
        return ""
    text = re.sub(rf"(?<=[0-9.]) (?=(?:{_SIDE})\b)", "", text)
    return re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text) if comma else text


@lru_cache(maxsize=4096)  # the names of a table share their halves
def _part(text: str) -> tuple[Axis, float] | None:
    """One half of a test point: which axis, and its angle [deg]."""
    found = _PART.fullmatch(text)
    if found is None:
        return None
    if found["line"]:
        return ("V", 0.0) if found["line"] == "H" else ("H", 0.0)
    sides = [side for side in (found["before"], found["after"]) if side]
    if len(sides) != 1:
        return None
    side, figure = sides[0][0], round(float(found["figure"]), _DECIMALS)
    return "H" if side in "LR" else "V", (-figure if side in "LD" else figure) + 0.0


def _completed(
    part: tuple[Axis, float] | None, name: str, other: tuple[Axis, float] | None
) -> tuple[Axis, float] | None:
    """A bare 0 stands for the axis that the other half leaves."""
    if part is None and other is not None and re.fullmatch(r"0(?:\.0*)?", name):
        return "V" if other[0] == "H" else "H", 0.0
    return part


def point_name(h_deg: float, v_deg: float) -> str:
    """The name of a test point, vertical angle first.

    Parameters
    ----------
    h_deg, v_deg : to the right and up [deg].

    Example
    -------
    >>> point_name(-5.0, 10.0), point_name(0.0, 0.0), point_name(3.43, 0.57), point_name(0.0, -2.0)
    ('10U-5L', 'H-V', '0.57U-3.43R', '2D-V')
    """
    h_deg, v_deg = round(h_deg, _DECIMALS), round(v_deg, _DECIMALS)
    up = "H" if v_deg == 0.0 else f"{shortest(abs(v_deg))}{'U' if v_deg > 0.0 else 'D'}"
    side = "V" if h_deg == 0.0 else f"{shortest(abs(h_deg))}{'R' if h_deg > 0.0 else 'L'}"
    return f"{up}-{side}"
