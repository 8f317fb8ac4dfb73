"""Limits of speed: what counts as missed, and the sentences; nothing is timed here."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.speed.ratios import Limit, better, missed, read_limits

LIMITS = Path(__file__).parents[2] / "speed" / "ratios.json"

FAST = "standard: two threads over expert numpy"
TWIN = "standard: one thread over as many of the C++ twin"
LARGE = "growth: speed at 10 million points over that at 100000"
SOME = {FAST: Limit(35.0, 76.0, True), TWIN: Limit(0.5, 1.0, True), LARGE: Limit(0.6, 1.0, False)}


def test_limits_are_read(tmp_path: Path) -> None:
    file = tmp_path / "limits.json"
    file.write_text('{"mesh: a over b": {"least": 0.5, "measured": 1.1, "quick": true}}', encoding="utf-8")
    assert read_limits(file) == {"mesh: a over b": Limit(0.5, 1.1, True)}


def test_a_ratio_at_its_limit_is_enough() -> None:
    assert missed(SOME, {FAST: 35.0, TWIN: 2.0, LARGE: 0.6}, ["standard", "growth"], quick=False) == []


def test_each_ratio_below_its_limit_is_told_in_one_sentence() -> None:
    assert missed(SOME, {FAST: 12.34, TWIN: 0.25, LARGE: 1.0}, ["standard", "growth"], quick=False) == [
        "standard: two threads over expert numpy is 12.3, below its limit of 35 (76 when that was set).",
        "standard: one thread over as many of the C++ twin is 0.25, below its limit of 0.5 (1 when that was set).",
    ]


def test_a_ratio_that_is_no_number_is_missed() -> None:
    assert len(missed(SOME, {FAST: float("nan"), TWIN: 1.0}, ["standard"], quick=True)) == 1


def test_what_this_machine_cannot_measure_is_left_out() -> None:
    assert missed(SOME, {FAST: 50.0, TWIN: None}, ["standard"], quick=True) == []


def test_the_better_of_two_runs_counts() -> None:
    assert better({FAST: 9.0, TWIN: None, LARGE: 1.0}, {FAST: 40.0, TWIN: None}) == {FAST: 40.0, TWIN: None}
    assert better({FAST: 40.0}, {FAST: 9.0}) == {FAST: 40.0}


def test_a_ratio_that_nobody_measured_is_missed() -> None:
    assert missed(SOME, {FAST: 50.0}, ["standard"], quick=True) == [
        "standard: one thread over as many of the C++ twin was not measured, though it has a limit of 0.5."
    ]


@pytest.mark.parametrize(
    ("sections", "quick", "count"), [(["growth"], True, 0), (["growth"], False, 1), ([], False, 0)]
)
def test_only_what_was_run_counts(sections: list[str], quick: bool, count: int) -> None:
    assert len(missed(SOME, {}, sections, quick)) == count


def test_the_limits_of_the_suite_leave_room_for_another_machine() -> None:
    limits = read_limits(LIMITS)
    assert len(limits) > 20
    assert all(0 < limit.least <= 0.8 * limit.measured for limit in limits.values())
