"""The largest answer of an eye whose memory of light fades: Allard's model and the modified one."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.signals.waveform import Waveform

__all__ = ["allard", "answers_at", "modified_allard"]

Array = NDArray[np.float64]

_PER_TIME, _MOST = 16, 64
"""Instants in each visual time, and at most in a segment, between which the modified model is searched."""

_NEAR_BEST = 0.01
_ASIDE = 1e-4  # of the way to the next instant
_ROUNDS = 48
_GOLDEN = (5.0**0.5 - 1.0) / 2.0
_AT_ONCE = 1_000_000
"""Instants times segments that are held at one time."""


def allard(light: Waveform, a: float, repeated: bool) -> Array:
    """Largest value of the light after an eye that forgets as exp(-t/a)/a.

    Parameters
    ----------
    light : (m, n) one cycle in m directions, its steady part taken away.
    a : visual time constant [s].
    repeated : whether cycles without number went before.

    Source
    ------
    Allard, formula from memory, unconfirmed; within a segment solved in closed form.
    """
    answer, _ = _faded(light, np.zeros(len(light.start_cd)), a)
    if repeated:
        answer = answer / -np.expm1(-light.period_s / a)
        return _faded(light, answer, a)[1]
    return _faded(light, np.zeros(len(answer)), a)[1]


def _faded(light: Waveform, answer: Array, a: float) -> tuple[Array, Array]:
    """Answer at the end of a cycle, and the largest in it, from the answer at its begin."""
    largest = answer.copy()
    for length, start, end in zip(light.lengths_s, light.start_cd.T, light.end_cd.T, strict=True):
        slope = (end - start) / length
        # The answer is  start - slope a + slope t + apart exp(-t/a).
        apart = answer - start + slope * a
        turning = (apart < 0.0) & (slope < 0.0)
        when = np.where(turning, -a * np.log(np.where(turning, slope * a / np.where(turning, apart, -1.0), 1.0)), 0.0)
        inside = turning & (when > 0.0) & (when < length)
        # There the light itself is the answer.
        largest = np.where(inside, np.maximum(largest, start + slope * when), largest)
        answer = end - slope * a + apart * np.exp(-length / a)
        largest = np.maximum(largest, answer)
    return answer, largest


def modified_allard(light: Waveform, a: float, repeated: bool) -> Array:
    """Largest value of the light after an eye that forgets as a/(a + t)^2.

    Parameters
    ----------
    light : (m, n) one cycle in m directions, its steady part taken away.
    a : visual time constant [s].
    repeated : whether cycles without number went before; they are summed in closed form.

    Source
    ------
    Modified Allard model, formula from memory, unconfirmed. The answer at an instant is in closed form; the instant of
    the largest is searched between 16 instants in each visual time.
    """
    instants = _instants(light, a)
    answers = np.concatenate(
        [answers_at(light, part, a, repeated) for part in np.array_split(instants, _blocks(len(instants), light))],
        axis=1,
    )
    return _refined(light, instants, answers, a, repeated)


def _instants(light: Waveform, a: float) -> Array:
    """Edges, and instants inside segments that lie closer at their begin, where the answer bends most."""
    counts = np.clip(np.ceil(_PER_TIME * light.lengths_s / a), 2, _MOST).astype(int)
    inside = [
        begin + length * np.linspace(0.0, 1.0, count, endpoint=False) ** 1.5
        for begin, length, count in zip(light.times_s[:-1], light.lengths_s, counts, strict=True)
    ]
    return np.concatenate([*inside, light.times_s[-1:]])


def _blocks(instants: int, light: Waveform) -> int:
    return max(1, instants * len(light.lengths_s) // _AT_ONCE)


def _refined(light: Waveform, instants: Array, answers: Array, a: float, repeated: bool) -> Array:
    """Each peak that comes near the largest is searched by golden sections between the instants beside it."""
    largest = np.asarray(answers.max(axis=1))
    beside = np.pad(answers, ((0, 0), (1, 1)), constant_values=-np.inf)
    peaks = (answers >= beside[:, :-2]) & (answers >= beside[:, 2:])
    rows, at = np.nonzero(peaks & (answers >= (1.0 - _NEAR_BEST) * largest[:, np.newaxis]) & (answers > 0.0))
    for part in np.array_split(np.arange(len(rows)), _blocks(len(rows), light)):
        row, middle = rows[part], instants[at[part]]
        low = instants[np.maximum(at[part] - 1, 0)]
        high = instants[np.minimum(at[part] + 1, len(instants) - 1)]
        # Where the answer falls to both sides at once, as where light ends, the instant itself is the peak.
        around = [_at(light, row, middle + _ASIDE * (end - middle), a, repeated) for end in (low, high)]
        open_ = np.maximum(*around) > answers[row, at[part]]
        if open_.any():
            found = _searched(light, row[open_], low[open_], high[open_], a, repeated)
            np.maximum.at(largest, row[open_], found)
    return largest


def _at(light: Waveform, rows: NDArray[np.int64], instants: Array, a: float, repeated: bool) -> Array:
    """Answer of one direction at one instant each."""
    first, second = _weights(light, instants, a, repeated)
    return np.asarray((first * light.start_cd[rows] + second * light.end_cd[rows]).sum(axis=1))


def _searched(light: Waveform, rows: NDArray[np.int64], low: Array, high: Array, a: float, repeated: bool) -> Array:
    def value(at: Array) -> Array:
        return _at(light, rows, at, a, repeated)

    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    of_left, of_right = value(left), value(right)
    for _ in range(_ROUNDS):
        rising = of_left < of_right
        low, high = np.where(rising, left, low), np.where(rising, high, right)
        new = np.where(rising, low + _GOLDEN * (high - low), high - _GOLDEN * (high - low))
        of_new = value(new)
        left, right = np.where(rising, right, new), np.where(rising, new, left)
        of_left, of_right = np.where(rising, of_right, of_new), np.where(rising, of_new, of_left)
    return np.maximum(of_left, of_right)


def answers_at(light: Waveform, instants: Array, a: float, repeated: bool) -> Array:
    """Answer of the modified model at instants of the cycle, (m, k).

    Parameters
    ----------
    light, a, repeated : as in `modified_allard`.
    instants : (k,) from 0 to the end of the cycle [s].
    """
    first, second = _weights(light, instants, a, repeated)
    return np.asarray(light.start_cd @ first.T + light.end_cd @ second.T)


def _weights(light: Waveform, instants: Array, a: float, repeated: bool) -> tuple[Array, Array]:
    """(k, n) what 1 cd at the start and at the end of each segment gives at each instant."""
    length, begins = light.lengths_s, light.times_s[:-1]
    age = instants[:, np.newaxis] - begins
    gone = np.clip(age, 0.0, length)
    since = a + np.maximum(age - gone, 0.0)
    steady = a * gone / (since * (since + gone))
    ratio = gone / since
    towards_end = np.where(gone > 0.0, a * (ratio - np.log1p(ratio)) / np.where(gone > 0.0, gone, 1.0), 0.0)
    second = towards_end * gone / length
    first = steady - second
    if repeated:
        past = _past(light, age, a)
        first, second = first + past[0], second + past[1]
    return first, second


def _past(light: Waveform, age: Array, a: float) -> tuple[Array, Array]:
    """The same of all cycles before, whose sums are gamma functions."""
    from scipy.special import digamma, gammaln  # here, so that other models start without it

    period, length = light.period_s, light.lengths_s
    near = (a + age - length) / period + 1.0
    share = length / period
    slope = digamma(near)
    steady = a / period * (digamma(near + share) - slope)
    second = a / length * (gammaln(near + share) - gammaln(near) - share * slope)
    return steady - second, second
