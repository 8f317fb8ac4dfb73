"""What is around an eye of the crew: the area on which it stands, or the ground about it, and how bright that is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, covered, receivers
from scenelux.geometry import Vector
from scenelux.grids import cell_centres, inside_polygon
from scenelux.placement import UP, AreaPoints, PlacedScene, Share
from scenelux.study.levels import light_of
from scenelux.study.results.study import AreaResult

__all__ = ["AROUND_M", "Surroundings", "surroundings"]

Array = NDArray[np.float64]
Areas = Sequence[tuple[AreaPoints, AreaResult]]

AROUND_M = 5.0
"""So far the ground counts about an eye that stands on no area; a choice of this program."""

_STEP_M = 0.5
_ON_FLOOR_M = 0.1
_SAME_FLOOR_M = 0.25


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What the eye has around it.

    Parameters
    ----------
    says, area_id : in words; empty for ground.
    reflects : how it reflects; reflects_from tells what.
    reflects_from : see above.
    mean_lx : (state, light) -> mean horizontal illuminance, initial, lamps alone; nan where no point is valid [lx].
    """

    says: str
    area_id: str
    reflects: Share
    reflects_from: str
    mean_lx: Mapping[tuple[str, str], float]


def surroundings(
    placed: PlacedScene,
    eye_m: Vector,
    areas: Areas,
    levels: Mapping[tuple[str, str], Array],
    store: Contributions,
) -> Surroundings:
    """The horizontal area below an eye, the highest and then the smallest of several; else the ground about it.

    Parameters
    ----------
    placed : the scene on its site.
    eye_m : site frame [m].
    areas : grids of the document and the light on them.
    levels : (state, light) -> (lamps,) level of each lamp.
    store : what single lamps give, where it is known already.
    """
    below = [one for one in areas if _is_below(one[0], eye_m)]
    if not below:
        return _ground(placed, eye_m, levels, store)
    highest = max(float(points.floor_up_m.max()) for points, _ in below)
    near = [one for one in below if float(one[0].floor_up_m.max()) > highest - _SAME_FLOOR_M]
    points, result = min(near, key=lambda one: _size_m2(one[0]))
    reflects, of = _reflects(placed, points)
    mean = {(entry.state, entry.light): entry.initial.average for entry in result.entries}
    return Surroundings(f"area {result.name}", result.area_id, reflects, of, mean)


def _is_below(points: AreaPoints, eye_m: Vector) -> bool:
    lies = points.area.plane in ("horizontal", "pavement") and abs(points.area.height_m) <= _ON_FLOOR_M
    corners = [(x, y) for x, y in points.outline_m[:, :2].tolist()]
    return (
        lies and bool(inside_polygon(np.array([eye_m[:2]]), corners)[0]) and float(points.floor_up_m.min()) < eye_m[2]
    )


def _size_m2(points: AreaPoints) -> float:
    return float((~points.outside).sum()) * points.cell_m[0] * points.cell_m[1]


def _reflects(placed: PlacedScene, points: AreaPoints) -> tuple[Share, str]:
    """How the floor of an area reflects, and what that is."""
    if points.area.on is None:
        return placed.surface.drawn, placed.surface.name
    bodies = placed.vehicles[points.area.of].bodies
    return next(body.reflectance for body in bodies if body.body_id == points.area.on), f"body {points.area.on}"


def _ground(
    placed: PlacedScene, eye_m: Vector, levels: Mapping[tuple[str, str], Array], store: Contributions
) -> Surroundings:
    """A disk of ground about the eye, without what lies under bodies."""
    cells = round(2 * AROUND_M / _STEP_M)
    square = cell_centres((-AROUND_M, AROUND_M), (-AROUND_M, AROUND_M), cells, cells)
    plan = square[np.hypot(*square.T) <= AROUND_M] + np.array(eye_m[:2])
    floor = placed.ground.heights_m(plan[:, 0], plan[:, 1])
    points = np.column_stack((plan, floor))
    lux = store.by_lamp(placed.lamps, placed.blockers, receivers(points, UP))
    lux[:, covered(placed.blockers, points, floor)] = np.nan
    mean = {case: _mean(light_of(level, lux)) for case, level in levels.items()}
    says = f"the ground within {AROUND_M:g} m"
    return Surroundings(says, "", placed.surface.drawn, placed.surface.name, mean)


def _mean(lux: Array) -> float:
    valid = lux[np.isfinite(lux)]
    return float(valid.mean()) if valid.size else float("nan")
