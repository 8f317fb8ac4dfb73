"""What has no name in numba: an entry by a computed place, the look-up of eight points at once, the next number."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, cast

import scenelux.engine.cache  # noqa: F401  # Before anything of numba, so that its cache has a folder.

# isort: split
from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic

__all__ = ["EIGHT", "eight_lights", "element", "next_turn"]

EIGHT = 8
"""Points for which `eight_lights` looks up the table at once."""

CORNERS, FLOATS = ir.VectorType(ir.FloatType(), 4), ir.VectorType(ir.FloatType(), EIGHT)
DARK = ir.Constant(FLOATS, [0.0] * EIGHT)


def _element(typing: Any, array: Any, index: Any) -> Any:
    """array[index] for an index that is known to be 0 or more: counting from the end would cost a select each time."""

    def generate(context: Any, builder: ir.IRBuilder, signature: Any, arguments: Any) -> Any:
        values = context.make_array(array)(context, builder, arguments[0])
        short = builder.trunc(arguments[1], ir.IntType(32)) if index.bitwidth > 32 else arguments[1]
        place = builder.sext(short, cgutils.intp_t)
        return builder.load(builder.gep(values.data, [place], inbounds=True))

    return array.dtype(array, index), generate


element = cast(Callable[[Any, Any], Any], intrinsic(_element))
"""array[index] in a stage, for an index of at least 0."""


def _eight_lights(typing: Any, corners: Any, cells: Any, s: Any, rows: Any, first: Any) -> Any:
    """Bilinear intensity times factor of eight points from `first` on: s[rows[3] + k] = max(0, I(v, u)) s[rows[2] + k].

    cells[k] is where the corners of the cell of point k start in `corners`; rows are the starts of v, u, the factor
    and the result in s. The four corners of a point come in one load; eight loads are then turned about, so that each
    vector holds one corner of eight points.
    """

    def generate(context: Any, builder: ir.IRBuilder, signature: Any, arguments: Any) -> Any:
        table, places, scratch = (
            context.make_array(kind)(context, builder, value).data
            for kind, value in zip((corners, cells, s), arguments[:3], strict=True)
        )
        start = arguments[4]
        loads = [_corner_load(builder, table, _entry(builder, places, start, k)) for k in range(EIGHT)]
        one, two, three, four = _turned_about(builder, loads)
        v, u, factor, result = (
            builder.bitcast(builder.gep(scratch, [builder.add(start, row)]), FLOATS.as_pointer())
            for row in (builder.extract_value(arguments[3], place) for place in range(4))
        )
        v, u, factor = (builder.load(place, align=4) for place in (v, u, factor))
        near, beyond = _between(builder, one, two, v), _between(builder, three, four, v)
        candela = _between(builder, near, beyond, u)
        lit = builder.select(builder.fcmp_ordered(">", candela, DARK), candela, DARK)
        builder.store(builder.fmul(lit, factor), result, align=4)
        return context.get_dummy_value()

    return types.void(corners, cells, s, rows, first), generate


def _entry(builder: ir.IRBuilder, places: Any, start: Any, k: int) -> Any:
    at = builder.load(builder.gep(places, [builder.add(start, ir.Constant(cgutils.intp_t, k))]))
    return builder.sext(at, cgutils.intp_t)


def _corner_load(builder: ir.IRBuilder, table: Any, at: Any) -> Any:
    return builder.load(builder.bitcast(builder.gep(table, [at]), CORNERS.as_pointer()), align=4)


def _turned_about(builder: ir.IRBuilder, loads: list[Any]) -> list[Any]:
    """From four corners of each of eight points to eight points of each of four corners."""
    pairs = [_shuffled(builder, a, b, range(8)) for a, b in zip(loads[:4], loads[4:], strict=True)]
    low = [_shuffled(builder, a, b, (0, 8, 1, 9, 4, 12, 5, 13)) for a, b in (pairs[:2], pairs[2:])]
    high = [_shuffled(builder, a, b, (2, 10, 3, 11, 6, 14, 7, 15)) for a, b in (pairs[:2], pairs[2:])]
    masks = (0, 1, 8, 9, 4, 5, 12, 13), (2, 3, 10, 11, 6, 7, 14, 15)
    return [_shuffled(builder, a, b, mask) for a, b in (low, high) for mask in masks]


def _shuffled(builder: ir.IRBuilder, a: Any, b: Any, places: Iterable[int]) -> Any:
    return builder.shuffle_vector(a, b, ir.Constant(ir.VectorType(ir.IntType(32), 8), list(places)))


def _between(builder: ir.IRBuilder, a: Any, b: Any, along: Any) -> Any:
    """a + (b - a) along, in one instruction where the processor has it."""
    step = builder.fsub(b, a, flags=("contract",))
    return builder.fadd(a, builder.fmul(step, along, flags=("contract",)), flags=("contract",))


eight_lights = cast(Callable[..., None], intrinsic(_eight_lights))
"""Look-up of eight points of a tile at once."""


def _next_turn(typing: Any, turns: Any) -> Any:
    """The number in turns[0], which is one more from then on; no two threads get the same."""

    def generate(context: Any, builder: ir.IRBuilder, signature: Any, arguments: Any) -> Any:
        values = context.make_array(turns)(context, builder, arguments[0])
        return builder.atomic_rmw("add", values.data, ir.Constant(ir.IntType(64), 1), "monotonic")

    return turns.dtype(turns), generate


next_turn = cast(Callable[[Any], int], intrinsic(_next_turn))
"""The next number, from turns (1,) of int64 that several threads share."""
