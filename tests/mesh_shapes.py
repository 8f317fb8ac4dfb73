"""Shapes made of triangles for tests of the mesh engine, and the literal test of every triangle beside the fast one."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]

CORNERS = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)
FACES = np.array([[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]])
BOX = np.concatenate([FACES[:, [0, 1, 2]], FACES[:, [0, 2, 3]]])
"""The twelve triangles of a box over `CORNERS`, counter-clockwise seen from outside."""


def boxes(centre: Floats, half: Floats, axes: Floats) -> tuple[Floats, Numbers]:
    """Boxes as the engine takes them (rows of axes are edge directions), as triangles."""
    corners = (CORNERS * half[:, None, :]) @ axes + centre[:, None, :]
    return corners.reshape(-1, 3), (BOX[None] + 8 * np.arange(len(centre))[:, None, None]).reshape(-1, 3)


def ball(triangles: int, bumps: float = 0.1, radius_m: float = 2.0) -> tuple[Floats, Numbers]:
    """A closed ball with bumps on it, of about so many triangles; poles are one vertex each."""
    rings = max(3, round(np.sqrt(triangles / 2)))
    polar, around = np.meshgrid(
        np.linspace(0, np.pi, rings + 1)[1:-1], np.arange(rings) * 2 * np.pi / rings, indexing="ij"
    )
    r = radius_m * (1 + bumps * np.sin(9 * polar) * np.sin(7 * around) * np.sin(polar))
    skin = np.stack([np.sin(polar) * np.cos(around), np.sin(polar) * np.sin(around), np.cos(polar)], -1) * r[..., None]
    count = rings * (rings - 1)
    vertices = np.concatenate([skin.reshape(-1, 3), [[0, 0, radius_m], [0, 0, -radius_m]]])
    i, j = np.meshgrid(np.arange(rings - 2), np.arange(rings), indexing="ij")
    a, b = (i * rings + j).ravel(), (i * rings + (j + 1) % rings).ravel()
    one, two = np.arange(rings), (np.arange(rings) + 1) % rings
    caps = [
        np.c_[one, two, np.full(rings, count)],
        np.c_[two + count - rings, one + count - rings, np.full(rings, count + 1)],
    ]
    return vertices, np.concatenate([np.c_[a, a + rings, b], np.c_[b, a + rings, b + rings], *caps])


def soup(count: int, size_m: float, generator: np.random.Generator) -> tuple[Floats, Numbers]:
    """Triangles that have nothing to do with each other, in a cube of 10 m."""
    middles = generator.uniform(-5, 5, (count, 1, 3))
    vertices = middles + generator.normal(0, size_m, (count, 3, 3))
    return vertices.reshape(-1, 3), np.arange(3 * count).reshape(-1, 3)


def all_triangles(
    vertices: Floats, triangles: Numbers, start: Floats, step: Floats, slack: float
) -> tuple[Floats, bool]:
    """t of one ray at every triangle (inf where missed), and whether an edge comes nearer than the slack.

    Moeller and Trumbore's formula as printed: barycentric coordinates by Cramer's rule.
    """
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    one, two = b - a, c - a
    p = np.cross(step, two)
    whole = (one * p).sum(1)
    with np.errstate(divide="ignore", invalid="ignore"):
        away = start - a
        u = (away * p).sum(1) / whole
        q = np.cross(away, one)
        v = (q @ step) / whole
        t = (two * q).sum(1) / whole
    margin = np.minimum(np.minimum(u, v), 1 - u - v)
    met = (margin >= 0) & (t > 0)
    close = (np.abs(margin) < slack) & (t > -slack)
    return np.where(met, t, np.inf), bool(close.any())
