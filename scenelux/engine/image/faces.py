"""What a camera may see, as flat faces: four edges and a depth, each of them linear over the picture.

A pixel place (x, y) lies in a face where all its edges, a + b x + c y, are 0 or more. Nearness, linear too, says which
face comes first: 1 / depth for a pinhole, -depth for parallel rays. So neither needs a division.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.arrays import Blockers
from scenelux.engine.image.camera import GroundPlane, ViewArrays

__all__ = [
    "CORNERS",
    "EDGES",
    "FaceArrays",
    "Planes",
    "box_planes",
    "ground_plane",
    "planes_of",
    "seen_faces",
    "windows",
]

Floats = NDArray[np.float64]
Shorts = NDArray[np.int32]

EDGES = 5
"""Four edges, and the plane of the eye where a face of parallel rays may reach behind it."""

EDGE_ON_M = 1e-9
"""An eye nearer to the plane of a face than this looks along it and does not see it."""

CORNERS = np.array([[x, y, z] for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
ROUND = ((4, 6, 7, 5), (0, 1, 3, 2), (2, 3, 7, 6), (0, 4, 5, 1), (1, 5, 7, 3), (0, 2, 6, 4))
"""Corners of the faces +first, -first, +second, .. of a box, counter-clockwise seen from outside."""

SIDES = np.array([[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]], dtype=np.float64)


class Planes(NamedTuple):
    """Planes as a camera sees them: unit normals towards it (n, 3), nearness (n, 3) as a, b and c of a + b x + c y,
    and which of them show this side."""

    normal: Floats
    nearness: Floats
    shown: NDArray[np.bool_]


class FaceArrays(NamedTuple):
    """Faces that show their outside, in the form in which kernels take them, in ascending order of surfaces.

    edges (F, 5, 3), nearness (F, 3), window (F, 4): first and last row and column that it may touch, surface (F,),
    side (F,): which face of its box, 0..5; the ground has surface 0 and goes as far as `far` [m].
    """

    edges: Floats
    nearness: Floats
    window: Shorts
    surface: Shorts
    side: NDArray[np.int8]
    far: float


def planes_of(view: ViewArrays, normals: Floats, points: Floats) -> Planes:
    """Planes through points from the eye (n, 3); shown are those whose normal points to the viewer."""
    away = (normals * points).sum(axis=1)
    turned = np.stack((normals @ view.forward, normals @ view.right, normals @ view.down), axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        if view.parallel:
            nearness = np.concatenate((-away[:, None], turned[:, 1:]), axis=1) / turned[:, :1]
            return Planes(normals, nearness, turned[:, 0] < -EDGE_ON_M)
        return Planes(normals, turned / away[:, None], away < -EDGE_ON_M)


def ground_plane(view: ViewArrays, ground: GroundPlane | None) -> Planes:
    """The side of the ground that the viewer sees; without ground, a plane that does not show."""
    normal, point = ((1.0, 0.0, 0.0), view.eye) if ground is None else (ground.normal, ground.point_m)
    normals, points = np.array([normal], dtype=np.float64), (point - view.eye)[None]
    one = planes_of(view, normals, points)
    found = one if one.shown[0] else planes_of(view, -normals, points)
    return found._replace(shown=found.shown & (ground is not None))


def box_planes(view: ViewArrays, blockers: Blockers) -> Planes:
    """All six planes of every box (6 B)."""
    normals = np.einsum("si,bij->bsj", SIDES, blockers.axes)
    reach = np.abs(SIDES) @ blockers.half_m.T
    points = (blockers.centre_m - view.eye)[:, None, :] + normals * reach.T[:, :, None]
    return planes_of(view, normals.reshape(-1, 3), points.reshape(-1, 3))


def seen_faces(view: ViewArrays, blockers: Blockers, ground: GroundPlane | None) -> FaceArrays:
    """The ground and every face of a box that shows its outside."""
    earth, planes = ground_plane(view, ground), box_planes(view, blockers)
    corners = (CORNERS * blockers.half_m[:, None, :]) @ blockers.axes + (blockers.centre_m - view.eye)[:, None, :]
    shown = np.flatnonzero(planes.shown)
    box, side = shown // 6, shown % 6
    corner = corners[box[:, None], np.array(ROUND)[side]]
    with_ground = slice(None if earth.shown[0] else 1, None)
    window = np.concatenate(([[0, view.height, 0, view.width]], windows(view, corner)))
    return FaceArrays(
        np.concatenate((_ground_edges(view, earth), _edges(view, corner, planes.nearness[shown])))[with_ground],
        np.concatenate((earth.nearness, planes.nearness[shown]))[with_ground],
        window[with_ground].astype(np.int32),
        np.append(0, 1 + box)[with_ground].astype(np.int32),
        np.append(0, side)[with_ground].astype(np.int8),
        np.inf if ground is None else ground.far_m,
    )


def _edges(view: ViewArrays, corner: Floats, nearness: Floats) -> Floats:
    """Edges (F, 5, 3) of faces with corners (F, 4, 3) from the eye; neighbours have the same but for the sign."""
    after = np.roll(corner, -1, axis=1)
    edges = np.zeros((len(corner), EDGES, 3))
    if view.parallel:
        square = np.cross(after - corner, view.forward)
        edges[:, :4, 0] = -0.5 * (square * (corner + after)).sum(axis=2)
        edges[:, 4] = -nearness
    else:
        square = -np.cross(corner, after)
        edges[:, :4, 0] = square @ view.forward
        edges[:, 4, 0] = 1.0
    edges[:, :4, 1], edges[:, :4, 2] = square @ view.right, square @ view.down
    return edges


def _ground_edges(view: ViewArrays, earth: Planes) -> Floats:
    """The ground has one edge, the horizon; of parallel rays, where it comes out of the plane of the eye."""
    edges = np.zeros((1, EDGES, 3))
    edges[0, :, 0] = 1.0
    edges[0, 0] = -earth.nearness[0] if view.parallel else earth.nearness[0]
    return edges


def windows(view: ViewArrays, corner: Floats) -> Floats:
    """First row, last row (not itself), first and last column that shapes with corners (n, k, 3) may touch."""
    depth = corner @ view.forward
    step = np.linalg.norm(view.right)
    scale = (1.0 if view.parallel else depth) * step * step
    with np.errstate(divide="ignore", invalid="ignore"):
        x, y = (corner @ view.right) / scale + 0.5 * view.width, (corner @ view.down) / scale + 0.5 * view.height
    found = np.stack((_low(y, view.height), _high(y, view.height), _low(x, view.width), _high(x, view.width)), axis=1)
    if not view.parallel:
        near = depth.min(axis=1) <= 1e-6 * np.abs(corner).max(axis=(1, 2))
        found[near] = 0, view.height, 0, view.width  # It reaches behind the eye and may fill any part of the picture.
    found[depth.max(axis=1) < 0.0] = 0
    return found


def _low(places: Floats, count: int) -> Floats:
    first: Floats = np.clip(np.floor(places.min(axis=1)) - 1.0, 0, count)
    return first


def _high(places: Floats, count: int) -> Floats:
    last: Floats = np.clip(np.ceil(places.max(axis=1)) + 1.0, 0, count)
    return last
