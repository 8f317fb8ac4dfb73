"""Shape codes of the luminous opening: what the signs of width, length and height mean in each edition of LM-63."""

from __future__ import annotations

from typing import Literal

from scenelux.photometry.distribution import Opening

__all__ = ["FOOT_M", "Edition", "opening_codes", "read_opening"]

Edition = Literal["1986", "1991", "1995", "2002", "2019"]
Shape = Literal["point", "rectangle", "ellipse"]

FOOT_M = 0.3048
_LEAST_M = 1e-6  # what is smaller is no size

# Signs of (width, length, height) -> solid, and which of the three sizes stand for (length, width, height).
_Codes = dict[str, tuple[str, str]]

_EVERY: _Codes = {"000": ("point", "000"), "++0": ("rectangle", "lw0"), "+++": ("box", "lwh")}
_FIRST: _Codes = {
    **_EVERY,
    "-00": ("circle", "ww0"),
    "-+0": ("ellipse", "lw0"),
    "-0+": ("vertical cylinder", "wwh"),
    "-++": ("ellipsoid", "lwh"),
}
_OF_1995: _Codes = {
    **_EVERY,
    "-00": ("circle", "ww0"),
    "-0+": ("vertical cylinder", "wwh"),
    "-++": ("vertical elliptic cylinder", "lwh"),
    "+-+": ("vertical elliptic cylinder", "lwh"),
    "-0-": ("sphere", "www"),
    "-+-": ("ellipsoid", "lwh"),
    "+--": ("ellipsoid", "lwh"),
    "0+-": ("horizontal cylinder along", "lhh"),
    "+0-": ("horizontal cylinder across", "hwh"),
}
_OF_2002: _Codes = {
    **_EVERY,
    "--0": ("ellipse", "lw0"),
    "--+": ("vertical elliptic cylinder", "lwh"),
    "---": ("ellipsoid", "lwh"),
    "-+-": ("horizontal cylinder along", "lwh"),
    "+--": ("horizontal cylinder across", "lwh"),
    "-0-": ("upright ellipse", "0wh"),
}
_EXTENSION: _Codes = {"+0+": ("upright rectangle", "0wh"), "0++": ("upright rectangle", "l0h")}

_CODES: dict[Edition, _Codes] = {
    "1986": _FIRST,
    "1991": _FIRST,
    "1995": _OF_1995,
    "2002": _OF_2002,
    "2019": _OF_2002,
}

_ROUND = frozenset(
    ("circle", "ellipse", "upright ellipse", "ellipsoid", "sphere", "vertical cylinder", "vertical elliptic cylinder")
)


def read_opening(edition: Edition, width: float, length: float, height: float, unit_m: float) -> tuple[Opening, str]:
    """The opening that three signed sizes of a file stand for, and a sentence when it is not this edition's code.

    A code of another edition is read as in the edition nearest in time.

    Parameters
    ----------
    edition : of the file.
    width, length, height : as in the file, in its unit and order.
    unit_m : metres in one unit.

    Source
    ------
    ANSI/IESNA LM-63-2002, Table 1 (shape codes of 2002); codes of the other editions as described by implementers.
    """
    signs = "".join(_sign(size, unit_m) for size in (width, length, height))
    sizes = {"w": abs(width) * unit_m, "l": abs(length) * unit_m, "h": abs(height) * unit_m, "0": 0.0}
    for other in sorted(_CODES, key=lambda one: (abs(int(one) - int(edition)), one)):
        found = _CODES[other].get(signs)
        if found is None or (found[0] == "sphere" and width != height):
            continue
        opening = _opening(*found, sizes)
        told = f"the shape of the opening is a code of the edition of {other}, read as {opening.solid}"
        return opening, "" if _CODES[other] is _CODES[edition] else told
    if signs in _EXTENSION:
        return _opening(*_EXTENSION[signs], sizes), ""
    sentence = "the shape of the opening is in no edition, read as a box of the absolute sizes"
    return _opening("box", "lwh", sizes), sentence


def _sign(size: float, unit_m: float) -> str:
    return "0" if abs(size) * unit_m < _LEAST_M else "-" if size < 0.0 else "+"


def _opening(solid: str, order: str, sizes: dict[str, float]) -> Opening:
    length, width, height = (sizes[letter] for letter in order)
    if length == width:
        solid = {"ellipse": "circle", "vertical elliptic cylinder": "vertical cylinder"}.get(solid, solid)
    if length == width == height and solid == "ellipsoid":
        solid = "sphere"
    shape: Shape = "point" if solid == "point" else "ellipse" if solid in _ROUND else "rectangle"
    return Opening(shape, length, width, height, solid)


def opening_codes(opening: Opening) -> tuple[float, float, float]:
    """Signed width, length and height [m] by the codes of 2002.

    Parameters
    ----------
    opening : any; a solid without a code of its own is written as its outline.

    Source
    ------
    ANSI/IESNA LM-63-2002, Table 1.
    """
    w, length, h = opening.width_m, opening.length_m, opening.height_m
    if opening.solid == "horizontal cylinder along":
        return -w, length, -h
    if opening.solid == "horizontal cylinder across":
        return w, -length, -h
    if opening.solid in ("ellipsoid", "sphere"):
        return -w, -length, -h
    if opening.shape == "ellipse":
        return (-w, 0.0, -h) if length == 0.0 else (-w, -length, h)
    return w, length, h
