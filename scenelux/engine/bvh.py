"""A tree of boxes over triangles: built once by the surface-area heuristic, eight children to a node.

First a binary tree: the triangles of a node are sorted into bins along each axis, and cut where the chance of a ray to
meet either half, times the blocks of triangles in it, is least. Then every node takes in the largest of its
descendants until it has eight children. A leaf is one block of at most four triangles.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.binary import Sorting, area, doubled_area, sort_triangles, sorting, write_bounds
from scenelux.engine.cache import compiled, inner
from scenelux.engine.lanes import BOXES, CACHE_LINE, TRIANGLES

__all__ = ["MeshArrays", "built", "no_mesh"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Indices = NDArray[np.int32]
Signs = NDArray[np.int8]

WAITING = 512
"""Places for nodes that wait in the building; a binary tree 60 deep needs 61, a wide one seven a level."""

NODE = 6 * BOXES
BLOCK = 10 * TRIANGLES

PAD = 2.0**-21
"""Boxes are made larger on every side by this part of the mesh's longest edge.

Boxes are single numbers, and so is the ray against them, counted from the middle of the mesh and from where it enters
the box around all. All roundings together (at most 4.5 / 2**24) move a face by less than this (8 / 2**24), so no box is
missed in which a triangle is hit. The triangles themselves are double numbers.
"""

NOWHERE = 1e30


class MeshArrays(NamedTuple):
    """A mesh and its tree in the form in which kernels take them; lengths count from `centre`.

    centre (3,), root (6,) least and most x, y, z of all; bounds: for each node six rows of eight (least x, most x,
    ..); children: for each node eight, a node from 0 up or the complement of a block; blocks: for each ten rows of
    four, three corners' x, y, z and the skin; names: for each four numbers of triangles, -1 where none; outward
    by number of triangle: 1 or -1 for bodies, by the winding, 0 for sheets.
    """

    centre: Floats
    root: Floats
    bounds: Singles
    children: Indices
    blocks: Floats
    names: Indices
    outward: Signs


@inner
def gathered(work: Sorting, node: int, family: Indices) -> int:
    """Write the up to eight descendants that a wide node takes as children into `family`, largest first."""
    family[0] = node
    count = 1
    while count < BOXES:
        largest, widest = -1, -1.0
        for k in range(count):
            size = area(work.bounds, family[k])
            if work.child[family[k]] >= 0 and size > widest:
                largest, widest = k, size
        if largest < 0:
            break
        first = work.child[family[largest]]
        family[largest], family[count] = first, first + 1
        count += 1
    for k in range(1, count):
        for j in range(k, 0, -1):
            if area(work.bounds, family[j]) > area(work.bounds, family[j - 1]):
                family[j], family[j - 1] = family[j - 1], family[j]
    return count


@inner
def write_box(bounds: Singles, base: int, k: int, tree: Singles, child: int, pad: float) -> None:
    """The box of a child in lane k of a node, made larger by the pad."""
    for axis in range(3):
        bounds[base + 2 * axis * BOXES + k] = tree[child, axis] - pad
        bounds[base + (2 * axis + 1) * BOXES + k] = tree[child, 3 + axis] + pad


@inner
def write_nowhere(bounds: Singles, base: int, k: int) -> None:
    """A box that no ray meets, least sides above most."""
    for row in range(6):
        bounds[base + row * BOXES + k] = NOWHERE if row % 2 == 0 else -NOWHERE


@compiled
def widen_tree(work: Sorting, pad: float, waiting: Indices, family: Indices, wide: MeshArrays) -> tuple[int, int]:
    """Write the wide nodes and the triangles' numbers of each leaf; how many nodes and blocks there are.

    waiting : (n, 2), binary node and wide node. Nodes of one parent lie side by side, those of one branch near.
    """
    nodes, blocks, top = 1, 0, 1
    waiting[0, 0], waiting[0, 1] = 0, 0
    while top:
        top -= 1
        node, at = waiting[top, 0], waiting[top, 1]
        count = gathered(work, node, family)
        for k in range(BOXES):
            if k >= count:
                write_nowhere(wide.bounds, at * NODE, k)
                continue
            child = family[k]
            write_box(wide.bounds, at * NODE, k, work.bounds, child, pad)
            if work.child[child] >= 0:
                wide.children[at * BOXES + k] = nodes
                waiting[top, 0], waiting[top, 1] = child, nodes
                nodes, top = nodes + 1, top + 1
            else:
                wide.children[at * BOXES + k] = ~blocks
                for i in range(work.begin[child], work.end[child]):
                    wide.names[blocks * TRIANGLES + i - work.begin[child]] = work.order[i]
                blocks += 1
    return nodes, blocks


@compiled
def write_blocks(wide: MeshArrays, corners: Floats, triangles: Indices, skin: Floats) -> None:
    """The corners of the triangles, block by block; a lane without a triangle holds three times the same point."""
    for lane in range(len(wide.names)):
        base = (lane // TRIANGLES) * BLOCK + lane % TRIANGLES
        if wide.names[lane] < 0:
            for row in range(10):
                wide.blocks[base + row * TRIANGLES] = 0.0
            continue
        for corner in range(3):
            vertex = triangles[wide.names[lane], corner]
            for axis in range(3):
                wide.blocks[base + (3 * corner + axis) * TRIANGLES] = corners[vertex, axis]
        wide.blocks[base + 9 * TRIANGLES] = skin[wide.names[lane]]


@compiled
def write_skins(corners: Floats, triangles: Indices, outward: Signs, skin: float, skins: Floats) -> None:
    """What either end of a segment must be off the plane of a sheet's triangle, times twice its area; 0 for a body."""
    for i in range(len(triangles)):
        skins[i] = 0.0
        if outward[i] == 0:
            skins[i] = skin * doubled_area(corners, triangles[i, 0], triangles[i, 1], triangles[i, 2])


def built(centre: Floats, corners: Floats, triangles: Indices, outward: Signs, skin_m: float) -> MeshArrays:
    """The tree over triangles.

    Parameters
    ----------
    centre : (3,), from where the corners count, site frame [m].
    corners : (n, 3) [m]. triangles : (m, 3), numbers of corners.
    outward : (m,), 1 or -1 for triangles of bodies, by their winding; 0 for those of sheets.
    skin_m : how far an end of a segment must be off the plane of a sheet to be stopped by it [m].
    """
    boxes, order = np.empty((len(triangles), 6), np.float32), np.empty(len(triangles), np.int32)
    count = write_bounds(corners, triangles, order, boxes)
    if count == 0:
        return no_mesh()
    work = sorting(boxes[:count], order[:count])
    nodes = sort_triangles(work, np.empty((2, 6), np.float32), np.empty(WAITING, np.int32))
    low, high = work.bounds[0, :3].astype(np.float64), work.bounds[0, 3:].astype(np.float64)
    pad = PAD * float((high - low).max())
    leaves = (nodes + 1) // 2
    wide = MeshArrays(
        centre, np.concatenate([low - pad, high + pad]), np.empty(leaves * NODE, np.float32),
        np.zeros(leaves * BOXES, np.int32), np.empty(0), np.full(leaves * TRIANGLES, -1, np.int32), outward,
    )  # fmt: skip
    used, blocks = widen_tree(work, pad, np.empty((WAITING, 2), np.int32), np.empty(BOXES, np.int32), wide)
    del work, boxes
    skins = np.empty(len(triangles))
    write_skins(corners, triangles, outward, skin_m, skins)
    tree = wide._replace(
        bounds=_aligned(used * NODE, np.float32), children=_aligned(used * BOXES, np.int32),
        names=wide.names[: blocks * TRIANGLES].copy(), blocks=_aligned(blocks * BLOCK, np.float64),
    )  # fmt: skip
    tree.bounds[:], tree.children[:] = wide.bounds[: used * NODE], wide.children[: used * BOXES]
    write_blocks(tree, corners, triangles, skins)
    return _read_only(tree)


def no_mesh() -> MeshArrays:
    """A tree over nothing: no ray enters it."""
    numbers, root = np.empty(0, np.int32), np.array([1.0, 1.0, 1.0, 0.0, 0.0, 0.0])
    empty = np.empty(0)
    return _read_only(
        MeshArrays(np.zeros(3), root, np.empty(0, np.float32), numbers, empty, numbers, np.empty(0, np.int8))
    )


def _aligned(count: int, kind: Any) -> Any:
    """An array that starts with a line of the processor's cache, so that nodes and blocks are whole lines."""
    size = count * np.dtype(kind).itemsize
    raw = np.empty(size + CACHE_LINE, np.uint8)
    return raw[-raw.ctypes.data % CACHE_LINE :][:size].view(kind)


def _read_only(tree: MeshArrays) -> MeshArrays:
    """Every array as a read-only view, the only form in which kernels take them."""
    views: list[Any] = [array[...] for array in tree]
    for view in views:
        view.flags.writeable = False
    return MeshArrays(*views)
