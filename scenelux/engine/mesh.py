"""Shapes made of triangles, and the tree over them, built once for each content."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from dataclasses import dataclass, field
from threading import Lock

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import vectors
from scenelux.engine.binary import count_flat
from scenelux.engine.bvh import MeshArrays, built, no_mesh
from scenelux.engine.kernels import SKIN_M
from scenelux.engine.solids import joined, shrunk, solid_parts
from scenelux.errors import LimitError, UsageError

__all__ = ["MOST_TRIANGLES", "Mesh"]

Floats = NDArray[np.float64]
Indices = NDArray[np.int32]

MOST_TRIANGLES = 10_000_000
MOST_VERTICES = 3 * MOST_TRIANGLES

FARTHEST_M = 1e7
"""Vertices beyond this from the origin are refused: no site is so large."""

KEPT_BYTES = 512_000_000
"""Trees of the meshes used last are kept up to this size in all; one that is larger is kept alone."""


@dataclass(frozen=True)
class Mesh:
    """Triangles that stop light, from both sides. Build by `from_triangles`. Two of the same content are equal.

    Parameters
    ----------
    vertices_m : (n, 3), site frame [m], each place once.
    triangles : (m, 3), numbers of vertices, in the order in which they were given.
    digest : of the content.
    dropped : how many triangles have no area and stop nothing.
    """

    vertices_m: Floats = field(compare=False, repr=False)
    triangles: Indices = field(compare=False, repr=False)
    digest: str
    dropped: int = field(compare=False)

    def __len__(self) -> int:
        return len(self.triangles)

    @classmethod
    def from_triangles(cls, vertices_m: ArrayLike, triangles: ArrayLike) -> Mesh:
        """A mesh from vertices and the three vertices of each triangle; vertices at the same place are joined.

        A part whose edges all close, each run through as often in one direction as in the other, is a body; like a
        box it is smaller by a skin of 1e-6 m, so that its surface counts as outside. Everything else is a sheet: it
        stops what passes from more than 1e-6 m on one side of it to more than 1e-6 m on the other.

        Parameters
        ----------
        vertices_m : (n, 3), site frame, within 1e7 m of the origin [m].
        triangles : (m, 3) whole numbers 0..n-1, at most ten million triangles.

        Example
        -------
        >>> mesh = Mesh.from_triangles([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 0]], [[0, 1, 2], [0, 1, 3]])
        >>> len(mesh), mesh.dropped, len(mesh.vertices_m)
        (2, 1, 3)
        """
        _limit(vertices_m, MOST_VERTICES, "vertices_m")
        _limit(triangles, MOST_TRIANGLES, "triangles")
        places, names = joined(vectors(vertices_m, "vertices_m"))
        if len(places) and np.abs(places).max() > FARTHEST_M:
            raise UsageError(f"holds a vertex farther than {FARTHEST_M:g} m from the origin", key="vertices_m")
        corners = names[_numbers(triangles, len(names))]
        for array in (places, corners):
            array.flags.writeable = False
        return cls(places, corners, _digest(places, corners), int(count_flat(places, corners)))

    @property
    def arrays(self) -> MeshArrays:
        """The mesh and its tree as the kernels take them; built when first asked for."""
        return TREES.of(self)


class Trees:
    """The trees of the meshes used last, by content, bounded in memory."""

    def __init__(self, most_bytes: int) -> None:
        self.most_bytes = most_bytes
        self.kept: OrderedDict[str, MeshArrays] = OrderedDict()
        self.lock = Lock()

    def of(self, mesh: Mesh) -> MeshArrays:
        with self.lock:
            if mesh.digest not in self.kept:
                self.kept[mesh.digest] = _tree(mesh)
            self.kept.move_to_end(mesh.digest)
            while len(self.kept) > 1 and self.size_bytes() > self.most_bytes:
                self.kept.popitem(last=False)
            return self.kept[mesh.digest]

    def size_bytes(self) -> int:
        return sum(part.nbytes for tree in self.kept.values() for part in tree)


TREES = Trees(KEPT_BYTES)


def _tree(mesh: Mesh) -> MeshArrays:
    """Bodies and sheets told apart, bodies made smaller by the skin, and the tree over them."""
    if len(mesh) == 0:
        return no_mesh()
    centre = 0.5 * (mesh.vertices_m.min(axis=0) + mesh.vertices_m.max(axis=0))
    corners = mesh.vertices_m - centre
    outward = solid_parts(corners, mesh.triangles)
    return built(centre, shrunk(corners, mesh.triangles, outward), mesh.triangles, outward, SKIN_M)


def _limit(values: ArrayLike, most: int, name: str) -> None:
    count = np.shape(values)[0] if np.ndim(values) else 0
    if count > most:
        raise LimitError(f"holds {count} rows and the limit is {most}", key=name, accepted="take a coarser mesh")


def _numbers(triangles: ArrayLike, vertices: int) -> Indices:
    """The triangles as whole numbers of vertices that exist."""
    given = np.asarray(triangles)
    if given.size == 0:
        return np.empty((0, 3), np.int32)
    if given.ndim != 2 or given.shape[1] != 3:
        raise UsageError(f"has shape {given.shape}, not (m, 3)", key="triangles")
    if given.dtype.kind not in "iu" or not 0 <= given.min() <= given.max() < vertices:
        raise UsageError(f"is not three whole numbers 0..{vertices - 1} for each triangle", key="triangles")
    return given.astype(np.int32)


def _digest(places: Floats, corners: Indices) -> str:
    digest = hashlib.blake2b(digest_size=16)
    for array in (places, corners):
        digest.update(str(array.shape).encode())
        digest.update(np.ascontiguousarray(array).data)
    return digest.hexdigest()
