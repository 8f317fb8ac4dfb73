"""Vector instructions for rays against a mesh: eight boxes or four triangles in one stroke.

The compiler finds vectors in long loops, not in eight numbers of a tree's node; so these few functions are written in
its own language. On a processor without such vectors it takes them apart; the answers are the same.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

import numba.core
from llvmlite import ir
from numba.extending import intrinsic

__all__ = [
    "BOXES",
    "CACHE_LINE",
    "STACK",
    "TRIANGLES",
    "fetcher",
    "four_triangles",
    "hit_boxes",
    "hit_triangles",
    "lowest",
    "near_boxes",
    "room_for_numbers",
    "room_for_shares",
    "room_for_singles",
]

types: Any = numba.core.types
cgutils: Any = numba.core.cgutils

BOXES = 8
"""Boxes in a node of the tree."""

TRIANGLES = 4
"""Triangles in a block."""

CACHE_LINE = 64

STACK = 512
"""Places in the waiting room; a tree is never deeper than this allows."""

FLOATS = ir.VectorType(ir.FloatType(), BOXES)
DOUBLES = ir.VectorType(ir.DoubleType(), TRIANGLES)
FLOAT = ir.FloatType()
DOUBLE = ir.DoubleType()
INT = ir.IntType(32)
LONG = ir.IntType(64)


def instruction(function: Callable[..., Any]) -> Callable[..., Any]:
    """A function for kernels whose body hands numba the instructions themselves; `typing` is numba's own argument."""
    return cast(Callable[..., Any], intrinsic(function))


class Vectors:
    """The few operations on whole vectors that are needed, in the order in which they are to happen."""

    def __init__(self, builder: Any, kind: Any) -> None:
        self.builder, self.kind = builder, kind

    def spread(self, scalar: Any) -> Any:
        """The same number in every lane."""
        first = self.builder.insert_element(ir.Constant(self.kind, ir.Undefined), scalar, INT(0))
        lanes = ir.Constant(ir.VectorType(INT, self.kind.count), [0] * self.kind.count)
        return self.builder.shuffle_vector(first, ir.Constant(self.kind, ir.Undefined), lanes)

    def load(self, data: Any, index: Any, align: int) -> Any:
        place = self.builder.bitcast(self.builder.gep(data, [index]), ir.PointerType(self.kind))
        value = self.builder.load(place)
        value.align = align
        return value

    def most(self, a: Any, b: Any) -> Any:
        return self.builder.select(self.builder.fcmp_ordered(">", a, b), a, b)

    def least(self, a: Any, b: Any) -> Any:
        return self.builder.select(self.builder.fcmp_ordered("<", a, b), a, b)

    def scaled(self, a: Any, factor: Any, less: Any) -> Any:
        """a * factor - less, in one rounding or two, as the processor likes it."""
        name = f"llvm.fmuladd.v{self.kind.count}f32"
        kind = ir.FunctionType(self.kind, [self.kind] * 3)
        return self.builder.call(cgutils.get_or_insert_function(self.builder.module, kind, name), [a, factor, less])

    def mask(self, flags: Any) -> Any:
        """One bit a lane, as an integer."""
        return self.builder.zext(self.builder.bitcast(flags, ir.IntType(self.kind.count)), LONG)


def _data(context: Any, builder: Any, kind: Any, array: Any) -> Any:
    return context.make_array(kind)(context, builder, array).data


def _boxes(context: Any, builder: Any, signature: Any, arguments: Any) -> tuple[Any, Any, Any]:
    """Slabs: the ray is in a box from the last of the near sides it meets to the first of the far sides."""
    values, start, offsets, parts, end = arguments
    data, lanes = _data(context, builder, signature.args[0], values), Vectors(builder, FLOATS)
    enter = lanes.spread(FLOAT(0.0))
    leave = lanes.spread(end)
    eight = LONG(BOXES)
    for axis in range(3):
        slope = lanes.spread(builder.extract_value(parts, axis))
        shift = lanes.spread(builder.extract_value(parts, 3 + axis))
        row = builder.extract_value(offsets, axis)
        near = lanes.load(data, builder.add(start, row), 4)
        far = lanes.load(data, builder.add(start, builder.xor(row, eight)), 4)
        enter = lanes.most(lanes.scaled(near, slope, shift), enter)
        leave = lanes.least(lanes.scaled(far, slope, shift), leave)
    return lanes, builder.fcmp_ordered("<=", enter, leave), enter


@instruction
def hit_boxes(typing: Any, bounds: Any, first: Any, rows: Any, ray: Any, last: Any) -> Any:
    """Which of eight boxes a ray meets between 0 and `last`, one bit each.

    bounds : float32, flat: from index `first` on six rows of eight: least and most x, least and most y, z.
    rows : offsets of the rows that the ray meets first, of x, y and z.
    ray : 1 / direction and -origin / direction, each x, y, z, float32.
    """

    def make(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        lanes, met, _ = _boxes(context, builder, signature, arguments)
        return lanes.mask(met)

    return types.int64(bounds, first, rows, ray, last), make


@instruction
def near_boxes(typing: Any, bounds: Any, first: Any, rows: Any, ray: Any, last: Any, room: Any) -> Any:
    """As `hit_boxes`, and writes where the ray enters each box into the first eight of `room`."""

    def make(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        lanes, met, enter = _boxes(context, builder, signature, arguments[:-1])
        builder.store(enter, builder.bitcast(arguments[-1], ir.PointerType(FLOATS))).align = 4
        return lanes.mask(met)

    return types.int64(bounds, first, rows, ray, last, room), make


def _triangles(context: Any, builder: Any, signature: Any, arguments: Any) -> tuple[Any, ...]:
    """Watertight test of four triangles: whether the line from origin to end passes through, t * e, e, and the edges.

    The corners are moved to the ray's origin and sheared along its longest axis, so that the ray becomes that axis.
    Every corner is computed by itself, and products are rounded before they are compared: an edge that two triangles
    share has exactly opposite values in both, and a value of 0 counts as hit.
    """
    values, start, offsets, origin, shear, depth = arguments
    data, lanes = _data(context, builder, signature.args[0], values), Vectors(builder, DOUBLES)
    o = [lanes.spread(builder.extract_value(origin, axis)) for axis in range(3)]
    s = [lanes.spread(builder.extract_value(shear, axis)) for axis in range(2)]
    corners = []
    for corner in range(3):
        base = builder.add(start, LONG(corner * 3 * TRIANGLES))
        x, y, z = (
            builder.fsub(lanes.load(data, builder.add(base, builder.extract_value(offsets, axis)), 8), o[axis])
            for axis in range(3)
        )
        corners.append((builder.fsub(x, builder.fmul(s[0], z)), builder.fsub(y, builder.fmul(s[1], z)), z))
    edges = []
    for (px, py, _), (qx, qy, _) in ((corners[2], corners[1]), (corners[0], corners[2]), (corners[1], corners[0])):
        edges.append(builder.fsub(builder.fmul(px, qy), builder.fmul(py, qx)))
    zero = lanes.spread(DOUBLE(0.0))
    u, v, w = edges
    least, most = lanes.least(lanes.least(u, v), w), lanes.most(lanes.most(u, v), w)
    within = builder.or_(builder.fcmp_ordered(">=", least, zero), builder.fcmp_ordered("<=", most, zero))
    area = builder.fadd(builder.fadd(u, v), w)
    height = builder.fadd(builder.fadd(builder.fmul(u, corners[0][2]), builder.fmul(v, corners[1][2])),
                          builder.fmul(w, corners[2][2]))  # fmt: skip
    full = builder.fmul(area, lanes.spread(depth))
    negative = builder.fcmp_ordered("<", full, zero)
    height = builder.select(negative, builder.fsub(zero, height), height)
    full = builder.select(negative, builder.fsub(zero, full), full)
    skin = lanes.load(data, builder.add(start, LONG(9 * TRIANGLES)), 8)
    before = builder.fcmp_ordered(">", height, skin)
    behind = builder.fcmp_ordered(">", builder.fsub(full, height), skin)
    return lanes, builder.and_(within, builder.and_(before, behind)), height, full, edges, area


@instruction
def hit_triangles(typing: Any, blocks: Any, first: Any, axes: Any, origin: Any, shear: Any, depth: Any) -> Any:
    """Which of four triangles stand between the ends of a segment, one bit each.

    blocks : float64, flat: from index `first` on ten rows of four: x, y, z of three corners, and what either end must
        be away from the triangle's plane, times twice its area.
    axes : offsets of the rows of the two short axes of the segment and of its longest.
    origin : start of the segment along those three axes. shear : its slopes along the two. depth : its length along z.
    """

    def make(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        lanes, hit, *_ = _triangles(context, builder, signature, arguments)
        return lanes.mask(hit)

    return types.int64(blocks, first, axes, origin, shear, depth), make


@instruction
def four_triangles(
    typing: Any, blocks: Any, first: Any, axes: Any, origin: Any, shear: Any, depth: Any, room: Any
) -> Any:
    """As `hit_triangles`, and writes t (share of the segment), u and v of all four into the first 12 of `room`."""

    def make(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        lanes, hit, height, full, edges, area = _triangles(context, builder, signature, arguments[:-1])
        shares = builder.fdiv(height, full), builder.fdiv(edges[1], area), builder.fdiv(edges[2], area)
        for row, values in enumerate(shares):
            place = builder.gep(arguments[-1], [LONG(row * TRIANGLES)])
            builder.store(values, builder.bitcast(place, ir.PointerType(DOUBLES))).align = 8
        return lanes.mask(hit)

    return types.int64(blocks, first, axes, origin, shear, depth, room), make


@instruction
def lowest(typing: Any, mask: Any) -> Any:
    """Place of the lowest bit that is set."""

    def make(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return builder.cttz(arguments[0], ir.IntType(1)(1))

    return types.int64(types.int64), make


def fetcher(size_bytes: int) -> Callable[..., Any]:
    """A function for kernels, fetch(array, first): ask for so many bytes from an item on, before they are needed."""

    @instruction
    def fetch(typing: Any, array: Any, first: Any) -> Any:
        byte = ir.IntType(8).as_pointer()
        kind = ir.FunctionType(ir.VoidType(), [byte, INT, INT, INT])

        def make(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            data = _data(context, builder, signature.args[0], arguments[0])
            start = builder.bitcast(builder.gep(data, [arguments[1]]), byte)
            ask = cgutils.get_or_insert_function(builder.module, kind, "llvm.prefetch.p0")
            for at in range(0, size_bytes, CACHE_LINE):
                builder.call(ask, [builder.gep(start, [LONG(at)]), INT(0), INT(3), INT(1)])
            return context.get_dummy_value()

        return types.void(array, types.int64), make

    return fetch


@instruction
def room_for_numbers(typing: Any) -> Any:
    """Room for whole numbers, such as the nodes that wait while others are looked at; it ends with the kernel."""
    return types.CPointer(types.int32)(), lambda context, builder, *_: cgutils.alloca_once(builder, INT, size=STACK)


@instruction
def room_for_singles(typing: Any) -> Any:
    """Room for single numbers: what `near_boxes` writes, or where rays enter the nodes that wait."""
    return types.CPointer(types.float32)(), lambda context, builder, *_: cgutils.alloca_once(builder, FLOAT, size=STACK)


@instruction
def room_for_shares(typing: Any) -> Any:
    """Room for what `four_triangles` writes."""
    size = 3 * TRIANGLES
    return types.CPointer(types.float64)(), lambda context, builder, *_: cgutils.alloca_once(builder, DOUBLE, size=size)
