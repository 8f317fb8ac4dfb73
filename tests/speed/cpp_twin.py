"""The C++ version of the fast path's loop, built on the spot where a compiler is found: the limit that is chased."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, Tiles
from scenelux.engine.fast import drive
from scenelux.engine.fast.tables import ENDS, UNEVEN

__all__ = ["available", "summed"]

Floats = NDArray[np.float64]

SOURCE = Path(__file__).parent / "twin" / "twin.cpp"
COMPILERS = ("g++", "clang++", "c++")
FLAGS = (
    "-O3", "-march=native", "-std=c++17", "-ffp-contract=fast", "-fno-math-errno", "-fno-trapping-math", "-fPIC",
    "-shared", "-pthread",
)  # fmt: skip


def available() -> bool:
    """Whether a compiler for C++ is found."""
    return _compiler() is not None


def summed(lamps: Lamps, blockers: Blockers, tiles: Tiles, levels: Floats, *, threads: int) -> Floats:
    """Illuminance (n,) [lx] of all lamps together, as scenelux.engine.summed gives it."""
    if len(blockers) > 1024:
        raise ValueError("the twin takes 1024 boxes at most")
    fast = drive._fast_lamps(lamps, blockers)
    assert not fast.tables.places[:, [UNEVEN, ENDS]].any(), "the twin takes tables in even steps without loose ends"
    a, lux = tiles.arrays, np.empty(len(tiles))
    fields: dict[str, object] = {
        "rows": a.rows, "bounds": a.bounds, "order": a.order, "points": len(tiles), "tiles": tiles.count,
        "position": fast.exact.position, "axes": fast.exact.axes, "table": fast.exact.table, "cone": fast.cone,
        "lamps": len(lamps), "numbers": fast.tables.numbers, "places": fast.tables.places,
        "numbers_wide": fast.tables.numbers.shape[1], "places_wide": fast.tables.places.shape[1],
        "corners": fast.tables.corners, "centre": fast.boxes.centre, "half": fast.boxes.half,
        "box_axes": fast.boxes.axes, "from_box": fast.from_box, "low": fast.low, "high": fast.high,
        "boxes": len(blockers),
        "levels": levels.astype(np.float32), "lux": lux,
    }  # fmt: skip
    kept = {name: value for name, value in fields.items() if isinstance(value, np.ndarray)}
    assert all(value.flags.c_contiguous for value in kept.values())
    work = _Work(*(kept[name].ctypes.data if name in kept else value for name, value in fields.items()))
    _library().light_all(ctypes.byref(work), threads)
    return lux


class _Work(ctypes.Structure):
    _fields_ = tuple(
        (name, ctypes.c_int64 if name in whole else ctypes.c_void_p)
        for whole in [{"points", "tiles", "lamps", "numbers_wide", "places_wide", "boxes"}]
        for name in (
            "rows", "bounds", "order", "points", "tiles", "position", "axes", "table", "cone", "lamps", "numbers",
            "places", "numbers_wide", "places_wide", "corners", "centre", "half", "box_axes", "from_box",
            "low", "high", "boxes",
            "levels", "lux",
        )
    )  # fmt: skip


def _compiler() -> str | None:
    return next((found for name in COMPILERS if (found := shutil.which(name))), None)


@cache
def _library() -> ctypes.CDLL:
    compiler = _compiler()
    assert compiler is not None, "no compiler for C++ is found"
    with tempfile.TemporaryDirectory() as folder:
        library = Path(folder) / "twin.so"
        subprocess.run([compiler, *FLAGS, "-o", str(library), str(SOURCE)], check=True)
        return ctypes.CDLL(str(library))
