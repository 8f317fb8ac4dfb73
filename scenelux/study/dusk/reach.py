"""Which levels the rules ever make, and the inputs nearest to normal that show each rule and each property."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from scenelux.switching.combinations import Coding, Kinds, blocks, coding, holding
from scenelux.switching.conditions import Condition
from scenelux.switching.outcomes import Outcomes, outcomes
from scenelux.switching.properties import FailsTo, Property, with_failed
from scenelux.switching.rules import Switching
from scenelux.switching.story import Story, tell

__all__ = ["Reach", "key_of", "reach"]

Levels = tuple[float, ...]

_DIGITS = 9


def key_of(levels: NDArray[np.float64] | Levels) -> Levels:
    """Levels as they are compared: products of factors round.

    Parameters
    ----------
    levels : (circuits,).
    """
    return tuple(round(float(level), _DIGITS) + 0.0 for level in levels)


@dataclass(frozen=True)
class Reach:
    """What the rules make of all combinations of inputs.

    Parameters
    ----------
    made : levels -> the inputs nearest to normal that make them.
    rules : rule -> inputs with which it decides or dims, all healthy; none where it never does.
    properties : property -> inputs that it speaks of, healthy unless it speaks of failures; none where there are none.
    applies : property -> levels that occur where it speaks.
    """

    made: Mapping[Levels, Story]
    rules: Mapping[str, Story | None]
    properties: Mapping[str, Story | None]
    applies: Mapping[str, tuple[Levels, ...]]


@dataclass
class _Best:
    """The nearest to normal so far, by what it shows."""

    changes: dict[object, int] = field(default_factory=dict)
    picks: dict[object, tuple[int, ...]] = field(default_factory=dict)

    def offer(self, what: object, kinds: Kinds, rows: NDArray[np.int64]) -> None:
        if rows.size == 0:
            return
        row = int(rows[np.argmin(kinds.changes[rows])])
        if what not in self.changes or int(kinds.changes[row]) < self.changes[what]:
            self.changes[what], self.picks[what] = int(kinds.changes[row]), tuple(kinds.picks[row].tolist())


def reach(switching: Switching, properties: tuple[Property, ...], failures: int) -> Reach:
    """Looks at every kind of combination.

    Parameters
    ----------
    switching, properties, failures : as the check takes them.
    """
    asked = tuple(with_failed(one.when, one.input) if isinstance(one, FailsTo) else one.when for one in properties)
    code = coding(switching, asked)
    best, applies = _Best(), {one.id: dict[Levels, None]() for one in properties}
    for kinds in blocks(code, max([failures, *(one.failures or 0 for one in properties)])):
        made = outcomes(switching, code, kinds.words)
        keys = [key_of(levels) for levels in made.levels]
        for row in _nearest(kinds, made, failures):
            best.offer(keys[int(made.of_kind[row])], kinds, np.array([row]))
        _rules(switching, kinds, made, best)
        for one, mask in zip(properties, code.masks[len(switching.rules) :], strict=True):
            most = failures if one.failures is None else one.failures
            here = holding(kinds.words, mask[None])[:, 0] & (kinds.failed <= most)
            best.offer(("property", one.id), kinds, np.flatnonzero(here))
            applies[one.id].update(dict.fromkeys(keys[row] for row in np.unique(made.of_kind[here]).tolist()))
    return _told(switching, properties, asked, code, best, applies)


def _nearest(kinds: Kinds, made: Outcomes, failures: int) -> list[int]:
    """Of each row of levels the kind with the fewest changes."""
    rows = np.flatnonzero(kinds.failed <= failures)
    order = rows[np.lexsort((kinds.changes[rows], made.of_kind[rows]))]
    groups = made.of_kind[order]
    first = np.ones(len(order), np.bool_)
    first[1:] = groups[1:] != groups[:-1]
    return [int(row) for row in order[first]]


def _rules(switching: Switching, kinds: Kinds, made: Outcomes, best: _Best) -> None:
    well = kinds.failed == 0
    for place, rule in enumerate(switching.rules):
        works = (made.set_by == place).any(axis=1)
        for circuit, factor in rule.factor:
            column = switching.circuits.index(circuit)
            works |= made.holds[:, place] & (factor != 1.0) & (made.before[:, column] > 0.0)
        best.offer(("rule", rule.id), kinds, np.flatnonzero(well & works[made.of_kind]))


def _told(
    switching: Switching,
    properties: tuple[Property, ...],
    asked: tuple[Condition, ...],
    code: Coding,
    best: _Best,
    applies: Mapping[str, Mapping[Levels, None]],
) -> Reach:
    def story(what: object, condition: Condition, *, settled: bool = False) -> Story | None:
        picks = best.picks.get(what)
        if picks is None:
            return None
        return tell(switching, code, _settled(code, picks) if settled else picks, condition, switching.circuits)

    levels = [what for what in best.picks if isinstance(what, tuple) and not isinstance(what[0], str)]
    made = {what: story(what, (), settled=True) for what in levels}
    return Reach(
        {what: told for what, told in made.items() if told is not None},
        {rule.id: story(("rule", rule.id), rule.when, settled=True) for rule in switching.rules},
        {one.id: story(("property", one.id), when) for one, when in zip(properties, asked, strict=True)},
        {name: tuple(found) for name, found in applies.items()},
    )


def _settled(code: Coding, picks: tuple[int, ...]) -> tuple[int, ...]:
    """The same with a sensor that had its time: rules go by what is read, so that they make the same of it."""
    found = []
    for states, pick in zip(code.states, picks, strict=True):
        now = states[max(0, pick)]
        same = (at for at, state in enumerate(states) if not state.failed and state.reads == state.truth == now.reads)
        found.append(pick if now.failed or now.reads == now.truth else next(same, pick))
    return tuple(found)
