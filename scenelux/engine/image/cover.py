"""Which face every pixel sees first: tiles of the picture, faces that touch them, and a plain loop over each tile.

The loop works in single precision and knows how far it can be wrong. Where that could change which face comes first,
the pixel is asked again in double precision, so that the answer is that of double precision everywhere.
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.cache import compiled, merged, part, stage
from scenelux.engine.fast.angles import smaller
from scenelux.engine.image.camera import ViewArrays
from scenelux.engine.image.faces import EDGES, FaceArrays

__all__ = ["NOWHERE", "TALL", "TIE", "WIDE", "HitArrays", "Room", "cover_rows", "room_for"]

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Shorts = NDArray[np.int32]

WIDE, TALL = 16, 16
"""Pixels of a tile, as many as points of a tile of the fast path."""

PIXELS = WIDE * TALL
REACH_X, REACH_Y = 0.5 * (WIDE - 1), 0.5 * (TALL - 1)

NOISE = 1e-6
"""Three times what single precision can lose of an edge or a nearness, as part of its largest value in the tile."""

TIE = 1e-9
"""Of two surfaces nearer together than this part of their distance, the one of the lower number is seen."""

NOWHERE = -1
"""The surface of a pixel that sees the sky."""

DEPTH, TOLERANCE = 3 * EDGES, 3 * EDGES + 3
EDGE, DARK = np.float32(NOISE), np.float32(-3e38)
ONE, ZERO = np.float32(1.0), np.float32(0.0)


class HitArrays(NamedTuple):
    """What comes out, (height, width): the surface, which face of its box, and how far from the start of the ray."""

    surface: Shorts
    side: NDArray[np.int8]
    distance: Singles


class Room(NamedTuple):
    """Scratch memory of one thread: places in a tile, nearness so far, doubts, faces; and lists of faces."""

    right: Singles
    down: Singles
    best: Singles
    doubt: Singles
    face: Shorts
    numbers: Singles
    row: Shorts
    kept: Shorts
    highest: Floats
    covers: NDArray[np.bool_]


def room_for(faces: int) -> Room:
    """Scratch memory for so many faces."""
    right, down = np.meshgrid(np.arange(WIDE) - REACH_X, np.arange(TALL) - REACH_Y)
    return Room(
        right.ravel().astype(np.float32), down.ravel().astype(np.float32), np.empty(PIXELS, np.float32),
        np.empty(PIXELS, np.float32), np.empty(PIXELS, np.int32), np.empty(TOLERANCE + 1, np.float32),
        np.empty(faces, np.int32), np.empty(faces, np.int32), np.empty(faces), np.empty(faces, np.bool_),
    )  # fmt: skip


@compiled
def cover_rows(
    view: ViewArrays, faces: FaceArrays, culling: bool, first: int, last: int, room: Room, out: HitArrays
) -> None:
    """The rows of tiles first..last."""
    for tile_row in range(first, last):
        top = tile_row * TALL
        y = top + 0.5 * TALL - 0.5 * view.height
        listed = faces_in_rows(faces, top, culling, room)
        for left in range(0, view.width, WIDE):
            x = left + 0.5 * WIDE - 0.5 * view.width
            count = touching(faces, listed, left, x, y, culling, room)
            room.doubt[:] = ZERO
            if culling and count == 0:
                room.face[:] = NOWHERE
            elif culling and count == 1 and room.covers[0]:
                room.face[:] = room.kept[0]
            else:
                room.face[:] = NOWHERE
                room.best[:] = DARK if view.parallel else ZERO
                for k in range(count):
                    note(faces, room.kept[k], x, y, room.numbers)
                    cover(room.right, room.down, room.numbers, room.best, room.doubt, room.face, room.kept[k])
            write(view, faces, listed, top, left, room, out)


@merged
def faces_in_rows(faces: FaceArrays, top: int, culling: bool, room: Room) -> int:
    """List the faces that may touch a row of tiles; how many they are."""
    count = 0
    for face in range(len(faces.edges)):
        if not culling or (faces.window[face, 0] < top + TALL and faces.window[face, 1] > top):
            room.row[count] = face
            count += 1
    return count


@merged
def touching(faces: FaceArrays, listed: int, left: int, x: float, y: float, culling: bool, room: Room) -> int:
    """Keep the listed faces that may be seen in a tile, and whether each covers all of it; how many they are."""
    count, floor, tolerance = 0, -np.inf, 0.0
    for k in range(listed):
        face = room.row[k]
        if culling and (faces.window[face, 2] >= left + WIDE or faces.window[face, 3] <= left):
            continue
        covers, beside = True, False
        for edge in range(EDGES):
            a, b, c = faces.edges[face, edge, 0], faces.edges[face, edge, 1], faces.edges[face, edge, 2]
            middle, reach = a + b * x + c * y, abs(b) * REACH_X + abs(c) * REACH_Y
            noise = NOISE * (abs(middle) + reach)
            covers = covers and middle - reach > noise
            beside = beside or middle + reach < -noise
        if culling and beside:
            continue
        a, b, c = faces.nearness[face, 0], faces.nearness[face, 1], faces.nearness[face, 2]
        middle, reach = a + b * x + c * y, abs(b) * REACH_X + abs(c) * REACH_Y
        noise = NOISE * (abs(middle) + reach)
        tolerance = max(tolerance, 2.0 * noise)
        room.kept[count], room.highest[count], room.covers[count] = face, middle + reach + noise, covers
        count += 1
        if covers:
            floor = max(floor, middle - reach - noise)
    room.numbers[TOLERANCE] = tolerance
    return before(floor, count, room) if culling else count


@merged
def before(floor: float, count: int, room: Room) -> int:
    """Keep the faces that are not wholly behind one that covers the tile."""
    left = 0
    for k in range(count):
        if room.highest[k] >= floor:
            room.kept[left], room.covers[left] = room.kept[k], room.covers[k]
            left += 1
    return left


@merged
def note(faces: FaceArrays, face: int, x: float, y: float, numbers: Singles) -> None:
    """Edges and nearness of a face from the middle of a tile; edges in parts of their largest value in it."""
    for edge in range(EDGES):
        a, b, c = faces.edges[face, edge, 0], faces.edges[face, edge, 1], faces.edges[face, edge, 2]
        middle = a + b * x + c * y
        whole = abs(middle) + abs(b) * REACH_X + abs(c) * REACH_Y
        scale = 1.0 / whole if whole > 0.0 else 0.0
        numbers[3 * edge], numbers[3 * edge + 1], numbers[3 * edge + 2] = middle * scale, b * scale, c * scale
    a, b, c = faces.nearness[face, 0], faces.nearness[face, 1], faces.nearness[face, 2]
    numbers[DEPTH], numbers[DEPTH + 1], numbers[DEPTH + 2] = a + b * x + c * y, b, c


@part
def line(n: Singles, at: int, x: np.float32, y: np.float32) -> np.float32:
    """a + b x + c y."""
    value: np.float32 = n[at] + (n[at + 1] * x + n[at + 2] * y)
    return value


@stage
def cover(right: Singles, down: Singles, n: Singles, best: Singles, doubt: Singles, faces: Shorts, face: int) -> None:
    """Take the pixels of a tile that lie in a face and see nothing nearer; note where noise could decide."""
    tolerance, number = n[TOLERANCE], np.int32(face)
    for k in range(PIXELS):
        x, y = right[k], down[k]
        edge = smaller(smaller(line(n, 0, x, y), line(n, 3, x, y)), smaller(line(n, 6, x, y), line(n, 9, x, y)))
        edge = smaller(edge, line(n, 12, x, y))
        near = line(n, DEPTH, x, y)
        gap = near - best[k]
        surely = edge > EDGE and gap > tolerance
        perhaps = edge >= -EDGE and gap >= -tolerance
        doubt[k] = ONE if perhaps and not surely else doubt[k]
        best[k] = near if surely else best[k]
        faces[k] = number if surely else faces[k]


@merged
def asked_again(
    faces: FaceArrays, listed: int, row: Shorts, x: float, y: float, parallel: bool, with_ground: bool
) -> int:
    """The face that a pixel place sees first, of all that are listed, in double precision."""
    found, best = NOWHERE, 0.0
    for k in range(listed):
        face = row[k]
        inside = with_ground or faces.surface[face] != 0
        for edge in range(EDGES):
            inside = inside and (
                faces.edges[face, edge, 0] + faces.edges[face, edge, 1] * x + faces.edges[face, edge, 2] * y >= 0.0
            )
        near = faces.nearness[face, 0] + faces.nearness[face, 1] * x + faces.nearness[face, 2] * y
        if inside and (parallel or near > 0.0) and (found == NOWHERE or near > best + TIE * abs(best)):
            found, best = face, near
    return found


@merged
def distance_m(view: ViewArrays, faces: FaceArrays, face: int, x: float, y: float) -> float:
    """From the start of a ray to a face."""
    near = faces.nearness[face, 0] + faces.nearness[face, 1] * x + faces.nearness[face, 2] * y
    step = view.right[0] * view.right[0] + view.right[1] * view.right[1] + view.right[2] * view.right[2]
    return float(-near if view.parallel else sqrt(1.0 + step * (x * x + y * y)) / near)


@merged
def write(view: ViewArrays, faces: FaceArrays, listed: int, top: int, left: int, room: Room, out: HitArrays) -> None:
    """Put a tile into the picture; doubtful pixels are asked again, and so is ground that is too far."""
    for i in range(min(TALL, view.height - top)):
        y = top + i + 0.5 - 0.5 * view.height
        for j in range(min(WIDE, view.width - left)):
            x = left + j + 0.5 - 0.5 * view.width
            face = room.face[i * WIDE + j]
            if room.doubt[i * WIDE + j] > ZERO:
                face = asked_again(faces, listed, room.row, x, y, view.parallel, True)
            far = distance_m(view, faces, face, x, y) if face >= 0 else np.inf
            if face >= 0 and faces.surface[face] == 0 and far > faces.far:
                face = asked_again(faces, listed, room.row, x, y, view.parallel, False)
                far = distance_m(view, faces, face, x, y) if face >= 0 else np.inf
            out.surface[top + i, left + j] = faces.surface[face] if face >= 0 else NOWHERE
            out.side[top + i, left + j] = faces.side[face] if face >= 0 else 0
            out.distance[top + i, left + j] = far
