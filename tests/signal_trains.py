"""Slow, literal arithmetic of flashing light, beside which the exact one is held."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.signals import Waveform, from_segments
from scenelux.timing import Pattern

Array = NDArray[np.float64]


def flashes_in_a_cycle(pattern: Pattern, gap_us: int = 100_000, tick_us: int = 1_000) -> int:
    """Counts lit runs, tick by tick over two cycles, that a gap of the length or longer ends; at least one of light."""
    ticks = pattern.period_us // tick_us
    lit = [pattern.level_at(tick * tick_us) > 0.0 for tick in range(2 * ticks)]
    dark, flashes = 0, 0
    for tick, is_lit in enumerate(lit):
        if is_lit:
            flashes += tick >= ticks and dark * tick_us >= gap_us
            dark = 0
        else:
            dark += 1
    return flashes or int(any(lit))


def random_train(generator: np.random.Generator, segments: int = 9, slanted: bool = True) -> Waveform:
    """Pulses and dark gaps of random lengths, rectangles and slopes."""
    lengths = generator.uniform(0.005, 0.4, segments)
    start = generator.uniform(0.0, 2000.0, segments) * (generator.random(segments) < 0.6)
    start[generator.integers(segments)] = 500.0
    end = np.where(generator.random(segments) < 0.5 * slanted, generator.uniform(0.0, 2000.0, segments), start)
    return from_segments(lengths, start, end)


def light_at(train: Waveform, time: float) -> float:
    """Intensity by the definition, segment by segment; dark outside the cycle."""
    for k in range(len(train.times_s) - 1):
        low, high = train.times_s[k], train.times_s[k + 1]
        if low <= time < high:
            share = (time - low) / (high - low)
            return float(train.start_cd[k] * (1 - share) + train.end_cd[k] * share)
    return 0.0
