"""All combinations of input states, those that rules and properties cannot tell apart counted together.

Every part of a condition is one bit. A state of an input switches off the bits it contradicts, so that the bits of a
combination are the AND of the bits of its inputs. Combinations with the same bits behave alike: they are kept once,
with their number and the one nearest to normal. That is exact and needs no list of all combinations.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import LimitError
from scenelux.switching.conditions import Clause, Condition, mentioned
from scenelux.switching.inputs import InputState, input_states
from scenelux.switching.rules import Switching, thresholds_for

__all__ = ["LARGEST_KINDS", "Coding", "Kinds", "blocks", "coding", "holding", "kinds_in_all", "of_states"]

Words = NDArray[np.uint64]
Counts = NDArray[np.int64]

LARGEST_KINDS = 30_000_000
"""Kinds of combinations that a check looks at; more are refused."""

_LARGEST_COUNT = 2**62
_MERGE_ROWS = 200_000
_BLOCK_ROWS = 65_536
_BITS = 64


@dataclass(frozen=True, eq=False)
class Coding:
    """States of the inputs that matter, and the bits of conditions.

    Parameters
    ----------
    names : inputs that a rule or property mentions.
    left_out : the others; nothing depends on them.
    states, bits : of each input, its states and (states, words) the bits that they leave.
    masks : (rules + properties, words), bits of the parts of each condition.
    rule_words : so many words from the left hold rules alone.
    """

    names: tuple[str, ...]
    left_out: tuple[str, ...]
    states: tuple[tuple[InputState, ...], ...]
    bits: tuple[Words, ...]
    masks: Words
    rule_words: int


@dataclass(frozen=True, eq=False)
class Kinds:
    """Combinations of some inputs, alike ones together.

    Parameters
    ----------
    words : (n, words) bits.
    failed : (n,) inputs that have failed.
    count : (n,) combinations of this kind.
    changes : (n,) how far the nearest to normal is from normal.
    picks : (n, inputs) state of each input in that nearest one.
    """

    words: Words
    failed: Counts
    count: Counts
    changes: Counts
    picks: NDArray[np.int16]

    def __len__(self) -> int:
        return len(self.words)

    def only(self, rows: NDArray[np.int64] | NDArray[np.bool_] | slice) -> Kinds:
        """Some of the kinds."""
        return Kinds(self.words[rows], self.failed[rows], self.count[rows], self.changes[rows], self.picks[rows])


def coding(switching: Switching, stated: tuple[Condition, ...] = ()) -> Coding:
    """Bits of all rules and of stated conditions, rules in words of their own.

    Parameters
    ----------
    switching : rules, which go by what is read.
    stated : conditions of properties, which go by what is.
    """
    rules = tuple(rule.when for rule in switching.rules)
    used = mentioned((*rules, *stated))
    names = tuple(one.name for one in switching.inputs if one.name in used)
    states = tuple(
        input_states(switching.input(name), thresholds_for(switching, stated, name), switching.sensor) for name in names
    )
    rule_parts = [(part, False) for condition in rules for part in condition]
    stated_parts = [(part, True) for condition in stated for part in condition]
    rule_words = max(1, -(-len(rule_parts) // _BITS))
    places = [*range(len(rule_parts)), *(rule_words * _BITS + i for i in range(len(stated_parts)))]
    words = rule_words + -(-len(stated_parts) // _BITS)
    bits = tuple(
        _bits_left(name, its, [*rule_parts, *stated_parts], places, words)
        for name, its in zip(names, states, strict=True)
    )
    left_out = tuple(one.name for one in switching.inputs if one.name not in used)
    return Coding(names, left_out, states, bits, _masks((*rules, *stated), places, words), rule_words)


def _bits_left(
    name: str,
    states: tuple[InputState, ...],
    parts: list[tuple[tuple[Clause, ...], bool]],
    places: list[int],
    words: int,
) -> Words:
    left = np.full((len(states), words), ~np.uint64(0), np.uint64)
    for (part, truth), place in zip(parts, places, strict=True):
        for test in part:
            if test.input != name:
                continue
            for row, state in enumerate(states):
                if not (test.accepts_truth(state) if truth else test.accepts(state.reads)):
                    left[row, place // _BITS] &= ~(np.uint64(1) << np.uint64(place % _BITS))
    return left


def _masks(conditions: tuple[Condition, ...], places: list[int], words: int) -> Words:
    masks = np.zeros((len(conditions), words), np.uint64)
    next_place = iter(places)
    for row, condition in enumerate(conditions):
        for _ in condition:
            place = next(next_place)
            masks[row, place // _BITS] |= np.uint64(1) << np.uint64(place % _BITS)
    return masks


def holding(words: Words, masks: Words) -> NDArray[np.bool_]:
    """Which conditions hold for each kind: (n, conditions).

    Parameters
    ----------
    words : (n, words) bits of kinds.
    masks : (conditions, words).
    """
    found = np.zeros((len(words), len(masks)), np.bool_, order="F")
    for column, mask in enumerate(masks):
        for word in np.flatnonzero(mask):
            found[:, column] |= (words[:, word] & mask[word]) != 0
    return found


def of_states(code: Coding, place: int, which: NDArray[np.int64] | None = None) -> Kinds:
    """Kinds of one input alone, a kind for each state.

    Parameters
    ----------
    code : bits.
    place : of the input in `code.names`.
    which : states, all unless given.
    """
    states = code.states[place]
    rows = np.arange(len(states)) if which is None else which
    failed = np.array([states[row].failed for row in rows], np.int64)
    changes = np.array([states[row].changes for row in rows], np.int64)
    return Kinds(code.bits[place][rows], failed, np.ones(len(rows), np.int64), changes, rows[:, None].astype(np.int16))


def blocks(code: Coding, failures: int, without: int | None = None) -> Iterator[Kinds]:
    """All kinds of combinations with at most so many failed inputs, block by block.

    Parameters
    ----------
    code : bits.
    failures : at most so many inputs have failed at once.
    without : place of an input that is left out; its picks are -1.

    Raises LimitError before more than `LARGEST_KINDS` would be looked at.
    """
    groups = _groups(code, failures, without)
    total = _in_product(groups, failures)
    if total > LARGEST_KINDS:
        raise _too_many(code, total, f"kinds of combinations, at most {LARGEST_KINDS:,} are checked")
    largest = max(range(len(groups)), key=lambda at: len(groups[at]))
    before, after = _nothing(code), _nothing(code)
    for at, group in enumerate(groups):
        before = _product(before, group, failures) if at < largest else before
        after = _product(after, group, failures) if at > largest else after
    rows = max(1, _BLOCK_ROWS // (len(before) * len(after)))
    for start in range(0, len(groups[largest]), rows):
        part = _product(before, groups[largest].only(slice(start, start + rows)), failures)
        yield _product(part, after, failures)


def _in_product(groups: list[Kinds], failures: int) -> int:
    """Rows of the product of groups with at most so many failures, counted and not made."""
    by_failed = [1] + [0] * failures
    for group in groups:
        own = np.bincount(group.failed, minlength=failures + 1).tolist()
        by_failed = [sum(by_failed[n - k] * own[k] for k in range(n + 1)) for n in range(failures + 1)]
    return sum(by_failed)


def kinds_in_all(code: Coding, failures: int) -> int:
    """Combinations with at most so many failed inputs, by counting states and not by listing them."""
    by_failed = [1] + [0] * failures
    for states in code.states:
        well = sum(not state.failed for state in states)
        bad = len(states) - well
        by_failed = [by_failed[n] * well + (by_failed[n - 1] * bad if n else 0) for n in range(failures + 1)]
    return sum(by_failed)


def _groups(code: Coding, failures: int, without: int | None) -> list[Kinds]:
    if kinds_in_all(code, failures) > _LARGEST_COUNT:
        raise _too_many(code, kinds_in_all(code, failures), f"combinations, at most {_LARGEST_COUNT:.3g} are counted")
    groups = [_nothing(code)]
    for place in range(len(code.names)):
        one = _absent(code) if place == without else of_states(code, place)
        if len(groups[-1]) * len(one) > _MERGE_ROWS:
            groups.append(_nothing(code))
        groups[-1] = _merged(_product(groups[-1], one, failures))
    return groups


def _nothing(code: Coding) -> Kinds:
    words = np.full((1, code.masks.shape[1]), ~np.uint64(0), np.uint64)
    zero = np.zeros(1, np.int64)
    return Kinds(words, zero, np.ones(1, np.int64), zero, np.zeros((1, 0), np.int16))


def _absent(code: Coding) -> Kinds:
    nothing = _nothing(code)
    return Kinds(nothing.words, nothing.failed, nothing.count, nothing.changes, np.full((1, 1), -1, np.int16))


def _product(first: Kinds, second: Kinds, failures: int) -> Kinds:
    one, other = (x.ravel() for x in np.meshgrid(np.arange(len(first)), np.arange(len(second)), indexing="ij"))
    failed = first.failed[one] + second.failed[other]
    if failed.size and failed.max() > failures:
        keep = failed <= failures
        one, other, failed = one[keep], other[keep], failed[keep]
    words = first.words[one] & second.words[other]
    picks = np.concatenate([first.picks[one], second.picks[other]], axis=1)
    return Kinds(
        words, failed, first.count[one] * second.count[other], first.changes[one] + second.changes[other], picks
    )


def _merged(kinds: Kinds) -> Kinds:
    order = np.lexsort((kinds.changes, kinds.failed, *kinds.words.T))
    words, failed = kinds.words[order], kinds.failed[order]
    new = np.ones(len(order), np.bool_)
    new[1:] = (words[1:] != words[:-1]).any(axis=1) | (failed[1:] != failed[:-1])
    starts = np.flatnonzero(new)
    count = np.add.reduceat(kinds.count[order], starts)
    nearest = order[starts]
    return Kinds(words[starts], failed[starts], count, kinds.changes[nearest], kinds.picks[nearest])


def _too_many(code: Coding, number: int, what: str) -> LimitError:
    sizes = sorted(zip((len(states) for states in code.states), code.names, strict=True), key=lambda pair: -pair[0])
    largest = ", ".join(f"{name} ({size} states)" for size, name in sizes[:4])
    accepted = f"the largest inputs are {largest}: divide numbers by fewer thresholds or let fewer inputs fail at once"
    return LimitError(f"make {number:,} {what}", key="inputs", accepted=accepted)
