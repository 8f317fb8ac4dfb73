"""What is timed: lamps on a truck, boxes around it, points on the ground."""

from __future__ import annotations

from types import SimpleNamespace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps
from scenelux.geometry import aim_axes

__all__ = ["UP", "Case", "hard_case", "standard_case"]

Floats = NDArray[np.float64]

UP = np.array([0.0, 0.0, 1.0])
AZIMUTH = np.linspace(0.0, 360.0, 73)
POLAR = np.linspace(0.0, 180.0, 181)
REACH_M = 15.0


class Case(NamedTuple):
    """Lamps, what stands in their light, and points (n, 3) on the ground that look up."""

    lamps: Lamps
    blockers: Blockers
    points: Floats


def standard_case(lamps: int = 24, boxes: int = 12, side: int = 400) -> Case:
    """Lamps on the four sides of a truck, aimed outwards and down; boxes for the truck and for things around it."""
    generator = np.random.default_rng(7)
    headings = 90.0 * np.sort(np.arange(lamps) % 4)
    aims = [aim_axes(heading, tilt) for heading, tilt in zip(headings, generator.uniform(-50, -15, lamps), strict=True)]
    across = np.concatenate([np.linspace(-1.0, 1.0, np.count_nonzero(headings == 90.0 * side)) for side in range(4)])
    level = np.array([aim_axes(heading, 0.0) for heading in headings])
    places = level[:, 0] * [3.6, 1.2, 0.0] + level[:, 1] * across[:, None] * [3.4, 1.1, 0.0] + 2.4 * UP
    # Table z along the beam, x to the right, y up.
    axes = [(tuple(-part for part in left), up, beam) for beam, left, up in aims]
    tables = [_beam(width) for width in (30.0, 60.0, 90.0)]
    shining = Lamps.from_tables(tables, table=np.arange(lamps) % 3, position_m=places, axes=axes)
    return Case(shining, _things(boxes, generator), _ground(side))


def hard_case(side: int = 400) -> Case:
    """The standard case with bare lamps 1.5 m above the roof: little is dark, so that nothing can be left out."""
    lamps, blockers, points = standard_case(side=side)
    beam = _beam(60.0)
    bare = SimpleNamespace(azimuth_deg=AZIMUTH, polar_deg=POLAR, candela=beam.candela + 200.0)
    places = lamps.position_m * [0.8, 0.8, 0.0] + 4.0 * UP
    table = np.zeros(len(lamps), int)
    return Case(Lamps.from_tables([bare], table=table, position_m=places, axes=lamps.axes), blockers, points)


def _beam(width_deg: float) -> SimpleNamespace:
    """A cosine-power beam with a swing round the axis, so that both angles of the table matter."""
    power = np.log(0.5) / np.log(np.cos(np.radians(width_deg / 2)))
    along = np.clip(np.cos(np.radians(POLAR)), 0.0, None) ** power
    around = 1.0 + 0.3 * np.cos(np.radians(2.0 * AZIMUTH))
    return SimpleNamespace(azimuth_deg=AZIMUTH, polar_deg=POLAR, candela=3000.0 * around[:, None] * along)


def _things(count: int, generator: np.random.Generator) -> Blockers:
    """A truck and things of a man's size around it."""
    if count == 0:
        return Blockers.none()
    centres = np.c_[generator.uniform(-9, 9, count), generator.uniform(-9, 9, count), np.full(count, 0.8)]
    centres[0] = 0.0, 0.0, 1.5
    halves = np.tile([0.4, 0.3, 0.8], (count, 1))
    halves[0] = 3.6, 1.2, 1.0
    turned = [aim_axes(heading, 0.0) for heading in generator.uniform(0, 360, count)]
    turned[0] = aim_axes(0.0, 0.0)
    return Blockers.boxes(centres, halves, turned)


def _ground(side: int) -> Floats:
    x, y = np.meshgrid(*2 * (np.linspace(-REACH_M, REACH_M, side),), indexing="ij")
    return np.stack((x.ravel(), y.ravel(), np.zeros(x.size)), axis=-1)
