"""Reads quantities as people write them: "7 ft 9 1/2 in", "2.36 m", "10 fc", "55 mph", "80 %"."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from scenelux.errors import QuantityError
from scenelux.units import FOOT_M, INCH_M, KM_H_M_S, LUX_PER_FOOT_CANDLE, MPH_M_S, YARD_M, UnitSystem

__all__ = ["DIMENSIONS", "Dimension", "DimensionName", "parse_quantity"]

DimensionName = Literal[
    "length", "angle", "illuminance", "luminance", "flux", "intensity", "speed", "ratio", "power", "voltage", "current",
    "time", "charge", "cross-section", "resistance", "number",
]  # fmt: skip


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity: its units as factors to SI (angles: degrees), the unit of a bare number, and examples."""

    name: str
    units: Mapping[str, float]
    bare: tuple[str, str]  # in a metric and in a US document
    si: str
    examples: str


def _names(*groups: tuple[str, float]) -> Mapping[str, float]:
    return MappingProxyType({name: factor for names, factor in groups for name in names.split()})


DIMENSIONS: Mapping[DimensionName, Dimension] = MappingProxyType(
    {
        "length": Dimension(
            "a length",
            _names(
                ("m metre metres meter meters", 1.0),
                ("cm", 0.01),
                ("mm", 0.001),
                ("km", 1000.0),
                ("ft feet foot '", FOOT_M),
                ('in inch inches "', INCH_M),
                ("yd", YARD_M),
            ),
            ("m", "ft"),
            "m",
            '"2.36 m", "150 cm", "38 in" or "7 ft 9 1/2 in"',
        ),
        "angle": Dimension(
            "an angle", _names(("deg degree degrees °", 1.0)), ("deg", "deg"), "deg", '"35 deg" or "35°"'
        ),
        "illuminance": Dimension(
            "an illuminance",
            _names(("lx lux", 1.0), ("klx", 1000.0), ("fc", LUX_PER_FOOT_CANDLE)),
            ("lx", "fc"),
            "lx",
            '"30 lx" or "3 fc"',
        ),
        "luminance": Dimension(
            "a luminance", _names(("cd/m2 cd/m² cd/m^2", 1.0)), ("cd/m2", "cd/m2"), "cd/m2", '"0.1 cd/m2"'
        ),
        "flux": Dimension(
            "a luminous flux", _names(("lm", 1.0), ("klm", 1000.0)), ("lm", "lm"), "lm", '"4200 lm" or "4.2 klm"'
        ),
        "intensity": Dimension(
            "a luminous intensity", _names(("cd", 1.0), ("kcd", 1000.0)), ("cd", "cd"), "cd", '"800 cd"'
        ),
        "speed": Dimension(
            "a speed",
            _names(("m/s", 1.0), ("km/h", KM_H_M_S), ("mph", MPH_M_S)),
            ("km/h", "mph"),
            "m/s",
            '"55 mph" or "90 km/h"',
        ),
        "ratio": Dimension("a ratio", _names(("%", 0.01)), ("", ""), "", '0.8 or "80 %"'),
        "power": Dimension("a power", _names(("W", 1.0), ("kW", 1000.0)), ("W", "W"), "W", '"38 W"'),
        "voltage": Dimension(
            "a voltage", _names(("V", 1.0), ("mV", 0.001), ("kV", 1000.0)), ("V", "V"), "V", '"12.8 V"'
        ),
        "current": Dimension("a current", _names(("A", 1.0), ("mA", 0.001)), ("A", "A"), "A", '"2.97 A" or "350 mA"'),
        "time": Dimension(
            "a time",
            _names(("s", 1.0), ("ms", 0.001), ("min", 60.0), ("h", 3600.0)),
            ("s", "s"),
            "s",
            '"0.5 s" or "3 min"',
        ),
        "charge": Dimension("a charge", _names(("Ah", 1.0), ("mAh", 0.001)), ("Ah", "Ah"), "Ah", '"100 Ah"'),
        "cross-section": Dimension(
            "a cross-section", _names(("mm2 mm² mm^2", 1.0)), ("mm2", "mm2"), "mm2", '"2.5 mm2"'
        ),
        "resistance": Dimension(
            "a resistance", _names(("ohm", 1.0), ("mohm", 0.001)), ("ohm", "ohm"), "ohm", '"0.02 ohm" or "8 mohm"'
        ),
        "number": Dimension("a number", _names(), ("", ""), "", "25 or 0.5"),
    }
)

_NUMBER = r"[0-9]+(?:\.[0-9]*)?(?:[eE][+-]?[0-9]+)?|\.[0-9]+(?:[eE][+-]?[0-9]+)?"
_FRACTION = r"(?:(?P<whole>[0-9]+)(?:[ ]+|-))?(?P<over>[0-9]+)/(?P<under>[0-9]+)"
_ONE_UNIT = re.compile(rf"(?P<sign>[+-]?)(?:{_FRACTION}|(?P<number>{_NUMBER}))[ ]*(?P<unit>[^0-9.+\-].*)?")
_FEET_INCHES = re.compile(
    r"(?P<sign>[+-]?)(?P<feet>[0-9.]+)[ ]*(?:ft|feet|foot|')(?:[ ]*|-[ ]*)"
    rf"(?:{_FRACTION}|(?P<number>[0-9.]+))[ ]*(?P<mark>in|inch|inches|\")?"
)
_SAME = str.maketrans({"−": "-", "′": "'", "’": "'", "″": '"', "”": '"', "\u00a0": " ", "\t": " "})
_FRACTIONS_OF = ("in", "inch", "inches", '"', "ft", "feet", "foot", "'", "yd")
_INCHES_IN_A_FOOT = 12.0
_LONGEST = 60  # characters of a quantity


def parse_quantity(value: object, dimension: DimensionName, system: UnitSystem = "metric") -> float:
    """A quantity in SI units, angles in degrees.

    Parameters
    ----------
    value : text with a unit, or a bare number in the units of the document.
    dimension : what it must be, a key of `DIMENSIONS`.
    system : units of bare numbers.

    Example
    -------
    >>> round(parse_quantity("7 ft 9 1/2 in", "length"), 6), parse_quantity(10, "length", "us")
    (2.3749, 3.048)
    """
    kind = DIMENSIONS[dimension]
    if isinstance(value, str):
        return _finite(_text(value, kind), value, kind)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _refusal(f"is not {kind.name}", value, kind)
    factor = kind.units.get(kind.bare[system == "us"], 1.0)
    try:
        return _finite(value * factor, value, kind)
    except OverflowError:
        raise _refusal("is too large a number", value, kind) from None


def _text(written: str, kind: Dimension) -> float:
    if len(written) > _LONGEST:
        raise _refusal(f"is not {kind.name}", written, kind)
    text = re.sub(r" +", " ", written.translate(_SAME)).strip().replace("''", '"')
    if re.match(r"[+-]?(nan|inf)", text, re.IGNORECASE):
        raise _refusal("is not a finite number", written, kind)
    if "," in text:
        raise _comma(written, text, kind)
    feet = _FEET_INCHES.fullmatch(text) if kind.si == "m" else None
    return _feet_inches(feet, written, kind) if feet else _one_unit(text, written, kind)


def _one_unit(text: str, written: str, kind: Dimension) -> float:
    found = _ONE_UNIT.fullmatch(text)
    if not found:
        raise _refusal(f"is not {kind.name}", written, kind)
    unit = (found["unit"] or "").strip()
    factor = kind.units.get(unit) if unit else 1.0 if kind.bare == ("", "") and kind.units else None
    if factor is None:
        raise _unknown_unit(unit, written, kind)
    if found["over"] and unit not in _FRACTIONS_OF:
        raise _refusal("has a fraction, which only feet, inches and yards may have", written, kind)
    return _signed(found["sign"], _amount(found, written, kind) * factor)


def _feet_inches(found: re.Match[str], written: str, kind: Dimension) -> float:
    inches = _amount(found, written, kind)
    if not found["mark"]:
        raise _refusal("has inches without their unit", written, kind)
    if not found["feet"].isdecimal():
        raise _refusal("has inches after feet that are not whole", written, kind)
    if inches >= _INCHES_IN_A_FOOT:
        raise _refusal("has 12 inches or more after the feet", written, kind)
    return _signed(found["sign"], float(found["feet"]) * FOOT_M + inches * INCH_M)


def _amount(found: re.Match[str], written: str, kind: Dimension) -> float:
    try:
        if found["over"]:
            return float(found["whole"] or 0) + float(found["over"]) / float(found["under"])
        return float(found["number"])
    except (ValueError, ZeroDivisionError):
        raise _refusal(f"is not {kind.name}", written, kind) from None


def _signed(sign: str, amount: float) -> float:
    return -amount if sign == "-" else amount


def _finite(number: float, value: object, kind: Dimension) -> float:
    if math.isinf(number) and isinstance(value, str):
        raise _refusal("is too large a number", value, kind)
    if not math.isfinite(number):
        raise _refusal("is not a finite number", value, kind)
    return number


def _unknown_unit(unit: str, written: str, kind: Dimension) -> QuantityError:
    if not unit:
        return _refusal("has no unit", written, kind)
    if kind.name == "an angle" and re.fullmatch(r"(deg|degrees|°) (down|up)", unit):
        advice = 'write down as negative and up as positive, such as "-35 deg"'
        return QuantityError("is not an angle here", value=written, accepted=advice)
    others = [other.name for other in DIMENSIONS.values() if unit in other.units]
    if others:
        return _refusal(f"is {others[0]}, not {kind.name}", written, kind)
    return _refusal(f'has "{unit}" where a unit is expected', written, kind)


def _comma(written: str, text: str, kind: Dimension) -> QuantityError:
    if re.match(r"[+-]?[0-9]{1,3}(,[0-9]{3})+(?![0-9])", text):
        advice = f'write "{text.replace(",", "")}" without a comma'
        return QuantityError("has a comma, which could mark thousands or decimals", value=written, accepted=advice)
    if re.match(r"[+-]?[0-9]+,[0-9]+(?![0-9,])", text):
        advice = f'write a decimal point, such as "{text.replace(",", ".", 1)}"'
        return QuantityError("has a decimal comma", value=written, accepted=advice)
    return _refusal("has a comma", written, kind)


def _refusal(problem: str, value: object, kind: Dimension) -> QuantityError:
    return QuantityError(problem, value=value, accepted=f"give {kind.name}, such as {kind.examples}")
