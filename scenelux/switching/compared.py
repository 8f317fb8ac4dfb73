"""Properties that compare a failed input with the same combination while that input is healthy."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scenelux.switching.combinations import Coding, Kinds, Words, blocks, holding
from scenelux.switching.inputs import InputState
from scenelux.switching.measured import SAME
from scenelux.switching.outcomes import outcomes
from scenelux.switching.properties import FailsTo, NotLoweredByFailure, Property
from scenelux.switching.rules import Switching

__all__ = ["Compared", "compare"]

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Compared:
    """Numbers of combinations, and the nearest to normal that breaks the property, by which circuits."""

    combinations: int = 0
    broken: int = 0
    changes: int = 0
    picks: tuple[int, ...] | None = None
    end: str = ""
    circuits: tuple[str, ...] = ()


def compare(switching: Switching, code: Coding, stated: Property, mask: Words, failures: int) -> Compared:
    """Looks at every failed state of the inputs concerned, with all others in any state.

    Parameters
    ----------
    switching, code : rules and bits.
    stated : a property that compares.
    mask : (words,) bits of its condition, which must hold with the input failed.
    failures : at most so many inputs have failed at once, this one among them.
    """
    total = Compared()
    for place in _places(switching, code, stated) if failures > 0 else []:
        for others in blocks(code, failures - 1, without=place):
            for state in [at for at, one in enumerate(code.states[place]) if one.failed]:
                total = _added(total, _one(switching, code, stated, mask, others, place, state))
    return total


def _places(switching: Switching, code: Coding, stated: Property) -> list[int]:
    if isinstance(stated, FailsTo):
        return [code.names.index(stated.input)]
    wanted = getattr(stated, "inputs", ()) or tuple(one.name for one in switching.inputs)
    return [place for place, name in enumerate(code.names) if name in wanted]


def _one(
    switching: Switching, code: Coding, stated: Property, mask: Words, others: Kinds, place: int, state: int
) -> Compared:
    words = others.words & code.bits[place][state]
    applies = holding(words, mask[None])[:, 0]
    if not applies.any():
        return Compared()
    kept = others.only(applies)
    failed = _levels(switching, code, stated, words[applies])
    bad, reference = np.zeros(len(kept), np.bool_), np.full(len(kept), -1)
    for healthy in _references(code.states[place], state, stated):
        well = _levels(switching, code, stated, kept.words & code.bits[place][healthy])
        worse = _worse(stated, failed, well).any(axis=1)
        reference[worse & ~bad] = healthy
        bad |= worse
    count = int(kept.count.sum())
    rows = np.flatnonzero(bad)
    if not rows.size:
        return Compared(count)
    row = int(rows[np.argmin(kept.changes[rows])])
    picks = kept.picks[row].tolist()
    picks[place] = state
    changes = int(kept.changes[row]) + code.states[place][state].changes
    well = _levels(switching, code, stated, kept.words[[row]] & code.bits[place][int(reference[row])])
    wrong = np.flatnonzero(_worse(stated, failed[[row]], well)[0])
    circuits = tuple(_circuits(switching, stated)[column] for column in wrong)
    end = _end(code, stated, place, int(reference[row]), circuits, well[0][wrong])
    return Compared(count, int(kept.count[rows].sum()), changes, tuple(picks), end, circuits)


def _levels(switching: Switching, code: Coding, stated: Property, words: Words) -> Floats:
    made = outcomes(switching, code, words)
    columns = [switching.circuits.index(circuit) for circuit in _circuits(switching, stated)]
    return made.levels[:, columns][made.of_kind]


def _circuits(switching: Switching, stated: Property) -> tuple[str, ...]:
    return getattr(stated, "circuits", ()) or switching.circuits


def _references(states: tuple[InputState, ...], state: int, stated: Property) -> list[int]:
    if isinstance(stated, FailsTo):
        return [at for at, one in enumerate(states) if not one.failed and one.reads == stated.as_if][:1]
    return [at for at, one in enumerate(states) if not one.failed and one.truth == states[state].truth]


def _worse(stated: Property, failed: Floats, well: Floats) -> NDArray[np.bool_]:
    if isinstance(stated, NotLoweredByFailure):
        return np.asarray(failed < np.minimum(well, stated.confirmed_minimum) - SAME)
    return np.asarray(np.abs(failed - well) > SAME)


def _end(code: Coding, stated: Property, place: int, healthy: int, circuits: tuple[str, ...], levels: Floats) -> str:
    made = ", ".join(f"{circuit} {level:.3g}" for circuit, level in zip(circuits, levels, strict=True))
    minimum = f", confirmed minimum {stated.confirmed_minimum:.3g}" if isinstance(stated, NotLoweredByFailure) else ""
    return f"with {code.states[place][healthy].says} and healthy: {made}{minimum}"


def _added(total: Compared, more: Compared) -> Compared:
    nearer = more.picks is not None and (total.picks is None or more.changes < total.changes)
    best = more if nearer else total
    return replace(best, combinations=total.combinations + more.combinations, broken=total.broken + more.broken)
