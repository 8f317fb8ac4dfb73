"""Triangles in a picture: a ray for every pixel that the box around the mesh may touch."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.bvh import MeshArrays
from scenelux.engine.cache import compiled, inner
from scenelux.engine.image.camera import ViewArrays
from scenelux.engine.image.cover import NOWHERE, TIE, HitArrays
from scenelux.engine.rays import first_hit

__all__ = ["trace_rows"]

Floats = NDArray[np.float64]
Indices = NDArray[np.int32]


@inner
def plane_share(
    corners: Floats, triangle: Indices, ox: float, oy: float, oz: float, dx: float, dy: float, dz: float, met: float
) -> float:
    """Where a ray o + t d meets the plane of a triangle; `met` is where it meets its skin, and nearly the same."""
    a, b, c = triangle[0], triangle[1], triangle[2]
    x, y, z = corners[a, 0], corners[a, 1], corners[a, 2]
    ux, uy, uz = corners[b, 0] - x, corners[b, 1] - y, corners[b, 2] - z
    vx, vy, vz = corners[c, 0] - x, corners[c, 1] - y, corners[c, 2] - z
    nx, ny, nz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    t = (nx * (x - ox) + ny * (y - oy) + nz * (z - oz)) / (nx * dx + ny * dy + nz * dz)
    return t if t > 0.0 and t < np.inf else met


@compiled
def trace_rows(
    view: ViewArrays, mesh: MeshArrays, corners: Floats, triangles: Indices, nearness: Floats, boxes: int,
    columns: tuple[int, int], first: int, last: int, out: HitArrays,
) -> None:  # fmt: skip
    """Triangles that come before what the pixels of some rows and columns see up to here.

    nearness (1 + 6 B, 3) : of the ground and of all faces of all boxes.
    """
    eye, ahead, right, down = view.eye, view.forward, view.right, view.down
    for row in range(first, last):
        y = row + 0.5 - 0.5 * view.height
        for column in range(columns[0], columns[1]):
            x = column + 0.5 - 0.5 * view.width
            ax, ay, az = x * right[0] + y * down[0], x * right[1] + y * down[1], x * right[2] + y * down[2]
            ox, oy, oz, dx, dy, dz = eye[0], eye[1], eye[2], ahead[0], ahead[1], ahead[2]
            if view.parallel:
                ox, oy, oz = ox + ax, oy + ay, oz + az
            else:
                dx, dy, dz = dx + ax, dy + ay, dz + az
            met, triangle, _, _ = first_hit(mesh, ox, oy, oz, dx, dy, dz)
            if triangle < 0:
                continue
            t = plane_share(corners, triangles[triangle], ox, oy, oz, dx, dy, dz, met)
            surface = out.surface[row, column]
            if surface != NOWHERE:
                plane = 6 * surface - 5 + out.side[row, column] if surface > 0 else 0
                before = nearness[plane, 0] + nearness[plane, 1] * x + nearness[plane, 2] * y
                if (-t if view.parallel else 1.0 / t) <= before + TIE * abs(before):
                    continue
            out.surface[row, column], out.side[row, column] = 1 + boxes + triangle, 0
            out.distance[row, column] = t * np.sqrt(dx * dx + dy * dy + dz * dz)
