"""The plan of the light: horizontal illuminance on the ground all around the vehicles."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, covered, receivers
from scenelux.errors import LimitError
from scenelux.grids import MAXIMUM_CELLS, cell_centres
from scenelux.placement import UP, PlacedScene, area_outline
from scenelux.study.results import SiteMap

__all__ = ["map_shape", "map_site"]

Array = NDArray[np.float64]

MARGIN_M = 4.0
"""Ground shown around the areas and vehicles."""

FINEST_M = 0.1
MOST_CELLS = 30_000
"""The spacing is chosen so that a map has about this many cells: fine enough for isolux lines on a page."""


def map_shape(placed: PlacedScene) -> tuple[int, int]:
    """Rows along and columns across of the plan, without computing it.

    Parameters
    ----------
    placed : lamps, bodies and areas on the site.
    """
    (back, front), (right, left) = _bounds(placed)
    spacing = placed.scene.map.spacing_m or max(FINEST_M, ((front - back) * (left - right) / MOST_CELLS) ** 0.5)
    rows, columns = max(2, round((front - back) / spacing)), max(2, round((left - right) / spacing))
    if rows * columns > MAXIMUM_CELLS:
        accepted = f"give a larger spacing, at most {MAXIMUM_CELLS:,} points"
        error = LimitError(f"would make a plan of {rows} x {columns} points", key="map.spacing", accepted=accepted)
        raise placed.scene.locate(error, "map.spacing")
    return rows, columns


def map_site(placed: PlacedScene, levels: Mapping[tuple[str, str], Array], store: Contributions) -> SiteMap:
    """Maintained horizontal illuminance on the ground, by lamp, over the bounds of the scene's map or of its areas.

    Parameters
    ----------
    placed : lamps, bodies and areas on the site.
    levels : (state, light) -> (lamps,) level of each lamp.
    store : what single lamps give, where it is known already.
    """
    (back, front), (right, left) = _bounds(placed)
    rows, columns = map_shape(placed)
    flat = cell_centres((back, front), (right, left), rows, columns)
    floor = placed.ground.heights_m(flat[:, 0], flat[:, 1])
    points = np.column_stack((flat, floor))
    lux = store.by_lamp(placed.lamps, placed.blockers, receivers(points, UP))
    lux[:, covered(placed.blockers, points, floor)] = np.nan
    kept = lux * placed.loss_factors[:, None]
    return SiteMap(
        along_m=flat[::columns, 0].copy(),
        left_m=flat[:columns, 1].copy(),
        lamp_ids=placed.lamp_ids,
        by_lamp_lx=kept.reshape(len(kept), rows, columns),
        levels=dict(levels),
    )


def _bounds(placed: PlacedScene) -> tuple[tuple[float, float], tuple[float, float]]:
    corners = [area_outline(placed.vehicles, placed.ground, area)[:, :2] for area in placed.scene.areas]
    corners += [body.corners_m()[:, :2] for vehicle in placed.vehicles.values() for body in vehicle.bodies]
    corners += [np.array([[lamp.position_m[0], lamp.position_m[1]]]) for lamp in placed.placed_lamps]
    everything = np.concatenate(corners)
    low, high = everything.min(axis=0) - MARGIN_M, everything.max(axis=0) + MARGIN_M
    wanted = placed.scene.map
    return (
        wanted.forward_m or (float(low[0]), float(high[0])),
        wanted.left_m or (float(low[1]), float(high[1])),
    )
