"""The one place where numba is imported: it gives compiled kernels a cache folder that lasts from run to run."""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar, cast

__all__ = ["cache_folder", "compiled", "inner", "merged", "part", "stage"]

Kernel = TypeVar("Kernel", bound=Callable[..., object])


def cache_folder(environment: Mapping[str, str], platform: str, home: Path) -> Path:
    """Folder of the user's own in which machine code is kept, by the custom of each system.

    Example
    -------
    >>> cache_folder({}, "linux", Path("/home/someone")).as_posix()
    '/home/someone/.cache/scenelux/numba'
    """
    if platform == "win32":
        base = Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif platform == "darwin":
        base = home / "Library" / "Caches"
    else:
        base = Path(environment.get("XDG_CACHE_HOME") or home / ".cache")
    return base / "scenelux" / "numba"


def _sources_mark() -> str:
    """Short digest of the engine's sources: a kernel that inlines another file is never taken from a stale cache."""
    digest = hashlib.sha256()
    for path in sorted(Path(__file__).parent.rglob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def _usable(folder: Path) -> Path:
    """The folder when it can be written, else a private one that lasts for this run only."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return folder
    except OSError:
        return Path(tempfile.mkdtemp(prefix="scenelux-"))


if not os.environ.get("NUMBA_CACHE_DIR"):
    # numba reads the variable when it is first imported, so it is set before the import below.
    os.environ["NUMBA_CACHE_DIR"] = str(_usable(cache_folder(os.environ, sys.platform, Path.home()) / _sources_mark()))

import numba  # noqa: E402
from numba.core.options import DefaultOptions  # noqa: E402

# Kernels allocate nothing. Without the counting of references to their arrays they run three times as fast; the switch
# is numba's own and not promised to users, so it is left out where it does not exist.
OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy"} | (
    {"_nrt": False} if hasattr(DefaultOptions, "_nrt") else {}
)


# Ways into a function: none from C is made, and none from Python where only kernels call: a third less to compile.
NOT_FOR_C: dict[str, Any] = {"no_cfunc_wrapper": True} if hasattr(DefaultOptions, "no_cfunc_wrapper") else {}
KERNELS_ONLY: dict[str, Any] = (
    OPTIONS | NOT_FOR_C | ({"no_cpython_wrapper": True} if hasattr(DefaultOptions, "no_cpython_wrapper") else {})
)


def compiled(function: Kernel) -> Kernel:
    """A kernel that Python calls: machine code kept on disk, free of the interpreter lock, nothing allocated in it."""
    return cast(Kernel, numba.njit(cache=True, **OPTIONS, **NOT_FOR_C)(function))


def inner(function: Kernel) -> Kernel:
    """A function that only kernels call: it becomes part of their code and is kept on disk with them.

    Python has no way to call it, and must not try: that ends the process.
    """
    return cast(Kernel, numba.njit(forceinline=True, **KERNELS_ONLY)(function))


def stage(function: Kernel) -> Kernel:
    """A plain loop over the points of a tile, in single precision; a product and a sum may become one instruction."""
    return cast(Kernel, numba.njit(fastmath={"contract"}, **OPTIONS, **NOT_FOR_C)(function))


def part(function: Kernel) -> Kernel:
    """A few lines that a stage says by name: they become part of its loop. Python must not call them either."""
    return cast(Kernel, numba.njit(fastmath={"contract"}, forceinline=True, **KERNELS_ONLY)(function))


def merged(function: Kernel) -> Kernel:
    """A section of one kernel under a name of its own: copied in before anything is compiled, which is quick."""
    return cast(Kernel, numba.njit(inline="always", **OPTIONS)(function))
