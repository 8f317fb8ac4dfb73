"""Effective intensity of flashing light by five models, exact for light that is straight between instants."""

from __future__ import annotations

from typing import Literal, TypeAlias, get_args

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.signals.allard import allard, modified_allard
from scenelux.signals.form_factor import form_factor
from scenelux.signals.waveform import Waveform
from scenelux.sources import Source

__all__ = ["EFFECTIVE_SOURCES", "MODELS", "VISUAL_TIME_S", "Model", "effective_intensity"]

Array = NDArray[np.float64]

Model: TypeAlias = Literal["blondel-rey", "blondel-rey-douglas", "form-factor", "allard", "modified-allard"]

MODELS: tuple[Model, ...] = get_args(Model)

VISUAL_TIME_S = {model: 0.21 if model == "blondel-rey" else 0.2 for model in MODELS}
"""The constant a: 0.21 s in the work of 1911, 0.2 s in later practice."""

EFFECTIVE_SOURCES = {
    "blondel-rey": Source("Blondel and Rey, Journal de Physique", "1911", "1:530, 643, as transcribed", "quoted"),
    "blondel-rey-douglas": Source("NIST note to ASTM E12.11", "8 January 2002", status="published"),
    "form-factor": Source("form factor method, formula from memory"),
    "allard": Source("Allard, formula from memory"),
    "modified-allard": Source("modified Allard, formula from memory"),
}

_ROUNDS = 100
_SETTLED = 1e-15
_AT_ONCE = 2_000_000
"""Instants times directions that are held at one time."""


def effective_intensity(
    waveform: Waveform,
    model: Model = "blondel-rey-douglas",
    *,
    a_s: float | None = None,
    repeated: bool = True,
) -> Array:
    """Steady intensity that is seen as far as the flashing light, at the threshold of sight.

    Parameters
    ----------
    waveform : one cycle, in any number of directions.
    model : "blondel-rey", one stretch of light, gaps end it; "blondel-rey-douglas", the best window over light and
        gaps; "form-factor", the energy of the best flash over its peak; "allard" and "modified-allard", the largest
        answer of an eye with a fading memory.
    a_s : visual time constant, above 0; `VISUAL_TIME_S` unless stated [s].
    repeated : the cycle repeats for ever, and its steady part is taken away first. Otherwise it stands alone in the
        dark. Of a repeated light, Allard's models answer with all cycles of the past; the windows of the first two
        need no more than two cycles, or all, which is the mean. The form factor knows flashes only: nan where no gap
        of a tenth of a second parts them, as with a lamp that is dimmed by fast switching.

    Returns
    -------
    (...) [cd]. None of the models is adequate far above threshold.

    Source
    ------
    `EFFECTIVE_SOURCES`; the time constants as quoted from ICAO Doc 9157 and the work of 1911.

    Example
    -------
    >>> from scenelux.signals.waveform import from_segments
    >>> flash = from_segments([0.1, 0.9], [1000.0, 0.0])
    >>> [round(float(effective_intensity(flash, model)), 2) for model in MODELS[1:]]
    [333.33, 333.33, 396.14, 357.3]
    """
    if model not in MODELS:
        raise UsageError("is not a model", key="model", value=model, accepted=f"give one of {', '.join(MODELS)}")
    a = VISUAL_TIME_S[model] if a_s is None else a_s
    if not 0.0 < a < np.inf:
        raise UsageError("is not a time constant", key="a_s", value=a, accepted="give seconds above 0")
    light = waveform.less(waveform.least_cd) if repeated else waveform
    lit = Waveform(light.times_s, _rows(light.start_cd), _rows(light.end_cd))
    found = _by_model(lit, model, a, repeated)
    return found.reshape(waveform.start_cd.shape[:-1])


def _rows(values: Array) -> Array:
    return values.reshape(-1, values.shape[-1])


def _by_model(light: Waveform, model: Model, a: float, repeated: bool) -> Array:
    if model == "form-factor":
        return form_factor(light, a, repeated)
    if model == "allard":
        return allard(light, a, repeated)
    if model == "modified-allard":
        return modified_allard(light, a, repeated)
    return _windows(light, a, repeated, gaps_count=model == "blondel-rey-douglas")


def _windows(light: Waveform, a: float, repeated: bool, *, gaps_count: bool) -> Array:
    """Best window in blocks of directions; the mean is what windows without end come to, where no gap ends them.

    A window of k cycles and a rest has a value between that of the rest alone and the mean, so two cycles suffice.
    """
    cycles = 2 if repeated else 1
    lengths = np.tile(light.lengths_s, cycles)
    block = max(1, _AT_ONCE // (2 * len(lengths) + 1))
    found = [
        _best(lengths, np.tile(light.start_cd[i : i + block], cycles), np.tile(light.end_cd[i : i + block], cycles), a,
              gaps_count=gaps_count)
        for i in range(0, len(light.start_cd), block)
    ]  # fmt: skip
    best = np.concatenate(found) if found else np.zeros(0)
    endless = np.full(len(best), gaps_count) | ~((light.start_cd == 0.0) & (light.end_cd == 0.0)).any(axis=1)
    return np.asarray(np.where(endless & repeated, np.maximum(best, light.mean_cd), best))


def _best(lengths: Array, start: Array, end: Array, a: float, *, gaps_count: bool) -> Array:
    """Largest energy/(a + time) of any window, by rounds that each find the best window for the last answer.

    For an answer r the window that gains most in energy - r time begins and ends at edges or where the light is r; its
    own energy/(a + time) is the next answer. The answers rise to the largest and then stay.
    """
    widths = np.broadcast_to(lengths, start.shape)
    whole = widths * 0.5 * (start + end)
    energy, time = whole.sum(axis=1), float(lengths.sum())
    parts = 1.0
    if not gaps_count:  # gaps are made so long that no window gains by crossing one
        dark = (start == 0.0) & (end == 0.0)
        parts = 1.0 + float(dark.sum(axis=1).max(initial=0))
        widths = np.where(dark, 2.0 * parts * (a + time), widths)
    answer = energy / (parts * (a + time))
    edges = np.concatenate((np.zeros((len(start), 1)), np.cumsum(widths, axis=1)), axis=1)
    until = np.concatenate((np.zeros((len(start), 1)), np.cumsum(whole, axis=1)), axis=1)
    for _ in range(_ROUNDS):
        better = _round(answer, edges, until, widths, start, end, a)
        settled = (better <= answer * (1.0 + _SETTLED)).all()
        answer = np.maximum(answer, better)
        if settled:
            break
    return np.asarray(answer)


def _round(answer: Array, edges: Array, until: Array, widths: Array, start: Array, end: Array, a: float) -> Array:
    rise = end - start
    slanted = rise != 0.0
    share = np.where(slanted, (answer[:, np.newaxis] - start) / np.where(slanted, rise, 1.0), 0.0).clip(0.0, 1.0)
    nodes = (len(start), 2 * start.shape[1] + 1)
    times, energy = np.empty(nodes), np.empty(nodes)
    times[:, ::2], energy[:, ::2] = edges, until
    times[:, 1::2] = edges[:, :-1] + share * widths
    energy[:, 1::2] = until[:, :-1] + widths * share * (start + 0.5 * rise * share)
    height = energy - answer[:, np.newaxis] * times
    lowest = np.minimum.accumulate(height, axis=1)
    began = np.maximum.accumulate(np.where(height <= lowest, np.arange(nodes[1]), 0), axis=1)
    rows = np.arange(len(start))
    last = (height - lowest).argmax(axis=1)
    first = began[rows, last]
    return np.asarray((energy[rows, last] - energy[rows, first]) / (a + times[rows, last] - times[rows, first]))
