"""The light of the evening: sun and sky at the place, and each disturbance of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import InputError
from scenelux.scene.switching_read import SwitchingDocument
from scenelux.scene.switching_supply import Disturbance, Dusk
from scenelux.switching.machine import FAULTS, Fault
from scenelux.vision.day import Sky, natural_light, sun_events
from scenelux.vision.profile import LightProfile, added, behind, disturbance, lightning, street_lamps, under

__all__ = ["Evening", "evening", "evenings"]

Array = NDArray[np.float64]

HEADWAY_S = 4.0
"""From one passing car to the next; a chosen value."""

UNDISTURBED = "undisturbed"

NOISE_SHARE, NOISE_PERIOD_S = 0.5, 1.0
"""Of a noisy sensor; chosen values."""


@dataclass(frozen=True, eq=False)
class Evening:
    """Light on level ground over the evening, and what happens when.

    Parameters
    ----------
    name, says : of the disturbance.
    light : natural and passing.
    seen : what a noisy sensor makes of it; none where it sees the light.
    fault : of the sensor, from the beginning of the window on.
    inputs : that are not normal meanwhile.
    events : (instant [s], in words).
    window_s : of the disturbance; the whole where there is none [s].
    """

    name: str
    says: str
    light: LightProfile
    inputs: dict[str, bool | str | float]
    events: tuple[tuple[float, str], ...]
    window_s: tuple[float, float]
    seen: LightProfile | None = None
    fault: Fault | None = None


def evening(dusk: Dusk) -> Evening:
    """The undisturbed evening.

    Parameters
    ----------
    dusk : place, start, duration and clouds.
    """
    start = np.datetime64(dusk.start.replace(tzinfo=None), "s")
    place = (dusk.latitude_deg, dusk.longitude_deg)
    light = natural_light(start, dusk.duration_s, *place, Sky(cloud_divisor=dusk.cloud))
    sun = tuple((event.time_s, event.says) for event in sun_events(start, dusk.duration_s, *place))
    return Evening(UNDISTURBED, f"Undisturbed{_place(dusk)}", light, dict(dusk.inputs), sun, (0.0, dusk.duration_s))


def _place(dusk: Dusk) -> str:
    sky = "clear sky" if dusk.cloud == 1.0 else f"clouds that divide the light by {dusk.cloud:g}"
    return f"{'; ' + dusk.place if dusk.place else ''}; {sky}"


def evenings(document: SwitchingDocument, passing: Sequence[tuple[Array, Array]]) -> tuple[Evening, ...]:
    """The undisturbed evening, then each disturbance by itself.

    Parameters
    ----------
    document : with a dusk.
    passing : of each passing car in the order of the document: times and what it adds on level ground [s, lx].
    """
    dusk = document.text.dusk
    assert dusk is not None
    quiet, cars = evening(dusk), iter(passing)
    found = [quiet]
    for number, one in enumerate(dusk.disturbances):
        if one.kind in FAULTS:
            found.append(_faulty(one, quiet, dusk.duration_s))
            continue
        car = next(cars) if one.kind == "passing car" else None
        try:
            light, until, says = _disturbed(one, quiet.light, car)
        except InputError as error:
            raise document.locate(error.at(key=f"dusk.disturbances[{number}]")) from None
        events = [(one.at_s, f"{one.id}: begin"), (until, f"{one.id}: end")]
        inputs = {**quiet.inputs, **one.inputs}
        found.append(Evening(one.id, says, light, inputs, tuple(sorted([*quiet.events, *events])), (one.at_s, until)))
    return tuple(found)


def _disturbed(
    one: Disturbance, light: LightProfile, car: tuple[Array, Array] | None
) -> tuple[LightProfile, float, str]:
    """Light, when the disturbance ends, and what it is in words."""
    if car is not None:
        return _cars(one, light, car)
    if one.kind == "street lamps":
        return _street(one, light)
    if one.kind == "lightning":
        row = disturbance("lightning")
        row["strokes"] = int(row["strokes"])
        flash = lightning(one.at_s, **row)  # type: ignore[arg-type]
        says = f"{row['strokes']} strokes of lightning, each {row['peak_lx']:g} lx for {row['lasts_s']:g} s"
        return added(light, flash), float(flash.time_s[-1]), says
    assert one.lasts_s is not None
    until = one.at_s + one.lasts_s
    if one.kind == "cloud":
        row = disturbance("passing cloud")
        says = f"A cloud that divides the light by {row['divisor']:g} for {one.lasts_s:g} s"
        return behind(light, one.at_s, until, **row), until, says
    row = disturbance("dark tunnel" if one.kind == "dark tunnel" else "tunnel by day")
    says = f"Tunnel with {row['inside_lx']:g} lx for {one.lasts_s:g} s"
    return under(light, one.at_s, until, **row), until, says


def _faulty(one: Disturbance, quiet: Evening, duration_s: float) -> Evening:
    """The undisturbed evening with a sensor that fails."""
    inputs, events = {**quiet.inputs, **one.inputs}, tuple(sorted([*quiet.events, (one.at_s, f"{one.id}: begin")]))
    base = replace(quiet, name=one.id, inputs=inputs, events=events, window_s=(one.at_s, duration_s))
    if one.kind == "noisy":
        says = (
            f"Noisy sensor: its reading lies anywhere within {100.0 * NOISE_SHARE:g} % of the light, anew every second"
        )
        return replace(base, says=says, seen=_noisy(quiet.light, one.at_s, duration_s))
    fault: Fault = "stuck low" if one.kind == "stuck low" else "stuck high"
    return replace(base, says=f"Sensor {one.kind}", fault=fault)


def _noisy(light: LightProfile, from_s: float, until_s: float) -> LightProfile:
    """The light with noise from a time on, the same noise in every run."""
    times = np.arange(from_s, until_s, NOISE_PERIOD_S)
    draws = 1.0 + NOISE_SHARE * np.random.default_rng(0).uniform(-1.0, 1.0, len(times))
    before = light.time_s[light.time_s < from_s]
    return LightProfile(np.r_[before, times], np.r_[light.at(before), light.at(times) * draws])


def _street(one: Disturbance, light: LightProfile) -> tuple[LightProfile, float, str]:
    assert one.speed_m_s is not None and one.count is not None
    row = disturbance("street lamps")
    lamps = street_lamps(one.at_s, one.speed_m_s, one.count, **row)
    says = (
        f"{one.count} street lamps, {row['spacing_m']:g} m apart and {row['peak_lx']:g} lx below each, passed at "
        f"{3.6 * one.speed_m_s:.3g} km/h"
    )
    return added(light, lamps), one.at_s + (one.count - 1) * row["spacing_m"] / one.speed_m_s, says


def _cars(one: Disturbance, light: LightProfile, car: tuple[Array, Array]) -> tuple[LightProfile, float, str]:
    times, lux = car
    count = one.count or 1
    knots = np.concatenate([[times[0] - 0.5], times, [times[-1] + 0.1]])
    pulse = LightProfile(one.at_s + knots, np.concatenate([[0.0], lux, [0.0]]))
    later = [LightProfile(pulse.time_s + number * HEADWAY_S, pulse.illuminance_lx) for number in range(count)]
    says = (
        f"{count} cars pass {HEADWAY_S:g} s apart; each adds at most {lux.max(initial=0.0):.3g} lx to the reading, "
        "computed at the sensor"
    )
    return added(light, *later), float(later[-1].time_s[-1]), says
