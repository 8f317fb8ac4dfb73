"""What was found about switching: properties over all inputs, days of light, the state matrix, load, and yard steps.

Light on areas is maintained, at eyes initial; nan means "not valid here".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.study.results.matrix import MatrixRow
from scenelux.study.results.study import StudyResult

__all__ = [
    "DuskResult",
    "LevelChange",
    "PropertyVerdict",
    "RuleFinding",
    "SensorFacts",
    "SwitchingCheck",
    "TimeAt",
    "Timeline",
    "YardStep",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PropertyVerdict:
    """What the check over all inputs says of one stated property.

    Parameters
    ----------
    property_id, states, because : its name, what it asks for in words, and the user's reason.
    verdict : never applies, where no combination is one that it speaks of; not assessed, where its limit is unconfirmed
        or a quantity has no value somewhere.
    combinations, broken : how many it speaks of, and how many of them break it.
    story : the nearest to normal of those that break it, in one sentence; empty when none does.
    worst, unit : of a quantity, the worst value over all levels that occur where it applies; nan of levels.
    """

    property_id: str
    states: str
    because: str
    verdict: Literal["holds", "broken", "never applies", "not assessed"]
    combinations: int
    broken: int
    story: str
    worst: float
    unit: str


@dataclass(frozen=True)
class RuleFinding:
    """A fault of the rules themselves, such as a conflict, a rule that is never true, or oscillation."""

    kind: str
    says: str


@dataclass(frozen=True)
class SwitchingCheck:
    """The exhaustive check: what was looked at, each property, and faults of the rules.

    Parameters
    ----------
    says : what was looked at, in one sentence.
    combinations, kinds : of states of all inputs; kinds are those that rules and properties can tell apart.
    failures : at most so many inputs have failed at once.
    verdicts, findings : in the order of the document.
    """

    says: str
    combinations: int
    kinds: int
    failures: int
    verdicts: tuple[PropertyVerdict, ...]
    findings: tuple[RuleFinding, ...]


@dataclass(frozen=True)
class SensorFacts:
    """The ambient-light sensor where it sits.

    Parameters
    ----------
    says : place, field of view, thresholds and times, in one sentence.
    dark_below_lx, bright_above_lx : thresholds of its reading [lx].
    dark_delay_s, bright_delay_s : so long the reading must stay beyond them [s].
    view_factor : reading as a share of the light on level ground.
    own_lx : circuit -> reading that its lamps add at full output [lx].
    """

    says: str
    dark_below_lx: float
    bright_above_lx: float
    dark_delay_s: float
    bright_delay_s: float
    view_factor: float
    own_lx: Mapping[str, float]


@dataclass(frozen=True)
class LevelChange:
    """From an instant on the sensor reads this and circuits have these levels.

    Parameters
    ----------
    time_s : after the start of the timeline, exact [s].
    ambient_lx : natural and passing light on level ground at that instant.
    reads : day or night.
    name : of the duty state and light level that these levels are, or the rules behind them.
    levels : circuit -> 0 to 1.
    """

    time_s: float
    ambient_lx: float
    reads: str
    name: str
    levels: Mapping[str, float]


@dataclass(frozen=True)
class TimeAt:
    """How long levels of one name held, and what they took.

    Parameters
    ----------
    name : as in LevelChange.
    seconds, energy_wh : in all.
    least_lx, worst_veil_cd_m2 : area -> least light there; the worst veil of all eyes and gazes.
    """

    name: str
    seconds: float
    energy_wh: float
    least_lx: Mapping[str, float]
    worst_veil_cd_m2: float


@dataclass(frozen=True, eq=False)
class Timeline:
    """Levels over a time of changing light.

    Parameters
    ----------
    name, says : of the disturbance, or of the undisturbed time.
    start_utc : the instant of time 0, in words.
    duration_s : of all [s].
    inputs : the other inputs during it, in words.
    times_s, ambient_lx : knots of the light on level ground, straight between them.
    reading_times_s, reading_lx : what the sensor reads, own lamps and averaging included.
    changes : levels from the start on, the first at time 0.
    turns : how often the sensor turned.
    flutters : turns that undo the one before within `within_s` and change levels.
    within_s : by the document [s].
    endless_from_s : from here on levels switch without any time between, and the timeline ends; none where they do not.
    times : time at each set of levels, in order of first use.
    energy_wh : of all circuits.
    events : (instant, in words): sunset, ends of twilight, begin and end of the disturbance.
    window_s : from when to when the disturbance is; the whole where there is none [s].
    """

    name: str
    says: str
    start_utc: str
    duration_s: float
    inputs: str
    times_s: Array
    ambient_lx: Array
    reading_times_s: Array
    reading_lx: Array
    changes: tuple[LevelChange, ...]
    turns: int
    flutters: int
    within_s: float
    endless_from_s: float | None
    times: tuple[TimeAt, ...]
    energy_wh: float
    events: tuple[tuple[float, str], ...]
    window_s: tuple[float, float]


@dataclass(frozen=True)
class YardStep:
    """A step of the test in the yard.

    Parameters
    ----------
    about : rule, property, failed input or sensor that it proves, with its name.
    sets : what to do, in order.
    expects : what must burn, and how.
    measures : what a meter must show.
    because : the user's reason.
    """

    about: str
    sets: tuple[str, ...]
    expects: tuple[str, ...]
    measures: tuple[str, ...]
    because: str


@dataclass(frozen=True, eq=False)
class DuskResult:
    """Switching of a scene, checked, run through days of light, measured and costed.

    Parameters
    ----------
    about : what every result says of a scene, without variants.
    title, switching : of the switching document, and its file.
    circuits : id -> in words, in the order of the document.
    rules : id -> in words: when it holds and what it does.
    check : over all inputs.
    sensor : none where the document has none.
    timelines : the undisturbed time first.
    matrix : every duty state at every light level, then further levels.
    supply : in words; empty without one.
    yard : steps to tick off.
    notes : assumptions and formulas.
    """

    about: StudyResult
    title: str
    switching: str
    circuits: Mapping[str, str]
    rules: Mapping[str, str]
    check: SwitchingCheck
    sensor: SensorFacts | None
    timelines: tuple[Timeline, ...]
    matrix: tuple[MatrixRow, ...]
    supply: str
    yard: tuple[YardStep, ...]
    notes: tuple[str, ...]

    @property
    def broken(self) -> tuple[PropertyVerdict, ...]:
        """Properties that do not hold."""
        return tuple(one for one in self.check.verdicts if one.verdict == "broken")

    @property
    def clean(self) -> bool:
        """Every property holds, the rules have no fault, and nothing flutters."""
        held = all(one.verdict == "holds" for one in self.check.verdicts)
        endless = any(one.endless_from_s is not None for one in self.timelines)
        return held and not self.check.findings and not self.flutters and not endless

    @property
    def flutters(self) -> int:
        """Of all timelines."""
        return sum(one.flutters for one in self.timelines)
