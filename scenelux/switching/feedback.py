"""Own lamps on the ambient-light sensor: levels that switch themselves back, or hold the sensor where it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.switching.combinations import Coding, Kinds, blocks, coding
from scenelux.switching.findings import RuleFault
from scenelux.switching.inputs import InputState
from scenelux.switching.machine import Sensor
from scenelux.switching.outcomes import outcomes
from scenelux.switching.rules import Switching
from scenelux.switching.story import tell

__all__ = ["AmbientBand", "feedback_faults", "held_by_own_light", "oscillation"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class AmbientBand:
    """Ambient illuminance in front of the sensor, from and up to, both ends outside [lx]."""

    from_lx: float
    to_lx: float


def oscillation(sensor: Sensor, own_day_lx: float, own_night_lx: float) -> AmbientBand | None:
    """Steady ambient light in which the sensor turns back and forth without end, whatever its times.

    Parameters
    ----------
    sensor : thresholds and view factor.
    own_day_lx, own_night_lx : reading that own lamps add at the levels of day and of night [lx].

    Dark with the day's levels and bright with those of night: view factor times ambient light lies between both.

    Example
    -------
    >>> oscillation(Sensor(20.0, 80.0), 0.0, 70.0)
    AmbientBand(from_lx=10.0, to_lx=20.0)
    >>> oscillation(Sensor(20.0, 80.0), 0.0, 50.0)
    """
    low = max(0.0, sensor.bright_above_lx - own_night_lx)
    high = sensor.dark_below_lx - own_day_lx
    always = own_night_lx > sensor.bright_above_lx and high > 0.0
    if high > low or always:
        return AmbientBand(low / sensor.view_factor, high / sensor.view_factor)
    return None


def held_by_own_light(sensor: Sensor, own_day_lx: float) -> bool:
    """Whether own lamps at the levels of day alone keep the sensor from ever seeing night."""
    return own_day_lx >= sensor.dark_below_lx


def feedback_faults(switching: Switching, own_lx: Mapping[str, float], *, failures: int = 0) -> tuple[RuleFault, ...]:
    """Oscillation and a sensor held by own light, over all combinations of the other inputs.

    Parameters
    ----------
    switching : rules, with a sensor and an input that reads it.
    own_lx : reading that a circuit at level 1 adds at the sensor, view factor included [lx].
    failures : at most so many of the other inputs have failed.

    One fault of each kind, with the combination nearest to normal.
    """
    unknown = sorted(set(own_lx) - set(switching.circuits))
    if unknown:
        accepted = f"give one of {', '.join(switching.circuits)}"
        raise UsageError("is not a circuit", key="own light", value=unknown[0], accepted=accepted)
    code, name = coding(switching), next((x.name for x in switching.inputs if x.kind == "light sensor"), None)
    if name is None or name not in code.names or switching.sensor is None:
        return ()
    place = code.names.index(name)
    share = np.array([own_lx.get(circuit, 0.0) for circuit in switching.circuits])
    best: dict[str, tuple[int, RuleFault]] = {}
    for others in blocks(code, failures, without=place):
        day, night = (_own(switching, code, others, place, reads, share) for reads in ("day", "night"))
        for fault, row in _found(switching.sensor, day, night, others):
            changes = int(others.changes[row])
            if fault not in best or changes < best[fault][0]:
                told = _fault(switching, code, place, others, row, float(day[row]), float(night[row]), fault)
                best[fault] = (changes, told)
    return tuple(best[fault][1] for fault in sorted(best, reverse=True))


def _own(switching: Switching, code: Coding, others: Kinds, place: int, reads: str, share: Floats) -> Floats:
    made = outcomes(switching, code, others.words & code.bits[place][_settled(code.states[place], reads)])
    return np.asarray((made.levels @ share)[made.of_kind])


def _settled(states: tuple[InputState, ...], reads: str) -> int:
    """The healthy state that reads what is outside; one is always reachable."""
    return next(at for at, one in enumerate(states) if not one.failed and one.reads == one.truth == reads)


def _found(sensor: Sensor, day: Floats, night: Floats, others: Kinds) -> list[tuple[str, int]]:
    high, low = sensor.dark_below_lx - day, np.maximum(0.0, sensor.bright_above_lx - night)
    back = (high > low) | ((night > sensor.bright_above_lx) & (high > 0.0))
    held = day >= sensor.dark_below_lx
    rows = [("oscillation", np.flatnonzero(back)), ("held by own light", np.flatnonzero(held))]
    return [(word, int(at[np.argmin(others.changes[at])])) for word, at in rows if at.size]


def _fault(
    switching: Switching, code: Coding, place: int, others: Kinds, row: int, day: float, night: float, fault: str
) -> RuleFault:
    states, sensor = code.states[place], switching.sensor
    picks = others.picks[row].tolist()
    picks[place] = _settled(states, "night")
    if fault == "held by own light" or sensor is None:
        picks[place] = _settled(states, "day")
        says = f"own lamps add {day:.4g} lx by day, so the sensor never reads night"
        story = tell(switching, code, picks, (), switching.circuits)
        return RuleFault("held by own light", (), None, f"{says}: {story.says}", story)
    band = oscillation(sensor, day, night)
    span = f"{band.from_lx:.4g} to {band.to_lx:.4g} lx outside" if band else "some light outside"
    says = f"with {span} own lamps add {night:.4g} lx by night and {day:.4g} lx by day, so levels switch without end"
    story = tell(switching, code, picks, (), switching.circuits)
    return RuleFault("oscillation", (), None, f"{says}: {story.says}", story)
