"""What was found beside the light by direction: zones, synchronisation, arrow boards, safety, colours, verdicts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

__all__ = [
    "ArrowFacts",
    "MotionFacts",
    "PhaseSpread",
    "SafetyFact",
    "SignalColour",
    "SignalVerdict",
    "SyncFacts",
    "ZonePower",
]


@dataclass(frozen=True)
class ZonePower:
    """Optical power of the lamps that flash towards one quarter around the vehicle.

    Parameters
    ----------
    zone : A front, B right, C rear, D left.
    name : in words.
    least, mean, greatest : over the level far directions of the zone [cd s/min].
    least_heading_deg : where the least is.
    sum_of_points : over all far directions of the zone, every elevation [cd s/min].
    points : how many these are.
    """

    zone: str
    name: str
    least: float
    mean: float
    greatest: float
    least_heading_deg: float
    sum_of_points: float
    points: int


@dataclass(frozen=True)
class PhaseSpread:
    """A value over all phases between two clocks, each as likely as any other; all the same on one clock.

    deciles are the values that it does not exceed at 0, 10, 20 .. 100 % of the phases.
    """

    least: float
    mean: float
    greatest: float
    deciles: tuple[float, ...]


@dataclass(frozen=True)
class SyncFacts:
    """How the flashes of two circuits, or of two clocks, lie to each other.

    Parameters
    ----------
    first, second : circuits or clocks in words.
    same_clock : their phase is fixed; otherwise every phase is as likely as any other.
    both_dark, both_lit : shares of time.
    longest_dark_s : longest time in which neither is lit.
    flashes_per_s : of both together, a group of pulses counted once.
    lag_s : of the second behind the first; nan on two clocks or with different cycles.
    says : in a sentence.
    """

    first: str
    second: str
    same_clock: bool
    both_dark: PhaseSpread
    both_lit: PhaseSpread
    longest_dark_s: PhaseSpread
    flashes_per_s: PhaseSpread
    lag_s: float
    says: str


@dataclass(frozen=True)
class ArrowFacts:
    """An arrow board: a circuit whose lamps are arrow elements.

    Parameters
    ----------
    circuit : its name.
    mode : flashing, sequential or steady.
    elements : how many lamps.
    rate_per_min, on_shares : as found.
    rate_holds, shares_hold : as the document states for this mode.
    legibility : type -> (least distance [m], least elements, use).
    source_title, source_status : of what is stated.
    says : in a sentence.
    """

    circuit: str
    mode: str
    elements: int
    rate_per_min: float
    on_shares: tuple[float, ...]
    rate_holds: bool
    shares_hold: bool
    legibility: Mapping[str, tuple[float, int, str]]
    source_title: str
    source_status: str
    says: str


@dataclass(frozen=True)
class MotionFacts:
    """In which order the lamps of a circuit light up: lamps, steps [s], direction in words, and a sentence."""

    circuit: str
    order: tuple[str, ...]
    steps_s: tuple[float, ...]
    direction: str
    in_band: bool | None
    says: str


@dataclass(frozen=True)
class SafetyFact:
    """One screen of flash safety: reported, never judged.

    Parameters
    ----------
    screen : what is looked at.
    value, limit, unit : as found, and of the screen; nan where not known.
    above : whether it lies above the screen; None where not known.
    says : in a sentence.
    source_title, source_status : of the screen.
    """

    screen: str
    value: float
    limit: float
    unit: str
    above: bool | None
    says: str
    source_title: str
    source_status: str


@dataclass(frozen=True)
class SignalColour:
    """The colour of a luminaire against the region of a document.

    distance is to the nearest boundary in x and y, positive inside; nan without a chromaticity.
    """

    luminaire: str
    lamps: tuple[str, ...]
    region: str
    verdict: Literal["inside", "outside", "not assessed"]
    distance: float
    says: str


@dataclass(frozen=True)
class SignalDirection:
    """Where light goes: about a vehicle, or about the axis of one lamp; what does not apply is nan.

    Parameters
    ----------
    heading_deg : about the vehicle, counter-clockwise from its front.
    elevation_deg, height_m : from its plane far away; or of eyes near by above the ground.
    right_deg, up_deg : from the axis of a lamp.
    """

    heading_deg: float = math.nan
    elevation_deg: float = math.nan
    height_m: float = math.nan
    right_deg: float = math.nan
    up_deg: float = math.nan


@dataclass(frozen=True)
class SignalVerdict:
    """One requirement judged on some lamps in one duty state at one light level.

    Parameters
    ----------
    rule, name : of the requirement.
    source_title, edition, clause, source_status : where it is from; "own" with the user's reason in says.
    quantity : effective intensity, optical power, flash rate ..; model names the formula where there are several.
    subject : lamps in words.
    where : directions that are judged, in words.
    headings_deg, elevations_deg : of the directions that are judged, for drawings: counter-clockwise from the
        front, and of their rings. At eyes there are no elevations; without both nothing is drawn.
    sense, limit, value, unit, margin : a margin above 0 is better than the limit; nan where there is no answer.
    worst : the direction that decides; all nan where none does.
    inside_uncertainty : the margin is smaller than the uncertainty of the lamp data.
    because : why it is not assessed, with the number found beside it.
    """

    rule: str
    name: str
    source_title: str
    edition: str
    clause: str
    source_status: str
    quantity: str
    model: str
    subject: str
    where: str
    state: str
    light: str
    sense: Literal["at least", "at most"]
    limit: float
    value: float
    unit: str
    margin: float
    worst: SignalDirection
    verdict: Literal["meets", "misses", "not assessed"]
    inside_uncertainty: bool
    because: str
    says: str = ""
    headings_deg: tuple[float, ...] = ()
    elevations_deg: tuple[float, ...] = ()
