"""Windows of houses near by: vertical illuminance on them, and the share of the light that goes upwards."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import illuminance
from scenelux.placement import PlacedScene
from scenelux.study.results import WindowEntry

__all__ = ["light_windows"]

Array = NDArray[np.float64]


def light_windows(placed: PlacedScene, levels: Mapping[tuple[str, str], Array]) -> tuple[WindowEntry, ...]:
    """Initial illuminance on each window's own plane in every state at every light level.

    The share above the horizontal is that of all lamps that are on, before anything stands in their way.
    """
    windows = placed.scene.windows
    if not windows:
        return ()
    lux = illuminance(
        placed.lamps,
        placed.blockers,
        np.array([window.position_m for window in windows]),
        np.array([window.facing.direction for window in windows]),
    )
    above = np.array([lamp.flux_above_horizontal_lm for lamp in placed.placed_lamps])
    return tuple(
        WindowEntry(
            window_id=window.id,
            name=window.name or window.id,
            position_m=window.position_m,
            state=state,
            light=light,
            vertical_lx=float(level @ lux[:, index]),
            flux_above_horizontal_percent=_share_above(placed, level, above),
        )
        for (state, light), level in levels.items()
        for index, window in enumerate(windows)
    )


def _share_above(placed: PlacedScene, level: Array, above_lm: Array) -> float:
    total = level @ np.array([lamp.luminaire.flux_lm for lamp in placed.placed_lamps])
    return float(100.0 * (level @ above_lm) / total) if total > 0.0 else 0.0
