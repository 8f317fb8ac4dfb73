"""Levels over an evening: when the sensor turns, how long each set of levels holds, and what it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.scene.switching import AMBIENT_LIGHT
from scenelux.study.dusk.natural import Evening
from scenelux.study.results.dusk import LevelChange, TimeAt, Timeline
from scenelux.study.results.matrix import MatrixRow
from scenelux.switching.ambient import Ambient, Profile
from scenelux.switching.inputs import says_value
from scenelux.switching.machine import Reading, Sensor
from scenelux.switching.rules import Switching, decide
from scenelux.switching.sensor import Span, simulate
from scenelux.switching.sensor import Timeline as Run

__all__ = ["Course", "run_evening"]

Array = NDArray[np.float64]
RowOf = Callable[[tuple[float, ...]], MatrixRow]

_READINGS: tuple[Reading, Reading] = ("day", "night")
_DRAWN = 1500
"""Points of the reading that is drawn, over all and around the disturbance, beside its knots and turns."""

_AROUND_S = 300.0


@dataclass(frozen=True, eq=False)
class Course:
    """What all evenings share.

    Parameters
    ----------
    switching : rules and sensor.
    own_lx : (circuits,) reading that each circuit adds at level 1.
    row_of : light and load of levels.
    power_w : mean power of levels, flashing lamps by their share of time.
    start_utc, duration_s, within_s : of the document.
    """

    switching: Switching
    own_lx: Array
    row_of: RowOf
    power_w: Callable[[tuple[float, ...]], float]
    start_utc: str
    duration_s: float
    within_s: float


def run_evening(course: Course, one: Evening) -> Timeline:
    """Runs the sensor and the rules through one evening; every instant is solved for, no step of time is involved.

    Parameters
    ----------
    course, one : what all evenings share, and this one.
    """
    switching, sensor = course.switching, course.switching.sensor
    assert sensor is not None
    readings = {part.name: part.normal for part in switching.inputs} | one.inputs
    levels = {reads: _levels(switching, {**readings, AMBIENT_LIGHT: reads}) for reads in _READINGS}
    own = {reads: float(np.array(levels[reads]) @ course.own_lx) for reads in _READINGS}
    seen = one.light if one.seen is None else one.seen
    profile = Profile(tuple(seen.time_s.tolist()), tuple(seen.illuminance_lx.tolist()))
    run = simulate(
        sensor,
        Ambient((profile,)),
        0.0,
        course.duration_s,
        own_lx=own,
        undone_within_s=course.within_s,
        fault=one.fault,
        fault_from_s=one.window_s[0],
    )
    rows = {reads: course.row_of(levels[reads]) for reads in _READINGS}
    changes = _changes(switching, run, one, rows)
    times = _times(course, run, levels, rows)
    reading_times, reading = _reading(sensor, one, run, own)
    told = [says_value(part, readings[part.name]) for part in switching.inputs if part.name != AMBIENT_LIGHT]
    return Timeline(
        name=one.name,
        says=one.says,
        start_utc=course.start_utc,
        duration_s=course.duration_s,
        inputs=", ".join(told),
        times_s=one.light.time_s,
        ambient_lx=one.light.illuminance_lx,
        reading_times_s=reading_times,
        reading_lx=reading,
        changes=changes,
        turns=len(run.switches_s),
        flutters=run.flutters if levels["day"] != levels["night"] else 0,
        within_s=course.within_s,
        endless_from_s=run.endless_from_s,
        times=times,
        energy_wh=sum(one.energy_wh for one in times),
        events=one.events,
        window_s=one.window_s,
    )


def _levels(switching: Switching, readings: Mapping[str, bool | str | float]) -> tuple[float, ...]:
    return tuple(decision.level for decision in decide(switching, readings))


def _changes(
    switching: Switching, run: Run, one: Evening, rows: Mapping[Reading, MatrixRow]
) -> tuple[LevelChange, ...]:
    lux = one.light.at([span.from_s for span in run.spans])
    return tuple(
        LevelChange(span.from_s, float(light), span.reads, rows[span.reads].name, rows[span.reads].levels)
        for span, light in zip(run.spans, lux, strict=True)
    )


def _times(
    course: Course, run: Run, levels: Mapping[Reading, tuple[float, ...]], rows: Mapping[Reading, MatrixRow]
) -> tuple[TimeAt, ...]:
    found = []
    for reads in dict.fromkeys(span.reads for span in run.spans):
        seconds, row = run.seconds(reads), rows[reads]
        energy = course.power_w(levels[reads]) * seconds / 3600.0
        veils = [eye.veil_cd_m2 for eye in row.eyes]
        least = {area.area_id: area.least_lx for area in row.areas}
        worst = float(np.nanmax(veils)) if veils and not np.isnan(veils).all() else float("nan")
        found.append(TimeAt(row.name, seconds, energy, least, worst))
    return _joined(found)


def _joined(found: list[TimeAt]) -> tuple[TimeAt, ...]:
    """Both readings may give the same levels: their times are one."""
    if len(found) == 2 and found[0].name == found[1].name:
        first, second = found
        seconds, energy = first.seconds + second.seconds, first.energy_wh + second.energy_wh
        return (TimeAt(first.name, seconds, energy, first.least_lx, first.worst_veil_cd_m2),)
    return tuple(found)


def _reading(sensor: Sensor, one: Evening, run: Run, own: Mapping[Reading, float]) -> tuple[Array, Array]:
    """What the sensor reads, averaged, at points close enough to draw it."""
    end, seen = run.spans[-1].to_s, one.light if one.seen is None else one.seen
    knots = seen.time_s[(seen.time_s >= 0.0) & (seen.time_s <= end)]
    turns = np.array([time for span in run.spans for time in (span.from_s - 1e-6, span.from_s)])
    near = np.linspace(max(0.0, one.window_s[0] - _AROUND_S), min(end, one.window_s[1] + _AROUND_S), _DRAWN)
    turns = turns[(turns >= 0.0) & (turns <= end)]
    times = np.unique(np.concatenate([np.linspace(0.0, end, _DRAWN), near, knots, turns]))
    reading = sensor.view_factor * seen.at(times) + _own(run.spans, times, own)
    if sensor.averaging == "first order":
        reading = _lagged(times, reading, sensor.averaging_s)
    if sensor.averaging == "moving mean":
        reading = _mean(times, reading, sensor.averaging_s)
    if one.fault is not None:
        stuck = 0.0 if one.fault == "stuck low" else 2.0 * sensor.bright_above_lx
        reading = np.where(times >= one.window_s[0], stuck, reading)
    return times, np.asarray(reading)


def _own(spans: tuple[Span, ...], times: Array, own: Mapping[Reading, float]) -> Array:
    starts = np.array([span.from_s for span in spans])
    values = np.array([own[span.reads] for span in spans])
    return np.asarray(values[np.searchsorted(starts, times, side="right") - 1])


def _lagged(times: Array, light: Array, tau_s: float) -> Array:
    """First order, exact for light that is straight between the times."""
    found = [float(light[0])]
    for step, first, last in zip(np.diff(times), light[:-1], light[1:], strict=True):
        decay, slope = float(np.exp(-step / tau_s)), (last - first) / step
        found.append(float(last - slope * tau_s + (found[-1] - first + slope * tau_s) * decay))
    return np.array(found)


def _mean(times: Array, light: Array, window_s: float) -> Array:
    """Mean of the last seconds; before the first time the light was as at it."""
    whole = np.concatenate([[0.0], np.cumsum(0.5 * (light[1:] + light[:-1]) * np.diff(times))])
    before = np.interp(times - window_s, times, whole)
    early = np.minimum(0.0, times - window_s - times[0]) * light[0]
    return np.asarray((whole - before - early) / window_s)
