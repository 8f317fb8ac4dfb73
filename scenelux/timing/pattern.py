"""A flash pattern: levels over one cycle, in whole microseconds, so that every switching instant is exact."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import accumulate

from scenelux.errors import LimitError, UsageError

__all__ = ["LONGEST_CYCLE_US", "MOST_STEPS", "STEADY", "US_PER_S", "Pattern"]

US_PER_S = 1_000_000
MOST_STEPS = 2_000
LONGEST_CYCLE_US = 3_600 * US_PER_S


@dataclass(frozen=True)
class Pattern:
    """Steps of one cycle that repeats for ever.

    Parameters
    ----------
    steps : durations [whole microseconds] and levels, 0 dark to 1 full light.
    phase_us : how long after the instant 0 a cycle begins [whole microseconds].
    exact_us : length of a cycle where that is no whole number, as of 90 flashes a minute: the steps of each cycle then
        begin at the nearest microsecond, so that the rate holds over any time.

    Example
    -------
    >>> flash = Pattern(((200_000, 1.0), (600_000, 0.0)), phase_us=100_000)
    >>> flash.period_us, flash.level_at(0), flash.level_at(150_000)
    (800000, 0.0, 1.0)
    """

    steps: tuple[tuple[int, float], ...]
    phase_us: int = 0
    exact_us: Fraction | None = None

    def __post_init__(self) -> None:
        """Refuses what is no pattern."""
        if not self.steps:
            raise UsageError("has no steps", key="pattern", accepted="give at least one step")
        if len(self.steps) > MOST_STEPS:
            raise LimitError(
                f"has {len(self.steps):,} steps", key="pattern", accepted=f"give at most {MOST_STEPS:,} in one cycle"
            )
        for duration, level in self.steps:
            if not isinstance(duration, int) or duration < 1:
                raise UsageError(
                    "is not a duration", key="pattern", value=duration, accepted="give 1 or more whole microseconds"
                )
            if not 0.0 <= level <= 1.0:
                raise UsageError("is not a level", key="pattern", value=level, accepted="give 0 (dark) to 1 (full)")
        if abs(self.cycle_us - self.period_us) > Fraction(1, 2):
            raise UsageError("is not the length of its steps", key="exact_us", value=float(self.cycle_us))
        if self.period_us > LONGEST_CYCLE_US:
            raise LimitError("has a cycle of more than an hour", key="pattern", accepted="give a shorter cycle")

    @cached_property
    def period_us(self) -> int:
        """Length of a cycle, to the nearest microsecond."""
        return sum(duration for duration, _ in self.steps)

    @property
    def cycle_us(self) -> Fraction:
        """Length of a cycle, exactly."""
        return Fraction(self.period_us) if self.exact_us is None else self.exact_us

    @cached_property
    def edges_us(self) -> tuple[int, ...]:
        """Ends of the steps from the begin of the cycle, with 0 before."""
        return (0, *accumulate(duration for duration, _ in self.steps))

    @property
    def levels(self) -> tuple[float, ...]:
        """Levels of the steps."""
        return tuple(level for _, level in self.steps)

    @property
    def is_steady(self) -> bool:
        """Whether it never changes: then its cycle has no length of its own."""
        return len(set(self.levels)) == 1

    @property
    def duty(self) -> float:
        """Mean level over a cycle."""
        return sum(duration * level for duration, level in self.steps) / self.period_us

    def level_at(self, instant_us: int) -> float:
        """Level at an instant; at a switching instant that which begins."""
        since_phase = instant_us - self.phase_us
        cycle = (since_phase + Fraction(1, 2)) // self.cycle_us
        if round(cycle * self.cycle_us) > since_phase:
            cycle -= 1
        since = since_phase - round(cycle * self.cycle_us)
        levels = zip(self.edges_us[1:], self.levels, strict=True)
        return next((level for end, level in levels if since < end), self.levels[-1])

    def delayed(self, delay_us: int) -> Pattern:
        """The same pattern, later."""
        return replace(self, phase_us=(self.phase_us + delay_us) % self.period_us)


STEADY = Pattern(((US_PER_S, 1.0),))
"""Full light all the time."""
