"""Verdicts and stories of small sets of rules."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.switching.check import CheckResult, Verdict, check
from scenelux.switching.document import read_switching

INPUTS: dict[str, Any] = {
    "brake": {"kind": "yes or no", "normal": True, "fails_to": False},
    "speed": {"kind": "number", "normal": 0.0, "unit": "km/h", "fails_to": "last"},
    "light": {"kind": "light sensor", "normal": "night", "fails_to": ["stuck low", "stuck high"]},
    "radio": {"kind": "yes or no", "normal": False, "fails_to": "last"},
}
RULES = [
    {"id": "parked", "when": {"brake": True, "speed": {"below": 8}}, "set": {"beacon": 1.0, "scene": 0.8}},
    {"id": "dim", "when": {"light": "night"}, "factor": {"beacon": 0.42}},
]
SENSOR = {"dark_below_lx": 20.0, "bright_above_lx": 80.0, "dark_dwell_s": 5.0, "bright_dwell_s": 5.0}


def result(*properties: dict[str, Any], failures: int = 1, **more: Any) -> CheckResult:
    document = {"inputs": INPUTS, "circuits": ["beacon", "scene"], "rules": RULES, "sensor": SENSOR}
    read = read_switching({**document, "properties": list(properties)})
    return check(read.switching, read.properties, failures=failures, **more)


def one(*properties: dict[str, Any], **more: Any) -> Verdict:
    return result(*properties, **more).verdicts[0]


def test_what_nothing_mentions_is_left_out_and_said() -> None:
    found = result(failures=0)
    assert found.left_out == ("radio",)
    assert found.combinations == 2 * 2 * 6
    assert (
        found.says == "24 combinations with at most 0 failed inputs, 4 kinds; radio matter to no rule and no property."
    )


def test_a_property_that_speaks_of_nothing_does_not_hold() -> None:
    lit = {"id": "lit", "kind": "levels at least", "circuits": ["beacon"], "when": {"brake": "failed"}}
    assert one(lit, failures=0).verdict == "never applies"
    assert one(lit, failures=1).verdict == "broken"


def test_an_unconfirmed_limit_is_not_assessed() -> None:
    lit = {"id": "lit", "kind": "levels at least", "circuits": ["beacon"], "status": "unconfirmed", "source": "a page"}
    assert one(lit).verdict == "not assessed"


def test_the_story_is_the_one_nearest_to_normal() -> None:
    lit = {"id": "lit", "kind": "levels at least", "circuits": ["beacon"], "level": 0.42, "when": {"brake": True}}
    verdict = one(lit, failures=0)
    assert verdict.story is not None
    assert verdict.says == "lit: broken: brake on, speed 8 km/h; no rule lights beacon; stated at least 0.42."
    assert verdict.story.changes == 1 and verdict.story.failed == ()
    assert dict(verdict.story.truth)["light"] == "night"


def test_a_sensor_that_still_waits_is_told_so() -> None:
    day = {"id": "day", "kind": "never dimmed", "circuits": ["beacon"], "when": {"light": ["day", "turning day"]}}
    verdict = one(day, failures=0)
    assert verdict.says == (
        'day: broken: brake on, speed 0 km/h, light turning day (reads night); rule "parked" sets beacon 1, dimmed by '
        '"dim": beacon 0.42; stated never below 1.'
    )
    assert one({**day, "when": {"light": "day"}}, failures=0).verdict == "holds"
    assert "light is stuck low (reads night)" in one({**day, "when": {"light": "day"}}).says


def test_quantities_are_asked_once_for_each_row_of_levels() -> None:
    rows: list[tuple[float, ...]] = []

    def lux(levels: np.ndarray) -> np.ndarray:
        rows.extend(map(tuple, levels.tolist()))
        return np.asarray(70.0 * levels[:, 1])

    at_work = {"brake": True, "speed": {"below": 8}}
    least = {"kind": "quantity at least", "quantity": "lux", "unit": "lx", "when": at_work}
    both = [{**least, "id": "54", "limit": 54}, {**least, "id": "60", "limit": 60, "because": "the client asks"}]
    found = result(*both, failures=0, quantities={"lux": lux})
    assert sorted(rows) == sorted(set(rows)) == [(0.42, 0.8), (1.0, 0.8)]
    assert found.level_vectors == 2
    assert [verdict.verdict for verdict in found.verdicts] == ["holds", "broken"]
    assert found.verdicts[1].value == pytest.approx(56.0)
    assert found.verdicts[1].says.endswith("lux 56 lx, stated at least 60 lx; because: the client asks.")


def test_a_quantity_without_a_value_is_not_assessed() -> None:
    least = {"id": "lux", "kind": "quantity at least", "quantity": "lux", "limit": 1.0}
    assert one(least, quantities={"lux": lambda levels: np.full(len(levels), np.nan)}).verdict == "not assessed"
    with pytest.raises(UsageError, match='"lux" is not a quantity; no quantity is given'):
        one(least)


def test_levels_that_a_failure_must_lead_to() -> None:
    levels = {"id": "to", "kind": "fails to", "input": "brake", "levels": {"beacon": 1.0}}
    assert one(levels).verdict == "broken"
    assert one({**levels, "levels": {"beacon": 0.0}}).verdict == "holds"


def test_own_light_is_looked_at_where_it_is_given() -> None:
    assert result(own_light_lx={"scene": 1.0}).faults == ()
    held = result(own_light_lx={"scene": 30.0}).faults
    assert [fault.kind for fault in held] == ["held by own light"]
    assert held[0].says.startswith(
        "own lamps add 24 lx by day, so the sensor never reads night: brake on, speed 0 km/h"
    )
