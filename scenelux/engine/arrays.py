"""What the engine computes on: lamps with their intensity tables, and boxes that stand in the light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import LimitError, UsageError

if TYPE_CHECKING:
    from scenelux.engine.mesh import Mesh

__all__ = ["MEMORY_LIMIT_BYTES", "Blockers", "Lamps", "Plane", "Table", "check_memory", "vectors"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

MEMORY_LIMIT_BYTES = 2_000_000_000
"""Largest set of results that is allocated without being asked for [bytes]."""

THINNEST_BOX_M = 1e-5
ANGLE_SLACK_DEG = 1e-6


class Plane(IntEnum):
    """The receiver at a point: a flat surface, or one of the three that stand for a face or a body."""

    PLANE = 0
    CYLINDRICAL = 1
    SEMI_CYLINDRICAL = 2
    HEMISPHERICAL = 3


class Table(Protocol):
    """Intensities over azimuth and polar angle about one axis, as photometry hands them out."""

    @property
    def azimuth_deg(self) -> Floats: ...
    @property
    def polar_deg(self) -> Floats: ...
    @property
    def candela(self) -> Floats: ...


@dataclass(frozen=True, eq=False)
class Lamps:
    """Lamps on the site and their tables, as flat arrays; several lamps may share a table. Build by `from_tables`.

    Parameters
    ----------
    position_m : (L, 3), centre of the luminous opening, site frame [m].
    axes : (L, 3, 3), rows are the x, y and z axes of the lamp's table in the site frame.
        Polar angles count from z, azimuths from x towards y.
    table : (L,), index of the lamp's table.
    azimuth_deg, polar_deg, candela : all tables one after the other [deg, deg, cd].
    azimuth_start, polar_start, candela_start : (T + 1,), where each table starts in them.
    opening_m : (L, 3), length, width and height of the luminous opening; 0 is a point [m].
    opening_axes : (L, 3, 3), rows are the opening's length, width and height directions in the site frame.
    opening_round : (L,), an ellipse instead of a rectangle.
    grain_rad : (T,), angle over which each table changes noticeably: its flux over its total variation [rad].
    """

    position_m: Floats
    axes: Floats
    table: Integers
    azimuth_deg: Floats
    azimuth_start: Integers
    polar_deg: Floats
    polar_start: Integers
    candela: Floats
    candela_start: Integers
    opening_m: Floats
    opening_axes: Floats
    opening_round: NDArray[np.bool_]
    grain_rad: Floats

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
        azimuths, polars, intensities = zip(*map(_table, tables), strict=True) if tables else ((), (), ())
        if opening_m is not None and opening_axes is None:
            raise UsageError("are needed to place an opening", key="opening_axes")
        sizes = _sizes(np.zeros((count, 3)) if opening_m is None else opening_m, count, "opening_m", 0.0)
        return cls(
            position_m=places,
            axes=_axes(axes, count, "axes"),
            table=_indices(table, count, len(tables)),
            azimuth_deg=_joined(azimuths),
            azimuth_start=_starts(azimuths),
            polar_deg=_joined(polars),
            polar_start=_starts(polars),
            candela=_joined(intensities),
            candela_start=_starts(intensities),
            opening_m=sizes,
            opening_axes=_axes(np.tile(np.eye(3), (count, 1, 1)) if opening_axes is None else opening_axes, count),
            opening_round=_rounds(np.zeros(count, bool) if opening_round is None else opening_round, sizes),
            grain_rad=_frozen(np.array(list(map(_grain_rad, azimuths, polars, intensities)), np.float64), "tables"),
        )


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


def check_memory(needed_bytes: int, limit_bytes: int, what: str) -> None:
    """Raise LimitError when a result would be larger than the limit, before any of it is allocated."""
    if needed_bytes > limit_bytes:
        raise LimitError(
            f"needs {needed_bytes / 1e9:.2f} GB and the limit is {limit_bytes / 1e9:.2f} GB",
            key=what,
            accepted="take fewer points or fewer lamps",
        )


def vectors(values: ArrayLike, name: str, count: int | None = None) -> Floats:
    """Finite (n, 3) vectors as one read-only block of float64, the only form in which kernels take them."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim != 2 or array.shape[1] != 3 or (count is not None and len(array) != count):
        raise UsageError(f"has shape {array.shape}, not ({'n' if count is None else count}, 3)", key=name)
    return _frozen(array, name)


def _frozen(array: Floats, name: str) -> Floats:
    with np.errstate(over="ignore", invalid="ignore"):
        # A sum that is finite is one of finite numbers only, and costs a tenth.
        if not np.isfinite(array.sum()) and not np.isfinite(array).all():
            raise UsageError("holds a number that is not finite", key=name)
    # Always a read-only view: numba compiles writable and read-only arrays apart, and one kernel is enough.
    view = np.ascontiguousarray(array, dtype=np.float64)[...]
    view.flags.writeable = False
    return view


def _shaped(values: ArrayLike, shape: tuple[int, ...], name: str) -> Floats:
    array = np.array(values, dtype=np.float64)
    if array.shape != shape:
        raise UsageError(f"has shape {array.shape}, not {shape}", key=name)
    return _frozen(array, name)


def _axes(values: ArrayLike, count: int, name: str = "axes") -> Floats:
    array = _shaped(values, (count, 3, 3), name)
    if count and np.abs(array @ array.transpose(0, 2, 1) - np.eye(3)).max() > 1e-6:
        raise UsageError("are not unit vectors square to each other", key=name)
    return array


def _sizes(values: ArrayLike, count: int, name: str, least_m: float) -> Floats:
    array = _shaped(values, (count, 3), name)
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


def _table(table: Table) -> tuple[Floats, Floats, Floats]:
    azimuth, polar = np.asarray(table.azimuth_deg, np.float64), np.asarray(table.polar_deg, np.float64)
    candela = np.asarray(table.candela, np.float64)
    for name, angles, most in (("azimuth_deg", azimuth, 360.0), ("polar_deg", polar, 180.0)):
        if angles.ndim != 1 or len(angles) < 2 or not (np.diff(angles) > 0).all():
            raise UsageError("is not a list of at least two ascending angles", key=name)
        if angles[0] < -ANGLE_SLACK_DEG or angles[-1] > most + ANGLE_SLACK_DEG:
            raise UsageError(f"leaves the range 0..{most:g} deg", key=name)
    if candela.shape != (len(azimuth), len(polar)) or not (candela >= 0.0).all():
        raise UsageError(f"is not a {len(azimuth)} x {len(polar)} table of intensities from 0 up", key="candela")
    return azimuth, polar, candela


def _grain_rad(azimuth: Floats, polar: Floats, candela: Floats) -> float:
    """About a third of the beam's width for a beam, 0.6 for a diffuse source, however sharp the edge in between."""
    steps_a, steps_p = np.radians(np.diff(azimuth))[:, None], np.radians(np.diff(polar))[None, :]
    sine = np.sin(np.radians(polar))
    middle = 0.25 * (candela[1:, 1:] + candela[1:, :-1] + candela[:-1, 1:] + candela[:-1, :-1])
    sine_middle = 0.5 * (sine[1:] + sine[:-1])
    flux = float((middle * sine_middle * steps_a * steps_p).sum())
    up_down = np.abs(np.diff(candela, axis=1))
    around = np.abs(np.diff(candela, axis=0))
    variation = float((0.5 * (up_down[1:] + up_down[:-1]) * sine_middle * steps_a).sum())
    variation += float((0.5 * (around[:, 1:] + around[:, :-1]) * steps_p).sum())
    return flux / variation if variation > 0.0 else 1.0


def _joined(parts: Sequence[Floats]) -> Floats:
    return _frozen(np.concatenate([part.ravel() for part in parts]) if parts else np.empty(0), "tables")


def _starts(parts: Sequence[Floats]) -> Integers:
    starts = np.concatenate(([0], np.cumsum([part.size for part in parts], dtype=np.int64))).astype(np.int64)
    starts.flags.writeable = False
    return starts
