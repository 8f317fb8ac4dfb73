"""Faults of the rules themselves: conflicts, rules that are never true or decide nothing, circuits never lit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from scenelux.switching.combinations import Coding, Kinds
from scenelux.switching.outcomes import Outcomes
from scenelux.switching.rules import Switching
from scenelux.switching.story import Story, tell

__all__ = ["FaultKind", "RuleFault", "RuleFaults"]

FaultKind = Literal["conflict", "never true", "decides nothing", "never lit", "oscillation", "held by own light"]


@dataclass(frozen=True)
class RuleFault:
    """One fault of the rules.

    Parameters
    ----------
    kind : what it is.
    rules : the rules concerned, upper first.
    circuit : the circuit concerned, where there is one.
    says : one sentence without a full stop.
    story : the combination nearest to normal that shows it, where one does.
    """

    kind: FaultKind
    rules: tuple[str, ...]
    circuit: str | None
    says: str
    story: Story | None = None


class RuleFaults:
    """Gathers faults block by block."""

    def __init__(self, switching: Switching, code: Coding) -> None:
        self.switching, self.code = switching, code
        self.true = np.zeros(len(switching.rules), np.bool_)
        self.decides = np.zeros(len(switching.rules), np.bool_)
        self.lit = np.zeros(len(switching.circuits), np.bool_)
        self.conflicts: dict[tuple[int, int, int], tuple[int, tuple[int, ...]]] = {}

    def add(self, kinds: Kinds, made: Outcomes) -> None:
        """Looks at one block."""
        self.true |= made.holds.any(axis=0)
        self.lit |= (made.levels > 0.0).any(axis=0)
        for place, rule in enumerate(self.switching.rules):
            holds = made.holds[:, place]
            for circuit, _ in rule.set:
                decides = made.set_by[:, self.switching.circuits.index(circuit)] == place
                self.decides[place] |= bool(decides.any())
            for circuit, factor in rule.factor:
                column = self.switching.circuits.index(circuit)
                self.decides[place] |= factor != 1.0 and bool((made.before[holds, column] > 0.0).any())
            self._add_conflicts(place, kinds, made)

    def _add_conflicts(self, upper: int, kinds: Kinds, made: Outcomes) -> None:
        rules = self.switching.rules
        for circuit, level in rules[upper].set:
            column = self.switching.circuits.index(circuit)
            decides = made.set_by[:, column] == upper
            for lower in range(upper + 1, len(rules)):
                other = dict(rules[lower].set).get(circuit, level)
                if other == level or rules[upper].may_override(rules[lower]):
                    continue
                both = (decides & made.holds[:, lower])[made.of_kind]
                if both.any():
                    self._keep_nearest((upper, lower, column), kinds.only(both))

    def _keep_nearest(self, where: tuple[int, int, int], kinds: Kinds) -> None:
        row = int(np.argmin(kinds.changes))
        found = (int(kinds.changes[row]), tuple(kinds.picks[row].tolist()))
        if where not in self.conflicts or found[0] < self.conflicts[where][0]:
            self.conflicts[where] = found

    def found(self) -> tuple[RuleFault, ...]:
        """All faults, in the order of rules and circuits."""
        rules, circuits = self.switching.rules, self.switching.circuits
        faults = [self._conflict(*where, picks) for where, (_, picks) in sorted(self.conflicts.items())]
        for place, rule in enumerate(rules):
            if not self.true[place]:
                faults.append(RuleFault("never true", (rule.id,), None, f'rule "{rule.id}" never holds'))
            elif not self.decides[place]:
                says = (
                    f'rule "{rule.id}" decides nothing: rules above it always decide, or nothing is lit when it holds'
                )
                faults.append(RuleFault("decides nothing", (rule.id,), None, says))
        for place, circuit in enumerate(circuits):
            if not self.lit[place]:
                faults.append(RuleFault("never lit", (), circuit, f"no rule ever lights {circuit}"))
        return tuple(faults)

    def _conflict(self, upper: int, lower: int, column: int, picks: tuple[int, ...]) -> RuleFault:
        one, other, circuit = self.switching.rules[upper], self.switching.rules[lower], self.switching.circuits[column]
        levels = f"{dict(one.set)[circuit]:.3g} and {dict(other.set)[circuit]:.3g}"
        says = f'rules "{one.id}" and "{other.id}" hold together and set {circuit} to {levels}'
        story = tell(self.switching, self.code, picks, (*one.when, *other.when), (circuit,))
        return RuleFault("conflict", (one.id, other.id), circuit, f"{says}: {story.says}", story)
