"""Intensity over one cycle, straight between instants: rectangles and triangles both exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import LimitError, UsageError
from scenelux.timing import US_PER_S, Pattern

__all__ = [
    "MOST_SEGMENTS",
    "MOST_VALUES",
    "Timeline",
    "Waveform",
    "common_period_us",
    "composite",
    "from_levels",
    "from_pattern",
    "from_segments",
    "starts_us",
    "timeline",
]

Array = NDArray[np.float64]

MOST_SEGMENTS = 50_000
"""Between switching instants of a composite cycle."""

MOST_VALUES = 20_000_000
"""Intensities of a composite cycle in all directions together: 160 MB."""


@dataclass(frozen=True, eq=False)
class Waveform:
    """Intensity over one cycle, which repeats or stands alone, in one direction or many.

    Parameters
    ----------
    times_s : (n + 1,) ends of the segments, from 0, rising [s].
    start_cd, end_cd : (..., n) intensity at the start and the end of each segment, straight between [cd].
    """

    times_s: Array
    start_cd: Array
    end_cd: Array

    @property
    def period_s(self) -> float:
        """Length of the cycle."""
        return float(self.times_s[-1])

    @property
    def lengths_s(self) -> Array:
        """(n,) of the segments."""
        return np.diff(self.times_s)

    @property
    def energy_cd_s(self) -> Array:
        """(...) intensity summed over the time of one cycle."""
        return np.asarray((0.5 * (self.start_cd + self.end_cd) * self.lengths_s).sum(axis=-1))

    @property
    def mean_cd(self) -> Array:
        """(...) over a cycle."""
        return np.asarray(self.energy_cd_s / self.period_s)

    @property
    def peak_cd(self) -> Array:
        """(...) largest of the cycle."""
        return np.asarray(np.maximum(self.start_cd, self.end_cd).max(axis=-1))

    @property
    def least_cd(self) -> Array:
        """(...) smallest of the cycle: the steady background of a light that repeats."""
        return np.asarray(np.minimum(self.start_cd, self.end_cd).min(axis=-1))

    def less(self, background_cd: ArrayLike) -> Waveform:
        """Without a steady part, one for each direction."""
        steady = np.asarray(background_cd, np.float64)[..., np.newaxis]
        return Waveform(self.times_s, self.start_cd - steady, self.end_cd - steady)

    def only(self, *direction: int) -> Waveform:
        """In one direction."""
        return Waveform(self.times_s, self.start_cd[direction], self.end_cd[direction])

    def at(self, times_s: ArrayLike) -> Array:
        """(..., k) intensity at instants of the repeated cycle; at a jump that which begins."""
        inside = np.asarray(times_s, np.float64) % self.period_s
        segment = np.clip(np.searchsorted(self.times_s, inside, side="right") - 1, 0, len(self.times_s) - 2)
        share = (inside - self.times_s[segment]) / self.lengths_s[segment]
        start, end = self.start_cd[..., segment], self.end_cd[..., segment]
        return np.asarray(start + (end - start) * share)


@dataclass(frozen=True, eq=False)
class Timeline:
    """Levels of several patterns over their common cycle, between the instants at which any of them switches.

    Parameters
    ----------
    edges_us : (n + 1,) whole microseconds from 0.
    levels : (patterns, n).
    """

    edges_us: NDArray[np.int64]
    levels: Array

    @property
    def period_us(self) -> int:
        """Length of the common cycle."""
        return int(self.edges_us[-1])


def from_segments(lengths_s: ArrayLike, start_cd: ArrayLike, end_cd: ArrayLike | None = None) -> Waveform:
    """A waveform of segments one after the other.

    Parameters
    ----------
    lengths_s : (n,) each above 0 [s].
    start_cd : (..., n), 0 or more [cd].
    end_cd : (..., n); as at the start unless stated, which makes rectangles [cd].

    Example
    -------
    >>> triangle = from_segments([0.25, 0.25], [0.0, 1000.0], [1000.0, 0.0])
    >>> float(triangle.energy_cd_s), float(triangle.peak_cd)
    (250.0, 1000.0)
    """
    lengths, start = np.atleast_1d(np.asarray(lengths_s, np.float64)), np.asarray(start_cd, np.float64)
    end = start if end_cd is None else np.asarray(end_cd, np.float64)
    if lengths.ndim != 1 or not lengths.size or not (np.isfinite(lengths).all() and (lengths > 0.0).all()):
        raise UsageError("needs durations above 0", key="lengths_s")
    if start.shape[-1:] != lengths.shape or end.shape != start.shape:
        raise UsageError("needs one intensity for each segment", key="start_cd")
    if not all(np.isfinite(part).all() and (part >= 0.0).all() for part in (start, end)):
        raise UsageError("needs intensities of 0 or more", key="start_cd")
    return Waveform(np.concatenate(([0.0], np.cumsum(lengths))), start, end)


def from_pattern(pattern: Pattern, candela: ArrayLike) -> Waveform:
    """One lamp with a pattern.

    Parameters
    ----------
    pattern : its levels over time.
    candela : (...) at full light, one for each direction [cd].

    Example
    -------
    >>> from scenelux.timing import parse_pattern
    >>> float(from_pattern(parse_pattern("on 100 ms, off 400 ms"), 1000.0).mean_cd)
    200.0
    """
    return composite([pattern], np.asarray(candela, np.float64)[np.newaxis])


def composite(patterns: Sequence[Pattern], candela_per_lamp: ArrayLike) -> Waveform:
    """All lamps together over their common cycle, in every direction, with every switching instant.

    Parameters
    ----------
    patterns : one for each lamp.
    candela_per_lamp : (lamps, ...) at full light, one for each direction [cd].

    A LimitError tells before any memory is taken that the common cycle is too long.
    """
    light = np.asarray(candela_per_lamp, np.float64)
    if not patterns or light.ndim < 1 or len(light) != len(patterns):
        raise UsageError("needs one row for each pattern", key="candela_per_lamp")
    if not (np.isfinite(light).all() and (light >= 0.0).all()):
        raise UsageError("needs intensities of 0 or more", key="candela_per_lamp")
    found = timeline(patterns)
    segments = len(found.edges_us) - 1
    if segments * light[0].size > MOST_VALUES:
        raise LimitError(
            f"switches {segments:,} times in {light[0].size:,} directions",
            key="patterns",
            accepted="ask fewer directions, or give the patterns cycles with a short common multiple",
        )
    return from_levels(found.edges_us / US_PER_S, found.levels, light)


def from_levels(times_s: ArrayLike, levels: ArrayLike, candela_per_lamp: ArrayLike) -> Waveform:
    """Light of lamps together over their common cycle, in every direction.

    Parameters
    ----------
    times_s : (n + 1,) switching instants from 0 [s].
    levels : (lamps, n) between them, 0 to 1.
    candela_per_lamp : (lamps, ...) at full light, one for each direction [cd].

    Example
    -------
    >>> from_levels([0.0, 0.5, 1.0], [[1.0, 0.0], [1.0, 1.0]], [300.0, 100.0]).start_cd.tolist()
    [400.0, 100.0]
    """
    # Each combination of levels is summed once, so that equal moments are equal to the last bit.
    kinds, which = np.unique(np.asarray(levels, np.float64), axis=1, return_inverse=True)
    sums = np.moveaxis(np.tensordot(kinds, np.asarray(candela_per_lamp, np.float64), axes=(0, 0)), 0, -1)
    total = np.ascontiguousarray(sums[..., which.reshape(-1)])
    return Waveform(np.asarray(times_s, np.float64), total, total)


def timeline(patterns: Sequence[Pattern]) -> Timeline:
    """Levels of patterns over their common cycle.

    Example
    -------
    >>> from scenelux.timing import parse_pattern
    >>> both = timeline([parse_pattern("on 200 ms, off 200 ms"), parse_pattern("on 300 ms, off 300 ms")])
    >>> both.period_us, both.edges_us.tolist()[1:5]
    (1200000, [200000, 300000, 400000, 600000])
    """
    period = common_period_us(patterns)
    edges = np.unique(np.concatenate([np.array([0, period])] + [_edges(pattern, period) for pattern in patterns]))
    levels = np.stack([_levels(pattern, edges[:-1], period) for pattern in patterns])
    changes = np.ones(len(edges), np.bool_)
    changes[1:-1] = (levels[:, 1:] != levels[:, :-1]).any(axis=0)
    return Timeline(edges[changes], levels[:, changes[:-1]])


def common_period_us(patterns: Sequence[Pattern]) -> int:
    """Whole microseconds after which all patterns repeat together; a LimitError where they switch too often until then.

    Rates of whole flashes a minute come together within a minute.

    Example
    -------
    >>> from scenelux.timing import parse_pattern
    >>> common_period_us([parse_pattern("on 1 s, off 1 s"), parse_pattern("on 0.5 s, off 1 s")])
    6000000
    """
    if not patterns:
        raise UsageError("is empty", key="patterns", accepted="give at least one pattern")
    flashing = [pattern for pattern in patterns if not pattern.is_steady]
    if not flashing:
        return patterns[0].period_us
    period = 1
    for pattern in flashing:
        period = math.lcm(period, pattern.cycle_us.numerator)
    switches = sum(int(period / pattern.cycle_us) * len(pattern.steps) for pattern in flashing)
    if switches > MOST_SEGMENTS:
        raise LimitError(
            f"have cycles that come together only after {period / US_PER_S:,.6g} s and {switches:,} switchings",
            key="patterns",
            accepted=f"give cycles with a common multiple of at most {MOST_SEGMENTS:,} switchings, such as whole "
            "multiples of 10 ms or whole flashes a minute",
        )
    return period


def starts_us(pattern: Pattern, period_us: int) -> NDArray[np.int64]:
    """Begins of the cycles of a pattern within a common cycle, its phase left out."""
    cycle = pattern.cycle_us
    count = np.arange(int(period_us / cycle), dtype=np.int64)
    # To the nearest microsecond; halves go to the even one, as those of steps do.
    whole, rest = np.divmod(count * cycle.numerator, cycle.denominator)
    up = (2 * rest > cycle.denominator) | ((2 * rest == cycle.denominator) & (whole % 2 == 1))
    return np.asarray(whole + up)


def _edges(pattern: Pattern, period_us: int) -> NDArray[np.int64]:
    if pattern.is_steady:
        return np.zeros(0, np.int64)
    return _steps(pattern, period_us)[0]


def _steps(pattern: Pattern, period_us: int) -> tuple[NDArray[np.int64], Array]:
    """Instants within the common cycle at which a step begins, in order, and its level."""
    within = np.array(pattern.edges_us[:-1], np.int64) + pattern.phase_us
    begins = (starts_us(pattern, period_us)[:, np.newaxis] + within).reshape(-1) % period_us
    levels = np.tile(pattern.levels, len(begins) // len(within))
    order = np.argsort(begins, kind="stable")
    return begins[order], levels[order]


def _levels(pattern: Pattern, instants_us: NDArray[np.int64], period_us: int) -> Array:
    if pattern.is_steady:
        return np.full(len(instants_us), pattern.levels[0])
    begins, levels = _steps(pattern, period_us)
    return np.asarray(levels[np.searchsorted(begins, instants_us, side="right") - 1])
