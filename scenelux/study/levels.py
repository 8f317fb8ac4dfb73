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
