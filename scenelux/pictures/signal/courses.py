"""What strip charts and animations read from a case: lamps with one course, dark stretches, an excerpt."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.study.results.signal import SignalCase, SignalStudy, SignalVariant
from scenelux.units import figure

__all__ = [
    "DARK_CD",
    "Course",
    "Excerpt",
    "Looks",
    "Stretch",
    "candela_words",
    "courses",
    "darkest",
    "excerpt_of",
    "light_words",
    "longest_run",
    "looks_of",
    "model_words",
    "share_words",
]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

DARK_CD = 0.05
"""Below this sheets say 0 cd."""


def candela_words(value_cd: float) -> str:
    """An intensity with its unit.

    Example
    -------
    >>> candela_words(0.01), candela_words(412.3), candela_words(float("nan"))
    ('0 cd', '412 cd', 'not valid')
    """
    text = figure(0.0 if abs(value_cd) < DARK_CD else float(value_cd))
    return text if math.isnan(value_cd) else f"{text} cd"


def model_words(model: str) -> str:
    """A model of effective intensity as it is written in text.

    Example
    -------
    >>> [model_words(one) for one in ("blondel-rey-douglas", "modified-allard", "form-factor")]
    ['Blondel-Rey-Douglas', 'modified Allard', 'form factor']
    """
    if model.startswith("blondel"):
        return model.title()
    return model.replace("-", " ").replace("allard", "Allard")


@dataclass(frozen=True, eq=False)
class Looks:
    """A case, and the light levels of its duty state that give the very same light."""

    case: SignalCase
    lights: tuple[str, ...]


def looks_of(variant: SignalVariant) -> list[Looks]:
    """The cases of a variant that differ, in their order.

    Parameters
    ----------
    variant : one with cases.
    """
    groups: dict[tuple[str, bytes, bytes], list[SignalCase]] = {}
    for case in variant.cases:
        groups.setdefault((case.state, case.times_s.tobytes(), case.levels.tobytes()), []).append(case)
    return [Looks(cases[0], tuple(case.light for case in cases)) for cases in groups.values()]


def light_words(study: SignalStudy, looks: Looks) -> str:
    """The light levels of a sheet in words."""
    names = [study.about.lights.get(light) or light for light in looks.lights]
    return names[0] if len(names) == 1 else f"{names[0]} (the same: {', '.join(names[1:])})"


@dataclass(frozen=True, eq=False)
class Course:
    """Lamps of a circuit that are lit alike at every instant.

    Parameters
    ----------
    circuit, lamps : their circuit, and their numbers in the case.
    names : of the lamps.
    pattern : in words.
    flashing : whether the level changes.
    levels : (segments,) 0 to 1.
    """

    circuit: str
    lamps: tuple[int, ...]
    names: tuple[str, ...]
    pattern: str
    flashing: bool
    levels: Array

    @property
    def words(self) -> str:
        """Circuit and lamps, whose names do not repeat it."""
        start = f"{self.circuit.split()[0]}-"
        return f"{self.circuit}: {', '.join(name.removeprefix(start) for name in self.names)}"


@dataclass(frozen=True)
class Stretch:
    """A stretch of the cycle [s]; it may run over its end."""

    start_s: float
    length_s: float


@dataclass(frozen=True, eq=False)
class Excerpt:
    """What of a common cycle is shown.

    Parameters
    ----------
    times_s : (n + 1,) switching instants, rising; those of a later cycle lie beyond its length.
    segments : (n,) numbers of the segments of the case.
    whole : it is one common cycle.
    """

    times_s: Array
    segments: NDArray[np.int64]
    whole: bool

    @property
    def length_s(self) -> float:
        """From its first instant to its last."""
        return float(self.times_s[-1] - self.times_s[0])


def courses(case: SignalCase) -> list[Course]:
    """Lamps that are on, grouped by circuit and course: those that flash first, each in the order of the document.

    Parameters
    ----------
    case : one duty state at one light level.
    """
    groups: dict[tuple[str, bytes], list[int]] = {}
    for number, lamp in enumerate(case.lamps):
        if lamp.level > 0.0:
            groups.setdefault((lamp.circuit, case.levels[number].tobytes()), []).append(number)
    found = [_course(case, numbers) for numbers in groups.values()]
    return sorted(found, key=lambda one: not one.flashing)


def _course(case: SignalCase, numbers: list[int]) -> Course:
    first = case.lamps[numbers[0]]
    names = tuple(case.lamps[number].lamp_id for number in numbers)
    flashing = bool(case.flashing[numbers[0]])
    return Course(first.circuit, tuple(numbers), names, first.pattern, flashing, case.levels[numbers[0]])


def longest_run(times_s: Array, holds: Flags) -> Stretch | None:
    """The longest stretch of a repeated cycle in which something holds; None when it never does.

    Parameters
    ----------
    times_s : (segments + 1,) from 0.
    holds : (segments,).

    Example
    -------
    >>> longest_run(np.array([0.0, 0.2, 0.3, 0.5]), np.array([True, False, True]))
    Stretch(start_s=0.3, length_s=0.4)
    """
    cycle = float(times_s[-1])
    if holds.all():
        return Stretch(0.0, cycle)
    begins = np.flatnonzero(holds & ~np.roll(holds, 1))
    if not begins.size:
        return None
    ends = np.flatnonzero(~holds & np.roll(holds, 1))
    starts = times_s[begins]
    stops = np.array([times_s[ends[ends > at][0]] if (ends > at).any() else cycle + times_s[ends[0]] for at in begins])
    best = int(np.argmax(np.round(stops - starts, 9)))
    return Stretch(float(starts[best]), float(round(stops[best] - starts[best], 9)))


def darkest(times_s: Array, wave_cd: Array) -> tuple[float, Stretch]:
    """The least intensity and the longest stretch at it.

    Parameters
    ----------
    times_s : (segments + 1,) from 0.
    wave_cd : (segments,).
    """
    least = float(wave_cd.min())
    run = longest_run(times_s, np.isclose(wave_cd, least, rtol=1e-9, atol=1e-9))
    return least, run or Stretch(0.0, 0.0)


def excerpt_of(case: SignalCase, longest_s: float, most_segments: int, around_s: float = 0.0) -> Excerpt:
    """One common cycle where it is short enough, else a part of it.

    Parameters
    ----------
    case : one duty state at one light level.
    longest_s, most_segments : limits of what is shown.
    around_s : an instant in the middle of a part.
    """
    times, cycle = case.times_s, float(case.times_s[-1])
    count = len(times) - 1
    if cycle <= longest_s and count <= most_segments:
        return Excerpt(times, np.arange(count), True)
    start = (around_s - longest_s / 2.0) % cycle
    first = int(np.searchsorted(times, start, side="right")) - 1
    shown = np.arange(first, first + min(most_segments, 2 * count))
    begins = times[shown % count] + cycle * (shown // count)
    ends = times[shown % count + 1] + cycle * (shown // count)
    keep = max(1, int(np.count_nonzero(begins < start + longest_s)))
    edges = np.append(begins[:keep], ends[keep - 1])
    edges[0], edges[-1] = max(edges[0], start), min(edges[-1], start + longest_s)
    return Excerpt(edges, shown[:keep] % count, False)


def share_words(level: float) -> str:
    """A level in words.

    Example
    -------
    >>> share_words(0.42), share_words(0.0), share_words(1.0)
    ('42 %', 'off', '100 %')
    """
    return f"{100.0 * level:.3g} %" if level > 0.0 else "off"
