"""Flash safety: flashes within any second, lit solid angle, and published screens of photosensitivity; it never judges.

A lamp rule may allow a rate that lies above a screen made for pictures: that is reported beside the solid angle over
which the light flashes, and no verdict comes of it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.signals.waveform import Waveform
from scenelux.sources import Source

__all__ = [
    "BAND_SOURCE",
    "FIELD_SHARE",
    "HAZARD_SOURCE",
    "MODULATION_SOURCE",
    "SCREEN_FLASHES_PER_S",
    "SCREEN_SOLID_ANGLE_SR",
    "SCREEN_SOURCE",
    "SafetyReport",
    "Screen",
    "concurrent_solid_angle",
    "field_solid_angle",
    "flash_safety",
    "modulation_limit_percent",
    "modulation_percent",
    "most_flashes_per_s",
    "solid_angle",
    "solid_angle_distance",
]

Array = NDArray[np.float64]

SCREEN_SOURCE = Source("Web Content Accessibility Guidelines", clause="success criterion 2.3.1", status="published")
HAZARD_SOURCE = Source("Epilepsy Foundation, Epilepsia 46:1423", "2005", "abstract", "published")

BAND_SOURCE = Source("a secondary page on photosensitive epilepsy: 3 to 70 Hz may trigger", status="quoted")
MODULATION_SOURCE = Source("IEEE 1789, limits of modulation from memory")

SCREEN_FLASHES_PER_S = 3.0
SCREEN_SOLID_ANGLE_SR = 0.006
FIELD_DEG = 10.0
FIELD_SHARE = 0.25
CHANGE, DARKER_BELOW, RED_SHARE = 0.1, 0.8, 0.8
HAZARD_LUMINANCE_CD_M2, HAZARD_HZ = 20.0, 3.0
BAND_HZ = (3.0, 70.0)
_SLACK = 1e-9
_SETTLING = 2  # cycles that do not count: the first change of all has none before it to oppose
_NEARLY_S = 1e-5
"""A change that a second ends with belongs to the next; cycles such as a third of a second are whole microseconds."""

Screen: TypeAlias = Literal["below the screen", "above the screen, small", "above the screen"]
Risk: TypeAlias = Literal["low risk", "no effect"]

_Turn = tuple[float, int]  # when a change has grown large enough [s], and its sign


@dataclass(frozen=True)
class SafetyReport:
    """How light that flashes lies to the screens.

    Parameters
    ----------
    flashes_per_s : most within any second.
    red_flashes_per_s : the same of a saturated red light, 0 of other light.
    solid_angle_sr : over which it flashes together in a field of 10 deg [sr].
    screen : below 3 flashes a second or at it; above it, over a small solid angle or a larger one.
    in_band : whether the rate lies in the band of 3 to 70 Hz that may trigger.
    hazard : whether luminance, rate and solid angle all reach those of the hazard rule; None without a luminance.
    sentence : the same in words.
    """

    flashes_per_s: float
    red_flashes_per_s: float
    solid_angle_sr: float
    screen: Screen
    in_band: bool
    hazard: bool | None
    sentence: str


def most_flashes_per_s(waveform: Waveform, *, change: float = CHANGE, darker_below: float = DARKER_BELOW) -> float:
    """Most flashes within any second: pairs of opposing changes by a tenth or more of which the darker is below 0.80.

    Parameters
    ----------
    waveform : (n,) one direction, repeated; its peak counts as the largest relative luminance.
    change, darker_below : of the peak.

    Source
    ------
    `SCREEN_SOURCE`. A single change counts as half a flash.

    Example
    -------
    >>> from scenelux.signals.waveform import from_pattern
    >>> from scenelux.timing import named_pattern
    >>> most_flashes_per_s(from_pattern(named_pattern("2 Hz flash"), 700.0))
    2.0
    >>> most_flashes_per_s(from_pattern(named_pattern("2 Hz double flash"), 700.0))
    4.0
    """
    if waveform.start_cd.ndim != 1:
        raise UsageError("needs one direction", key="waveform")
    peak = float(waveform.peak_cd)
    if peak == 0.0:
        return 0.0
    cycles = math.ceil(1.0 / waveform.period_s) + 2 * _SETTLING
    turns = _turns(waveform, cycles, change * peak, darker_below * peak)
    times = np.array([when for when, _ in turns if when >= _SETTLING * waveform.period_s])
    within = np.searchsorted(times, times + 1.0 - _NEARLY_S, side="left") - np.arange(len(times))
    return float(within.max(initial=0)) / 2.0


def _turns(waveform: Waveform, cycles: int, change: float, darker_below: float) -> Iterator[_Turn]:
    """Changes that oppose the one before and are large enough, each when it has grown so."""
    low = high = float(waveform.start_cd[0])
    sign, slack = 0, _SLACK * float(waveform.peak_cd)
    for time, length, start, end in _straights(waveform, cycles):
        for value, before in ((start, start), (end, start)):
            rises, falls = value - low >= change - slack, high - value >= change - slack
            turn = 1 if sign <= 0 and rises and low < darker_below else 0
            turn = turn or (-1 if sign >= 0 and falls and value < darker_below else 0)
            if turn:
                reached = low + change if turn > 0 else min(high - change, darker_below)
                share = (reached - before) / (value - before) if value != before else 0.0
                sign = turn
                yield time + length * min(max(share, 0.0), 1.0), turn
                low = high = value
            low, high = min(low, value), max(high, value)


def _straights(waveform: Waveform, cycles: int) -> Iterator[tuple[float, float, float, float]]:
    each = list(zip(waveform.times_s[:-1].tolist(), waveform.lengths_s.tolist(), waveform.start_cd.tolist(),
                    waveform.end_cd.tolist(), strict=True))  # fmt: skip
    for cycle in range(cycles):
        for time, length, start, end in each:
            yield cycle * waveform.period_s + time, length, start, end


def solid_angle(area_m2: ArrayLike, distance_m: ArrayLike) -> Array:
    """Solid angle of a small lit area, seen square on [sr].

    Parameters
    ----------
    area_m2 : (...) lit area as seen from the eye [m2].
    distance_m : (...) above 0 [m].

    Example
    -------
    >>> round(float(solid_angle(0.1, 4.08)), 5)
    0.00601
    """
    area, distance = np.asarray(area_m2, np.float64), np.asarray(distance_m, np.float64)
    return np.where((distance > 0.0) & (area >= 0.0), area / np.where(distance > 0.0, distance, 1.0) ** 2, np.nan)


def solid_angle_distance(area_m2: float, solid_angle_sr: float = SCREEN_SOLID_ANGLE_SR) -> float:
    """Distance at which a lit area fills a solid angle [m]; nearer it fills more.

    Example
    -------
    >>> round(solid_angle_distance(0.1), 2)
    4.08
    """
    return math.sqrt(area_m2 / solid_angle_sr) if area_m2 >= 0.0 and solid_angle_sr > 0.0 else math.nan


def field_solid_angle(field_deg: float = FIELD_DEG) -> float:
    """Solid angle of a round field of view of full width so many degrees [sr].

    Example
    -------
    >>> round(field_solid_angle(), 6), round(0.25 * field_solid_angle(), 6)
    (0.023909, 0.005977)
    """
    return 2.0 * math.pi * (1.0 - math.cos(math.radians(0.5 * field_deg)))


def concurrent_solid_angle(directions: ArrayLike, solid_angles_sr: ArrayLike, field_deg: float = FIELD_DEG) -> float:
    """Largest solid angle of lamps that one round field of view holds, wherever it points [sr].

    Parameters
    ----------
    directions : (n, 3) from the eye to lamps that flash together, of any length.
    solid_angles_sr : (n,) of each; a lamp counts whole where its middle lies in the field [sr].
    field_deg : full width of the field [deg].

    Example
    -------
    >>> round(concurrent_solid_angle([[10, 0, 0], [10, 1, 0], [10, 9, 0]], [0.001, 0.002, 0.0015]), 6)
    0.003
    """
    towards = np.asarray(directions, np.float64).reshape(-1, 3)
    sizes = np.asarray(solid_angles_sr, np.float64)
    if sizes.shape != (len(towards),):
        raise UsageError("needs one solid angle for each direction", key="solid_angles_sr")
    if not len(sizes):
        return 0.0
    towards = towards / np.linalg.norm(towards, axis=1, keepdims=True)
    centres = np.array([*towards, *_touching(towards, math.radians(0.5 * field_deg))])
    held = centres @ towards.T >= math.cos(math.radians(0.5 * field_deg)) - _SLACK
    return float((held @ sizes).max())


def _touching(towards: Array, half: float) -> Iterator[Array]:
    """Middles of fields with two directions on their edge: a field that holds most can be moved to such a place."""
    for first, second in itertools.combinations(towards, 2):
        middle, across = first + second, np.cross(first, second)
        apart = float(np.linalg.norm(across))
        if apart > 0.0 and math.atan2(apart, float(first @ second)) <= 2.0 * half:
            along = math.cos(half) / (1.0 + float(first @ second))
            beside = math.sqrt(max(0.0, 1.0 - along**2 * float(middle @ middle)))
            yield along * middle + beside * across / apart
            yield along * middle - beside * across / apart


def flash_safety(
    waveform: Waveform, solid_angle_sr: float, *, red: bool = False, luminance_cd_m2: float | None = None
) -> SafetyReport:
    """How one direction's light lies to the screens of photosensitivity.

    Parameters
    ----------
    waveform : (n,) one direction, repeated: what flashes there together.
    solid_angle_sr : of `concurrent_solid_angle` [sr].
    red : whether the light is a saturated red.
    luminance_cd_m2 : of the lit area at its brightest, where known [cd/m2].

    Source
    ------
    `SCREEN_SOURCE`, `HAZARD_SOURCE` and `BAND_SOURCE`.

    Example
    -------
    >>> from scenelux.signals.waveform import from_pattern
    >>> from scenelux.timing import parse_pattern
    >>> flash_safety(from_pattern(parse_pattern("4 per second: on 40 %, off"), 700.0), 0.001).screen
    'above the screen, small'
    """
    rate = most_flashes_per_s(waveform)
    above, large = rate > SCREEN_FLASHES_PER_S, solid_angle_sr > SCREEN_SOLID_ANGLE_SR
    screen: Screen = "below the screen" if not above else "above the screen" if large else "above the screen, small"
    hazard = None
    if luminance_cd_m2 is not None:
        hazard = (luminance_cd_m2 >= HAZARD_LUMINANCE_CD_M2 and rate >= HAZARD_HZ
                  and solid_angle_sr >= SCREEN_SOLID_ANGLE_SR)  # fmt: skip
    return SafetyReport(
        flashes_per_s=rate,
        red_flashes_per_s=rate if red else 0.0,
        solid_angle_sr=solid_angle_sr,
        screen=screen,
        in_band=BAND_HZ[0] <= rate <= BAND_HZ[1],
        hazard=hazard,
        sentence=_sentence(rate, solid_angle_sr, red),
    )


def _sentence(rate: float, size: float, red: bool) -> str:
    of = "red flashes" if red else "flashes"
    found = f"At most {rate:g} {of} within a second over {size:.2g} sr of a field of 10 deg"
    if rate <= SCREEN_FLASHES_PER_S:
        return f"{found}: not above the photosensitivity screen of 3."
    over = "no larger than" if size <= SCREEN_SOLID_ANGLE_SR else "larger than"
    screen = f"above the photosensitivity screen of 3, {over} its {SCREEN_SOLID_ANGLE_SR} sr"
    return f"{found}: {screen}; a lamp rule may allow it."


def modulation_percent(waveform: Waveform) -> Array:
    """Depth of modulation, (largest - least)/(largest + least), by direction [%]; nan of no light.

    Example
    -------
    >>> from scenelux.signals.waveform import from_segments
    >>> float(modulation_percent(from_segments([0.001, 0.001], [300.0, 100.0])))
    50.0
    """
    most, least = waveform.peak_cd, waveform.least_cd
    return np.asarray(np.where(most > 0.0, 100.0 * (most - least) / np.where(most > 0.0, most + least, 1.0), np.nan))


def modulation_limit_percent(frequency_hz: ArrayLike, risk: Risk = "low risk") -> Array:
    """Depth of modulation up to which flicker of a frequency is thought harmless [%].

    Parameters
    ----------
    frequency_hz : (...) above 0 [Hz].
    risk : "low risk" or "no effect".

    Source
    ------
    `MODULATION_SOURCE`, unconfirmed; one glossary gives the second factor of "no effect" as that of "low risk".

    Example
    -------
    >>> modulation_limit_percent([50.0, 100.0, 1250.0, 2000.0]).tolist()
    [1.25, 8.0, 100.0, 100.0]
    """
    if risk not in ("low risk", "no effect"):
        raise UsageError("is not a risk", value=risk, accepted='give "low risk" or "no effect"')
    at = np.asarray(frequency_hz, np.float64)
    slow, fast, none = (0.025, 0.08, 1250.0) if risk == "low risk" else (0.01, 0.1 / 3.0, 3000.0)
    limit = np.where(at < 90.0, slow * at, np.where(at < none, fast * at, 100.0))
    return np.where(at > 0.0, np.minimum(limit, 100.0), np.nan)
