"""Many rays against a mesh at once, shared out among threads."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, check_memory, vectors
from scenelux.engine.bvh import MeshArrays
from scenelux.engine.cache import compiled
from scenelux.engine.mesh import Mesh
from scenelux.engine.rays import first_hit, mesh_blocks
from scenelux.engine.threads import in_blocks

__all__ = ["first_hits", "hidden"]

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]

BYTES_PER_RAY = 6 * 8 + 4 * 8


@compiled
def _fill_hidden(mesh: MeshArrays, starts: Floats, ends: Floats, first: int, last: int, out: NDArray[np.bool_]) -> None:
    for i in range(first, last):
        out[i] = mesh_blocks(mesh, starts[i, 0], starts[i, 1], starts[i, 2], ends[i, 0], ends[i, 1], ends[i, 2])


@compiled
def _fill_hits(
    mesh: MeshArrays, starts: Floats, steps: Floats, first: int, last: int, t: Floats, name: Numbers, shares: Floats
) -> None:
    for i in range(first, last):
        t[i], name[i], shares[i, 0], shares[i, 1] = first_hit(
            mesh, starts[i, 0], starts[i, 1], starts[i, 2], steps[i, 0], steps[i, 1], steps[i, 2]
        )


def hidden(mesh: Mesh, starts_m: ArrayLike, ends_m: ArrayLike, *, threads: int | None = None) -> NDArray[np.bool_]:
    """Whether the mesh stands between each start and its end.

    Parameters
    ----------
    mesh : triangles, site frame.
    starts_m, ends_m : (n, 3), site frame [m].
    threads : rays are shared out among so many threads; all processors unless stated. Results do not depend on it.

    Example
    -------
    >>> sheet = Mesh.from_triangles([[0, 0, 1], [1, 0, 1], [0, 1, 1]], [[0, 1, 2]])
    >>> hidden(sheet, [[0.2, 0.2, 0], [0.9, 0.9, 0]], [[0.2, 0.2, 2], [0.9, 0.9, 2]]).tolist()
    [True, False]
    """
    starts, ends = _pairs(starts_m, ends_m, "ends_m")
    out = np.empty(len(starts), np.bool_)
    tree = mesh.arrays
    in_blocks(lambda first, last: _fill_hidden(tree, starts, ends, first, last, out), len(starts), len(starts), threads)
    return out


def first_hits(
    mesh: Mesh, starts_m: ArrayLike, directions: ArrayLike, *, threads: int | None = None
) -> tuple[Floats, Numbers, Floats]:
    """What endless rays meet first.

    Parameters
    ----------
    mesh : triangles, site frame.
    starts_m, directions : (n, 3), site frame [m]; directions of any length but 0, which meets nothing.
    threads : as in `hidden`.

    Returns
    -------
    t (n,), the place is start + t * direction, inf without a hit; triangle (n,), its number, or -1; shares (n, 2) of
    its corners 1 and 2 in the place.

    Example
    -------
    >>> sheet = Mesh.from_triangles([[0, 0, 1], [1, 0, 1], [0, 1, 1]], [[0, 1, 2]])
    >>> t, triangle, shares = first_hits(sheet, [[0.25, 0.5, 0]], [[0, 0, 2]])
    >>> t.round(9).tolist(), triangle.tolist(), shares.round(9).tolist()
    ([0.5], [0], [[0.25, 0.5]])
    """
    starts, steps = _pairs(starts_m, directions, "directions")
    t, name, shares = np.empty(len(starts)), np.empty(len(starts), np.int64), np.empty((len(starts), 2))
    fixed = (mesh.arrays, starts, steps)
    in_blocks(lambda first, last: _fill_hits(*fixed, first, last, t, name, shares), len(starts), len(starts), threads)
    return t, name, shares


def _pairs(starts_m: ArrayLike, others: ArrayLike, name: str) -> tuple[Floats, Floats]:
    count = np.shape(starts_m)[0] if np.ndim(starts_m) else 0
    check_memory(BYTES_PER_RAY * count, MEMORY_LIMIT_BYTES, "rays")
    return vectors(starts_m, "starts_m", count), vectors(others, name, count)
