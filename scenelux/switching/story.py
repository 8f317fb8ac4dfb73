"""Counter-examples told as a short story of inputs, in the order of the document."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scenelux.switching.combinations import Coding
from scenelux.switching.conditions import Condition, mentioned
from scenelux.switching.inputs import InputState, Value, says_value
from scenelux.switching.rules import Decision, Switching, decide

__all__ = ["Story", "tell"]


@dataclass(frozen=True)
class Story:
    """One combination of inputs and what the rules make of it.

    Parameters
    ----------
    says : the story in one sentence without a full stop.
    truth, reads : input and value, outside and as the controller reads it.
    failed : inputs that have failed.
    decisions : level of every circuit and the rules behind it.
    changes : how far the combination is from the normal one.
    """

    says: str
    truth: tuple[tuple[str, Value], ...]
    reads: tuple[tuple[str, Value], ...]
    failed: tuple[str, ...]
    decisions: tuple[Decision, ...]
    changes: int

    def level(self, circuit: str) -> float:
        """Level of a circuit."""
        return next(decision.level for decision in self.decisions if decision.circuit == circuit)


def tell(
    switching: Switching,
    code: Coding,
    picks: Iterable[int],
    condition: Condition,
    circuits: Iterable[str],
    end: str = "",
) -> Story:
    """The story of one combination.

    Parameters
    ----------
    switching, code : rules and the states of their inputs.
    picks : state of each input in `code.names`; -1 stands for the first state.
    condition : of the property, whose inputs are told.
    circuits : those the story is about; of all circuits only those that are lit are told.
    end : last clause.
    """
    states = {
        name: code.states[at][max(0, pick)] for at, (name, pick) in enumerate(zip(code.names, picks, strict=True))
    }
    truth = {one.name: states[one.name].truth if one.name in states else one.normal for one in switching.inputs}
    reads = {one.name: states[one.name].reads if one.name in states else one.normal for one in switching.inputs}
    decisions = decide(switching, reads)
    told = [decision for decision in decisions if decision.circuit in set(circuits)]
    if len(told) == len(decisions) > 1:
        told = [decision for decision in told if decision.level > 0.0]
    clauses = [*_inputs(switching, states, condition, told), *(_rule(decision) for decision in told), end]
    failed = tuple(name for name, state in states.items() if state.failed)
    changes = sum(state.changes for state in states.values())
    says = "; ".join(clause for clause in clauses if clause)
    return Story(says, tuple(truth.items()), tuple(reads.items()), failed, decisions, changes)


def _inputs(
    switching: Switching, states: dict[str, InputState], condition: Condition, told: list[Decision]
) -> list[str]:
    behind = {rule for decision in told for rule in (decision.set_by, *decision.dimmed_by)}
    used = mentioned([condition, *(rule.when for rule in switching.rules if rule.id in behind)])
    told_of = {name: state for name, state in states.items() if name in used or state.changes}
    healthy = ", ".join(
        state.says if state.truth != state.reads else says_value(switching.input(name), state.truth)
        for name, state in told_of.items()
        if not state.failed
    )
    return [healthy, *(state.says for state in told_of.values() if state.failed)]


def _rule(decision: Decision) -> str:
    level = f"{decision.circuit} {decision.level:.3g}"
    if decision.set_by is None:
        return f"no rule lights {decision.circuit}"
    dimmed = f", dimmed by {_names(decision.dimmed_by)}" if decision.dimmed_by else ""
    return f'rule "{decision.set_by}" sets {decision.circuit} {decision.before_factors:.3g}{dimmed}: {level}'


def _names(rules: tuple[str, ...]) -> str:
    return " and ".join(f'"{rule}"' for rule in rules)
