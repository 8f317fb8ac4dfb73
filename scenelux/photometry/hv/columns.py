"""What the columns of a list of test points hold, and in which unit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from scenelux.photometry.file import Basis

__all__ = ["Column", "Unit", "column_of", "is_degrees", "unit_of"]

Role = Literal["point", "H", "V", "value", "other"]

_H = {"h", "horizontal", "horiz", "hor", "left/right", "right/left", "l/r", "lateral", "h right", "horizontal right"}
_V = {"v", "vertical", "vert", "up/down", "down/up", "u/d", "elevation", "v up", "vertical up"}
_POINT = {
    "point", "points", "test point", "test points", "testpoint", "testpoints", "measuring point", "position",
    "direction", "h v", "h/v", "v h", "v/h", "hv",
}  # fmt: skip
_VALUE = {
    "measured", "actual", "result", "required", "requirement", "minimum", "min", "maximum", "max", "limit", "intensity",
    "luminous", "value", "values", "i", "iv", "e", "ev", "illuminance", "cd", "kcd", "candela", "candelas", "lx", "lux",
}  # fmt: skip
_FILLERS = {"deg", "degree", "degrees", "angle", "angles", "in"}
_ANGLE_WORDS = {"deg", "degree", "degrees", "left", "right", "up", "down", "positive", "negative", "pos", "neg"}
_TURNED = re.compile(r"(?:left|down) ?(?:\+|pos)|(?:\+|pos(?:itive)?) ?(?:is |= ?)?(?:left|down)")
_BRACKETS = re.compile(r"[\[({]([^\])}]*)[\])}]")
_UNIT_LAST = re.compile(r"(?:^|[ _])((?:k?cd|candelas?|lx|lux)(?: .*)?)$")
_LUX = re.compile(r"(?:lx|lux)(?: ?(?:at|@)? ?([0-9]{1,6}(?:[.,][0-9]{1,6})?) ?(?:m|metres?|meters?))?")


@dataclass(frozen=True)
class Unit:
    """The unit of the values: its name, and the distance at which lux were measured, where it is said [m]."""

    name: Literal["cd", "kcd", "lx"]
    distance_m: float | None = None

    @property
    def factors(self) -> tuple[tuple[str, float], ...]:
        """What turns the values into candela, with its name."""
        if self.name == "kcd":
            return (("candela in a kilocandela", 1000.0),)
        if self.distance_m is not None:
            return ((f"square of the distance of {self.distance_m:g} m", self.distance_m**2),)
        return ()


@dataclass(frozen=True)
class Column:
    """A column by its name: what it holds, on which basis values stand, and the unit as written."""

    role: Role
    basis: Basis | None = None
    unit: str = ""


def unit_of(text: str) -> Unit | None:
    """The unit that a text names, None when it is none of luminous intensity.

    Parameters
    ----------
    text : "cd", "kcd", or lux at a distance.

    Example
    -------
    >>> unit_of("lx at 25 m"), unit_of("mcd")
    (Unit(name='lx', distance_m=25.0), None)
    """
    plain = " ".join(text.lower().split())
    if plain in ("cd", "candela", "candelas"):
        return Unit("cd")
    if plain in ("kcd", "kilocandela"):
        return Unit("kcd")
    lux = _LUX.fullmatch(plain)
    if lux is None:
        return None
    distance = float(lux[1].replace(",", ".")) if lux[1] else None
    return None if distance == 0.0 else Unit("lx", distance)


def column_of(name: str) -> Column:
    """What a column holds, by its name.

    Parameters
    ----------
    name : the cell of the header.

    Example
    -------
    >>> column_of("Required minimum [cd]")
    Column(role='value', basis='required minimum', unit='cd')
    >>> column_of("H_deg").role, column_of("up/down").role, column_of("remark").role, column_of("left +").role
    ('H', 'V', 'other', 'other')
    """
    name = " ".join(name.lower().replace("°", " deg ").split())[:80]
    units = [found.strip() for found in _BRACKETS.findall(name) if found.strip(" +")]
    bare = " ".join(_BRACKETS.sub(" ", name).replace("_", " ").split())
    found = _UNIT_LAST.search(bare)
    if found and not units:
        units, bare = [found[1]], bare[: found.start()]
    words = [word for word in re.split(r"[^a-z/]+", re.sub(r" ?/ ?", "/", bare)) if word and word not in _FILLERS]
    plain = " ".join(words)
    role: Role = "H" if plain in _H else "V" if plain in _V else "point" if plain in _POINT else "other"
    if role != "other":
        return Column(role, unit=" ".join(units))
    if set(words) <= _VALUE and (words or (units and unit_of(units[0]))):
        return Column("other") if {"maximum", "max"} & set(words) else Column("value", _basis(words), " ".join(units))
    return Column("other")


def _basis(words: list[str]) -> Basis | None:
    if {"required", "requirement", "minimum", "min", "limit"} & set(words):
        return "required minimum"
    return "measured" if {"measured", "actual", "result"} & set(words) else None


def is_degrees(unit: str) -> bool:
    """Whether the unit of a column of angles is degrees, to the right and up where it says so.

    Parameters
    ----------
    unit : as written in the header, without its brackets.

    Example
    -------
    >>> is_degrees("deg"), is_degrees("left -, right +"), is_degrees("left +"), is_degrees("rad")
    (True, True, False, False)
    """
    words = set(re.findall(r"[a-z]+", unit))
    one_sided = ("left" in words) != ("right" in words) and "left" in words
    one_sided |= ("down" in words) != ("up" in words) and "down" in words
    return words <= _ANGLE_WORDS and not one_sided and not _TURNED.search(unit)
