"""Measures of the light on rings: peak, mean, effective intensity, flashes and darkness by direction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.signals import MODELS, Model, Waveform, darkness, effective_intensity, from_levels, measured
from scenelux.study.results.signal import Group, RingMeasures, SignalRing

__all__ = [
    "DARK_FRACTION",
    "HEADLINE_MODEL",
    "MOST_SEARCHED",
    "SEARCHED",
    "Effective",
    "effective_of",
    "effective_on",
    "measure",
    "waveform_of",
]

Array = NDArray[np.float64]
Effective = Mapping[str, Mapping[str, Array]]
"""Ring -> model -> effective intensity by direction [cd]."""

DARK_FRACTION = 0.1
"""A direction counts as dark below this share of its own mean: a choice, as for what counts as lit."""

HEADLINE_MODEL: Model = "blondel-rey-douglas"

SEARCHED: Model = "modified-allard"
MOST_SEARCHED = 300
"""Segments of a cycle in which the largest answer of this model is searched; more would take minutes."""


def waveform_of(rings: Sequence[SignalRing], times_s: Array, levels: Array) -> Waveform:
    """Light of lamps together on rings one after the other, (directions, segments).

    Parameters
    ----------
    rings : of one variant.
    times_s : (segments + 1,) switching instants [s].
    levels : (lamps, segments) 0 to 1; lamps that do not count at level 0.
    """
    return from_levels(times_s, levels, np.concatenate([ring.by_lamp_cd for ring in rings], axis=1))


def effective_on(rings: Sequence[SignalRing], times_s: Array, levels: Array) -> Effective:
    """Effective intensity of the lamps that flash on every ring, by every model.

    Parameters
    ----------
    rings : of one variant.
    times_s, levels : as in `waveform_of`; lamps that do not flash at level 0.
    """
    wave = waveform_of(rings, times_s, levels)
    every = {model: _split(rings, effective_of(wave, model)) for model in MODELS}
    return {ring.ring_id: {model: every[model][at] for model in MODELS} for at, ring in enumerate(rings)}


def effective_of(wave: Waveform, model: Model) -> Array:
    """Effective intensity by direction; nan by the model that is searched, where the cycle is long.

    Parameters
    ----------
    wave : (directions, segments).
    model : of the five.
    """
    if model == SEARCHED and wave.start_cd.shape[-1] > MOST_SEARCHED:
        return np.full(len(wave.start_cd), np.nan)
    return effective_intensity(wave, model)


def measure(
    rings: Sequence[SignalRing], times_s: Array, levels: Array, group: Group, effective: Effective
) -> tuple[RingMeasures, ...]:
    """One group of lamps on every ring.

    Parameters
    ----------
    rings : of one variant.
    times_s, levels : as in `waveform_of`; lamps outside the group at level 0.
    group : its name.
    effective : of `effective_on`; it is the same with and without lamps that burn steadily.
    """
    wave = waveform_of(rings, times_s, levels)
    dark = darkness(wave, DARK_FRACTION)
    flashes = [measured(wave.only(row)) for row in range(len(wave.start_cd))]
    values = {
        "peak_cd": wave.peak_cd,
        "mean_cd": wave.mean_cd,
        "least_cd": wave.least_cd,
        "flash_rate_hz": np.array([one.flash_rate_hz for one in flashes]),
        "longest_lit_s": np.array([one.longest_lit_s for one in flashes]),
        "dark_share": dark.share,
        "longest_dark_s": dark.longest_s,
    }
    parts = {name: _split(rings, value) for name, value in values.items()}
    return tuple(
        RingMeasures(
            ring_id=ring.ring_id,
            group=group,
            effective_cd=effective[ring.ring_id],
            **{name: part[at] for name, part in parts.items()},
        )
        for at, ring in enumerate(rings)
    )


def _split(rings: Sequence[SignalRing], values: Array) -> list[Array]:
    return np.split(values, np.cumsum([len(ring.heading_deg) for ring in rings])[:-1])
