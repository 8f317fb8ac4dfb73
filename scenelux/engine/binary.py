"""A binary tree over triangles, by the surface-area heuristic with bins, and what it needs to know of triangles."""

from __future__ import annotations

from math import inf, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled, inner
from scenelux.engine.lanes import TRIANGLES

__all__ = ["Sorting", "area", "count_flat", "doubled_area", "sort_triangles", "sorting", "write_bounds"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Indices = NDArray[np.int32]

BINS = 16
DEEPEST = 36
"""Below this depth nodes are cut into halves of equal number, so that the depth, and with it the stack, is bounded."""

FLAT = 1e-14
"""A triangle whose doubled area is below this part of its longest edge squared is a line or a point, and left out."""


@inner
def doubled_area(corners: Floats, a: int, b: int, c: int) -> float:
    """Twice the area of a triangle."""
    ux, uy, uz = corners[b, 0] - corners[a, 0], corners[b, 1] - corners[a, 1], corners[b, 2] - corners[a, 2]
    vx, vy, vz = corners[c, 0] - corners[a, 0], corners[c, 1] - corners[a, 1], corners[c, 2] - corners[a, 2]
    return float(sqrt((uy * vz - uz * vy) ** 2 + (uz * vx - ux * vz) ** 2 + (ux * vy - uy * vx) ** 2))


@inner
def longest_square(corners: Floats, a: int, b: int, c: int) -> float:
    """The longest edge of a triangle, squared."""
    longest = 0.0
    for one, two in ((a, b), (b, c), (c, a)):
        square = 0.0
        for axis in range(3):
            square += (corners[one, axis] - corners[two, axis]) ** 2
        longest = max(longest, square)
    return longest


@compiled
def write_bounds(corners: Floats, triangles: Indices, order: Indices, boxes: Singles) -> int:
    """Boxes around the triangles that have an area, and their numbers; how many those are."""
    used = 0
    for i in range(len(triangles)):
        a, b, c = triangles[i, 0], triangles[i, 1], triangles[i, 2]
        if doubled_area(corners, a, b, c) <= FLAT * longest_square(corners, a, b, c):
            continue
        order[used] = i
        for axis in range(3):
            boxes[used, axis] = min(corners[a, axis], corners[b, axis], corners[c, axis])
            boxes[used, 3 + axis] = max(corners[a, axis], corners[b, axis], corners[c, axis])
        used += 1
    return used


@compiled
def count_flat(corners: Floats, triangles: Indices) -> int:
    """How many triangles have no area."""
    count = 0
    for i in range(len(triangles)):
        a, b, c = triangles[i, 0], triangles[i, 1], triangles[i, 2]
        count += doubled_area(corners, a, b, c) <= FLAT * longest_square(corners, a, b, c)
    return count


class Sorting(NamedTuple):
    """What the sorting works on: a box and a number for each triangle, the binary tree, and room to count in."""

    boxes: Singles  # (m, 6) least x, y, z, most x, y, z; in the order of `order`
    order: Indices
    bounds: Singles  # (2 m, 6) of the nodes
    child: Indices  # (2 m,) first of two children, or -1
    begin: Indices
    end: Indices
    depth: Indices
    bins: Singles  # (3, BINS, 6)
    counts: Indices  # (3, BINS)
    right: Floats  # (BINS,)


@inner
def widen(bounds: Singles, to: int, boxes: Singles, i: int) -> None:
    """Let row `to` take in the box in row `i`."""
    for axis in range(3):
        bounds[to, axis] = min(bounds[to, axis], boxes[i, axis])
        bounds[to, 3 + axis] = max(bounds[to, 3 + axis], boxes[i, 3 + axis])


@inner
def emptied(bounds: Singles, at: int) -> None:
    """A box that holds nothing."""
    for axis in range(3):
        bounds[at, axis], bounds[at, 3 + axis] = inf, -inf


@inner
def area(bounds: Singles, at: int) -> float:
    """Half the surface of a box; 0 when it holds nothing."""
    x, y, z = bounds[at, 3] - bounds[at, 0], bounds[at, 4] - bounds[at, 1], bounds[at, 5] - bounds[at, 2]
    return float(x * y + y * z + z * x) if x >= 0.0 else 0.0


@inner
def place(low: float, scale: float, boxes: Singles, i: int, axis: int) -> int:
    """The bin of a triangle along an axis, by the middle of its box (doubled)."""
    return min(BINS - 1, int((boxes[i, axis] + boxes[i, 3 + axis] - low) * scale))


@inner
def binned(work: Sorting, begin: int, end: int, lows: tuple[float, ...], scales: tuple[float, ...]) -> None:
    """Count the triangles begin..end in the bins of all three axes, and the boxes around them."""
    for axis in range(3):
        for b in range(BINS):
            work.counts[axis, b] = 0
            emptied(work.bins[axis], b)
    for i in range(begin, end):
        for axis in range(3):
            b = place(lows[axis], scales[axis], work.boxes, i, axis)
            work.counts[axis, b] += 1
            widen(work.bins[axis], b, work.boxes, i)


@inner
def best_cut(work: Sorting, axis: int, scratch: Singles) -> tuple[float, int]:
    """Least cost of a cut between the bins of one axis, and the first bin beyond it."""
    emptied(scratch, 0)
    number = 0
    for b in range(BINS - 1, 0, -1):
        widen(scratch, 0, work.bins[axis], b)
        number += work.counts[axis, b]
        work.right[b] = area(scratch, 0) * ((number + TRIANGLES - 1) // TRIANGLES) if number else inf
    emptied(scratch, 0)
    number, least, cut = 0, inf, 0
    for b in range(BINS - 1):
        widen(scratch, 0, work.bins[axis], b)
        number += work.counts[axis, b]
        cost = area(scratch, 0) * ((number + TRIANGLES - 1) // TRIANGLES) + work.right[b + 1] if number else inf
        if cost < least:
            least, cut = cost, b + 1
    return least, cut


@inner
def swapped(work: Sorting, i: int, j: int) -> None:
    """Exchange two triangles."""
    for part in range(6):
        work.boxes[i, part], work.boxes[j, part] = work.boxes[j, part], work.boxes[i, part]
    work.order[i], work.order[j] = work.order[j], work.order[i]


@inner
def parted(work: Sorting, begin: int, end: int, axis: int, low: float, scale: float, cut: int) -> int:
    """Bring the triangles below the cut to the front; where the others begin."""
    i, j = begin, end
    while i < j:
        if place(low, scale, work.boxes, i, axis) < cut:
            i += 1
        else:
            j -= 1
            swapped(work, i, j)
    return i


@inner
def cut_node(work: Sorting, node: int, scratch: Singles) -> int:
    """Sort the triangles of a node into two halves; where the second begins."""
    begin, end = work.begin[node], work.end[node]
    emptied(scratch, 1)
    for i in range(begin, end):
        for axis in range(3):
            middle = work.boxes[i, axis] + work.boxes[i, 3 + axis]
            scratch[1, axis], scratch[1, 3 + axis] = min(scratch[1, axis], middle), max(scratch[1, 3 + axis], middle)
    lows = (float(scratch[1, 0]), float(scratch[1, 1]), float(scratch[1, 2]))
    wides = (scratch[1, 3] - scratch[1, 0], scratch[1, 4] - scratch[1, 1], scratch[1, 5] - scratch[1, 2])
    scales = (
        BINS / wides[0] if wides[0] > 1e-30 else 0.0,
        BINS / wides[1] if wides[1] > 1e-30 else 0.0,
        BINS / wides[2] if wides[2] > 1e-30 else 0.0,
    )
    middle_place = (begin + end) >> 1
    if work.depth[node] >= DEEPEST:
        return int(middle_place)
    binned(work, begin, end, lows, scales)
    least, cut, best = inf, 0, 0
    for axis in range(3):
        cost, where = best_cut(work, axis, scratch)
        if cost < least:
            least, cut, best = cost, where, axis
    if least == inf:
        return int(middle_place)
    return parted(work, begin, end, best, lows[best], scales[best], cut)


@inner
def add_node(work: Sorting, node: int, begin: int, end: int, depth: int) -> None:
    """A node over the triangles begin..end, not yet cut."""
    work.begin[node], work.end[node], work.depth[node], work.child[node] = begin, end, depth, -1
    emptied(work.bounds, node)
    for i in range(begin, end):
        widen(work.bounds, node, work.boxes, i)


@compiled
def sort_triangles(work: Sorting, scratch: Singles, waiting: Indices) -> int:
    """Grow the binary tree, branch after branch; how many nodes it has."""
    add_node(work, 0, 0, len(work.order), 0)
    used, top = 1, 1
    waiting[0] = 0
    while top:
        top -= 1
        node = waiting[top]
        if work.end[node] - work.begin[node] > TRIANGLES:
            middle = cut_node(work, node, scratch)
            work.child[node] = used
            add_node(work, used, work.begin[node], middle, work.depth[node] + 1)
            add_node(work, used + 1, middle, work.end[node], work.depth[node] + 1)
            waiting[top], waiting[top + 1] = used, used + 1
            used, top = used + 2, top + 2
    return used


def sorting(boxes: Singles, order: Indices) -> Sorting:
    """Room for the sorting; what is never written costs no memory."""
    most = 2 * len(order)
    child, begin, end, depth = (np.empty(most, np.int32) for _ in range(4))
    bins, counts = np.empty((3, BINS, 6), np.float32), np.empty((3, BINS), np.int32)
    bounds = np.empty((most, 6), np.float32)
    return Sorting(boxes, order, bounds, child, begin, end, depth, bins, counts, np.empty(BINS))
