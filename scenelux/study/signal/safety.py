"""Flash safety of one duty state at one light level: told beside the published screens, never judged."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from scenelux.placement import PlacedScene
from scenelux.placement.signals import lamps_towards
from scenelux.signals import concurrent_solid_angle, most_flashes_per_s, solid_angle, solid_angle_distance
from scenelux.signals.safety import (
    HAZARD_HZ,
    HAZARD_LUMINANCE_CD_M2,
    HAZARD_SOURCE,
    SCREEN_FLASHES_PER_S,
    SCREEN_SOLID_ANGLE_SR,
    SCREEN_SOURCE,
)
from scenelux.study.openings import seen_area_m2
from scenelux.study.results.signal import SignalRing
from scenelux.study.results.signal_facts import SafetyFact
from scenelux.study.signal.case import Burning
from scenelux.study.signal.measures import waveform_of
from scenelux.units import UnitSystem, format_distance

__all__ = ["safety_of"]

Array = NDArray[np.float64]

MOST_LAMPS = 40


def safety_of(placed: PlacedScene, one: Burning, ring: SignalRing, units: UnitSystem) -> tuple[SafetyFact, ...]:
    """How the lamps that flash lie to the screens of photosensitivity, on a ring of eyes.

    Flashes of clocks that run apart add up.

    Parameters
    ----------
    placed : the scene on its site.
    one : of a state and light level.
    ring : of eyes near the vehicle.
    units : of words.
    """
    clocks = {how.clock for how, flashes in zip(one.patterns, one.flashing, strict=True) if flashes}
    rates = np.sum([_rates(one, ring, clock) for clock in sorted(clocks)], axis=0)
    towards = lamps_towards(placed, ring.points_m)
    areas = seen_area_m2(placed.lamps, towards.direction)
    lit = one.flashing[:, np.newaxis] & (towards.candela > 0.0)
    known = not (lit & (areas <= 0.0)).any()
    sizes = np.where(lit, solid_angle(areas, towards.distance_m), 0.0)
    together = [_together(towards.direction[lit[:, at], at], sizes[lit[:, at], at]) for at in range(lit.shape[1])]
    most_sr = max(together) if known else math.nan
    brightest = one.levels.max(axis=1)[:, np.newaxis] * towards.candela / np.where(areas > 0.0, areas, 1.0)
    luminance = float(brightest[lit].max(initial=0.0)) if known else math.nan
    return (
        _rate(float(rates.max()), float(ring.heading_deg[rates.argmax()]), ring, len(clocks)),
        _size(most_sr, float((areas * lit).sum(axis=0).max()), ring, units),
        _hazard(float(rates.max()), most_sr, luminance),
    )


def _together(directions: Array, sizes_sr: Array) -> float:
    """The most that one field of view holds; of very many lamps their sum, which is no less."""
    return float(sizes_sr.sum()) if len(sizes_sr) > MOST_LAMPS else concurrent_solid_angle(directions, sizes_sr)


def _rates(one: Burning, ring: SignalRing, clock: str) -> Array:
    """Most flashes within any second of the lamps of one clock, by direction."""
    mine = one.flashing & np.array([how.clock == clock for how in one.patterns])
    wave = waveform_of([ring], one.times_s, np.where(mine[:, np.newaxis], one.levels, 0.0))
    return np.array([most_flashes_per_s(wave.only(at)) for at in range(len(wave.start_cd))])


def _rate(rate: float, heading_deg: float, ring: SignalRing, clocks: int) -> SafetyFact:
    above = rate > SCREEN_FLASHES_PER_S
    lies = "above the photosensitivity screen of 3; a lamp rule may allow it" if above else "not above the screen of 3"
    apart = f" as {clocks} clocks run apart" if clocks > 1 else ""
    return SafetyFact(
        screen="flashes within any second",
        value=rate,
        limit=SCREEN_FLASHES_PER_S,
        unit="1/s",
        above=above,
        says=f"At most {rate:g} flashes within any second{apart}, {lies} (heading {heading_deg:g} deg, {ring.says}).",
        source_title=str(SCREEN_SOURCE),
        source_status=SCREEN_SOURCE.status,
    )


def _size(most_sr: float, area_m2: float, ring: SignalRing, units: UnitSystem) -> SafetyFact:
    says = "Solid angle: not known, since a lamp that flashes states no size of its opening."
    if not math.isnan(most_sr):
        says = f"Openings that flash fill at most {most_sr:.3g} sr of a field of 10 deg ({ring.says})."
        if area_m2 > 0.0:
            near = format_distance(solid_angle_distance(area_m2), units)
            says += f" All at one place would fill 0.006 sr at {near}."
    return SafetyFact(
        screen="solid angle that flashes together",
        value=most_sr,
        limit=SCREEN_SOLID_ANGLE_SR,
        unit="sr",
        above=None if math.isnan(most_sr) else most_sr > SCREEN_SOLID_ANGLE_SR,
        says=says,
        source_title=str(SCREEN_SOURCE),
        source_status=SCREEN_SOURCE.status,
    )


def _hazard(rate: float, most_sr: float, luminance_cd_m2: float) -> SafetyFact:
    """Luminance, rate and solid angle all at their limits or above."""
    known = not math.isnan(luminance_cd_m2)
    bright = luminance_cd_m2 >= HAZARD_LUMINANCE_CD_M2
    above = bright and rate >= HAZARD_HZ and most_sr >= SCREEN_SOLID_ANGLE_SR if known else None
    says = "Luminance of the openings: not known, so the hazard rule is not asked."
    if known:
        lies = "are all at the hazard rule or above" if above else "are not all at the hazard rule"
        says = f"Openings of at most {luminance_cd_m2:.3g} cd/m2, their rate and their solid angle {lies}."
    return SafetyFact(
        screen="luminance, with rate and solid angle",
        value=luminance_cd_m2,
        limit=HAZARD_LUMINANCE_CD_M2,
        unit="cd/m2",
        above=above,
        says=says,
        source_title=str(HAZARD_SOURCE),
        source_status=HAZARD_SOURCE.status,
    )
