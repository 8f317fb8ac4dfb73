"""An ambient-light sensor as a machine of four states, and which of them it can reach."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from scenelux.errors import DocumentError

__all__ = ["FAULTS", "Averaging", "Fault", "Reading", "Sensor", "SensorState", "reachable", "step"]

Reading = Literal["day", "night"]
Light = Literal["day", "between", "night"]
Fault = Literal["stuck low", "stuck high", "noisy"]
Averaging = Literal["none", "first order", "moving mean"]

FAULTS: tuple[Fault, ...] = ("stuck low", "stuck high", "noisy")
LIGHTS: tuple[Light, ...] = ("day", "between", "night")


@dataclass(frozen=True)
class Sensor:
    """Two thresholds, a time to wait each way, averaging and what the sensor sees.

    Parameters
    ----------
    dark_below_lx, bright_above_lx : night is asked for below the first, day above the second [lx].
    dark_dwell_s, bright_dwell_s : the reading must stay there so long without a break; crossing back starts the time
        anew [s].
    averaging, averaging_s : "first order" with its time constant or "moving mean" with its window [s].
    view_factor : reading as a share of the illuminance outside.
    starts : what it reads at power on.
    """

    dark_below_lx: float
    bright_above_lx: float
    dark_dwell_s: float = 0.0
    bright_dwell_s: float = 0.0
    averaging: Averaging = "none"
    averaging_s: float = 0.0
    view_factor: float = 1.0
    starts: Reading = "day"

    def __post_init__(self) -> None:
        if not 0.0 < self.dark_below_lx <= self.bright_above_lx:
            accepted = "give dark below, above 0, at most as high as bright above"
            raise DocumentError("are no two thresholds", key="sensor", value=self.dark_below_lx, accepted=accepted)
        if min(self.dark_dwell_s, self.bright_dwell_s, self.averaging_s) < 0.0:
            raise DocumentError("has a time below 0", key="sensor", accepted="give 0 s or more")
        if (self.averaging == "none") != (self.averaging_s == 0.0):
            raise DocumentError("has only one of averaging and its time", key="sensor", accepted="give both or neither")
        if not 0.0 < self.view_factor <= 1.0:
            raise DocumentError(
                "is no share", key="sensor.view_factor", value=self.view_factor, accepted="give above 0 to 1"
            )

    def dwell_s(self, to: Reading) -> float:
        """Time that the reading must stay before the sensor turns to a reading [s]."""
        return self.bright_dwell_s if to == "day" else self.dark_dwell_s


@dataclass(frozen=True)
class SensorState:
    """What the sensor reads, whether it waits to turn, and the light outside: beyond which threshold, or between."""

    reads: Reading
    waits: bool
    light: Light

    @property
    def truth(self) -> str:
        """The light outside; "turning .." while the sensor has not had its time."""
        return f"turning {self.light}" if self.waits else self.light


def step(sensor: Sensor, state: SensorState, light: Light, seen: Light) -> tuple[SensorState, ...]:
    """States that may follow when the light outside becomes `light` and the sensor sees `seen`.

    Parameters
    ----------
    sensor : with its times to wait.
    state : what it was.
    light, seen : differ only with a fault.
    """
    if seen == "between" or seen == state.reads:
        return (SensorState(state.reads, False, light),)
    turned = SensorState(seen, False, light)
    if sensor.dwell_s(seen) == 0.0:
        return (turned,)
    return (SensorState(state.reads, True, light), turned)


def reachable(sensor: Sensor, fault: Fault | None = None) -> tuple[SensorState, ...]:
    """States that some history of ambient light leads to, in a fixed order.

    Parameters
    ----------
    sensor : with thresholds that are equal there is no light between.
    fault : none for the healthy sensor; else the states after the fault set in at any time.

    Any light may follow any other. A noisy sensor may see anything.

    Example
    -------
    >>> [(s.reads, s.truth) for s in reachable(Sensor(20.0, 80.0, 5.0, 0.0))]
    [('day', 'day'), ('day', 'between'), ('day', 'turning night'), ('night', 'between'), ('night', 'night')]
    """
    lights = [x for x in LIGHTS if x != "between" or sensor.bright_above_lx > sensor.dark_below_lx]
    start = [SensorState(sensor.starts, False, light) for light in lights]
    before = {after for state in start for after in step(sensor, state, state.light, state.light)}
    well = _closure(sensor, before, lights, None)
    if fault is None:
        return _ordered(well)
    first = {after for s in well for x in _seen(fault, s.light, lights) for after in step(sensor, s, s.light, x)}
    return _ordered(_closure(sensor, first, lights, fault))


def _closure(sensor: Sensor, found: set[SensorState], lights: list[Light], fault: Fault | None) -> set[SensorState]:
    new = set(found)
    while new:
        after = {
            state for old in new for light in lights for x in _seen(fault, light, lights)
            for state in step(sensor, old, light, x)
        }  # fmt: skip
        new = after - found
        found = found | new
    return found


def _seen(fault: Fault | None, light: Light, lights: list[Light]) -> list[Light]:
    if fault == "stuck low":
        return ["night"]
    if fault == "stuck high":
        return ["day"]
    return list(lights) if fault == "noisy" else [light]


def _ordered(states: Iterable[SensorState]) -> tuple[SensorState, ...]:
    return tuple(
        sorted(states, key=lambda s: (s.reads, s.waits if s.reads == "day" else not s.waits, LIGHTS.index(s.light)))
    )
