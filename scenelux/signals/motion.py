"""Apparent motion: in which order lamps of a row light up, which way that runs, and how fast."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from scenelux.errors import UsageError
from scenelux.signals.stretches import lit_us
from scenelux.signals.tables import signal_table
from scenelux.sources import Source
from scenelux.timing import US_PER_S, Pattern

__all__ = ["Motion", "MotionBand", "apparent_motion", "motion_band"]

Direction: TypeAlias = Literal["rising", "falling", "mixed", "none"]


@dataclass(frozen=True)
class MotionBand:
    """Times from lamp to lamp between which a row seems to move [s]."""

    together_below_s: float
    motion_at_s: float
    succession_above_s: float
    source: Source


@dataclass(frozen=True)
class Motion:
    """What a row of lamps does in a cycle.

    Parameters
    ----------
    order : indices of lamps in the order in which they light up, after the longest pause; lamps that light up together
        in the order given.
    steps_s : from each begin of light to the next other one [s].
    direction : whether positions rise or fall along the order; "none" where all light up together.
    in_band : whether every step lies in the band of apparent motion (unconfirmed); None without steps.
    """

    order: tuple[int, ...]
    steps_s: tuple[float, ...]
    direction: Direction
    in_band: bool | None


def motion_band() -> MotionBand:
    """Band of apparent motion, from memory, unconfirmed.

    Example
    -------
    >>> motion_band().source.status
    'unconfirmed'
    """
    row = signal_table("flash-patterns")["apparent_motion"]
    below, at, above = (float(row[key]) for key in ("together_below_s", "motion_at_s", "succession_above_s"))
    return MotionBand(below, at, above, Source(row["source"], status=row["status"]))


def apparent_motion(patterns: Sequence[Pattern], positions_m: Sequence[float]) -> Motion:
    """Order, direction and steps of lamps in a row.

    Parameters
    ----------
    patterns : one for each lamp; each lights up once in the cycle that all have.
    positions_m : of the lamps along the row, such as to the left [m].

    Example
    -------
    >>> from scenelux.timing import named_pattern
    >>> row = [named_pattern(f"sequence {which}") for which in ("first", "second", "third")]
    >>> apparent_motion(row, [0.0, 0.5, 1.0])
    Motion(order=(0, 1, 2), steps_s=(0.5, 0.5), direction='rising', in_band=False)
    """
    if len(patterns) != len(positions_m) or not patterns:
        raise UsageError("needs one position for each pattern", key="positions_m")
    period = patterns[0].period_us
    begins = [_begin(pattern, patterns[0]) for pattern in patterns]
    times = sorted(set(begins))
    pauses = [after - before for before, after in zip([times[-1] - period, *times], times, strict=False)]
    first = times[pauses.index(max(pauses))]
    order = tuple(sorted(range(len(begins)), key=lambda lamp: ((begins[lamp] - first) % period, lamp)))
    since = sorted({(begin - first) % period for begin in begins})
    steps = tuple((after - before) / US_PER_S for before, after in itertools.pairwise(since))
    band = motion_band()
    inside = all(band.together_below_s <= step <= band.succession_above_s for step in steps) if steps else None
    return Motion(order, steps, _direction([(begins[k] - first) % period for k in order],
                                           [positions_m[k] for k in order]), inside)  # fmt: skip


def _begin(pattern: Pattern, first: Pattern) -> int:
    lit = lit_us(pattern)
    if len(lit) != 1 or pattern.is_steady or pattern.cycle_us != first.cycle_us:
        raise UsageError(
            "does not light up once in the cycle of the others",
            key="pattern",
            accepted="give all lamps of a row one cycle",
        )
    return lit[0][0]


def _direction(begins: list[int], positions: list[float]) -> Direction:
    """Lamps that light up together must not lie on both sides of others."""
    groups = [
        [place for begin, place in zip(begins, positions, strict=True) if begin == at] for at in sorted({*begins})
    ]
    pairs = list(itertools.pairwise(groups))
    if not pairs:
        return "none"
    if all(max(before) < min(after) for before, after in pairs):
        return "rising"
    return "falling" if all(min(before) > max(after) for before, after in pairs) else "mixed"
