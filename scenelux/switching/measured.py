"""Which level vectors break a property; quantities are asked once for each different one."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.switching.outcomes import Outcomes
from scenelux.switching.properties import (
    FailsTo,
    LevelsAtLeast,
    LevelsAtMost,
    NeverDimmed,
    Property,
    QuantityAtLeast,
    QuantityAtMost,
)
from scenelux.switching.rules import Switching

__all__ = ["SAME", "Quantities", "Quantity", "broken", "limit_in_words", "quantity_of"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Quantity: TypeAlias = Callable[[Floats], Floats]

SAME = 1e-9
"""Levels nearer than this are the same: products of factors round."""


class Quantities:
    """Values of named quantities, kept for each different row of levels."""

    def __init__(self, switching: Switching, functions: dict[str, Quantity], properties: tuple[Property, ...]) -> None:
        self.functions, self.known = functions, {name: dict[bytes, float]() for name in functions}
        for stated in properties:
            name = quantity_of(stated)
            if name is not None and name not in functions:
                accepted = f"give one of {', '.join(functions)}" if functions else "no quantity is given"
                raise UsageError("is not a quantity", key=f'properties."{stated.id}"', value=name, accepted=accepted)
            unknown = sorted(set(_circuits(stated)) - set(switching.circuits))
            if unknown:
                accepted = f"give one of {', '.join(switching.circuits)}"
                raise UsageError(
                    "is not a circuit", key=f'properties."{stated.id}"', value=unknown[0], accepted=accepted
                )

    @property
    def asked(self) -> int:
        """Different rows of levels that any quantity was asked for."""
        return len({row for values in self.known.values() for row in values})

    def of(self, name: str, levels: Floats) -> Floats:
        """Values of one quantity for rows of levels (n, circuits)."""
        known = self.known[name]
        keys = [row.tobytes() for row in np.ascontiguousarray(levels) + 0.0]
        new = dict.fromkeys(key for key in keys if key not in known)
        if new:
            rows = np.frombuffer(b"".join(new), np.float64).reshape(len(new), levels.shape[1])
            known.update(zip(new, np.asarray(self.functions[name](rows), np.float64).tolist(), strict=True))
        return np.array([known[key] for key in keys], np.float64)


def quantity_of(stated: Property) -> str | None:
    """Name of the quantity that a property limits."""
    return stated.quantity if isinstance(stated, QuantityAtLeast | QuantityAtMost) else None


def broken(
    stated: Property, circuits: tuple[str, ...], made: Outcomes, used: Bools, ask: Quantities
) -> tuple[Bools, Floats]:
    """Which rows of outcomes break a property, and the worst figure of each.

    Parameters
    ----------
    stated : not one of those that compare with the healthy input.
    circuits : in the order of the levels.
    made : rows of levels.
    used : (n,) rows that count; a quantity is not asked for the others.
    ask : quantities.
    """
    columns = [circuits.index(circuit) for circuit in _circuits(stated)]
    levels = made.levels[:, columns]
    if isinstance(stated, LevelsAtMost):
        worst = levels.max(axis=1, initial=0.0)
        return worst > stated.level + SAME, worst
    if isinstance(stated, LevelsAtLeast):
        worst = levels.min(axis=1, initial=1.0)
        return worst < stated.level - SAME, worst
    if isinstance(stated, NeverDimmed):
        worst = np.where(made.before[:, columns] > 0.0, levels, 1.0).min(axis=1, initial=1.0)
        return worst < stated.full - SAME, worst
    if isinstance(stated, FailsTo):
        off = np.abs(levels - np.array([level for _, level in stated.levels])).max(axis=1, initial=0.0)
        return off > SAME, off
    values = np.zeros(len(made.levels))
    values[used] = ask.of(str(quantity_of(stated)), made.levels[used])
    return (values < stated.limit if isinstance(stated, QuantityAtLeast) else values > stated.limit), values  # type: ignore[union-attr]


def limit_in_words(stated: Property, value: float) -> str:
    """What was stated, as the end of a story."""
    if isinstance(stated, LevelsAtMost):
        return f"stated at most {stated.level:.3g}"
    if isinstance(stated, LevelsAtLeast):
        return f"stated at least {stated.level:.3g}"
    if isinstance(stated, NeverDimmed):
        return f"stated never below {stated.full:.3g}"
    if isinstance(stated, FailsTo):
        return "stated " + ", ".join(f"{circuit} {level:.3g}" for circuit, level in stated.levels)
    if isinstance(stated, QuantityAtLeast | QuantityAtMost):
        word = "least" if isinstance(stated, QuantityAtLeast) else "most"
        return (
            f"{stated.quantity} {value:.4g} {stated.unit}, stated at {word} {stated.limit:.4g} {stated.unit}".rstrip()
        )
    return ""


def _circuits(stated: Property) -> tuple[str, ...]:
    return tuple(circuit for circuit, _ in getattr(stated, "levels", ())) or getattr(stated, "circuits", ())
