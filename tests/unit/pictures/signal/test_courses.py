"""Stretches of a repeated cycle, rows of lamps with one course, and the part of a long cycle that is shown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.pictures.signal.courses import courses, darkest, excerpt_of, longest_run, looks_of
from tests.unit.pictures.signal.flashing import signal_study

VARIANT = signal_study().variants[0]


@given(st.lists(st.tuples(st.integers(1, 9), st.booleans()), min_size=1, max_size=12))
def test_the_longest_stretch_is_that_of_counting_milliseconds(parts: list[tuple[int, bool]]) -> None:
    times = np.concatenate(([0.0], np.cumsum([length for length, _ in parts]))) / 1000.0
    lit = [holds for length, holds in parts for _ in range(length)]
    best = run = 0
    for holds in lit * 2:
        run = run + 1 if holds else 0
        best = max(best, min(run, len(lit)))
    found = longest_run(times, np.array([holds for _, holds in parts]))
    assert (0.0 if found is None else found.length_s) == pytest.approx(best / 1000.0)


def test_a_stretch_runs_over_the_end_of_the_cycle() -> None:
    least, run = darkest(np.array([0.0, 0.2, 0.3, 1.0]), np.array([0.5, 7.0, 0.5]))
    assert least == 0.5
    assert (run.start_s, run.length_s) == (0.3, 0.9)


def test_lamps_of_a_circuit_that_are_lit_alike_share_a_row_and_those_that_flash_come_first() -> None:
    case = next(one for one in VARIANT.cases if (one.state, one.light) == ("working", "night"))
    rows = courses(case)
    assert [row.flashing for row in rows] == [True] * 6 + [False]
    both = replace(case, levels=np.vstack([case.levels[:1], case.levels[:1], case.levels[2:]]))
    assert courses(both)[0].names == ("rear-left", "rear-right")
    assert courses(both)[0].words == "rear warning: left, right"


def test_lamps_that_are_off_have_no_row() -> None:
    case = next(one for one in VARIANT.cases if one.state == "blocking")
    assert "tail scene" not in {row.circuit for row in courses(case)}


def test_a_short_cycle_is_shown_whole_and_of_a_long_one_the_part_about_an_instant() -> None:
    case = VARIANT.cases[0]
    whole = excerpt_of(case, 2.0, 100)
    assert whole.whole and whole.segments.tolist() == list(range(8))
    part = excerpt_of(case, 0.4, 100, 0.75)
    assert not part.whole
    assert part.times_s == pytest.approx([0.55, 0.6, 0.7, 0.8, 0.9, 0.95])
    assert part.segments.tolist() == [5, 6, 7, 0, 1]
    assert len(excerpt_of(case, 2.0, 3).segments) == 3


def test_light_levels_that_give_the_same_light_are_shown_once() -> None:
    again = tuple(replace(case, light="undimmed") for case in VARIANT.cases if case.light == "day")
    looks = looks_of(replace(VARIANT, cases=(*VARIANT.cases, *again)))
    assert [one.lights for one in looks] == [("day", "undimmed"), ("night",)] * 2
