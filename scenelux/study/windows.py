"""Windows of houses near by: vertical illuminance on them, and the share of the light that goes upwards."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, covered, receivers
from scenelux.placement import PlacedScene
from scenelux.study.levels import weighted
from scenelux.study.results import WindowEntry

__all__ = ["light_windows"]

Array = NDArray[np.float64]


def light_windows(
    placed: PlacedScene, levels: Mapping[tuple[str, str], Array], store: Contributions
) -> tuple[WindowEntry, ...]:
    """Initial illuminance on each window's own plane in every state at every light level.

    Parameters
    ----------
    placed : lamps, bodies and windows on the site.
    levels : (state, light) -> (lamps,) level of each lamp.
    store : what single lamps give, where it is known already.

    The share above the horizontal is that of all lamps that are on, before anything stands in their way. A window
    inside a body has no valid illuminance.
    """
    windows = placed.scene.windows
    if not windows:
        return ()
    points = np.array([window.position_m for window in windows])
    facing = np.array([window.facing.direction for window in windows])
    lux = store.by_lamp(placed.lamps, placed.blockers, receivers(points, facing))
    inside = covered(placed.blockers, points, points[:, 2], headroom_m=0.0)
    above = np.array([lamp.flux_above_horizontal_lm for lamp in placed.placed_lamps])
    return tuple(
        WindowEntry(
            window_id=window.id,
            name=window.name or window.id,
            position_m=window.position_m,
            state=state,
            light=light,
            vertical_lx=_vertical(level, lux[:, index], bool(inside[index])),
            flux_above_horizontal_percent=_share_above(placed, level, above),
            note=_why(level, lux[:, index], bool(inside[index])),
        )
        for (state, light), level in levels.items()
        for index, window in enumerate(windows)
    )


def _vertical(level: Array, lux: Array, inside: bool) -> float:
    return float("nan") if inside else float(weighted(level, lux).sum())


def _why(level: Array, lux: Array, inside: bool) -> str:
    """Why there is no value, if there is none."""
    if inside:
        return "the window lies inside a body"
    near = bool(np.isnan(weighted(level, lux)).any())
    return "a lamp is nearer to the window than a fortieth of its opening" if near else ""


def _share_above(placed: PlacedScene, level: Array, above_lm: Array) -> float:
    total = level @ np.array([lamp.luminaire.flux_lm for lamp in placed.placed_lamps])
    return float(100.0 * (level @ above_lm) / total) if total > 0.0 else 0.0
