"""The fast check of switching rules says what a plain loop over every combination says."""

from __future__ import annotations

import itertools
import random
from collections import Counter

import numpy as np
import pytest

from scenelux.errors import LimitError
from scenelux.switching.check import check
from scenelux.switching.combinations import blocks, coding, kinds_in_all
from scenelux.switching.conditions import Clause, Condition
from scenelux.switching.inputs import Input, InputState, input_states
from scenelux.switching.machine import Sensor
from scenelux.switching.properties import (
    FailsTo,
    LevelsAtLeast,
    LevelsAtMost,
    NeverDimmed,
    NotLoweredByFailure,
    Property,
    QuantityAtLeast,
)
from scenelux.switching.rules import Rule, Switching, decide

CIRCUITS = ("a", "b", "c")
SENSOR = Sensor(20.0, 80.0, 5.0, 3.0)
ENDS = [5.0, 20.0]


def random_inputs(rng: random.Random) -> tuple[Input, ...]:
    return (
        Input("brake", "yes or no", rng.random() < 0.5, fails_to=rng.choice([(), (False,), ("last",), ("failed",)])),
        Input("gear", "one of", "p", ("p", "r", "d"), fails_to=rng.choice([(), ("last",), ("r", "failed")])),
        Input("speed", "number", rng.choice([0.0, 7.0]), fails_to=rng.choice([(), (0.0,), ("last",), (30.0,)])),
        Input("light", "light sensor", "day", fails_to=rng.choice([(), ("stuck low",), ("noisy", "failed"), ("day",)])),
        Input("spare", "yes or no", False, fails_to=("last",)),
    )


def random_test(rng: random.Random, name: str, truth: bool) -> Clause:
    words = [("failed",)] if not truth else [("failed",), ("healthy",)]
    choices = {
        "brake": [Clause("brake", (True,)), Clause("brake", (False,))],
        "gear": [Clause("gear", ("p",)), Clause("gear", ("r", "d"))],
        "speed": [
            Clause("speed", below=5.0),
            Clause("speed", at_least=20.0),
            Clause("speed", below=20.0, at_least=5.0),
        ],
        "light": [Clause("light", ("day",)), Clause("light", ("night",))]
        + ([Clause("light", ("between", "turning night"))] if truth else []),
    }[name]
    return rng.choice([*choices, *choices, *(Clause(name, word) for word in words)])


def random_condition(rng: random.Random, truth: bool = False) -> Condition:
    names = ["brake", "gear", "speed", "light"]
    return tuple(
        tuple(random_test(rng, name, truth) for name in sorted(rng.sample(names, rng.randint(0, 3))))
        for _ in range(rng.randint(1, 2))
    )


def random_rules(rng: random.Random) -> tuple[Rule, ...]:
    made = []
    for at in range(rng.randint(2, 6)):
        lit = tuple((c, rng.choice([0.0, 0.4, 1.0])) for c in CIRCUITS if rng.random() < 0.5)
        dim = tuple((c, rng.choice([0.3, 0.5])) for c in CIRCUITS if rng.random() < 0.2)
        over = ("all below",) if rng.random() < 0.2 else ()
        made.append(Rule(f"r{at}", random_condition(rng), lit or (("a", 1.0),), dim, overrides=over))
    # Both ends stand in every set of rules, so that the bands of speed are known to the plain loop.
    made.append(Rule("ends", ((Clause("speed", below=5.0),), (Clause("speed", at_least=20.0),)), (("c", 0.2),)))
    return tuple(made)


def total(levels: np.ndarray) -> np.ndarray:
    return np.asarray(levels.sum(axis=1))


def random_properties(rng: random.Random) -> tuple[Property, ...]:
    own = {"failures": rng.choice([None, 0, 1])}
    return (
        LevelsAtMost(id="most", circuits=("a",), level=0.5, when=random_condition(rng, True), **own),
        LevelsAtLeast(id="least", circuits=("a", "b"), level=0.3, when=random_condition(rng, True), **own),
        NeverDimmed(id="dim", circuits=("b",), when=random_condition(rng, True)),
        FailsTo(id="to", input="light", levels=(("a", 1.0),), when=random_condition(rng, True)),
        FailsTo(id="as", input="light", as_if="day", circuits=("a", "c")),
        NotLoweredByFailure(id="low", circuits=("a", "b"), confirmed_minimum=0.4, when=random_condition(rng, True)),
        QuantityAtLeast(id="sum", quantity="total", limit=0.7, when=random_condition(rng, True)),
    )


def literal(
    switching: Switching, properties: tuple[Property, ...], failures: int
) -> tuple[Counter[str], Counter[str], dict[str, int]]:
    """Combinations, broken ones and the least number of changes, by the definition of each property."""
    names = [one.name for one in switching.inputs if one.name != "spare"]
    states = [input_states(switching.input(name), ENDS, SENSOR) for name in names]
    speaks, broken, nearest = Counter[str](), Counter[str](), {}
    for combination in itertools.product(*states):
        failed = sum(state.failed for state in combination)
        if failed > failures:
            continue
        here = dict(zip(names, combination, strict=True))
        for stated in properties:
            if failed > (failures if stated.failures is None else stated.failures) or not speaks_of(stated, here):
                continue
            times, bad = broken_here(switching, stated, here, dict(zip(names, states, strict=True)))
            speaks[stated.id] += times
            broken[stated.id] += bad
            changes = sum(state.changes for state in combination)
            if bad:
                nearest[stated.id] = min(nearest.get(stated.id, changes), changes)
    return speaks, broken, nearest


def speaks_of(stated: Property, here: dict[str, InputState]) -> bool:
    true = any(all(test.accepts_truth(here[test.input]) for test in part) for part in stated.when)
    return true and (not isinstance(stated, FailsTo) or here[stated.input].failed)


def made(switching: Switching, here: dict[str, InputState]) -> dict[str, tuple[float, float]]:
    readings = {name: state.reads for name, state in here.items()} | {"spare": False}
    return {one.circuit: (one.level, one.before_factors) for one in decide(switching, readings)}


def broken_here(
    switching: Switching, stated: Property, here: dict[str, InputState], states: dict[str, tuple[InputState, ...]]
) -> tuple[int, int]:
    levels = made(switching, here)
    if isinstance(stated, LevelsAtMost):
        return 1, any(levels[c][0] > stated.level + 1e-9 for c in stated.circuits)
    if isinstance(stated, LevelsAtLeast):
        return 1, any(levels[c][0] < stated.level - 1e-9 for c in stated.circuits)
    if isinstance(stated, NeverDimmed):
        return 1, any(levels[c][1] > 0.0 and levels[c][0] < stated.full - 1e-9 for c in stated.circuits)
    if isinstance(stated, QuantityAtLeast):
        return 1, sum(levels[c][0] for c in CIRCUITS) < stated.limit
    if isinstance(stated, FailsTo) and stated.as_if is None:
        return 1, any(abs(levels[c][0] - level) > 1e-9 for c, level in stated.levels)
    if isinstance(stated, FailsTo):
        healthy = next(s for s in states[stated.input] if not s.failed and s.reads == stated.as_if)
        well = made(switching, {**here, stated.input: healthy})
        return 1, any(abs(levels[c][0] - well[c][0]) > 1e-9 for c in stated.circuits)
    times = bad = 0
    for name in [name for name, state in here.items() if state.failed]:
        times += 1
        wells = [s for s in states[name] if not s.failed and s.truth == here[name].truth]
        others = [made(switching, {**here, name: well}) for well in wells]
        least = stated.confirmed_minimum
        bad += any(levels[c][0] < min(least, well[c][0]) - 1e-9 for well in others for c in stated.circuits)
    return times, bad


@pytest.mark.parametrize("seed", range(12))
def test_check_is_the_plain_loop(seed: int) -> None:
    rng = random.Random(seed)
    switching = Switching(random_inputs(rng), CIRCUITS, random_rules(rng), SENSOR)
    properties, failures = random_properties(rng), rng.choice([1, 2])
    speaks, broken, nearest = literal(switching, properties, failures)
    result = check(switching, properties, failures=failures, quantities={"total": total})
    for verdict in result.verdicts:
        name = verdict.stated.id
        assert (verdict.combinations, verdict.broken) == (speaks[name], broken[name]), name
        assert (verdict.verdict == "broken") == (broken[name] > 0)
        if verdict.story is not None:
            assert verdict.story.changes == nearest[name], name


@pytest.mark.parametrize("seed", range(6))
def test_faults_of_rules_are_those_of_the_plain_loop(seed: int) -> None:
    rng = random.Random(100 + seed)
    switching = Switching(random_inputs(rng), CIRCUITS, random_rules(rng), SENSOR)
    names = [one.name for one in switching.inputs]
    states = [input_states(one, ENDS, SENSOR) for one in switching.inputs]
    readings = {
        tuple(state.reads for state in combination)
        for combination in itertools.product(*states)
        if sum(state.failed for state in combination) <= 1
    }
    true, decides, lit, conflicts = set(), set(), set(), set()
    for reading in readings:
        read = dict(zip(names, reading, strict=True))
        active = [r for r in switching.rules if any(all(t.accepts(read[t.input]) for t in part) for part in r.when)]
        true |= {rule.id for rule in active}
        for one in decide(switching, read):
            lit |= {one.circuit} if one.level > 0.0 else set()
            decides |= {one.set_by, *(one.dimmed_by if one.before_factors > 0.0 else ())}
            setting = [rule for rule in active if one.circuit in dict(rule.set)]
            conflicts |= {
                (setting[0].id, lower.id, one.circuit)
                for lower in setting[1:]
                if dict(lower.set)[one.circuit] != one.before_factors and not setting[0].overrides
            }
    found = check(switching).faults
    assert {(*f.rules, f.circuit) for f in found if f.kind == "conflict"} == conflicts
    assert {f.rules[0] for f in found if f.kind == "never true"} == {r.id for r in switching.rules} - true
    assert {f.rules[0] for f in found if f.kind == "decides nothing"} == true - decides
    assert {f.circuit for f in found if f.kind == "never lit"} == set(CIRCUITS) - lit


def test_kinds_hold_every_combination_once() -> None:
    rng = random.Random(7)
    switching = Switching(random_inputs(rng), CIRCUITS, random_rules(rng), SENSOR)
    code = coding(switching)
    for failures in (0, 1, 2, 4):
        assert sum(int(block.count.sum()) for block in blocks(code, failures)) == kinds_in_all(code, failures)


def switches(number: int) -> Switching:
    """Every input decides a circuit of its own: no two combinations are alike."""
    inputs = tuple(Input(f"i{at}", "yes or no", False) for at in range(number))
    circuits = tuple(f"c{at}" for at in range(number))
    rules = tuple(Rule(f"r{at}", ((Clause(f"i{at}", (True,)),),), ((f"c{at}", 1.0),)) for at in range(number))
    return Switching(inputs, circuits, rules)


def test_combinations_that_are_all_different_are_streamed_in_blocks() -> None:
    stated = LevelsAtMost(
        id="all", circuits=("c0",), level=0.0, when=((*(Clause(f"i{k}", (True,)) for k in range(20)),),)
    )
    result = check(switches(20), (stated,))
    assert result.kinds == result.combinations == 2**20
    assert (result.verdicts[0].combinations, result.verdicts[0].broken) == (1, 1)
    assert result.verdicts[0].story is not None and result.verdicts[0].story.changes == 20


def test_too_many_kinds_are_refused_with_the_number() -> None:
    with pytest.raises(LimitError, match=r"make 1,073,741,824 kinds of combinations, at most 30,000,000 .*i0 \(2"):
        check(switches(30))


@pytest.mark.parametrize("rows", [1, 7, 60])
def test_blocks_and_groups_of_any_size_hold_the_same(rows: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = random.Random(5)
    switching = Switching(random_inputs(rng), CIRCUITS, random_rules(rng), SENSOR)
    properties = random_properties(rng)
    whole = check(switching, properties, failures=2, quantities={"total": total})
    monkeypatch.setattr("scenelux.switching.combinations._MERGE_ROWS", rows)
    monkeypatch.setattr("scenelux.switching.combinations._BLOCK_ROWS", rows)
    parts = check(switching, properties, failures=2, quantities={"total": total})
    for one, other in zip(whole.verdicts, parts.verdicts, strict=True):
        assert (one.verdict, one.combinations, one.broken) == (other.verdict, other.combinations, other.broken)
        assert (one.story is None) == (other.story is None)
        if one.story is not None and other.story is not None:
            assert one.story.changes == other.story.changes
    assert [(f.kind, f.rules, f.circuit) for f in whole.faults] == [(f.kind, f.rules, f.circuit) for f in parts.faults]
