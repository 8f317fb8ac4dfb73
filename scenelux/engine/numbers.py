"""Numbers as kernels take them: finite, in one block that cannot be written; and how many there may be."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import LimitError, UsageError

__all__ = ["MEMORY_LIMIT_BYTES", "check_memory", "frozen", "shaped", "vectors"]

Floats = NDArray[np.float64]

MEMORY_LIMIT_BYTES = 2_000_000_000
"""Largest set of results that is allocated without being asked for [bytes]."""


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
    return frozen(array, name)


def frozen(array: Floats, name: str) -> Floats:
    """The array as one read-only block of finite numbers."""
    with np.errstate(over="ignore", invalid="ignore"):
        # A sum that is finite is one of finite numbers only, and costs a tenth.
        if not np.isfinite(array.sum()) and not np.isfinite(array).all():
            raise UsageError("holds a number that is not finite", key=name)
    # Always a read-only view: numba compiles writable and read-only arrays apart, and one kernel is enough.
    view = np.ascontiguousarray(array, dtype=np.float64)[...]
    view.flags.writeable = False
    return view


def shaped(values: ArrayLike, shape: tuple[int, ...], name: str) -> Floats:
    """A read-only copy of finite numbers in a shape that is asked for."""
    array = np.array(values, dtype=np.float64)
    if array.shape != shape:
        raise UsageError(f"has shape {array.shape}, not {shape}", key=name)
    return frozen(array, name)
