"""Values and limits side by side in the unit in which the source prints the limit: 3 fc is not 30 lx."""

from __future__ import annotations

from typing import Literal

from scenelux.units import FOOT_M, INCH_M, LUX_PER_FOOT_CANDLE

__all__ = ["Sense", "beats", "in_unit", "margin"]

Sense = Literal["at least", "at most"]

_SI_PER_UNIT = {"fc": LUX_PER_FOOT_CANDLE, "in": INCH_M, "ft": FOOT_M}
_SAME = 1e-9  # relative: a value equal to its limit but for the rounding of a unit conversion reaches it


def in_unit(value: float, unit: str) -> float:
    """A value of the SI unit (lx, m) in the unit of a limit; other units are the same on both sides.

    Parameters
    ----------
    value : the value [lx for "lx" and "fc", m for "m", "ft" and "in", else the unit itself].
    unit : unit of the limit as printed.

    Example
    -------
    >>> round(in_unit(31.4, "fc"), 4)
    2.9172
    >>> in_unit(31.4, "lx")
    31.4
    """
    return value / _SI_PER_UNIT.get(unit, 1.0)


def margin(value: float, limit: float, sense: Sense) -> float:
    """How much better than the limit a value is, in the limit's unit; negative when worse.

    Example
    -------
    >>> margin(31.0, 30.0, "at least"), margin(31.0, 30.0, "at most")
    (1.0, -1.0)
    """
    return value - limit if sense == "at least" else limit - value


def beats(value: float, limit: float, sense: Sense) -> bool:
    """True when the value reaches the limit; a limit that is just reached is met."""
    return margin(value, limit, sense) >= -_SAME * abs(limit)
