"""Vertical illuminance at a driver's eye from what lamps light: what a model of discomfort outdoors asks for.

Only the ground counts as surroundings, matt: light on it is computed once, and what it sends to each eye is a sum over
its cells.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Contributions, Lamps, illuminance, receivers
from scenelux.placement import ApproachPath, PlacedScene
from scenelux.study.view.materials import GROUND_PLANE, materials_of

__all__ = ["lit_by_own_lx", "surround_by_lamp_lx", "under_sky"]

Array = NDArray[np.float64]

CELL_M = 1.0
AROUND_M = (60.0, 30.0)
"""How far from the vehicle the ground counts, along and aside."""

OWN_AHEAD_M, OWN_ASIDE_M = 150.0, 15.0
"""How far the ground counts that the own headlamps light."""


def surround_by_lamp_lx(placed: PlacedScene, path: ApproachPath, store: Contributions) -> Array:
    """What the ground around the vehicle sends to the eye, by lamp at full output, (lamps, stations) [lx].

    Parameters
    ----------
    placed : the scene on its site.
    path : the driver's way.
    store : what single lamps give, where it is known already.

    On the vertical plane that faces where the driver drives; initial light, matt ground, clear air.
    """
    along, aside = (np.arange(-reach + CELL_M / 2, reach, CELL_M) for reach in AROUND_M)
    origin = placed.vehicles[path.vehicle_id].origin_m
    x, y = (part.ravel() for part in np.meshgrid(origin[0] + along, origin[1] + aside, indexing="ij"))
    points = np.stack((x, y, placed.ground.heights_m(x, y)), axis=1)
    normal = placed.ground.normal
    lux = np.nan_to_num(store.by_lamp(placed.lamps, placed.blockers, receivers(points, normal)))
    return _per_lux(placed) * lux @ _received(placed.blockers, points, np.array(normal), path).T


def lit_by_own_lx(placed: PlacedScene, path: ApproachPath) -> float:
    """What the road ahead sends back of the own headlamps' light, on the same plane, at the first station [lx].

    Parameters
    ----------
    placed, path : as in `surround_by_lamp_lx`.

    The road lies as it does under the vehicle; along the way it stays the same but for the vehicle that is approached.
    """
    if path.headlamps is None:
        return 0.0
    ahead, aside = np.arange(CELL_M, OWN_AHEAD_M, CELL_M), np.arange(-OWN_ASIDE_M, OWN_ASIDE_M + CELL_M / 2, CELL_M)
    x, y = (part.ravel() for part in np.meshgrid(ahead, aside, indexing="ij"))
    axes = path.axes[0]
    foot = path.points_m[0] - np.array([0.0, 0.0, path.approach.eye_height_m])
    points = foot + np.stack((x, y, np.zeros_like(x)), axis=1) @ axes
    lux = np.nan_to_num(illuminance(path.headlamps.at(0), Blockers.none(), points, axes[2])).sum(axis=0)
    return float(_per_lux(placed) * lux @ _received(Blockers.none(), points, axes[2], path, only_first=True)[0])


def under_sky(placed: PlacedScene) -> float:
    """Share of natural light on level ground that reaches a vertical plane: half the sky, and half the lit ground.

    Parameters
    ----------
    placed : the scene on its site.
    """
    return 0.5 + 0.5 * np.pi * float(materials_of(placed).per_sky_lux[GROUND_PLANE])


def _per_lux(placed: PlacedScene) -> float:
    return float(materials_of(placed).per_lux[GROUND_PLANE])


def _received(
    blockers: Blockers, points: Array, normal: Array, path: ApproachPath, *, only_first: bool = False
) -> Array:
    """What a luminance of 1 cd/m2 on each cell gives at each eye, (stations, cells) [lx].

    A lamp of one candela at the eye lights a cell by the cosine there over the square of the way, past all bodies.
    """
    eyes, travel = (part[:1] if only_first else part for part in (path.points_m, path.travel))
    bare = SimpleNamespace(azimuth_deg=[0.0, 360.0], polar_deg=[0.0, 180.0], candela=[[1.0, 1.0], [1.0, 1.0]])
    many = len(eyes)
    lamps = Lamps.from_tables([bare], table=[0] * many, position_m=eyes, axes=[np.eye(3)] * many)
    level = travel * (1.0, 1.0, 0.0)
    way = points[None] - eyes[:, None]
    cosine = np.einsum("scx,sx->sc", way, level) / np.linalg.norm(way, axis=2)
    cosine /= np.linalg.norm(level, axis=1)[:, None]
    cells = CELL_M**2 * np.nan_to_num(illuminance(lamps, blockers, points, normal))
    return np.asarray(cells * np.maximum(cosine, 0.0))
