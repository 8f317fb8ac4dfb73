"""The shipped policy never flutters under the shipped disturbance, and the shipped bad one does."""

from __future__ import annotations

from typing import Any

import pytest

from scenelux.errors import UsageError
from scenelux.switching.check import check
from scenelux.switching.document import read_switching
from scenelux.switching.rules import levels_of
from scenelux.switching.sensor import Timeline, simulate
from scenelux.switching.tables import ambient_of, shipped_switching

RULES = ("inputs", "circuits", "rules", "properties", "sensor", "check")


def document(name: str) -> dict[str, Any]:
    return shipped_switching(name)


def run(name: str, **changes: Any) -> Timeline:
    policy, disturbance = document(name), document("disturbance")
    read = read_switching({key: policy[key] for key in RULES if key in policy})
    assert read.switching.sensor is not None
    normal = {one.name: one.normal for one in read.switching.inputs}
    own = {}
    for reads in ("day", "night"):
        levels = levels_of(read.switching, normal | {"ambient light": reads})
        lux = policy["own_light_lx"]
        own[reads] = sum(lux.get(c, 0.0) * level for c, level in zip(read.switching.circuits, levels, strict=True))
    within = disturbance["undone_within_s"]
    return simulate(
        read.switching.sensor,
        ambient_of(disturbance),
        0.0,
        disturbance["until_s"],
        own_lx=own,  # type: ignore[arg-type]
        undone_within_s=within,
        **changes,
    )


def test_the_steady_policy_switches_once() -> None:
    steady = run("steady")
    assert steady.flutters == 0
    assert [span.reads for span in steady.spans] == ["day", "night"]


def test_the_bad_policy_flutters() -> None:
    bad = run("fluttering")
    assert bad.flutters > 100
    assert bad.endless_from_s is None


@pytest.mark.parametrize("name", ["steady", "fluttering"])
def test_the_rules_of_both_keep_their_properties(name: str) -> None:
    policy = document(name)
    read = read_switching({key: policy[key] for key in RULES if key in policy})
    assert check(read.switching, read.properties, failures=2, own_light_lx=policy["own_light_lx"]).clean


def test_an_unknown_name_tells_what_is_there() -> None:
    with pytest.raises(UsageError, match="disturbance, fluttering, steady"):
        shipped_switching("quiet")
