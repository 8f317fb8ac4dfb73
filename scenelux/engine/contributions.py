"""What single lamps give on given receivers, kept by content: where one lamp changes, one is computed."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import Blockers, Lamps
from scenelux.engine.cache import compiled
from scenelux.engine.illuminance import Precision, check_levels, check_size, light_by_lamp
from scenelux.engine.numbers import MEMORY_LIMIT_BYTES
from scenelux.engine.receiving import Receivers

__all__ = ["STORE_LIMIT_BYTES", "Contributions", "StoreState"]

Floats = NDArray[np.float64]
Row: TypeAlias = NDArray[Any]
Key: TypeAlias = tuple[bytes, bytes, bytes]

STORE_LIMIT_BYTES = 256_000_000
"""So much is kept unless another limit is asked for [bytes]: 24 lamps on two million points, or on many small grids."""


@dataclass(frozen=True)
class StoreState:
    """What a store holds, and what it has done since it was made.

    Parameters
    ----------
    entries, size_bytes, limit_bytes : what single lamps give, how much of it, and how much it may be.
    hits, misses : lamps that were found, and lamps that had to be computed.
    evictions, refused : entries that made room for others, and those that were larger than the limit.
    """

    entries: int
    size_bytes: int
    limit_bytes: int
    hits: int
    misses: int
    evictions: int
    refused: int


class Contributions:
    """A store of what each lamp gives at full output: what was used last stays, up to a limit.

    A lamp is found again by its content (table, opening, pose), that of the bodies and that of the receivers, whatever
    objects they come in. What is found is, byte for byte, what would be computed anew. Several threads may share it.

    Parameters
    ----------
    limit_bytes : at most so much is kept; 0 keeps nothing.
    precision, threads : as in `illuminance`, for everything that is computed here.
    memory_limit_bytes : LimitError is raised before one answer would take more than this.

    Example
    -------
    >>> from types import SimpleNamespace
    >>> from scenelux.engine import receivers
    >>> bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[1000, 1000], [1000, 1000]])
    >>> pair = Lamps.from_tables([bare], table=[0, 0], position_m=[[0, 0, 3], [8, 0, 3]], axes=[np.eye(3)] * 2)
    >>> store, at = Contributions(), receivers([[4, 0, 0]], (0, 0, 1))
    >>> [float(store.summed(pair, Blockers.none(), at, levels)[0]) for levels in ([1.0, 1.0], [1.0, 0.5])]
    [48.0, 36.0]
    >>> store.state().hits, store.state().misses
    (2, 2)
    """

    def __init__(
        self,
        limit_bytes: int = STORE_LIMIT_BYTES,
        *,
        precision: Precision = "fast",
        threads: int | None = None,
        memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
    ) -> None:
        self.limit_bytes, self.precision, self.threads = limit_bytes, precision, threads
        self.memory_limit_bytes = memory_limit_bytes
        self._rows: OrderedDict[Key, Row] = OrderedDict()
        self._lock = Lock()
        self._size = self._hits = self._misses = self._evictions = self._refused = 0

    def by_lamp(self, lamps: Lamps, blockers: Blockers, at: Receivers) -> Floats:
        """Initial illuminance of every lamp at full output, (L, n) [lx], as `illuminance`; what is known is looked up.

        Parameters
        ----------
        lamps, blockers : what shines and what stands in the way, site frame.
        at : receivers, from `receivers`.
        """
        check_size(len(lamps), len(at), self.precision, self.memory_limit_bytes)
        keys = _keys(lamps, blockers, at)
        found = self._found(keys)
        new = [index for index, key in enumerate(keys) if key not in found]
        if not found:
            return self._computed(lamps, blockers, at, keys)
        lux = np.empty((len(lamps), len(at)))
        if new:
            lux[new] = self._computed(lamps.only(new), blockers, at, [keys[index] for index in new])
        for index, key in enumerate(keys):
            if key in found:
                lux[index] = found[key]
        return lux

    def summed(self, lamps: Lamps, blockers: Blockers, at: Receivers, levels: ArrayLike) -> Floats:
        """Illuminance of all lamps together, (n,) [lx]: what each gives, times its level, added in the lamps' order.

        Parameters
        ----------
        lamps, blockers, at : as in `by_lamp`.
        levels : (L,), 1 is full output. A lamp at level 0 is not asked for and counts for nothing.
        """
        shares = check_levels(levels, len(lamps))
        on = np.flatnonzero(shares)
        lit = lamps if len(on) == len(lamps) else lamps.only(on)
        check_size(len(lit), len(at), self.precision, self.memory_limit_bytes)
        keys = _keys(lit, blockers, at)
        rows = self._found(keys)
        new = [index for index, key in enumerate(keys) if key not in rows]
        if new:
            asked = [keys[index] for index in new]
            rows |= zip(asked, self._computed(lit.only(new), blockers, at, asked), strict=True)
        total = np.zeros(len(at))
        for share, key in zip(shares[on].tolist(), keys, strict=True):
            _add(total, rows[key], share)
        return total

    def state(self) -> StoreState:
        """What is kept, and how often it was of use."""
        with self._lock:
            return StoreState(
                len(self._rows), self._size, self.limit_bytes, self._hits, self._misses, self._evictions, self._refused
            )

    def _found(self, keys: Sequence[Key]) -> dict[Key, Row]:
        """The rows that are there; now they are the ones used last."""
        with self._lock:
            found = {key: self._rows[key] for key in keys if key in self._rows}
            for key in found:
                self._rows.move_to_end(key)
            hits = sum(key in found for key in keys)
            self._hits, self._misses = self._hits + hits, self._misses + len(keys) - hits
        return found

    def _computed(self, lamps: Lamps, blockers: Blockers, at: Receivers, keys: Sequence[Key]) -> Floats:
        """Lamps computed anew, all in one go, and kept."""
        lux = light_by_lamp(lamps, blockers, at, precision=self.precision, threads=self.threads)
        for key, row in zip(keys, lux, strict=True):
            self._keep(key, _packed(row))
        return lux

    def _keep(self, key: Key, row: Row) -> None:
        with self._lock:
            if row.nbytes > self.limit_bytes:
                self._refused += 1
            elif key not in self._rows:
                self._rows[key] = row
                self._size += row.nbytes
            while self._size > self.limit_bytes:
                self._size -= self._rows.popitem(last=False)[1].nbytes
                self._evictions += 1


@compiled
def _add(total: Floats, row: Row, share: float) -> None:
    """One lamp at its level on top of others, in double precision whatever it is kept in."""
    for i in range(len(total)):
        total[i] += share * row[i]


def _keys(lamps: Lamps, blockers: Blockers, at: Receivers) -> list[Key]:
    """One key for each lamp: all that its light on these receivers depends on."""
    return [(content, blockers.digest, at.digest) for content in lamps.contents]


def _packed(row: Floats) -> Row:
    """A copy in single precision where that loses nothing, as it does where the fast path computed all of it."""
    with np.errstate(over="ignore"):
        single = row.astype(np.float32)
    return single if ((single == row) | np.isnan(row)).all() else row.copy()
