"""Levels: what each lamp gives in a duty state at a light level, as a share of its full output."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["lamp_levels"]


def lamp_levels(
    circuits: Sequence[str], state: Mapping[str, float], factors: Mapping[str, float]
) -> NDArray[np.float64]:
    """Level of each lamp, 0 to 1: its circuit's level in the state times its factor at the light level.

    Parameters
    ----------
    circuits : circuit of each lamp, (lamps,).
    state : level of each circuit that is on; a circuit not named is off.
    factors : factor of each circuit at the light level; a circuit not named keeps 1.

    Example
    -------
    >>> lamp_levels(["scene", "warning", "board"], {"scene": 1.0, "warning": 1.0}, {"warning": 0.5}).tolist()
    [1.0, 0.5, 0.0]
    """
    return np.array([state.get(circuit, 0.0) * factors.get(circuit, 1.0) for circuit in circuits], dtype=np.float64)


def weighted(level: NDArray[np.float64], by_lamp: NDArray[np.float64]) -> NDArray[np.float64]:
    """What each lamp gives at its level; a lamp that is off gives nothing, even where it has no valid value.

    Parameters
    ----------
    level : (lamps,) from 0 up.
    by_lamp : (lamps, ...) at full output, nan where not valid.

    Example
    -------
    >>> weighted(np.array([0.0, 0.5]), np.array([[np.nan, 8.0], [np.nan, 8.0]])).tolist()
    [[0.0, 0.0], [nan, 4.0]]
    """
    column = level.reshape(-1, *([1] * (by_lamp.ndim - 1)))
    return np.where(column > 0.0, column * by_lamp, 0.0)


def light_of(level: NDArray[np.float64], by_lamp: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sum over the lamps that are on, nan where no lamp has a value at all, and where one that is on has none.

    Parameters
    ----------
    level, by_lamp : as in `weighted`.

    Example
    -------
    >>> light_of(np.array([0.0, 0.5]), np.array([[np.nan, np.nan], [8.0, np.nan]])).tolist()
    [4.0, nan]
    """
    total = np.where(np.isnan(by_lamp).all(axis=0), np.nan, 0.0)
    for index in np.flatnonzero(level):
        total = total + level[index] * by_lamp[index]
    return total
