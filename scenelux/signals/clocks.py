"""Two circuits or vehicles: how their flashes lie to each other, at a fixed phase or over all phases of two clocks.

Clocks that run apart pass through every relative phase alike. All breaks lie at differences of switching instants,
whole microseconds, so the distributions are exact.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import LimitError, UsageError
from scenelux.signals.measures import GROUP_GAP_S
from scenelux.signals.stretches import LIT_SHARE, lit_us
from scenelux.signals.waveform import common_period_us, starts_us
from scenelux.timing import US_PER_S, Pattern

__all__ = ["AllDark", "OverPhases", "PhaseCurve", "Synchrony", "all_dark", "over_phases", "synchrony"]

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

MOST_WORK = 4_000_000
"""Breaks times pulses of the common cycle: a few seconds."""

_QUARTERS = 4
_LARGEST = 2**61


@dataclass(frozen=True, eq=False)
class PhaseCurve:
    """A value over all relative phases, each as likely as any other; straight within pieces.

    Parameters
    ----------
    share : (k,) of all phases that each piece takes; together 1.
    start, end : (k,) value at the two ends of each piece.
    """

    share: Array
    start: Array
    end: Array

    @property
    def mean(self) -> float:
        """Over all phases."""
        return float((self.share * 0.5 * (self.start + self.end)).sum())

    @property
    def least(self) -> float:
        """At the phase where it is smallest."""
        return float(min(self.start.min(), self.end.min()))

    @property
    def greatest(self) -> float:
        """At the phase where it is largest."""
        return float(max(self.start.max(), self.end.max()))

    def share_at_most(self, value: ArrayLike) -> Array:
        """Share of phases at which it is no larger than a value: the distribution."""
        at = np.asarray(value, np.float64)[..., np.newaxis]
        low, high = np.minimum(self.start, self.end), np.maximum(self.start, self.end)
        wide = np.where(high > low, high - low, 1.0)
        inside = np.where(high > low, np.clip((at - low) / wide, 0.0, 1.0), at >= low)
        return np.asarray((inside * self.share).sum(axis=-1))

    def value_at(self, share: float) -> float:
        """Value that it is no larger than at a share of phases, 0 to 1: 0.5 gives the median."""
        values = np.unique(np.concatenate((self.start, self.end)))
        upto = self.share_at_most(values)
        at = min(int(np.searchsorted(upto, share)), len(values) - 1)
        before = float(self.share_at_most(np.nextafter(values[at], -np.inf))) if at else 0.0
        if not at or share >= before:
            return float(values[at])
        return float(np.interp(share, [upto[at - 1], before], [values[at - 1], values[at]]))


@dataclass(frozen=True, eq=False)
class OverPhases:
    """Two patterns on clocks of their own.

    Parameters
    ----------
    both_dark : share of time in which neither is lit.
    both_lit : share of time in which both are.
    longest_dark_s : longest time in which neither is lit [s].
    flashes_per_s : flashes of the two together; what lies nearer than the group gap is one, and 0 means that the two
        leave no such gap.
    """

    both_dark: PhaseCurve
    both_lit: PhaseCurve
    longest_dark_s: PhaseCurve
    flashes_per_s: PhaseCurve


@dataclass(frozen=True)
class Synchrony:
    """Two patterns at their stated phases, over their common cycle.

    Parameters
    ----------
    period_s : common cycle [s].
    both_lit, first_only, second_only, both_dark : shares of time.
    lag_least_s, lag_most_s : from a begin of light of the first to the next of the second [s].
    """

    period_s: float
    both_lit: float
    first_only: float
    second_only: float
    both_dark: float
    lag_least_s: float
    lag_most_s: float

    @property
    def overlap(self) -> float:
        """Time with both lit over time with either."""
        return self.both_lit / (1.0 - self.both_dark) if self.both_dark < 1.0 else float("nan")


@dataclass(frozen=True)
class AllDark:
    """Share of time in which none of several patterns on clocks of their own is lit: over all phases, and its bounds.

    Parameters
    ----------
    mean : the product of their shares of dark.
    least, most : no phases can give less or more.
    """

    mean: float
    least: float
    most: float


def synchrony(first: Pattern, second: Pattern, share: float = LIT_SHARE) -> Synchrony:
    """How two patterns lie to each other at their stated phases.

    Parameters
    ----------
    first, second : neither always dark.
    share : of its own largest level, above which each counts as lit.

    Example
    -------
    >>> from scenelux.timing import parse_pattern
    >>> left = parse_pattern("on 100 ms, off 400 ms")
    >>> found = synchrony(left, left.delayed(250_000))
    >>> found.both_lit, found.lag_least_s, found.lag_most_s, round(found.both_dark, 9)
    (0.0, 0.25, 0.25, 0.6)
    """
    period = common_period_us([first, second])
    one, other = (_repeated(_lit(pattern, share), pattern, period) for pattern in (first, second))
    lit_one, lit_other = _length(one), _length(other)
    either = _length(_union(one, other, 0, period))
    both = lit_one + lit_other - either
    begins = np.sort(other[:, 0] % period)
    starts = np.sort(one[:, 0] % period)
    after = np.append(begins, begins[0] + period)
    lags = after[np.searchsorted(after, starts)] - starts
    return Synchrony(
        period_s=period / US_PER_S,
        both_lit=both / period,
        first_only=(lit_one - both) / period,
        second_only=(lit_other - both) / period,
        both_dark=(period - either) / period,
        lag_least_s=float(lags.min()) / US_PER_S,
        lag_most_s=float(lags.max()) / US_PER_S,
    )


def all_dark(patterns: Sequence[Pattern], share: float = LIT_SHARE) -> AllDark:
    """When none of several patterns on clocks of their own is lit.

    Parameters
    ----------
    patterns : any number.
    share : as in `synchrony`.

    Example
    -------
    >>> from scenelux.timing import parse_pattern
    >>> all_dark([parse_pattern("on 100 ms, off 400 ms")] * 3).mean.__round__(6)
    0.512
    """
    dark = [1.0 - float(sum(end - begin for begin, end in lit_us(p, share)) / p.cycle_us) for p in patterns]
    return AllDark(math.prod(dark), max(0.0, 1.0 - sum(1.0 - one for one in dark)), min(dark, default=1.0))


def over_phases(
    first: Pattern, second: Pattern, *, share: float = LIT_SHARE, group_gap_s: float = GROUP_GAP_S
) -> OverPhases:
    """Two patterns whose relative phase may be any, each as likely.

    Parameters
    ----------
    first, second : neither always dark; their own phases do not count.
    share : as in `synchrony`.
    group_gap_s : as in `measured` [s].

    Cycles of different length pass through the relative phases by themselves within their common cycle; what is left
    to chance is less than their greatest common divisor.

    Example
    -------
    >>> from scenelux.timing import parse_pattern
    >>> truck = parse_pattern("on 100 ms, off 900 ms")
    >>> found = over_phases(truck, truck)
    >>> round(found.both_dark.mean, 9), found.longest_dark_s.least, found.longest_dark_s.greatest
    (0.81, 0.4, 0.9)
    >>> round(float(found.flashes_per_s.share_at_most(1.0)), 9)
    0.4
    """
    unit, period, one, other, breaks = _laid_out(first, second, share)
    gap = round(group_gap_s * US_PER_S) * unit
    pieces = [_piece(one, other, low, high, period, gap) for low, high in itertools.pairwise(breaks)]
    lit = (_length(one) + _length(other)) / period
    dark = _curve([piece[0] for piece in pieces], period)
    both = PhaseCurve(dark.share, dark.start + lit - 1.0, dark.end + lit - 1.0)
    longest = _curve([row for piece in pieces for row in piece[1]], US_PER_S * unit)
    rate = _curve([row for piece in pieces for row in piece[2]], period / unit / US_PER_S)
    return OverPhases(dark, both, longest, rate)


def _laid_out(first: Pattern, second: Pattern, share: float) -> tuple[int, int, Whole, Whole, list[int]]:
    """Light of both over the common cycle, and the phases at which two of their switching instants meet.

    Times are whole numbers of a part of a microsecond in which both cycles, and quarters between two breaks, are whole.
    """
    lit = [_lit(pattern, share) for pattern in (first, second)]
    unit = _QUARTERS * math.lcm(first.cycle_us.denominator, second.cycle_us.denominator)
    period = common_period_us([first, second]) * unit
    if period > _LARGEST:
        raise LimitError("have cycles too odd for all phases", key="patterns", accepted="give rounder cycles")
    cycles = [period if pattern.is_steady else int(pattern.cycle_us * unit) for pattern in (first, second)]
    fixed, moving = (
        np.array([[0, period]]) if pattern.is_steady else np.array(times, np.int64) * unit
        for pattern, times in zip((first, second), lit, strict=True)
    )
    fixed = fixed - fixed[0, 0]
    one, other = _over_time(fixed, cycles[0], period), _over_time(moving, cycles[1], period)
    return unit, period, one, other, _breaks(fixed, moving, math.gcd(*cycles), len(one) + len(other))


_Row = tuple[float, float, float]  # width, value at its two ends


def _lit(pattern: Pattern, share: float) -> list[tuple[int, int]]:
    found = lit_us(pattern, share)
    if not found:
        raise UsageError("is dark all the time", key="pattern", accepted="give a pattern that is lit at some time")
    return found


def _repeated(lit: list[tuple[int, int]], pattern: Pattern, period: int) -> Whole:
    """(k, 2) over the common cycle."""
    if pattern.is_steady:
        return np.array([[0, period]])
    starts = starts_us(pattern, period)
    return np.asarray((np.array(lit, np.int64) + starts[:, np.newaxis, np.newaxis]).reshape(-1, 2))


def _over_time(lit: Whole, cycle: int, period: int) -> Whole:
    """(k, 2) stretches of light over the common cycle."""
    starts = np.arange(0, period, cycle, dtype=np.int64)
    return np.asarray((lit + starts[:, np.newaxis, np.newaxis]).reshape(-1, 2))


def _breaks(fixed: Whole, moving: Whole, step: int, pulses: int) -> list[int]:
    """Phases at which two switching instants meet; after a step the two lie to each other as before."""
    mine, theirs = np.unique(fixed % step), np.unique(moving % step)
    if len(mine) * len(theirs) * pulses > MOST_WORK:
        raise LimitError("have too many pulses for all phases", key="patterns", accepted="give fewer pulses a cycle")
    met = (mine[:, np.newaxis] - theirs) % step
    return sorted({0, step, *met.reshape(-1).tolist()})


def _union(one: Whole, other: Whole, phase: int, period: int) -> Whole:
    """Stretches of either, from 0 to the end of the common cycle, in order and joined."""
    moved = other + phase
    moved = moved - (moved[:, :1] // period) * period
    over = moved[moved[:, 1] > period] - period
    every = np.concatenate((one, one[one[:, 1] > period] - period, moved, over)).clip(0, period)
    every = every[np.argsort(every[:, 0], kind="stable")]
    reach = np.maximum.accumulate(every[:, 1])
    begins = np.append(True, every[1:, 0] > reach[:-1])
    ends = np.append(np.flatnonzero(begins)[1:] - 1, len(every) - 1)
    return np.stack((every[begins, 0], reach[ends]), axis=1)


def _length(found: Whole) -> int:
    return int((found[:, 1] - found[:, 0]).sum())


def _gaps(one: Whole, other: Whole, phase: int, period: int) -> Whole:
    """Gaps of either, the last up to the end of the cycle, at whose begin the first is lit."""
    found = _union(one, other, phase, period)
    return np.asarray(np.append(found[1:, 0], period) - found[:, 1])


def _piece(
    one: Whole, other: Whole, low: int, high: int, period: int, group: int
) -> tuple[_Row, list[_Row], list[_Row]]:
    """Dark time, longest gap and flashes between two breaks, from two phases inside, where gaps grow evenly."""
    width = high - low
    quarter = width // _QUARTERS
    near, far = (_gaps(one, other, low + part * quarter, period).astype(float) for part in (1, 3))
    start, end = near - (far - near) / 2.0, far + (far - near) / 2.0
    dark = (float(width), float(start.sum()), float(end.sum()))
    cuts = _cuts(start, end, float(group))
    longest, flashes = [], []
    for begin, stop in itertools.pairwise(cuts):
        lines = (start + (end - start) * share for share in (begin, stop, 0.5 * (begin + stop)))
        at_begin, at_stop, between = lines
        part = width * (stop - begin)
        longest.append((part, float(at_begin.max()), float(at_stop.max())))
        count = float((between >= group).sum()) if group else float((between > 0.0).sum())
        flashes.append((part, count, count))
    return dark, longest, flashes


def _cuts(start: Array, end: Array, group: float) -> list[float]:
    """Shares of a piece at which another gap becomes the longest, or one passes the group gap."""
    slope = end - start
    largest = [(float(start[slope == rise].max()), float(rise)) for rise in np.unique(slope)]
    found = {(b - a) / (rise - grow) for a, rise in largest for b, grow in largest if rise != grow}
    moving = slope != 0.0
    found |= set(((group - start[moving]) / slope[moving]).tolist())
    return [0.0, *sorted(cut for cut in found if 0.0 < cut < 1.0), 1.0]


def _curve(rows: list[_Row], unit: float) -> PhaseCurve:
    width, start, end = np.array(rows).T
    return PhaseCurve(width / width.sum(), start / unit, end / unit)
