"""Two instructions that have no name in numba: reading an entry by a computed place, and taking the next number."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

import scenelux.engine.cache  # noqa: F401  # Before anything of numba, so that its cache has a folder.

# isort: split
from llvmlite import ir
from numba.core import cgutils
from numba.extending import intrinsic

__all__ = ["element", "next_turn"]


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


def _next_turn(typing: Any, turns: Any) -> Any:
    """The number in turns[0], which is one more from then on; no two threads get the same."""

    def generate(context: Any, builder: ir.IRBuilder, signature: Any, arguments: Any) -> Any:
        values = context.make_array(turns)(context, builder, arguments[0])
        return builder.atomic_rmw("add", values.data, ir.Constant(ir.IntType(64), 1), "monotonic")

    return turns.dtype(turns), generate


next_turn = cast(Callable[[Any], int], intrinsic(_next_turn))
"""The next number, from turns (1,) of int64 that several threads share."""
