"""How an animation of a flash cycle runs: its pictures, how long each is shown, and how far it is slowed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.drive.flashes import MOST_FLASHES_PER_S
from scenelux.pictures.signal.courses import Excerpt, excerpt_of
from scenelux.study.results.signal import SignalCase

__all__ = ["FlashRun", "flash_run", "slowing"]

Array = NDArray[np.float64]

MARGIN = 1.02
"""Durations are written in whole milliseconds."""

LONGEST_SHOWN_S, SHORTEST_SHOWN_S, MOST_PICTURES = 30.0, 0.03, 78
AT_LEAST_SHOWN_S = 8.0
"""A short cycle is shown several times."""


@dataclass(frozen=True, eq=False)
class FlashRun:
    """The pictures of an animation in their order.

    Parameters
    ----------
    excerpt : what of the cycle is shown.
    first, last : (pictures,) instants between which each picture holds, in the time of the lamps [s].
    segments : (pictures,) whose levels each shows.
    factor : how many times slower than life.
    rounds : how often the cycle is shown.
    """

    excerpt: Excerpt
    first: Array
    last: Array
    segments: NDArray[np.int64]
    factor: float
    rounds: int

    @property
    def seconds(self) -> list[float]:
        """How long each picture is shown, once through."""
        return [float(one) for one in (self.last - self.first) * self.factor]


def slowing(times_s: Array, levels: Array) -> float:
    """How many times slower than life a repeated cycle must be shown, so that lamps light up at most 3 times a second.

    Every instant at which any lamp gets brighter counts, wherever the lamp is; more than one at once count once.

    Parameters
    ----------
    times_s : (segments + 1,) of the cycle, from 0.
    levels : (lamps, segments).

    Example
    -------
    >>> slowing(np.array([0.0, 0.1, 0.25]), np.array([[1.0, 0.0]]))
    1.4
    >>> slowing(np.array([0.0, 0.5, 1.0]), np.array([[1.0, 0.0]]))
    1.0
    """
    cycle, most = float(times_s[-1]), round(MOST_FLASHES_PER_S)
    brighter = (levels > np.roll(levels, 1, axis=1)).any(axis=0)
    rises = times_s[:-1][brighter]
    if not rises.size:
        return 1.0
    ahead = np.concatenate([rises + turn * cycle for turn in range(most + 2)])
    spans = ahead[most : most + len(rises)] - ahead[: len(rises)]
    wanted = MARGIN / float(spans.min())
    return 1.0 if wanted <= 1.0 else math.ceil(10.0 * wanted - 1e-9) / 10.0


def flash_run(case: SignalCase, around_s: float = 0.0) -> FlashRun:
    """The pictures of one cycle, or of a part of a long one about an instant.

    Parameters
    ----------
    case : one duty state at one light level.
    around_s : an instant in the middle of a part.
    """
    factor = slowing(case.times_s, case.levels[case.flashing])
    excerpt = excerpt_of(case, LONGEST_SHOWN_S / factor, 10_000, around_s)
    first, last, segments = _pictures(excerpt, SHORTEST_SHOWN_S / factor)
    first, last, segments = first[:MOST_PICTURES], last[:MOST_PICTURES], segments[:MOST_PICTURES]
    shown = float(last[-1] - first[0]) * factor
    wanted = max(1, min(MOST_PICTURES // len(first), math.ceil(AT_LEAST_SHOWN_S / shown)))
    return FlashRun(excerpt, first, last, segments, factor, wanted if excerpt.whole else 1)


def _pictures(excerpt: Excerpt, shortest_s: float) -> tuple[Array, Array, NDArray[np.int64]]:
    """Segments, those that are too short to be shown joined with their neighbours; the longest gives the levels."""
    lengths, starts = np.diff(excerpt.times_s), [0]
    for at in range(1, len(lengths)):
        if excerpt.times_s[at] - excerpt.times_s[starts[-1]] >= shortest_s:
            starts.append(at)
    ends = [*starts[1:], len(lengths)]
    longest = [a + int(np.argmax(lengths[a:b])) for a, b in zip(starts, ends, strict=True)]
    return excerpt.times_s[starts], excerpt.times_s[ends], excerpt.segments[longest]
