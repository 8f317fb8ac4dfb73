"""Reads a flash pattern: "3 x (on 50 ms, off 50 ms), off 700 ms", or "75 per minute: on 30 %, off".

    pattern   steady [at PERCENT], or [cycle :] parts
    cycle     NUMBER per minute, NUMBER per second, NUMBER Hz, or every TIME
    parts     part, part, ..
    part      [COUNT x] (parts), or [COUNT x] step
    step      (on, off or [on] at PERCENT) then [for] TIME, or a PERCENT of the cycle; nothing for the rest of the cycle

A time is a number with us, ms, s or min. Ends of steps that percentages or a rate put between two microseconds are
rounded to the nearest, each by itself, so that they do not add up to a drift; a rate holds exactly.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from scenelux.errors import InputError, LimitError, QuantityError
from scenelux.timing.pattern import LONGEST_CYCLE_US, MOST_STEPS, STEADY, US_PER_S, Pattern
from scenelux.timing.words import ACCEPTED, UNITS_US, Token, fault, number_of, tokens

__all__ = ["parse_pattern", "parse_time_us", "pattern_text"]

_PER_US = {"minute": 60 * US_PER_S, "second": US_PER_S}
_DEEPEST = 4
_PERCENT = 100

_Steps = list[tuple[Fraction | None, float]]


def parse_pattern(text: str) -> Pattern:
    """Pattern of a text; a fault is a QuantityError with the place in the text.

    Example
    -------
    >>> parse_pattern("75 per minute: 2 x (on 50 ms, off 50 ms), off").steps[-2:]
    ((50000, 0.0), (600000, 0.0))
    >>> parse_pattern("on at 40 % for 120 ms, off 0.68 s").period_us
    800000
    """
    if not isinstance(text, str):
        raise QuantityError("is not a flash pattern", value=text, accepted=ACCEPTED)
    return _Reader(text).pattern()


def parse_time_us(text: str, pattern: Pattern) -> int:
    """A delay as whole microseconds: a time, or a percentage of the pattern's cycle.

    Parameters
    ----------
    text : such as "250 ms" or "50 %".
    pattern : whose cycle a percentage is of.

    Example
    -------
    >>> parse_time_us("50 %", parse_pattern("on 100 ms, off 300 ms"))
    200000
    """
    if not isinstance(text, str):
        raise QuantityError("is not a delay", value=text, accepted='write "250 ms" or "50 %"')
    reader = _Reader(text)
    reader.cycle = Fraction(pattern.period_us)
    delay = reader.time()
    reader.take("", "the end")
    if delay > LONGEST_CYCLE_US:
        raise QuantityError("is longer than an hour", value=text, accepted="give a delay within a cycle")
    return round(delay)


def pattern_text(pattern: Pattern) -> str:
    """Text that reads as the same steps.

    Example
    -------
    >>> pattern_text(Pattern(((50_000, 1.0), (1_500, 0.4), (700_000, 0.0))))
    'on 50 ms, at 40 % 1.5 ms, off 700 ms'
    """
    return ", ".join(f"{_level_text(level)} {_time_text(duration)}" for duration, level in pattern.steps)


def _level_text(level: float) -> str:
    named = {1.0: "on", 0.0: "off"}
    return named.get(level) or f"at {format(level * _PERCENT, '.12g')} %"


def _time_text(duration_us: int) -> str:
    unit = 1_000
    return f"{duration_us // unit} ms" if duration_us % unit == 0 else f"{duration_us / unit:.3f}".rstrip("0") + " ms"


class _Reader:
    """Goes through the tokens of one text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.all = list(tokens(text))
        self.next = 0
        self.cycle: Fraction | None = None

    @property
    def token(self) -> Token:
        return self.all[self.next]

    def is_next(self, *words: str) -> bool:
        """Whether these words follow."""
        return [token.text for token in self.all[self.next : self.next + len(words)]] == list(words)

    def skip(self, word: str) -> bool:
        """Passes a word where it stands."""
        found = self.is_next(word)
        self.next += found
        return found

    def take(self, word: str, wanted: str) -> None:
        if not self.skip(word):
            raise fault(self.text, self.token, wanted)

    def pattern(self) -> Pattern:
        if self.skip("steady"):
            level = self.percent() if self.skip("at") else 1.0
            self.take("", "the end")
            return Pattern(((STEADY.period_us, level),))
        self.head()
        steps = self.parts(1)
        self.take("", "a comma")
        return self.closed(steps)

    def head(self) -> None:
        """The length of the cycle, where it is stated."""
        start = self.next
        if self.skip("every"):
            self.cycle = self.time()
        elif self.token.kind == "number":
            rate = self.number()
            unit = "second" if self.skip("hz") else self.unit_of_rate()
            if not unit:
                self.next = start
                return
            if not rate:
                raise fault(self.text, self.all[start], "a rate above 0")
            self.cycle = _PER_US[unit] / rate
        else:
            return
        if self.cycle > LONGEST_CYCLE_US:
            raise LimitError("has a cycle of more than an hour", value=self.text, accepted="give a shorter cycle")
        self.take(":", "a colon")

    def unit_of_rate(self) -> str:
        if not self.skip("per"):
            return ""
        unit = self.token.text
        if unit not in _PER_US:
            raise fault(self.text, self.token, '"minute" or "second"')
        self.next += 1
        return unit

    def parts(self, depth: int) -> _Steps:
        steps: _Steps = []
        while True:
            steps += self.part(depth)
            if len(steps) > MOST_STEPS:
                raise LimitError(f"has more than {MOST_STEPS:,} steps", value=self.text, accepted="write fewer repeats")
            if not self.skip(","):
                return steps

    def part(self, depth: int) -> _Steps:
        at, count = self.token, 1
        if at.kind == "number":
            exact = self.number()
            if exact.denominator != 1 or not 1 <= exact <= MOST_STEPS:
                raise fault(self.text, at, f"a count from 1 to {MOST_STEPS:,}")
            count = int(exact)
            self.take("x", '"x" after a count')
        inside = self.group(depth) if self.is_next("(") else [self.step()]
        if count * len(inside) > MOST_STEPS:
            raise LimitError(f"has more than {MOST_STEPS:,} steps", value=self.text, accepted="write fewer repeats")
        return inside * count

    def group(self, depth: int) -> _Steps:
        if depth > _DEEPEST:
            raise fault(self.text, self.token, f"no more than {_DEEPEST} brackets inside each other")
        self.take("(", "a bracket")
        inside = self.parts(depth + 1)
        self.take(")", "a comma or a closing bracket")
        return inside

    def step(self) -> tuple[Fraction | None, float]:
        level = self.level()
        named = self.skip("for")
        if not named and self.token.kind != "number":
            return None, level
        return self.time(), level

    def level(self) -> float:
        if self.skip("off"):
            return 0.0
        on = self.skip("on")
        if self.skip("at"):
            return self.percent()
        if not on:
            raise fault(self.text, self.token, '"on", "off" or "at"')
        return 1.0

    def percent(self) -> float:
        at = self.token
        share = self.number() / _PERCENT
        self.take("%", "a percent sign")
        if share > 1:
            raise fault(self.text, at, "at most 100 %")
        return float(share)

    def number(self) -> Fraction:
        value = number_of(self.text, self.token)
        self.next += 1
        return value

    def time(self) -> Fraction:
        """Microseconds of a time or of a percentage of the cycle."""
        at = self.token
        value = self.number()
        unit = self.token
        if self.skip("%"):
            if self.cycle is None:
                raise fault(self.text, unit, 'a unit of time, since no "every" or "per minute" gives the cycle,')
            return value / _PERCENT * self.cycle
        if unit.text not in UNITS_US:
            raise fault(self.text, unit, "a unit of time (us, ms, s or min)")
        self.next += 1
        exact = value * UNITS_US[unit.text]
        if exact.denominator != 1:
            raise fault(self.text, at, "a time in whole microseconds")
        return exact

    def closed(self, steps: _Steps) -> Pattern:
        """Steps with the rest of the cycle filled in, rounded to whole microseconds."""
        open_ended = [index for index, (duration, _) in enumerate(steps) if duration is None]
        if open_ended and (self.cycle is None or open_ended != [len(steps) - 1]):
            raise self.refused("has a step without a time that is not the last of a cycle of stated length")
        known = sum((duration for duration, _ in steps if duration is not None), Fraction(0))
        if self.cycle is not None and not open_ended and known != self.cycle:
            raise self.refused(f"has steps of {float(known) / 1e3:g} ms in a cycle of {float(self.cycle) / 1e3:g} ms")
        if self.cycle is not None and open_ended and known >= self.cycle:
            raise self.refused(f"leaves nothing of the cycle of {float(self.cycle) / 1e3:g} ms for its last step")
        rest = (self.cycle or known) - known
        return self.rounded([(rest if duration is None else duration, level) for duration, level in steps])

    def rounded(self, steps: list[tuple[Fraction, float]]) -> Pattern:
        ends = [0]
        total = Fraction(0)
        for duration, _ in steps:
            total += duration
            ends.append(round(total))
        whole = [end - start for start, end in pairwise(ends)]
        if min(whole) < 1:
            raise self.refused("has a step shorter than a microsecond")
        try:
            exact = total if total.denominator != 1 else None
            return Pattern(tuple((us, level) for us, (_, level) in zip(whole, steps, strict=True)), exact_us=exact)
        except InputError as error:
            raise type(error)(error.problem, value=self.text, accepted=error.accepted) from None

    def refused(self, problem: str) -> QuantityError:
        return QuantityError(problem, value=self.text, accepted=ACCEPTED)
