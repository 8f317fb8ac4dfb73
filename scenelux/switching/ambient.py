"""Ambient light on the sensor over time: a sum of profiles, each straight or logarithmic between its points."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

import numpy as np

from scenelux.errors import DocumentError
from scenelux.switching.curves import Curve, Term

__all__ = ["Ambient", "Profile", "repeated", "with_noise"]

Scale = Literal["linear", "log"]


@dataclass(frozen=True)
class Profile:
    """Illuminance at points of time, straight between them on a linear or a logarithmic scale.

    Parameters
    ----------
    time_s : rising; a time given twice is a jump [s].
    lux : at those times; above 0 on a logarithmic scale [lx].
    scale : "linear" or "log".

    Before its first point and after its last one a profile keeps their values.
    """

    time_s: tuple[float, ...]
    lux: tuple[float, ...]
    scale: Scale = "linear"

    def __post_init__(self) -> None:
        if not self.time_s or len(self.time_s) != len(self.lux):
            raise DocumentError("has not one illuminance for each time", key="profile", accepted="give as many of both")
        if any(later < earlier for earlier, later in pairwise(self.time_s)):
            raise DocumentError("has times that fall", key="profile", accepted="give rising times")
        if not all(math.isfinite(x) for x in (*self.time_s, *self.lux)) or min(self.lux) < 0.0:
            raise DocumentError("has a value that is no illuminance", key="profile", accepted="give 0 lx or more")
        if self.scale == "log" and min(self.lux) <= 0.0:
            raise DocumentError("is 0 on a logarithmic scale", key="profile", accepted="give more than 0 lx")

    def from_time(self, time_s: float) -> Curve:
        """The profile from a time to its next point, in time from there."""
        place = bisect_right(self.time_s, time_s)
        if place == 0 or place == len(self.time_s):
            return Curve((Term(0.0, (self.lux[max(0, place - 1)],)),))
        start, end = self.time_s[place - 1], self.time_s[place]
        first, last, since = self.lux[place - 1], self.lux[place], time_s - start
        if self.scale == "log":
            rate = math.log(last / first) / (end - start)
            return Curve((Term(rate, (first * math.exp(rate * since),)),))
        slope = (last - first) / (end - start)
        return Curve((Term(0.0, (first + slope * since, slope)),))


@dataclass(frozen=True)
class Ambient:
    """Sum of profiles: dusk, street lamps passed, headlamps of others."""

    profiles: tuple[Profile, ...]

    @cached_property
    def knots_s(self) -> tuple[float, ...]:
        """Times at which any profile has a point."""
        return tuple(sorted({time for profile in self.profiles for time in profile.time_s}))

    def from_time(self, time_s: float) -> Curve:
        """The sum from a time to its next point, in time from there."""
        total = Curve(())
        for profile in self.profiles:
            total = total.plus(profile.from_time(time_s))
        return total

    def at(self, time_s: float) -> float:
        """Illuminance at a time; at a jump that after it [lx]."""
        return self.from_time(time_s).at(0.0)


def repeated(shape_s_lx: Iterable[tuple[float, float]], every_s: float, times: int, start_s: float = 0.0) -> Profile:
    """A pulse again and again: lamps of a street passed, or headlamps of others.

    Parameters
    ----------
    shape_s_lx : points of one pulse, time from its start and illuminance [s, lx].
    every_s : from one start to the next, at least as long as the pulse [s].
    times : how many.
    start_s : of the first [s].

    Example
    -------
    >>> repeated([(0, 0), (1, 30), (2, 0)], 4.0, 2).time_s
    (0.0, 1.0, 2.0, 4.0, 5.0, 6.0)
    """
    shape = [(float(time), float(lux)) for time, lux in shape_s_lx]
    if not shape or shape[-1][0] > every_s:
        raise DocumentError("is no pulse that fits its period", key="pulse", accepted="give points within one period")
    points = [(start_s + n * every_s + time, lux) for n in range(times) for time, lux in shape]
    return Profile(tuple(time for time, _ in points), tuple(lux for _, lux in points))


def with_noise(ambient: Ambient, share: float, period_s: float, until_s: float, seed: int = 0) -> Ambient:
    """Ambient light as a noisy sensor sees it: each value within a share of it, drawn anew every period.

    Parameters
    ----------
    ambient : the light itself; between the draws it is taken as straight.
    share : of the value, 0 to 1; every draw lies evenly within it.
    period_s : between draws [s].
    until_s : end [s].
    seed : of the draws; the same seed gives the same noise.
    """
    times = np.arange(0.0, until_s + period_s, period_s)
    draws = 1.0 + share * np.random.default_rng(seed).uniform(-1.0, 1.0, len(times))
    lux = [ambient.at(float(time)) * float(draw) for time, draw in zip(times, draws, strict=True)]
    return Ambient((Profile(tuple(times.tolist()), tuple(lux)),))
