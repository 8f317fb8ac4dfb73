"""Arrow boards: legibility by type, rate and times of light, and what a lower voltage leaves of a filament's light."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from scenelux.errors import UsageError
from scenelux.signals.stretches import lit_us
from scenelux.signals.tables import signal_table
from scenelux.sources import Source
from scenelux.timing import US_PER_S, Pattern
from scenelux.units import INCH_M

__all__ = ["ArrowBoard", "ArrowTimes", "arrow_boards", "arrow_times", "filament_light"]

ArrowMode: TypeAlias = Literal["flashing", "sequential"]

MILE_M = 1609.344
_SAME_SHARE = 1e-4
"""Shares of a cycle nearer than this are equal: cycles are whole microseconds."""


@dataclass(frozen=True)
class ArrowBoard:
    """A type of arrow board.

    Parameters
    ----------
    type : A to D.
    legibility_mi : least distance at which it is legible, as printed [mi].
    elements : least number of lamps.
    width_m, height_m : least size; nan where none is stated [m].
    use : where it is used.
    """

    type: str
    legibility_mi: float
    elements: int
    width_m: float
    height_m: float
    use: str
    source: Source

    @property
    def legibility_m(self) -> float:
        """Least distance at which it is legible [m]."""
        return self.legibility_mi * MILE_M


@dataclass(frozen=True)
class ArrowTimes:
    """Rate and times of an arrow board, and whether they are as stated.

    Parameters
    ----------
    rate_per_min : cycles a minute.
    on_shares : of each lamp's cycle.
    rate_holds, shares_hold : as stated for the mode.
    source : who states it.
    """

    rate_per_min: float
    on_shares: tuple[float, ...]
    rate_holds: bool
    shares_hold: bool
    source: Source


@cache
def arrow_boards() -> tuple[ArrowBoard, ...]:
    """All types.

    Example
    -------
    >>> [(board.type, round(board.legibility_m)) for board in arrow_boards()]
    [('A', 805), ('B', 1207), ('C', 1609), ('D', 805)]
    """
    return tuple(
        ArrowBoard(
            type=row["type"],
            legibility_mi=float(row["legibility_mi"]),
            elements=int(row["elements"]),
            width_m=float(row.get("width_in", math.nan)) * INCH_M,
            height_m=float(row.get("height_in", math.nan)) * INCH_M,
            use=row["use"],
            source=Source(row["source"], clause=row["clause"], status=row["status"]),
        )
        for row in signal_table("arrow-boards")["boards"]
    )


def arrow_times(patterns: Sequence[Pattern], mode: ArrowMode) -> ArrowTimes:
    """Rate and on-times of an arrow board against the stated ones.

    Parameters
    ----------
    patterns : one for each lamp or group of lamps; each is lit once a cycle.
    mode : "flashing": on for half of the time or longer; "sequential": equal quarters of the cycle.

    Source
    ------
    MUTCD 2009, 6F.61, as quoted by a contractor standard and a state specification.

    Example
    -------
    >>> from scenelux.timing import named_pattern
    >>> found = arrow_times([named_pattern("arrow flashing")], "flashing")
    >>> found.rate_per_min, found.on_shares, found.rate_holds, found.shares_hold
    (30.0, (0.5,), True, True)
    """
    if mode not in ("flashing", "sequential"):
        raise UsageError("is not a mode of an arrow board", value=mode, accepted='give "flashing" or "sequential"')
    if not patterns:
        raise UsageError("is empty", key="patterns", accepted="give at least one pattern")
    rate = max(float(60 * US_PER_S * len(lit_us(pattern)) / pattern.cycle_us) for pattern in patterns)
    shares = tuple(sum(end - begin for begin, end in lit_us(pattern)) / pattern.period_us for pattern in patterns)
    row = signal_table("arrow-boards")["operation"]
    if mode == "flashing":
        holds = all(share >= row["flashing_on_share"] - _SAME_SHARE for share in shares)
    else:
        holds = all(abs(share - row["sequence_step_share"]) <= _SAME_SHARE for share in shares)
    steady = any(pattern.is_steady for pattern in patterns)
    slack = rate * _SAME_SHARE
    in_range = row["low_per_min"] - slack <= rate <= row["high_per_min"] + slack
    source = Source(row["source"], clause=row["clause"], status=row["status"])
    return ArrowTimes(rate, shares, in_range and not steady, holds and not steady, source)


def filament_light(voltage_share: float) -> float:
    """Share of its light that a filament gives at a share of its voltage: dimming by voltage is not dimming by light.

    Source: exponent 3.4, from memory, unconfirmed.

    Example
    -------
    >>> round(filament_light(0.5), 4)
    0.0947
    """
    if not voltage_share >= 0.0:
        return math.nan
    return float(voltage_share ** float(signal_table("arrow-boards")["filament"]["voltage_exponent"]))
