"""Stretches of light of patterns and of waveforms are the same."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.signals import from_pattern
from scenelux.signals.stretches import gaps_between, lit_us, stretches
from scenelux.timing import STEADY, Pattern

STEPS = st.lists(st.tuples(st.integers(1, 500), st.sampled_from([0.0, 0.1, 0.5, 1.0])), min_size=1, max_size=8)


@given(STEPS, st.integers(0, 3000))
def test_patterns_and_waveforms_agree(steps: list[tuple[int, float]], phase: int) -> None:
    pattern = Pattern((*((ms * 1000, level) for ms, level in steps), (7000, 1.0)), phase * 1000 % 7000)
    exact = lit_us(pattern)
    found = stretches(from_pattern(pattern, 100.0), 10.0 + 1e-9)
    assert sorted(found.ravel().tolist()) == pytest.approx(sorted(np.ravel(exact) / 1e6), abs=1e-12)
    dark = pattern.period_us - sum(end - begin for begin, end in exact)
    assert gaps_between(found, pattern.period_us / 1e6).sum() == pytest.approx(dark / 1e6, abs=1e-9)


def test_always_and_never() -> None:
    assert lit_us(STEADY) == [(0, 1_000_000)]
    assert lit_us(Pattern(((5, 0.0),))) == []
    assert len(stretches(from_pattern(STEADY, 0.0), 0.0)) == 0
