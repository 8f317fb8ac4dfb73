"""What the engine computes on: lamps with their intensity tables, and boxes that stand in the light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cached_property
from hashlib import sha256
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.numbers import MEMORY_LIMIT_BYTES, check_memory, shaped, vectors
from scenelux.engine.tables import Table, Tables
from scenelux.errors import UsageError

if TYPE_CHECKING:
    from scenelux.engine.mesh import Mesh

__all__ = ["MEMORY_LIMIT_BYTES", "Blockers", "Lamps", "Plane", "check_memory", "vectors"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Number = TypeVar("Number", bound=np.generic)

THINNEST_BOX_M = 1e-5


class Plane(IntEnum):
    """The receiver at a point: a flat surface, or one of the three that stand for a face or a body."""

    PLANE = 0
    CYLINDRICAL = 1
    SEMI_CYLINDRICAL = 2
    HEMISPHERICAL = 3


@dataclass(frozen=True, eq=False)
class Lamps:
    """Lamps on the site and their tables; several lamps may share a table. Build by `from_tables`.

    Parameters
    ----------
    position_m : (L, 3), centre of the luminous opening, site frame [m].
    axes : (L, 3, 3), rows are the x, y and z axes of the lamp's table in the site frame.
        Polar angles count from z, azimuths from x towards y.
    table : (L,), index of the lamp's table.
    tables : the tables; lamps made from these by `turned` and `only` share them, with all that was made of them.
    opening_m : (L, 3), length, width and height of the luminous opening; 0 is a point [m].
    opening_axes : (L, 3, 3), rows are the opening's length, width and height directions in the site frame.
    opening_round : (L,), an ellipse instead of a rectangle.
    """

    position_m: Floats
    axes: Floats
    table: Integers
    tables: Tables
    opening_m: Floats
    opening_axes: Floats
    opening_round: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.position_m)

    @classmethod
    def from_tables(
        cls,
        tables: Sequence[Table],
        *,
        table: ArrayLike,
        position_m: ArrayLike,
        axes: ArrayLike,
        opening_m: ArrayLike | None = None,
        opening_axes: ArrayLike | None = None,
        opening_round: ArrayLike | None = None,
    ) -> Lamps:
        """Lamps from tables and poses; without an opening every lamp is a point.

        Parameters
        ----------
        tables : intensity tables, angles ascending [deg] and (azimuth, polar) intensities [cd].
            Azimuths lie in 0..360; a table that closes the circle starts at 0 and ends at 360.
        table : (L,), index into `tables`.
        position_m, axes, opening_m, opening_axes, opening_round : as in the class.
            `opening_axes` may be left out only together with `opening_m`.

        Example
        -------
        >>> from types import SimpleNamespace
        >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[100, 100], [100, 100]])
        >>> len(Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)]))
        1
        """
        places = vectors(np.array(position_m, dtype=np.float64), "position_m")
        count = len(places)
        if opening_m is not None and opening_axes is None:
            raise UsageError("are needed to place an opening", key="opening_axes")
        sizes = _sizes(np.zeros((count, 3)) if opening_m is None else opening_m, count, "opening_m", 0.0)
        return cls(
            position_m=places,
            axes=_axes(axes, count, "axes"),
            table=_indices(table, count, len(tables)),
            tables=Tables.of(tables),
            opening_m=sizes,
            opening_axes=_axes(np.tile(np.eye(3), (count, 1, 1)) if opening_axes is None else opening_axes, count),
            opening_round=_rounds(np.zeros(count, bool) if opening_round is None else opening_round, sizes),
        )

    def turned(
        self, lamp: int, axes: ArrayLike, *, position_m: ArrayLike | None = None, opening_axes: ArrayLike | None = None
    ) -> Lamps:
        """The same lamps, but one of them aimed another way, and moved when a position is given.

        Parameters
        ----------
        lamp : index of the lamp.
        axes : (3, 3), rows are the axes of its table in the site frame.
        position_m : (3,), site frame [m]; where it is unless given.
        opening_axes : (3, 3); the opening turns with the table unless given.

        Example
        -------
        >>> from types import SimpleNamespace
        >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 90], candela=[[100, 100], [100, 100]])
        >>> lamps = Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
        >>> lamps.turned(0, [[1, 0, 0], [0, -1, 0], [0, 0, -1]]).axes[0, 2].tolist()
        [0.0, 0.0, -1.0]
        """
        one = _axes(np.asarray(axes, dtype=np.float64)[None], 1)
        opening = self.opening_axes[lamp] if opening_axes is None else np.asarray(opening_axes, dtype=np.float64)
        if opening_axes is None and self.opening_m[lamp].any():
            opening = opening @ self.axes[lamp].T @ one[0]
        place = self.position_m[lamp] if position_m is None else np.asarray(position_m, dtype=np.float64)
        return replace(
            self,
            position_m=_with(self.position_m, lamp, vectors([place], "position_m", 1)),
            axes=_with(self.axes, lamp, one),
            opening_axes=_with(self.opening_axes, lamp, _axes([opening], 1, "opening_axes")),
        )

    def only(self, lamps: ArrayLike) -> Lamps:
        """Some of these lamps, in the order of their indices given.

        Example
        -------
        >>> from types import SimpleNamespace
        >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 90], candela=[[100, 100], [100, 100]])
        >>> pair = Lamps.from_tables([bare], table=[0, 0], position_m=[[0, 0, 3], [0, 0, 5]], axes=[np.eye(3)] * 2)
        >>> pair.only([1]).position_m.tolist()
        [[0.0, 0.0, 5.0]]
        """
        index = np.asarray(lamps, dtype=np.int64)
        return Lamps(
            _picked(self.position_m, index), _picked(self.axes, index), _picked(self.table, index), self.tables,
            _picked(self.opening_m, index), _picked(self.opening_axes, index), _picked(self.opening_round, index),
        )  # fmt: skip

    def joined(self, others: Lamps) -> Lamps:
        """These lamps, then the others.

        Example
        -------
        >>> from types import SimpleNamespace
        >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 90], candela=[[100, 100], [100, 100]])
        >>> lamp = Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
        >>> lamp.joined(lamp).table.tolist()
        [0, 1]
        """
        return Lamps(
            _both(self.position_m, others.position_m), _both(self.axes, others.axes),
            _both(self.table, others.table + len(self.tables)), self.tables.joined(others.tables),
            _both(self.opening_m, others.opening_m), _both(self.opening_axes, others.opening_axes),
            _both(self.opening_round, others.opening_round),
        )  # fmt: skip

    @property
    def contents(self) -> list[bytes]:
        """All that the light of each lamp depends on: its table by digest, its pose and its opening by their bytes."""
        count, digests = len(self), self.tables.digests
        numbers = np.column_stack((
            self.position_m, self.axes.reshape(count, 9), self.opening_m, self.opening_axes.reshape(count, 9),
            self.opening_round,
        ))  # fmt: skip
        return [digests[table] + row.tobytes() for table, row in zip(self.table.tolist(), numbers, strict=True)]


@dataclass(frozen=True, eq=False)
class Blockers:
    """Boxes that stop light, turned any way, and shapes of triangles. Build by `boxes`, `none` and `with_mesh`.

    Parameters
    ----------
    centre_m : (B, 3), site frame [m].
    half_m : (B, 3), half of each edge length [m], at least 1e-5.
    axes : (B, 3, 3), rows are the directions of the edges in the site frame.
    mesh : triangles that stop light beside the boxes, site frame.
    """

    centre_m: Floats
    half_m: Floats
    axes: Floats
    mesh: Mesh | None = None

    def __len__(self) -> int:
        return len(self.centre_m)

    @classmethod
    def boxes(cls, centre_m: ArrayLike, half_m: ArrayLike, axes: ArrayLike | None = None) -> Blockers:
        """Boxes from centres, half edge lengths and edge directions; without directions they stand square to the site.

        Example
        -------
        >>> len(Blockers.boxes([[0, 0, 1]], [[0.5, 0.5, 1]]))
        1
        """
        centres = vectors(np.array(centre_m, dtype=np.float64), "centre_m")
        count = len(centres)
        turned = np.tile(np.eye(3), (count, 1, 1)) if axes is None else axes
        return cls(centres, _sizes(half_m, count, "half_m", THINNEST_BOX_M), _axes(turned, count))

    @classmethod
    def none(cls) -> Blockers:
        """Nothing in the way."""
        return cls.boxes(np.empty((0, 3)), np.empty((0, 3)))

    @cached_property
    def digest(self) -> bytes:
        """Of all boxes and the mesh, computed once."""
        parts = sha256(self.mesh.digest.encode() if self.mesh else b"")
        for part in (self.centre_m, self.half_m, self.axes):
            parts.update(part.tobytes())
        return parts.digest()

    def with_mesh(self, mesh: Mesh | None) -> Blockers:
        """The same boxes and this mesh; it takes the place of an earlier one.

        Example
        -------
        >>> from scenelux.engine.mesh import Mesh
        >>> sheet = Mesh.from_triangles([[0, 0, 1], [1, 0, 1], [0, 1, 1]], [[0, 1, 2]])
        >>> Blockers.none().with_mesh(sheet).mesh == sheet
        True
        """
        return replace(self, mesh=mesh)


def _axes(values: ArrayLike, count: int, name: str = "axes") -> Floats:
    array = shaped(values, (count, 3, 3), name)
    if count and np.abs(array @ array.transpose(0, 2, 1) - np.eye(3)).max() > 1e-6:
        raise UsageError("are not unit vectors square to each other", key=name)
    return array


def _sizes(values: ArrayLike, count: int, name: str, least_m: float) -> Floats:
    array = shaped(values, (count, 3), name)
    if count and array.min() < least_m:
        raise UsageError(f"holds a length below {least_m:g} m", key=name)
    return array


def _indices(values: ArrayLike, count: int, tables: int) -> Integers:
    array = np.array(values, dtype=np.int64)
    if array.shape != (count,) or (count and not 0 <= array.min() <= array.max() < tables):
        raise UsageError(f"is not a table index 0..{tables - 1} for each of {count} lamps", key="table")
    array.flags.writeable = False
    return array


def _rounds(values: ArrayLike, sizes_m: Floats) -> NDArray[np.bool_]:
    """The flags as given, but an ellipse without width is a line and counts as a rectangle."""
    array = np.asarray(values, dtype=np.bool_)
    if array.shape != (len(sizes_m),):
        raise UsageError(f"has shape {array.shape}, not ({len(sizes_m)},)", key="opening_round")
    rounds: NDArray[np.bool_] = array & (sizes_m[:, :2].min(axis=1, initial=np.inf) > 0.0)
    rounds.flags.writeable = False
    return rounds


def _picked(values: NDArray[Number], index: Integers) -> NDArray[Number]:
    """Some rows as a read-only block."""
    rows: NDArray[Number] = values[index]
    rows.flags.writeable = False
    return rows


def _both(first: NDArray[Number], second: NDArray[Number]) -> NDArray[Number]:
    """All rows as a read-only block."""
    rows = np.concatenate((first, second))
    rows.flags.writeable = False
    return rows


def _with(values: Floats, row: int, put: Floats) -> Floats:
    """The same rows, but one of them another."""
    rows = values.copy()
    rows[row] = put[0]
    rows.flags.writeable = False
    return rows
