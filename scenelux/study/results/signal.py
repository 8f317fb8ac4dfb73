"""What was found of flashing lamps: patterns, light by direction all around, flashes, darkness, verdicts.

Headings run counter-clockwise from the front of the vehicle, as aims do; elevations are up from its own plane. Light
is initial; nan means "not valid here", and a note says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Vector
from scenelux.study.results.signal_facts import (
    ArrowFacts,
    MotionFacts,
    SafetyFact,
    SignalColour,
    SignalVerdict,
    SyncFacts,
    ZonePower,
)
from scenelux.study.results.study import LampDrawing, SiteDrawing, StudyResult

__all__ = [
    "GROUPS",
    "Group",
    "RingMeasures",
    "SignalCase",
    "SignalLamp",
    "SignalRing",
    "SignalStudy",
    "SignalVariant",
]

Array = NDArray[np.float64]

Group = Literal["all", "flashing"]

GROUPS: tuple[Group, ...] = ("all", "flashing")
"""All lamps that are on, and those of them that flash."""


@dataclass(frozen=True, eq=False)
class SignalLamp:
    """A lamp in one duty state at one light level.

    Parameters
    ----------
    lamp_id, kind, circuit, vehicle_id : as in the document.
    clock : what times it: its vehicle, or a group by name. Lamps of one clock keep their phases to each other.
    level : of its circuit in this state and light; 0 is off.
    pattern : in words, as written; "steady" for a lamp without one.
    flashing : on, and its level changes.
    phase_s : how long after the clock's instant 0 a cycle begins [s].
    edges_s : (steps + 1,) of its own cycle, from 0; the phase is in them [s].
    levels : (steps,) 0 to 1, the level counted in.
    """

    lamp_id: str
    kind: str
    circuit: str
    vehicle_id: str
    clock: str
    level: float
    pattern: str
    flashing: bool
    phase_s: float
    edges_s: Array
    levels: Array


@dataclass(frozen=True, eq=False)
class SignalRing:
    """Directions all around at one elevation far away, or eyes around at one height and distance.

    Parameters
    ----------
    ring_id : "far-4" or "near-1.2", for names of files.
    says : in words.
    kind : "far": directions at an elevation; "near": eyes at a height.
    elevation_deg : of a far ring, from the vehicle's plane; nan of a near one.
    height_m : of the eyes above the ground; nan of a far ring.
    distance_m : from the middle of the vehicle, level.
    heading_deg : (directions,) counter-clockwise from the front.
    points_m : (directions, 3) eyes, site frame.
    by_lamp_cd : (lamps, directions) towards the eye at full output; 0 where a body or an object stands between.
    hidden : (lamps, directions) something stands between.
    """

    ring_id: str
    says: str
    kind: Literal["far", "near"]
    elevation_deg: float
    height_m: float
    distance_m: float
    heading_deg: Array
    points_m: Array
    by_lamp_cd: Array
    hidden: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class RingMeasures:
    """One group of lamps on one ring: arrays by direction, all clocks at the same instant.

    Parameters
    ----------
    ring_id, group : of what.
    peak_cd, mean_cd, least_cd : of the intensity over the common cycle; least is the darkest instant.
    effective_cd : model -> intensity of a steady light that is seen as far, at the threshold of sight; the steady part
        is left out.
    flash_rate_hz : 0 where the light is steady or none, nan where gaps are too short to part flashes.
    longest_lit_s : on-time of the longest flash.
    dark_share : of the time, below the fraction of the mean.
    longest_dark_s : longest of these gaps.
    """

    ring_id: str
    group: Group
    peak_cd: Array
    mean_cd: Array
    least_cd: Array
    effective_cd: Mapping[str, Array]
    flash_rate_hz: Array
    longest_lit_s: Array
    dark_share: Array
    longest_dark_s: Array

    @property
    def power_cd_s_per_min(self) -> Array:
        """Optical power by direction."""
        return np.asarray(60.0 * self.mean_cd)


@dataclass(frozen=True, eq=False)
class SignalCase:
    """One duty state at one light level.

    Parameters
    ----------
    state, light : ids.
    lamps : all, in the order of `by_lamp_cd`.
    times_s : (segments + 1,) switching instants of the common cycle, from 0 [s].
    levels : (lamps, segments) 0 to 1 between them; a lamp without pattern keeps its level.
    flashing : (lamps,) the group of that name.
    measures : one for each ring and group.
    zones, synchrony, arrows, motion, safety : as named.
    notes : what does not apply, and why.
    """

    state: str
    light: str
    lamps: tuple[SignalLamp, ...]
    times_s: Array
    levels: Array
    flashing: NDArray[np.bool_]
    measures: tuple[RingMeasures, ...]
    zones: tuple[ZonePower, ...]
    synchrony: tuple[SyncFacts, ...]
    arrows: tuple[ArrowFacts, ...]
    motion: tuple[MotionFacts, ...]
    safety: tuple[SafetyFact, ...]
    notes: tuple[str, ...]

    def waveform_cd(self, ring: SignalRing, direction: int, group: Group = "all") -> Array:
        """Intensity between the instants of `times_s`, (segments,) [cd].

        Parameters
        ----------
        ring : of the same variant.
        direction : index into its headings.
        group : all lamps, or those that flash.
        """
        counts = self.flashing if group == "flashing" else np.ones(len(self.lamps), np.bool_)
        return np.asarray(ring.by_lamp_cd[counts, direction] @ self.levels[counts])

    def by_lamp_cd(self, ring: SignalRing, direction: int) -> Array:
        """The same for each lamp, (lamps, segments) [cd]."""
        return np.asarray(ring.by_lamp_cd[:, direction, np.newaxis] * self.levels)

    def measures_of(self, ring_id: str, group: Group = "all") -> RingMeasures:
        """Measures of one ring and group."""
        return next(one for one in self.measures if (one.ring_id, one.group) == (ring_id, group))


@dataclass(frozen=True, eq=False)
class SignalVariant:
    """Everything found for one variant.

    Parameters
    ----------
    name, say : of the variant.
    vehicle_id : around which the rings lie; lamps of all vehicles count.
    centre_m : middle of its outline on the ground, site frame [m].
    heading_deg : of the vehicle in the site frame, counter-clockwise from along.
    lamps, site : for plans; lamps in the order of all per-lamp arrays.
    rings : far ones first, rising.
    cases : every duty state and light level with a lamp that flashes, in the order of the document.
    colours : of luminaires that flash.
    verdicts : of the requirements that the scene applies.
    """

    name: str
    say: str
    vehicle_id: str
    centre_m: Vector
    heading_deg: float
    lamps: tuple[LampDrawing, ...]
    site: SiteDrawing
    rings: tuple[SignalRing, ...]
    cases: tuple[SignalCase, ...]
    colours: tuple[SignalColour, ...]
    verdicts: tuple[SignalVerdict, ...]

    def ring(self, ring_id: str) -> SignalRing:
        """A ring by its id."""
        return next(one for one in self.rings if one.ring_id == ring_id)


@dataclass(frozen=True, eq=False)
class SignalStudy:
    """Flashing lamps of a scene in one or more variants.

    Parameters
    ----------
    about : what every sheet says around its body; it has no variants of its own.
    variants : in the order asked for.
    models : of effective intensity, the headline model first.
    dark_fraction : of the mean, below which a direction counts as dark.
    notes : formulas, choices and their sources.
    """

    about: StudyResult
    variants: tuple[SignalVariant, ...]
    models: tuple[str, ...]
    dark_fraction: float
    notes: tuple[str, ...]
