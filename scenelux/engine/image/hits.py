"""The first surface that every pixel of a picture sees: the ground, a face of a box, or a triangle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Blockers, check_memory
from scenelux.engine.image.camera import Camera, GroundPlane, ViewArrays
from scenelux.engine.image.cover import NOWHERE, TALL, HitArrays, cover_rows, room_for
from scenelux.engine.image.faces import CORNERS, Planes, box_planes, ground_plane, planes_of, seen_faces, windows
from scenelux.engine.image.trace import trace_rows
from scenelux.engine.threads import in_blocks

__all__ = ["Hits", "PlaneTable", "first_hits", "hit_points", "plane_table"]

Floats = NDArray[np.float64]
Shorts = NDArray[np.int32]

BYTES_PER_PIXEL = 4 + 1 + 4


@dataclass(frozen=True, eq=False)
class Hits:
    """What a camera sees, pixel by pixel; from `first_hits`.

    Parameters
    ----------
    camera, blockers, ground : as given.
    surface : (h, w) int32; -1 the sky, 0 the ground, 1 + b box b, 1 + B + m triangle m of the mesh.
    side : (h, w) int8, which face of a box, 0..5 for +first, -first, +second.. edge direction; 0 elsewhere.
    distance_m : (h, w) float32, from the eye, of parallel rays from the plane of the eye; inf for the sky.
    """

    camera: Camera
    blockers: Blockers
    ground: GroundPlane | None
    surface: Shorts
    side: NDArray[np.int8]
    distance_m: NDArray[np.float32]

    @property
    def surfaces(self) -> int:
        """How many surfaces there are: the ground, the boxes, the triangles."""
        return 1 + len(self.blockers) + (0 if self.blockers.mesh is None else len(self.blockers.mesh))


@dataclass(frozen=True, eq=False)
class PlaneTable:
    """The planes on which hits lie.

    Parameters
    ----------
    planes : (P, 6), unit normal towards the viewer, and nearness a + b x + c y: the ground, six faces of each box, and
        the triangles that are seen.
    triangle : (M,), row of each triangle of the mesh; of one that is not seen, any.
    boxes : how many boxes there are.
    """

    planes: Floats
    triangle: Shorts
    boxes: int


def first_hits(
    camera: Camera,
    blockers: Blockers,
    ground: GroundPlane | None,
    *,
    threads: int | None = None,
    culling: bool = True,
    memory_limit_bytes: int = MEMORY_LIMIT_BYTES,
) -> Hits:
    """The surface that every pixel sees first, decided in double precision.

    Boxes show their outside only: a body that holds the eye is not seen, and hides nothing. Triangles and the ground
    show both sides. Of two surfaces nearer together than 1e-9 of their distance the one of the lower number is seen.

    Parameters
    ----------
    camera, blockers : where the picture is taken from, and what it shows beside the ground.
    ground : the ground, or None.
    threads : rows are shared out among so many threads; all processors unless stated. Results do not depend on it.
    culling : leave out beforehand what cannot be seen in a tile of the picture. Results do not depend on it.
    memory_limit_bytes : LimitError is raised before more than this is allocated.

    Example
    -------
    >>> camera = Camera.pinhole((0, 0, 1), np.eye(3), 4, 3, field_deg=90)
    >>> first_hits(camera, Blockers.boxes([[5, 0, 1]], [[1, 2, 1]]), GroundPlane.through()).surface.tolist()
    [[-1, -1, -1, -1], [-1, 1, 1, -1], [0, 0, 0, 0]]
    """
    shape = (camera.height_px, camera.width_px)
    check_memory(shape[0] * shape[1] * BYTES_PER_PIXEL, memory_limit_bytes, "picture")
    view = camera.view
    faces = seen_faces(view, blockers, ground)
    out = HitArrays(np.empty(shape, np.int32), np.empty(shape, np.int8), np.empty(shape, np.float32))
    count = len(faces.edges)
    in_blocks(
        lambda first, last: cover_rows(view, faces, culling, first, last, room_for(count), out),
        -(-shape[0] // TALL), out.surface.size, threads,
    )  # fmt: skip
    if blockers.mesh is not None and len(blockers.mesh):
        _trace(view, blockers, ground, out, threads)
    return Hits(camera, blockers, ground, *out)


def _trace(
    view: ViewArrays, blockers: Blockers, ground: GroundPlane | None, out: HitArrays, threads: int | None
) -> None:
    """Triangles that come first, where the box around them may be seen."""
    assert blockers.mesh is not None
    mesh, tree = blockers.mesh, blockers.mesh.arrays
    if not len(tree.children):
        return
    low, high = tree.root[:3], tree.root[3:]
    corner = tree.centre - view.eye + 0.5 * (low + high) + 0.5 * CORNERS * (high - low)
    top, bottom, left, right = windows(view, corner[None])[0].astype(int).tolist()
    nearness = _fixed_planes(view, blockers, ground).nearness
    fixed = (view, tree, mesh.vertices_m, mesh.triangles, nearness, len(blockers), (left, right))
    in_blocks(
        lambda first, last: trace_rows(*fixed, top + first, top + last, out),
        bottom - top, (bottom - top) * (right - left), threads,
    )  # fmt: skip


def _fixed_planes(view: ViewArrays, blockers: Blockers, ground: GroundPlane | None) -> Planes:
    """The ground and all faces of all boxes."""
    pairs = zip(ground_plane(view, ground), box_planes(view, blockers), strict=True)
    return Planes(*(np.concatenate(pair) for pair in pairs))


def plane_table(hits: Hits) -> PlaneTable:
    """The planes of everything that is seen.

    Parameters
    ----------
    hits : what is seen.
    """
    view, mesh, boxes = hits.camera.view, hits.blockers.mesh, len(hits.blockers)
    fixed = _fixed_planes(view, hits.blockers, hits.ground)
    rows = np.concatenate((fixed.normal, fixed.nearness), axis=1)
    if mesh is None:
        return PlaneTable(rows, np.empty(0, np.int32), boxes)
    seen = np.zeros(len(mesh), np.bool_)
    seen[hits.surface[hits.surface > boxes] - (1 + boxes)] = True
    number = np.cumsum(seen, dtype=np.int32) + np.int32(len(rows) - 1)
    a, b, c = mesh.vertices_m[mesh.triangles[seen]].transpose(1, 0, 2)
    normals = np.cross(b - a, c - a)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    towards = planes_of(view, normals, a - view.eye).shown
    planes = planes_of(view, np.where(towards[:, None], normals, -normals), a - view.eye)
    return PlaneTable(np.concatenate((rows, np.hstack(planes[:2]))), number, boxes)


def hit_points(hits: Hits, where: NDArray[np.bool_] | None = None) -> tuple[Floats, Floats]:
    """Places and normals of hits in double precision; the normal is that of the side which is seen.

    Parameters
    ----------
    hits : what is seen.
    where : (h, w), the pixels asked for; all unless stated.

    Returns
    -------
    (n, 3) [m] and (n, 3), site frame, pixels in the order of rows; nan for the sky.

    Example
    -------
    >>> camera = Camera.pinhole((0, 0, 1), [[0, 0, -1], [0, 1, 0], [1, 0, 0]], 1, 1, field_deg=20)
    >>> [part.tolist() for part in hit_points(first_hits(camera, Blockers.none(), GroundPlane.through()))]
    [[[0.0, 0.0, 0.0]], [[0.0, 0.0, 1.0]]]
    """
    view, table = hits.camera.view, plane_table(hits)
    row, column = np.nonzero(np.ones_like(hits.surface) if where is None else where)
    right, down = hits.camera.places()
    x, y = right[column][:, None], down[row][:, None]
    surface, side = hits.surface[row, column], hits.side[row, column]
    number = np.where(surface > 0, 6 * surface - 5 + side, 0)
    of_mesh = surface > table.boxes
    number[of_mesh] = table.triangle[surface[of_mesh] - (1 + table.boxes)]
    planes, beside = table.planes[number], x * view.right + y * view.down
    with np.errstate(divide="ignore", invalid="ignore"):
        near = planes[:, 3:4] + planes[:, 4:5] * x + planes[:, 5:6] * y
        way = beside - near * view.forward if view.parallel else (view.forward + beside) / near
    sky = (surface == NOWHERE)[:, None]
    return np.where(sky, np.nan, view.eye + way), np.where(sky, np.nan, planes[:, :3])
