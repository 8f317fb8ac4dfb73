"""Receivers: points with what light falls on there, checked once, for any number of lamps, bodies and levels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import Plane
from scenelux.engine.fast.drive import FARTHEST_M
from scenelux.engine.fast.tiles import Tiles, tiles_of
from scenelux.engine.numbers import vectors
from scenelux.errors import UsageError

__all__ = ["Receivers", "checked", "receivers", "tiled"]

Floats = NDArray[np.float64]

FEW_POINTS = 64
"""Fewer points than this are left to the exact path: tiles are not worth the while."""

SHORTEST = 1e-9
"""A normal shorter than this has no direction worth the name, as where somebody faces straight up."""


@dataclass(frozen=True, eq=False)
class Receivers:
    """Points and what receives the light there. Build by `receivers`.

    Parameters
    ----------
    points_m, normals : (n, 3), site frame [m], and unit normals; for a semi-cylinder square to its axis.
    up : (3,), unit axis of the cylinders.
    plane : the kind of receiver.
    """

    points_m: Floats
    normals: Floats
    up: Floats
    plane: int

    def __len__(self) -> int:
        return len(self.points_m)

    @cached_property
    def tiles(self) -> Tiles:
        """The receivers as the fast path takes them; made when first asked for."""
        return tiles_of(self.points_m, self.normals, self.up, self.plane)

    @cached_property
    def fast(self) -> bool:
        """Whether there are points enough for the fast path, and whether they fit its arithmetic; all on Earth do."""
        return len(self) >= FEW_POINTS and float(np.abs(self.points_m).max(initial=0.0)) < FARTHEST_M

    @cached_property
    def digest(self) -> bytes:
        """Of everything that decides what a receiver gets."""
        parts = sha256(bytes([self.plane]))
        for part in (self.points_m, self.normals, self.up):
            parts.update(part.tobytes())
        return parts.digest()


def receivers(
    points_m: ArrayLike, normals: ArrayLike, plane: Plane = Plane.PLANE, *, up: ArrayLike = (0.0, 0.0, 1.0)
) -> Receivers:
    """Points and normals, checked and copied; what is made of them is remembered.

    Parameters
    ----------
    points_m, normals, plane, up : as in `illuminance`.

    Example
    -------
    >>> len(receivers(np.zeros((1000, 3)), (0, 0, 1)))
    1000
    """
    return checked(np.array(points_m, dtype=np.float64), normals, plane, up)


def tiled(
    points_m: ArrayLike, normals: ArrayLike, plane: Plane = Plane.PLANE, *, up: ArrayLike = (0.0, 0.0, 1.0)
) -> Tiles:
    """Receivers made ready for the fast path, once for any number of lamps, boxes and levels.

    Parameters
    ----------
    points_m, normals, plane, up : as in `illuminance`.

    Example
    -------
    >>> len(tiled(np.zeros((1000, 3)), (0, 0, 1)))
    1000
    """
    return checked(points_m, normals, plane, up).tiles


def checked(points_m: ArrayLike, normals: ArrayLike, plane: Plane, up: ArrayLike) -> Receivers:
    """As `receivers`, of points that nobody changes as long as these are in use."""
    places = vectors(points_m, "points_m")
    axis = _units(vectors(np.atleast_2d(np.asarray(up, dtype=np.float64)), "up", 1), "up")[0]
    return Receivers(places, _directions(normals, len(places), plane, axis), axis, int(plane))


def _directions(normals: ArrayLike, count: int, plane: Plane, up: Floats) -> Floats:
    """Unit normals, one for each point; for a semi-cylinder square to its axis."""
    if plane == Plane.CYLINDRICAL:
        return vectors(np.zeros((count, 3)), "normals")
    given = np.asarray(normals, dtype=np.float64)
    each = np.broadcast_to(given, (count, 3)) if given.shape == (3,) else given
    directions = vectors(each, "normals", count)
    if plane == Plane.SEMI_CYLINDRICAL:
        directions = vectors(directions - (directions @ up)[:, None] * up, "normals")
    return _units(directions, "normals")


def _units(directions: Floats, name: str) -> Floats:
    lengths = np.linalg.norm(directions, axis=1)
    if len(lengths) and lengths.min() < SHORTEST:
        raise UsageError("holds a vector without a direction", key=name)
    return vectors(directions / lengths[:, None], name)
