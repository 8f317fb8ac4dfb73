"""Units of measure: exact factors to SI, and results written in metric or US customary units."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Literal

__all__ = [
    "FOOT_M",
    "INCH_M",
    "KM_H_M_S",
    "LUX_PER_FOOT_CANDLE",
    "MPH_M_S",
    "YARD_M",
    "UnitSystem",
    "figure",
    "format_distance",
    "format_illuminance",
    "format_length",
    "format_number",
    "format_speed",
    "illuminance_unit",
    "illuminance_value",
    "length_unit",
    "length_value",
]

UnitSystem = Literal["metric", "us"]

INCH_M = 0.0254
FOOT_M = 0.3048
YARD_M = 0.9144
KM_H_M_S = 1.0 / 3.6
MPH_M_S = 1609.344 / 3600.0
LUX_PER_FOOT_CANDLE = 1.0 / FOOT_M**2
"""One lumen per square foot; about 10.764 lx."""

NOT_VALID = "not valid"
_INCH_PARTS = 2  # lengths of a vehicle are printed to half an inch
_LONG_M = 30.0  # from here a length is printed as a distance


def format_number(value: float, digits: int = 3) -> str:
    """A number to some significant digits, never in powers of ten; whole from 1000 upwards.

    Parameters
    ----------
    value : the number; nan is written "not valid".
    digits : significant digits, 1 or more.

    Example
    -------
    >>> [format_number(x) for x in (31.416, 0.0512345, 4200.4, 0.0, -2.0)]
    ['31.4', '0.0512', '4200', '0', '-2.00']
    """
    if not math.isfinite(value):
        return NOT_VALID if math.isnan(value) else f"{value:+}".replace("+", "")
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    decimals = digits - 1 - math.floor(math.log10(abs(rounded)))
    return f"{rounded:.{decimals}f}" if decimals > 0 else f"{value:.0f}"


def figure(value: float, limit: float = math.nan) -> str:
    """A number in three figures, or in as many as show on which side of the limit it lies.

    Example
    -------
    >>> figure(31.416), figure(29.998, 30.0), figure(1234.5), figure(0.0), figure(float("nan"))
    ('31.4', '29.998', '1234', '0', 'not valid')
    """
    if math.isnan(value):
        return NOT_VALID
    if math.isinf(value):
        return "without bound"
    for figures in range(3, 12):
        text = _plain(value, figures)
        shown = float(text)
        if math.isnan(limit) or (shown > limit) - (shown < limit) == (value > limit) - (value < limit):
            break
    return text


def _plain(value: float, figures: int) -> str:
    """Fixed notation, never powers of ten; whole from as many digits as there are figures."""
    if abs(value) >= 10**figures:
        return f"{value:.0f}"
    text = f"{value:.{figures}g}"
    return text if "e" not in text else f"{Decimal(text):f}"


def illuminance_unit(system: UnitSystem) -> str:
    """Unit in which illuminance is written."""
    return "fc" if system == "us" else "lx"


def illuminance_value(lux: float, system: UnitSystem) -> float:
    """Illuminance in the unit in which it is written."""
    return lux / LUX_PER_FOOT_CANDLE if system == "us" else lux


def length_unit(system: UnitSystem) -> str:
    """Unit of length axes."""
    return "ft" if system == "us" else "m"


def length_value(metres: float, system: UnitSystem) -> float:
    """Length in the unit of length axes."""
    return metres / FOOT_M if system == "us" else metres


def format_illuminance(lux: float, system: UnitSystem = "metric") -> str:
    """Illuminance to three digits.

    Example
    -------
    >>> format_illuminance(31.42), format_illuminance(31.42, "us"), format_illuminance(float("nan"))
    ('31.4 lx', '2.92 fc', 'not valid')
    """
    return _with_unit(illuminance_value(lux, system), illuminance_unit(system))


def format_length(metres: float, system: UnitSystem = "metric") -> str:
    """A length of a vehicle or an area: to 1 cm, or to half an inch.

    Example
    -------
    >>> format_length(2.3622), format_length(2.3622, "us"), format_length(-0.9652, "us")
    ('2.36 m', '7 ft 9 in', '-3 ft 2 in')
    """
    if not math.isfinite(metres) or abs(metres) >= _LONG_M:
        return format_distance(metres, system)
    if system == "metric":
        return f"{_no_minus_zero(metres, 2):.2f} m"
    parts = round(abs(metres) / INCH_M * _INCH_PARTS)
    feet, rest = divmod(parts, 12 * _INCH_PARTS)
    inches, half = divmod(rest, _INCH_PARTS)
    words = [f"{feet} ft"] if feet else []
    if rest or not feet:
        words.append(" ".join([*([str(inches)] if inches or not half else []), *(["1/2"] if half else []), "in"]))
    return ("-" if metres < 0.0 and parts else "") + " ".join(words)


def format_distance(metres: float, system: UnitSystem = "metric") -> str:
    """A distance along the road, whole from 30 m or 100 ft.

    Example
    -------
    >>> format_distance(150.0), format_distance(150.0, "us"), format_distance(7.25)
    ('150 m', '492 ft', '7.2 m')
    """
    if not math.isfinite(metres):
        return NOT_VALID
    value = length_value(metres, system)
    decimals = 0 if abs(metres) >= _LONG_M else 1
    return f"{_no_minus_zero(value, decimals):.{decimals}f} {length_unit(system)}"


def format_speed(metres_per_second: float, system: UnitSystem = "metric") -> str:
    """A speed to the nearest whole unit.

    Example
    -------
    >>> format_speed(24.5872), format_speed(24.5872, "us")
    ('89 km/h', '55 mph')
    """
    factor, unit = (MPH_M_S, "mph") if system == "us" else (KM_H_M_S, "km/h")
    return _with_unit_text(metres_per_second, f"{metres_per_second / factor:.0f}", unit)


def _with_unit(value: float, unit: str) -> str:
    return _with_unit_text(value, format_number(value), unit)


def _with_unit_text(value: float, text: str, unit: str) -> str:
    return f"{text} {unit}" if math.isfinite(value) else NOT_VALID


def _no_minus_zero(value: float, decimals: int) -> float:
    return round(value, decimals) + 0.0
