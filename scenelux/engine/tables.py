"""The intensity tables of lamps, one after the other; a table that several lamps share is there once."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.numbers import frozen
from scenelux.errors import UsageError

__all__ = ["Table", "Tables"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

ANGLE_SLACK_DEG = 1e-6


class Table(Protocol):
    """Intensities over azimuth and polar angle about one axis, as photometry hands them out."""

    @property
    def azimuth_deg(self) -> Floats: ...
    @property
    def polar_deg(self) -> Floats: ...
    @property
    def candela(self) -> Floats: ...


@dataclass(frozen=True, eq=False)
class Tables:
    """Intensity tables as flat arrays. Build by `of`.

    Parameters
    ----------
    azimuth_deg, polar_deg, candela : all tables one after the other [deg, deg, cd].
    azimuth_start, polar_start, candela_start : (T + 1,), where each table starts in them.
    grain_rad : (T,), angle over which each table changes noticeably: its flux over its total variation [rad].
    """

    azimuth_deg: Floats
    azimuth_start: Integers
    polar_deg: Floats
    polar_start: Integers
    candela: Floats
    candela_start: Integers
    grain_rad: Floats

    def __len__(self) -> int:
        return len(self.grain_rad)

    @classmethod
    def of(cls, tables: Sequence[Table]) -> Tables:
        """Tables with ascending angles [deg] and (azimuth, polar) intensities [cd], checked.

        Azimuths lie in 0..360; a table that closes the circle starts at 0 and ends at 360.
        """
        azimuths, polars, intensities = zip(*map(_table, tables), strict=True) if tables else ((), (), ())
        return cls(
            azimuth_deg=_joined(azimuths),
            azimuth_start=_starts(azimuths),
            polar_deg=_joined(polars),
            polar_start=_starts(polars),
            candela=_joined(intensities),
            candela_start=_starts(intensities),
            grain_rad=frozen(np.array(list(map(_grain_rad, azimuths, polars, intensities)), np.float64), "tables"),
        )

    def joined(self, others: Tables) -> Tables:
        """These tables, then the others."""
        one, two = vars(self), vars(others)
        parts = {name: _after(one[name], two[name], name.endswith("_start")) for name in self.__dataclass_fields__}
        return Tables(**parts)

    def parts(self, table: int) -> tuple[Floats, Floats, Floats]:
        """Azimuths and polar angles [deg] of one table, and its intensities, flat [cd]."""
        a, p, c = (slice(*s[table : table + 2]) for s in (self.azimuth_start, self.polar_start, self.candela_start))
        return self.azimuth_deg[a], self.polar_deg[p], self.candela[c]

    @cached_property
    def digests(self) -> tuple[bytes, ...]:
        """One digest for the content of each table, computed once."""
        return tuple(_digest(*self.parts(table)) for table in range(len(self)))


def _digest(*parts: Floats) -> bytes:
    digest = hashlib.sha256()
    for part in parts:
        digest.update(len(part).to_bytes(8, "little"))
        digest.update(part.data)
    return digest.digest()


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


def _after(first: NDArray[Any], second: NDArray[Any], starts: bool) -> NDArray[Any]:
    """Two blocks as one; of starts, the second counts from the end of the first."""
    both = np.concatenate((first, first[-1] + second[1:]) if starts else (first, second))
    both.flags.writeable = False
    return both


def _joined(parts: Sequence[Floats]) -> Floats:
    return frozen(np.concatenate([part.ravel() for part in parts]) if parts else np.empty(0), "tables")


def _starts(parts: Sequence[Floats]) -> Integers:
    starts = np.concatenate(([0], np.cumsum([part.size for part in parts], dtype=np.int64))).astype(np.int64)
    starts.flags.writeable = False
    return starts
