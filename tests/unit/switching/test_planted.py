"""The check finds the fault in every faulty set of rules, and nothing in the repaired one."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

from scenelux.switching.check import check
from scenelux.switching.document import read_switching

_FILE = Path(__file__).with_name("planted_rules.py")
_SPEC = importlib.util.spec_from_file_location("planted_rules", _FILE)
assert _SPEC is not None and _SPEC.loader is not None
planted = importlib.util.module_from_spec(_SPEC)
sys.modules["planted_rules"] = planted
_SPEC.loader.exec_module(planted)


def found(patch: object) -> dict[str, str]:
    """Kinds of faults and broken properties, each with what is said of it."""
    read = read_switching(patch.document())  # type: ignore[attr-defined]
    own = patch.own_lx  # type: ignore[attr-defined]
    result = check(
        read.switching, read.properties, failures=read.failures, quantities=planted.QUANTITIES, own_light_lx=own
    )
    broken = {verdict.stated.id: verdict.says for verdict in result.verdicts if verdict.verdict != "holds"}
    return {**{fault.kind: fault.says for fault in result.faults}, **broken}


def test_there_are_twenty_kinds_and_more() -> None:
    assert len({one.name for one in planted.PLANTED}) >= 20
    assert len({one.finds for one in planted.PLANTED}) >= 13


@pytest.mark.parametrize("one", planted.PLANTED, ids=lambda one: one.name.replace(" ", "-"))
def test_the_planted_fault_is_found(one: object) -> None:
    assert one.finds in found(one.faulty)  # type: ignore[attr-defined]


@pytest.mark.parametrize("one", planted.PLANTED, ids=lambda one: one.name.replace(" ", "-"))
def test_nothing_is_found_in_the_repaired_rules(one: object) -> None:
    assert found(one.repaired) == {}  # type: ignore[attr-defined]


def test_stories_are_short_and_in_order() -> None:
    faults = {one.name: found(one.faulty)[one.finds] for one in planted.PLANTED}
    assert faults["white by the brake alone, and the brake fails"] == (
        "no white: broken: gear park; park brake on; park brake fails (reads off); "
        'rule "white" sets front white 1: front white 1; stated at most 0.'
    )
    assert faults["beacons hang on the brake"].startswith(
        "failure: broken: park brake on; park brake fails (reads off); no rule lights beacons; "
    )
    assert max(len(says) for says in faults.values()) < 900
