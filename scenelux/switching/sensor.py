"""The ambient-light sensor in time: when it turns, how often it flutters, how long it reads day and night."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from scenelux.errors import LimitError, UsageError
from scenelux.switching.ambient import Ambient
from scenelux.switching.averaged import Light, reading_from
from scenelux.switching.curves import Curve, Term, crossings
from scenelux.switching.machine import Fault, Reading, Sensor

__all__ = ["LARGEST_SWITCHES", "Span", "Timeline", "own_light_flutters", "simulate", "sum_over"]

LARGEST_SWITCHES = 5_000
"""A run with more switches is refused."""


@dataclass(frozen=True)
class Span:
    """From one time to another the sensor reads day, or night [s]."""

    from_s: float
    to_s: float
    reads: Reading


@dataclass(frozen=True)
class Timeline:
    """What the sensor reads over time.

    Parameters
    ----------
    spans : without a gap.
    undone_within_s : a switch that is undone within this time is a flutter [s].
    endless_from_s : from here on it switches without time between; the timeline ends there.
    """

    spans: tuple[Span, ...]
    undone_within_s: float
    endless_from_s: float | None = None

    @property
    def switches_s(self) -> tuple[float, ...]:
        """Times of the switches [s]."""
        return tuple(span.from_s for span in self.spans[1:])

    @property
    def flutters(self) -> int:
        """Switches that undo the one before within the stated time."""
        inner = self.spans[1:-1]
        return sum(span.to_s - span.from_s <= self.undone_within_s for span in inner)

    def seconds(self, reads: Reading) -> float:
        """Time at a reading [s]."""
        return float(sum(span.to_s - span.from_s for span in self.spans if span.reads == reads))

    def reads_at(self, time_s: float) -> Reading:
        """Reading at a time; at a switch that after it."""
        return next((span.reads for span in reversed(self.spans) if span.from_s <= time_s), self.spans[0].reads)


def sum_over(timeline: Timeline, by_reading: Mapping[Reading, float]) -> float:
    """A value for each reading times the time at it: watts by day and night give joules.

    Parameters
    ----------
    timeline : of a run.
    by_reading : value for "day" and for "night".
    """
    return sum(by_reading[reads] * timeline.seconds(reads) for reads in by_reading)


def simulate(
    sensor: Sensor,
    ambient: Ambient,
    from_s: float,
    to_s: float,
    *,
    own_lx: Mapping[Reading, float] | None = None,
    undone_within_s: float = 60.0,
    fault: Fault | None = None,
    fault_from_s: float = 0.0,
) -> Timeline:
    """Runs a sensor through ambient light; crossings of thresholds are solved for, no step of time is involved.

    Parameters
    ----------
    sensor, ambient : the sensor and the light outside.
    from_s, to_s : the run [s]; before it everything was as at its start.
    own_lx : what own lamps add to the reading at the levels of day and of night; nothing unless given [lx].
    undone_within_s : a switch undone within this time counts as a flutter [s].
    fault, fault_from_s : "stuck low" reads 0 and "stuck high" more than any threshold, from a time on. Of a noisy
        sensor give `ambient.with_noise` instead.

    Source
    ------
    Two thresholds, times to wait that start anew on crossing back: as a vehicle service manual of 1998 prints it.

    Example
    -------
    >>> from scenelux.switching.ambient import Profile
    >>> dusk = Ambient((Profile((0.0, 100.0), (100.0, 0.0)),))
    >>> simulate(Sensor(20.0, 80.0, 5.0, 5.0), dusk, 0.0, 200.0).switches_s
    (85.0,)
    """
    if fault == "noisy" or not from_s < to_s:
        raise UsageError("cannot be run", key="sensor", accepted="give rising times, and noise in the ambient light")
    run = _Run(sensor, ambient, own_lx or {"day": 0.0, "night": 0.0}, from_s, to_s, (fault, fault_from_s))
    endless = run.all()
    spans = zip([from_s, *run.switches], [*run.switches, run.now], run.readings, strict=True)
    return Timeline(tuple(Span(*span) for span in spans), undone_within_s, run.now if endless else None)


def own_light_flutters(
    sensor: Sensor,
    ambient: Ambient,
    from_s: float,
    to_s: float,
    own_lx: Mapping[Reading, float],
    undone_within_s: float = 60.0,
) -> int:
    """Flutters that would not be there if own lamps kept the light of their levels by day.

    Parameters
    ----------
    sensor, ambient, from_s, to_s, own_lx, undone_within_s : as in `simulate`.
    """
    still: dict[Reading, float] = {"day": own_lx["day"], "night": own_lx["day"]}
    real, other = (
        simulate(sensor, ambient, from_s, to_s, own_lx=own, undone_within_s=undone_within_s).flutters
        for own in (own_lx, still)
    )
    return real - other


class _Run:
    """A run as far as it has come."""

    def __init__(
        self,
        sensor: Sensor,
        ambient: Ambient,
        own_lx: Mapping[Reading, float],
        from_s: float,
        to_s: float,
        fault: tuple[Fault | None, float],
    ) -> None:
        self.sensor, self.own_lx, self.start, self.end, self.fault = sensor, own_lx, from_s, to_s, fault
        self.now, self.since = from_s, inf
        self.readings: list[Reading] = [sensor.starts]
        self.switches: list[float] = []
        self.light = Light(ambient, sensor.view_factor, ((from_s, own_lx[sensor.starts]),))
        self.reading = self.light.from_time(from_s, from_s).at(0.0)

    def all(self) -> bool:
        """Runs to the end; True where the sensor switches without end at one instant."""
        while self.now < self.end:
            curve, until = self._curve()
            turns = self._first_turn(curve, min(until, self.end) - self.now)
            length = min(until, self.end) - self.now if turns is None else turns
            self.reading = curve.at(length)
            self.now = min(until, self.end) if turns is None else self.now + turns
            if turns is not None and self._turn():
                return True
        return False

    def _curve(self) -> tuple[Curve, float]:
        curve, until = reading_from(self.sensor, self.light, self.now, self.reading, self.start)
        kind, begins = self.fault
        if kind is None:
            return curve, until
        if self.now < begins:
            return curve, min(until, begins)
        stuck = 0.0 if kind == "stuck low" else 2.0 * self.sensor.bright_above_lx
        return Curve((Term(0.0, (stuck,)),)), until

    def _first_turn(self, curve: Curve, length_s: float) -> float | None:
        """Time from now to the first switch within a piece; keeps since when the sensor waits."""
        ends = (self.sensor.dark_below_lx, self.sensor.bright_above_lx)
        cuts = sorted({0.0, *(at for end in ends for at in crossings(curve, end, length_s)), length_s})
        for first, last in pairwise(cuts):
            wanted = self._wants(curve.at(0.5 * (first + last)))
            if wanted is None:
                self.since = inf
                continue
            self.since = min(self.since, self.now + first)
            due = self.since + self.sensor.dwell_s(wanted)
            if due < self.now + last:
                return max(due - self.now, first)
        return None

    def _wants(self, reading_lx: float) -> Reading | None:
        if self.readings[-1] == "day" and reading_lx < self.sensor.dark_below_lx:
            return "night"
        if self.readings[-1] == "night" and reading_lx > self.sensor.bright_above_lx:
            return "day"
        return None

    def _turn(self) -> bool:
        endless = self.switches[-2:] == [self.now, self.now]
        if endless:
            self.switches, self.readings = self.switches[:-2], self.readings[:-2]
            return True
        if len(self.switches) >= LARGEST_SWITCHES:
            limit = f"at most {LARGEST_SWITCHES:,} switches are followed"
            raise LimitError(f"switches without end until {self.now:.6g} s", key="sensor", accepted=limit)
        turned: Reading = "night" if self.readings[-1] == "day" else "day"
        self.readings.append(turned)
        self.switches.append(self.now)
        self.since = inf
        self.light = Light(
            self.light.ambient, self.light.view_factor, (*self.light.own, (self.now, self.own_lx[turned]))
        )
        return False
