"""Stretches of light and gaps between them, with exact ends, around a cycle that repeats."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.signals.waveform import Waveform
from scenelux.timing import Pattern

__all__ = ["LIT_SHARE", "TICK_S", "gaps_between", "lit_us", "stretches"]

Array = NDArray[np.float64]

LIT_SHARE = 0.1
"""A lamp counts as lit above a tenth of its largest intensity (French order of 4 July 1972, published)."""

TICK_S = 1e-7
"""Less than patterns can state: times nearer than this are the same."""


def stretches(waveform: Waveform, level_cd: float) -> Array:
    """Stretches of a cycle in which one direction is brighter than a level.

    Parameters
    ----------
    waveform : (n,) one direction.
    level_cd : light of just this level does not count [cd].

    Returns
    -------
    (k, 2) begin and end [s]; an end beyond the cycle's means that the stretch goes on into the next. One whole cycle
    when it is never darker.

    Example
    -------
    >>> from scenelux.signals.waveform import from_segments
    >>> stretches(from_segments([0.1, 0.3, 0.1], [900.0, 0.0, 900.0]), 90.0).round(6).tolist()
    [[0.4, 0.6]]
    """
    rise = waveform.end_cd - waveform.start_cd
    crosses = (waveform.start_cd - level_cd) * (waveform.end_cd - level_cd) < 0.0
    share = np.where(crosses, (level_cd - waveform.start_cd) / np.where(crosses, rise, 1.0), 0.0)
    inner = (waveform.times_s[:-1] + share * waveform.lengths_s)[crosses]
    ends = np.sort(np.concatenate((waveform.times_s, inner)))
    segment = np.minimum(np.searchsorted(waveform.times_s, 0.5 * (ends[1:] + ends[:-1])) - 1, len(rise) - 1)
    into = (0.5 * (ends[1:] + ends[:-1]) - waveform.times_s[segment]) / waveform.lengths_s[segment]
    bright = waveform.start_cd[segment] + rise[segment] * into > level_cd
    return _joined(ends, bright, waveform.period_s)


def _joined(ends: Array, bright: NDArray[np.bool_], period: float) -> Array:
    """Neighbouring bright parts as one, over the end of the cycle too."""
    if bright.all():
        return np.array([[0.0, period]])
    before = np.roll(bright, 1)
    begins, stops = ends[:-1][bright & ~before], ends[:-1][~bright & before]
    if len(stops) and stops[0] <= begins[0]:
        stops = np.append(stops[1:], stops[0] + period)
    return np.stack((begins, stops), axis=1)


def gaps_between(found: Array, period_s: float) -> Array:
    """Length of the gap after each stretch, 0 where the one stretch is the whole cycle.

    Example
    -------
    >>> gaps_between(np.array([[0.0, 0.1], [0.5, 0.6]]), 2.0).round(6).tolist()
    [0.4, 1.4]
    """
    if not len(found):
        return np.zeros(0)
    following = np.append(found[1:, 0], found[0, 0] + period_s)
    return np.asarray(following - found[:, 1])


def lit_us(pattern: Pattern, share: float = LIT_SHARE) -> list[tuple[int, int]]:
    """Stretches of one cycle in which a pattern is brighter than a share of its largest level, exactly.

    Parameters
    ----------
    pattern : its phase counts.
    share : of the largest level; just this level does not count.

    Returns
    -------
    Begin and end of each [us], rising; the end of the last may lie beyond the cycle.

    Example
    -------
    >>> from scenelux.timing import parse_pattern
    >>> lit_us(parse_pattern("on 100 ms, off 200 ms, on 50 ms"))
    [(300000, 450000)]
    """
    level, period = share * max(pattern.levels), pattern.period_us
    bright = [value > level for value in pattern.levels]
    if all(bright) or not any(bright):
        return [(0, period)] if all(bright) else []
    first = next(k for k in range(len(bright)) if bright[k] and not bright[k - 1])
    found: list[tuple[int, int]] = []
    for k in [*range(first, len(bright)), *range(first)]:
        if bright[k]:
            begin = pattern.edges_us[k] + period * (k < first)
            end = begin + pattern.steps[k][0]
            joins = bool(found) and found[-1][1] == begin
            found = [*found[:-1], (found[-1][0], end)] if joins else [*found, (begin, end)]
    moved = [((begin + pattern.phase_us) % period, end - begin) for begin, end in found]
    return sorted((begin, begin + length) for begin, length in moved)
