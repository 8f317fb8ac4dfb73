"""What a sensor makes of the light on it: nothing, a first-order average or a moving mean, in closed form."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from math import factorial, inf

from scenelux.switching.ambient import Ambient
from scenelux.switching.curves import Curve, Term
from scenelux.switching.machine import Sensor

__all__ = ["Light", "integral", "lagged", "reading_from"]

_STRAIGHT = 0.02
_POWERS = 8
_RESONANT = 1e-9


@dataclass(frozen=True)
class Light:
    """Light on the sensor: ambient as it sees it, and that of own lamps since each change.

    Parameters
    ----------
    ambient : outside.
    view_factor : share of it that is seen.
    own : (time, reading added), rising times; the first holds from ever before [s, lx].
    """

    ambient: Ambient
    view_factor: float
    own: tuple[tuple[float, float], ...]

    def from_time(self, time_s: float, start_s: float) -> Curve:
        """The light from a time to its next change; before the start that of the start."""
        place = max(0, bisect_right([time for time, _ in self.own], time_s) - 1)
        added = Curve((Term(0.0, (self.own[place][1],)),))
        if time_s < start_s:
            return added.plus(Curve((Term(0.0, (self.ambient.at(start_s),)),)), self.view_factor)
        return added.plus(self.ambient.from_time(time_s), self.view_factor)

    def next_change_s(self, time_s: float, start_s: float) -> float:
        """The next time after one at which `from_time` changes."""
        return min((c for c in (start_s, *self.around(time_s)) if c > time_s and c >= start_s), default=inf)

    def around(self, time_s: float) -> tuple[float, ...]:
        """The changes nearest to a time, some on both sides of it."""
        knots, own = self.ambient.knots_s, [time for time, _ in self.own]
        at, other = bisect_right(knots, time_s), bisect_right(own, time_s)
        return (*knots[max(0, at - 2) : at + 2], *own[max(0, other - 2) : other + 2])


def reading_from(sensor: Sensor, light: Light, time_s: float, reading_lx: float, start_s: float) -> tuple[Curve, float]:
    """Reading from a time on, and until when the curve holds.

    Parameters
    ----------
    sensor : averaging and its time.
    light : on the sensor, with all changes up to this time.
    time_s : now [s].
    reading_lx : now; not used without averaging [lx].
    start_s : of the whole run; before it the light is that of the start [s].
    """
    head = light.from_time(time_s, start_s)
    until = light.next_change_s(time_s, start_s)
    if sensor.averaging == "none":
        return head, until
    if sensor.averaging == "first order":
        return lagged(head, sensor.averaging_s, reading_lx), until
    window = sensor.averaging_s
    # A change and the window add up to the same sum here and where the last piece ended; a difference might not.
    changes = [c for c in (start_s, *light.around(time_s - window)) if c >= start_s]
    left = max([time_s - window, *(c for c in changes if c + window <= time_s)])
    tail = light.from_time(left, start_s)
    until = min([until, *(c + window for c in changes if c + window > time_s)])
    growth = integral(head.plus(tail, -1.0), until - time_s)
    return Curve((Term(0.0, (reading_lx,)),)).plus(growth, 1.0 / window), until


def lagged(light: Curve, time_constant_s: float, reading_lx: float) -> Curve:
    """First-order average of a curve, from a reading at time 0.

    Parameters
    ----------
    light : terms straight in time, or single exponentials.
    time_constant_s : above 0 [s].
    reading_lx : at time 0 [lx].

    Example
    -------
    >>> round(lagged(Curve((Term(0.0, (10.0,)),)), 2.0, 0.0).at(2.0), 4)
    6.3212
    """
    total = Curve(())
    for term in light.terms:
        total = total.plus(Curve((_lagged_term(term, time_constant_s),)))
    left = reading_lx - total.at(0.0)
    return total.plus(Curve((Term(-1.0 / time_constant_s, (left,)),)))


def _lagged_term(term: Term, time_constant_s: float) -> Term:
    gain = 1.0 + term.rate * time_constant_s
    if abs(gain) < _RESONANT:
        return Term(-1.0 / time_constant_s, (0.0, term.powers[0] / time_constant_s))
    if len(term.powers) == 1:
        return Term(term.rate, (term.powers[0] / gain,))
    first, slope = term.powers
    return Term(0.0, (first - slope * time_constant_s, slope))


def integral(curve: Curve, until_s: float) -> Curve:
    """Integral of a curve from time 0.

    Parameters
    ----------
    curve : polynomials, and single exponentials.
    until_s : for so long it is needed; where it hardly bends, powers stand for an exponential [s].

    Example
    -------
    >>> integral(Curve((Term(0.0, (1.0, 2.0)),)), 5.0).at(3.0)
    12.0
    """
    total = Curve(())
    for term in curve.terms:
        if term.rate == 0.0:
            grown: tuple[Term, ...] = (Term(0.0, (0.0, *(p / (n + 1) for n, p in enumerate(term.powers)))),)
        elif abs(term.rate) * until_s < _STRAIGHT:
            # A difference of two nearly equal exponentials would lose the digits that a day of steps needs.
            series = (term.powers[0] * term.rate**n / factorial(n + 1) for n in range(_POWERS))
            grown = (Term(0.0, (0.0, *series)),)
        else:
            whole = term.powers[0] / term.rate
            grown = (Term(term.rate, (whole,)), Term(0.0, (-whole,)))
        total = total.plus(Curve(grown))
    return total
