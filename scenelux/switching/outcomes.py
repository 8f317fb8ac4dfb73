"""Levels of circuits for many kinds of combinations at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.switching.combinations import Coding, Words, holding
from scenelux.switching.rules import Switching

__all__ = ["Outcomes", "outcomes"]


@dataclass(frozen=True, eq=False)
class Outcomes:
    """What the rules make of some kinds, for each set of bits of rules once.

    Parameters
    ----------
    of_kind : (kinds,) row below of each kind.
    holds : (n, rules) which rules hold.
    set_by : (n, circuits) place of the rule that decides, -1 for none.
    before, levels : (n, circuits) without and with factors.
    """

    of_kind: NDArray[np.int64]
    holds: NDArray[np.bool_]
    set_by: NDArray[np.int16]
    before: NDArray[np.float64]
    levels: NDArray[np.float64]


def outcomes(switching: Switching, code: Coding, words: Words) -> Outcomes:
    """Levels by the first rule that holds and names a circuit, times all factors.

    Parameters
    ----------
    switching, code : rules and their bits.
    words : (kinds, words).
    """
    own, of_kind = _distinct(words[:, : code.rule_words])
    rules, circuits = switching.rules, list(switching.circuits)
    holds = holding(own, code.masks[: len(rules)])
    # Columns one after another in memory: all that follows goes column by column.
    set_by = np.full((len(own), len(circuits)), -1, np.int16, order="F")
    before, share = np.zeros(set_by.shape, order="F"), np.ones(set_by.shape, order="F")
    for place in reversed(range(len(rules))):
        active = holds[:, place]
        for circuit, level in rules[place].set:
            column = circuits.index(circuit)
            set_by[active, column], before[active, column] = place, level
    for place, rule in enumerate(rules):
        for circuit, factor in rule.factor:
            share[holds[:, place], circuits.index(circuit)] *= factor
    return Outcomes(of_kind, holds, set_by, before, before * share)


def _distinct(words: Words) -> tuple[Words, NDArray[np.int64]]:
    if words.shape[1] == 1:
        own, of_kind = np.unique(words[:, 0], return_inverse=True)
        return own[:, None], of_kind.astype(np.int64)
    own, of_kind = np.unique(words, axis=0, return_inverse=True)
    return own, of_kind.ravel().astype(np.int64)
