"""Kernels made ready ahead: one process compiles the exact path while another compiles the fast one."""

from __future__ import annotations

import os
from pathlib import Path
from types import SimpleNamespace

import numpy as np

from scenelux.engine.arrays import Blockers, Lamps
from scenelux.engine.exact import fill_exactly
from scenelux.engine.fast.drive import by_lamp
from scenelux.engine.illuminance import covered, illuminance
from scenelux.engine.receiving import tiled
from scenelux.engine.sight import sight

__all__ = ["compile_exact_path", "compile_fast_path", "is_cold"]

POINT = np.zeros((1, 3))


def is_cold() -> bool:
    """Whether the folder of machine code holds nothing of the exact path, as before the first study on a machine."""
    kernel = f"*.{fill_exactly.__name__}-*.nbi"
    return next(Path(os.environ["NUMBA_CACHE_DIR"]).rglob(kernel), None) is None


def compile_fast_path() -> None:
    """Runs its kernels once, on a point that nothing of the exact path is needed for."""
    by_lamp(_lamp(), Blockers.none(), tiled(POINT, (0, 0, 1)))


def compile_exact_path() -> None:
    """Runs its kernels once, so that their machine code is kept for whoever asks next."""
    illuminance(_lamp(), Blockers.none(), POINT, (0, 0, 1), precision="exact")
    covered(Blockers.none(), POINT, 0.0)
    sight(_lamp(), Blockers.none(), POINT)


def _lamp() -> Lamps:
    bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=np.ones((2, 2)))
    return Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
