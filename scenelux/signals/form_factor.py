"""The form factor method, flash by flash."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.signals.measures import GROUP_GAP_S
from scenelux.signals.stretches import LIT_SHARE, TICK_S, gaps_between, stretches
from scenelux.signals.waveform import Waveform

__all__ = ["form_factor"]

Array = NDArray[np.float64]


def form_factor(light: Waveform, a: float, repeated: bool) -> Array:
    """Energy/(a + energy/peak) of the flash for which it is largest.

    Parameters
    ----------
    light : (m, n) one cycle in m directions, its steady part taken away.
    a : visual time constant [s].
    repeated : otherwise it stands alone in the dark.

    Flashes are parted as in `measured`, each in the middle of the gap before and after; a light whose gaps are all too
    short to part flashes has none: nan.

    Source
    ------
    Form factor method, formula from memory, unconfirmed.
    """
    if not repeated:
        dark = np.zeros((len(light.start_cd), 1))
        times = np.append(light.times_s, light.period_s + 2.0 * GROUP_GAP_S)
        light = Waveform(times, np.hstack((light.start_cd, dark)), np.hstack((light.end_cd, dark)))
    return np.array([_largest(light.only(row), a) for row in range(len(light.start_cd))])


def _largest(light: Waveform, a: float) -> float:
    peak = float(light.peak_cd)
    if peak == 0.0:
        return 0.0
    found = stretches(light, LIT_SHARE * peak)
    gaps = gaps_between(found, light.period_s)
    parting = gaps >= GROUP_GAP_S - TICK_S
    if not parting.any():
        return float("nan")
    middles = np.sort((found[parting, 1] + 0.5 * gaps[parting]) % light.period_s)
    energy, peaks = _of_parts(light, middles)
    return float((energy / (a + energy / np.where(peaks > 0.0, peaks, 1.0))).max())


def _of_parts(light: Waveform, cuts: Array) -> tuple[Array, Array]:
    """Energy and peak between one cut and the next, around the cycle."""
    ends = np.unique(np.concatenate((light.times_s, cuts)))
    middle = 0.5 * (ends[1:] + ends[:-1])
    segment = np.minimum(np.searchsorted(light.times_s, middle) - 1, len(light.lengths_s) - 1)
    slope = ((light.end_cd - light.start_cd) / light.lengths_s)[segment]
    start, end = (light.start_cd[segment] + slope * (at - light.times_s[segment]) for at in (ends[:-1], ends[1:]))
    part = np.searchsorted(cuts, middle) % len(cuts)
    energy, peaks = np.zeros(len(cuts)), np.zeros(len(cuts))
    np.add.at(energy, part, 0.5 * (start + end) * np.diff(ends))
    np.maximum.at(peaks, part, np.maximum(start, end))
    return energy, peaks
