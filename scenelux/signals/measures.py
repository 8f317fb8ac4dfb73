"""What one direction sees of a repeated light: flashes and their rate, times of light and dark, power, darkness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.signals.stretches import LIT_SHARE, TICK_S, gaps_between, stretches
from scenelux.signals.waveform import Waveform
from scenelux.sources import Source

__all__ = ["GROUP_GAP_S", "GROUP_SOURCE", "Darkness", "Flash", "FlashMeasures", "darkness", "measured", "optical_power"]

Array = NDArray[np.float64]

GROUP_GAP_S = 0.1
"""Pulses with shorter gaps between them are one flash; a gap of this length, or longer, parts flashes."""

GROUP_SOURCE = Source("UN R65, from memory", clause="dark for 0.1 s or more; a group of pulses is one flash")


@dataclass(frozen=True)
class Flash:
    """One flash: a pulse, or a group of pulses.

    Parameters
    ----------
    begin_s, end_s : of its light, within the cycle or over its end [s].
    lit_s : on-time, the sum of its pulses [s].
    pulses : how many.
    """

    begin_s: float
    end_s: float
    lit_s: float
    pulses: int


@dataclass(frozen=True)
class FlashMeasures:
    """A repeated light in one direction.

    Parameters
    ----------
    period_s : of the cycle [s].
    peak_cd, mean_cd, least_cd : of the intensity over a cycle [cd].
    flashes : of one cycle; none of a light that is steady, or whose gaps are all too short to part flashes.
    pulses : stretches of light in one cycle.
    dark_s : gaps between stretches of light, in order [s].
    flash_rate_hz : 0 of a steady light, nan where gaps are all too short.
    """

    period_s: float
    peak_cd: float
    mean_cd: float
    least_cd: float
    flashes: tuple[Flash, ...]
    pulses: int
    dark_s: tuple[float, ...]
    flash_rate_hz: float

    @property
    def pulse_rate_hz(self) -> float:
        """Stretches of light a second."""
        return self.pulses / self.period_s

    @property
    def lit_share(self) -> float:
        """Share of time with light, or duty."""
        return 1.0 - sum(self.dark_s) / self.period_s

    @property
    def longest_lit_s(self) -> float:
        """On-time of the longest flash; the cycle of a light that never goes dark for long enough."""
        return max((flash.lit_s for flash in self.flashes), default=self.period_s * self.lit_share)

    @property
    def longest_dark_s(self) -> float:
        """Longest gap."""
        return max(self.dark_s, default=0.0)

    @property
    def optical_power_cd_s_per_min(self) -> float:
        """Intensity summed over a minute."""
        return 60.0 * self.mean_cd

    @property
    def flash_energy_cd_s(self) -> float:
        """Intensity summed over a flash, the mean of all; nan without flashes."""
        return self.mean_cd * self.period_s / len(self.flashes) if self.flashes else float("nan")


@dataclass(frozen=True, eq=False)
class Darkness:
    """How dark a repeated light gets, by direction.

    Parameters
    ----------
    share : (...) of the time in which it is below the fraction of its mean.
    longest_s : (...) longest of these gaps [s].
    begins_s : (...) when that begins within the cycle; nan without one [s].
    least_cd : (...) darkest instant [cd].
    """

    share: Array
    longest_s: Array
    begins_s: Array
    least_cd: Array


def measured(waveform: Waveform, *, lit_share: float = LIT_SHARE, group_gap_s: float = GROUP_GAP_S) -> FlashMeasures:
    """Flashes, times and intensities of one direction.

    Parameters
    ----------
    waveform : (n,) one direction, repeated.
    lit_share : lit is what rises above this share of the peak; both count from the steady part, where there is one.
    group_gap_s : shorter gaps part pulses of one flash and not flashes [s].

    Source
    ------
    French order of 4 July 1972 for the share (published); `GROUP_SOURCE` for the gap (unconfirmed).

    Example
    -------
    >>> from scenelux.signals.waveform import from_pattern
    >>> from scenelux.timing import named_pattern
    >>> found = measured(from_pattern(named_pattern("double flash"), 1000.0))
    >>> round(60 * found.flash_rate_hz, 9), found.pulses, round(found.longest_lit_s, 9), round(found.longest_dark_s, 9)
    (75.0, 2, 0.12, 0.62)
    """
    if waveform.start_cd.ndim != 1:
        raise UsageError("needs one direction", key="waveform")
    if not (0.0 <= lit_share < 1.0 and group_gap_s >= 0.0):
        raise UsageError("needs a share of 0 to below 1 and a gap of 0 or more", key="lit_share")
    peak, least, period = float(waveform.peak_cd), float(waveform.least_cd), waveform.period_s
    found = stretches(waveform, least + lit_share * (peak - least))
    steady = peak == least
    gaps = np.zeros(0) if steady else gaps_between(found, period)
    flashes = () if steady else _grouped(found, gaps, period, group_gap_s)
    rate = 0.0 if steady else len(flashes) / period if flashes else float("nan")
    dark = (period,) if peak == 0.0 else tuple(float(gap) for gap in gaps)
    return FlashMeasures(period, peak, float(waveform.mean_cd), least, flashes, len(gaps), dark, rate)


def _grouped(found: Array, gaps: Array, period: float, group_gap_s: float) -> tuple[Flash, ...]:
    """Flashes in the order of their begins; none where no gap is long enough."""
    parts = np.flatnonzero(gaps >= group_gap_s - TICK_S)
    flashes = []
    for before, last in zip(np.roll(parts, 1), parts, strict=True):
        count = int((last - before - 1) % len(gaps)) + 1
        chosen = (before + 1 + np.arange(count)) % len(gaps)
        lit = float((found[chosen, 1] - found[chosen, 0]).sum())
        begin = float(found[chosen[0], 0])
        flashes.append(Flash(begin, begin + lit + float(gaps[chosen[:-1]].sum()), lit, count))
    return tuple(sorted(flashes, key=lambda flash: flash.begin_s))


def optical_power(waveform: Waveform) -> Array:
    """Intensity summed over a minute, (...) by direction [cd s/min]: the energy of a flash times flashes a minute.

    Source: summary of SAE J845 (published); a sixtieth of it is the mean intensity.

    Example
    -------
    >>> from scenelux.signals.waveform import from_segments
    >>> round(float(optical_power(from_segments([0.1, 0.7], [2400.0, 0.0]))), 6)
    18000.0
    """
    return np.asarray(60.0 * waveform.mean_cd)


def darkness(waveform: Waveform, fraction: float = LIT_SHARE) -> Darkness:
    """When each direction sees less than a fraction of its own mean: "nobody sees a dark truck".

    Parameters
    ----------
    waveform : (..., n) repeated.
    fraction : of the mean over a cycle; just this does not count as dark. A direction without any light is dark all
        the time.

    Example
    -------
    >>> from scenelux.signals.waveform import from_segments
    >>> dark = darkness(from_segments([0.1, 0.3, 0.1, 0.5], [900.0, 0.0, 900.0, 0.0]))
    >>> round(float(dark.share), 9), round(float(dark.longest_s), 9), round(float(dark.begins_s), 9)
    (0.8, 0.5, 0.5)
    """
    shape, period = waveform.start_cd.shape[:-1], waveform.period_s
    rows = Waveform(waveform.times_s, waveform.start_cd.reshape(-1, waveform.start_cd.shape[-1]),
                    waveform.end_cd.reshape(-1, waveform.start_cd.shape[-1]))  # fmt: skip
    means = rows.mean_cd
    found = np.array([_dark(rows.only(row), fraction * means[row], period) for row in range(len(means))]).reshape(-1, 3)
    share, longest, begins = (column.reshape(shape) for column in found.T)
    return Darkness(share, longest, begins, waveform.least_cd)


def _dark(waveform: Waveform, level: float, period: float) -> tuple[float, float, float]:
    if level == 0.0:
        dark = float(waveform.peak_cd) == 0.0
        return (1.0, period, 0.0) if dark else (0.0, 0.0, float("nan"))
    bright = stretches(waveform, float(np.nextafter(level, 0.0)))
    gaps = gaps_between(bright, period)
    if not gaps.any():
        return 0.0, 0.0, float("nan")
    at = int(gaps.argmax())
    return float(gaps.sum() / period), float(gaps[at]), float(bright[at, 1] % period)
