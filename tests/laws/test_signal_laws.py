"""Laws of flashing light: what must hold for any patterns, whatever their numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.signals import (
    MODELS,
    all_dark,
    composite,
    darkness,
    effective_intensity,
    from_pattern,
    from_segments,
    measured,
    most_flashes_per_s,
    optical_power,
    over_phases,
    timeline,
)
from scenelux.timing import Pattern, parse_pattern

LEVELS = st.sampled_from([0.0, 0.0, 0.2, 0.6, 1.0])


@st.composite
def patterns(draw: st.DrawFn, cycle_ms: int = 0) -> Pattern:
    """Cycles that share short multiples; each is lit and dark at some time."""
    cycle = cycle_ms or draw(st.sampled_from([400, 500, 800, 1000]))
    cuts = sorted(draw(st.sets(st.integers(1, cycle // 10 - 1), min_size=2, max_size=5)))
    ends = [0, *(10 * cut for cut in cuts), cycle]
    levels = [1.0, 0.0, *(draw(LEVELS) for _ in ends[3:])]
    steps = tuple(((b - a) * 1000, level) for a, b, level in zip(ends, ends[1:], levels, strict=False))
    return Pattern(steps, draw(st.integers(0, cycle - 1)) * 1000)


LIGHTS = st.lists(st.floats(1.0, 2000.0), min_size=3, max_size=3)


@given(st.lists(patterns(), min_size=3, max_size=3), LIGHTS)
@settings(max_examples=40)
def test_the_whole_is_the_sum_of_its_lamps_at_every_instant(found: list[Pattern], light: list[float]) -> None:
    together = composite(found, light)
    instants = np.arange(0, round(together.period_s * 1000), 7) / 1000 + 0.0005
    summed = sum(from_pattern(p, cd).at(instants) for p, cd in zip(found, light, strict=True))
    assert together.at(instants) == pytest.approx(summed, rel=1e-12, abs=1e-9)
    assert float(together.mean_cd) == pytest.approx(sum(p.duty * cd for p, cd in zip(found, light, strict=True)))
    assert float(optical_power(together)) == pytest.approx(60 * float(together.mean_cd))


@given(patterns(), st.floats(0.1, 50.0), st.integers(0, 999))
@settings(max_examples=30)
def test_brightness_scales_and_phase_does_not_matter(pattern: Pattern, factor: float, later_ms: int) -> None:
    plain, brighter = from_pattern(pattern, 100.0), from_pattern(pattern, 100.0 * factor)
    later = from_pattern(pattern.delayed(later_ms * 1000), 100.0)
    for model in MODELS:
        value = float(effective_intensity(plain, model))
        assert float(effective_intensity(brighter, model)) == pytest.approx(factor * value, rel=1e-9, nan_ok=True)
        assert float(effective_intensity(later, model)) == pytest.approx(value, rel=1e-9, nan_ok=True)
    assert most_flashes_per_s(brighter) == most_flashes_per_s(plain) == most_flashes_per_s(later)
    one, other = measured(plain), measured(later)
    assert sorted(one.dark_s) == pytest.approx(sorted(other.dark_s))
    assert one.flash_rate_hz == pytest.approx(other.flash_rate_hz, nan_ok=True)


@given(patterns(), patterns())
@settings(max_examples=30)
def test_more_light_never_lowers_a_flash_in_the_dark(first: Pattern, second: Pattern) -> None:
    """Alone in the dark, a second lamp adds to every model that sums over time; the form factor need not obey."""
    one, both = composite([first, second], [100.0, 0.0]), composite([first, second], [100.0, 60.0])
    for model in ("blondel-rey-douglas", "allard", "modified-allard"):
        less, more = (float(effective_intensity(light, model, repeated=False)) for light in (one, both))  # type: ignore[arg-type]
        assert more >= less * (1 - 1e-12)


@given(patterns(), st.floats(0.05, 1.0))
@settings(max_examples=30)
def test_a_slower_eye_sees_less_of_a_flash(pattern: Pattern, a_s: float) -> None:
    light = from_pattern(pattern, 500.0)
    for model in MODELS:
        quick, slow = (float(effective_intensity(light, model, a_s=a, repeated=False)) for a in (a_s, 1.3 * a_s))
        assert slow <= quick * (1 + 1e-12) and quick <= 500.0


@given(patterns(), st.floats(0.1, 10.0))
@settings(max_examples=25)
def test_time_and_the_eye_may_be_stretched_together(pattern: Pattern, stretch: float) -> None:
    light = from_pattern(pattern, 500.0)
    longer = from_segments(light.lengths_s * stretch, light.start_cd, light.end_cd)
    for model in MODELS:
        if model == "form-factor":  # what parts its flashes is a fixed time
            continue
        ours = float(effective_intensity(light, model, a_s=0.2))
        assert float(effective_intensity(longer, model, a_s=0.2 * stretch)) == pytest.approx(ours, rel=1e-8)


@given(patterns(), st.integers(1, 400))
@settings(max_examples=25)
def test_cutting_segments_changes_nothing(pattern: Pattern, cut_ms: int) -> None:
    light = from_pattern(pattern, 500.0)
    cut = np.unique(np.append(light.times_s, (cut_ms / 1000) % light.period_s))
    values = light.at(0.5 * (cut[1:] + cut[:-1]))
    pieces = from_segments(np.diff(cut), values)
    for model in MODELS:
        ours = float(effective_intensity(light, model))
        assert float(effective_intensity(pieces, model)) == pytest.approx(ours, rel=1e-9, nan_ok=True)
    assert measured(pieces).flash_rate_hz == pytest.approx(measured(light).flash_rate_hz, nan_ok=True)
    assert most_flashes_per_s(pieces) == most_flashes_per_s(light)


@given(patterns(), patterns())
@settings(max_examples=25)
def test_independent_clocks_multiply(first: Pattern, second: Pattern) -> None:
    found = over_phases(first, second)
    expected = all_dark([first, second])
    assert found.both_dark.mean == pytest.approx(expected.mean, abs=1e-12)
    assert expected.least - 1e-12 <= found.both_dark.least <= found.both_dark.greatest <= expected.most + 1e-12
    assert found.both_dark.share_at_most(found.both_dark.greatest) == pytest.approx(1.0)


@given(st.lists(patterns(), min_size=2, max_size=2), LIGHTS)
@settings(max_examples=25)
def test_another_lamp_never_lengthens_the_dark_below_a_level(found: list[Pattern], light: list[float]) -> None:
    """Measured against one level; the mean itself rises with more lamps, so the fraction is made to keep the level."""
    one, both = composite(found, [light[0], 0.0]), composite(found, light[:2])
    level = 0.1 * float(one.mean_cd)
    dark_one, dark_both = darkness(one, 0.1), darkness(both, level / float(both.mean_cd))
    assert float(dark_both.longest_s) <= float(dark_one.longest_s) + 1e-9
    assert float(dark_both.share) <= float(dark_one.share) + 1e-9


def test_switching_instants_are_whole_microseconds_over_the_common_cycle() -> None:
    found = timeline([Pattern(((3, 1.0), (4, 0.0)), 2), Pattern(((5, 1.0), (6, 0.0)), 1)])
    assert found.period_us == 77 and found.edges_us.dtype == np.int64
    for instant in range(77):
        step = np.searchsorted(found.edges_us, instant, side="right") - 1
        first = 1.0 if (instant - 2) % 7 < 3 else 0.0
        second = 1.0 if (instant - 1) % 11 < 5 else 0.0
        assert found.levels[:, step].tolist() == [first, second]


def test_whole_flashes_a_minute_come_together_within_a_minute() -> None:
    rates = (75, 77, 90, 110)
    found = timeline([parse_pattern(f"{rate} per minute: on 100 ms, off") for rate in rates])
    assert found.period_us == 60_000_000
    for row, rate in zip(found.levels, rates, strict=True):
        begins = found.edges_us[:-1][(row > 0) & (np.roll(row, 1) == 0)]
        assert len(begins) == rate
        assert np.abs(begins - np.arange(rate) * 60e6 / rate).max() <= 0.5
        assert float(row @ np.diff(found.edges_us)) == rate * 100_000
    pair = timeline([parse_pattern(f"{rate} per minute: on 100 ms, off") for rate in (75, 90)])
    assert pair.period_us == 4_000_000


def test_the_literal_levels_are_those_of_the_timeline() -> None:
    pattern = parse_pattern("77 per minute: on 10 %, at 30 % 20 %, off 15 %, on 5 %, off").delayed(345_678)
    found = timeline([pattern])
    inside = np.random.default_rng(1).integers(0, found.period_us, 4000)
    step = np.searchsorted(found.edges_us, inside, side="right") - 1
    assert found.levels[0, step].tolist() == [pattern.level_at(int(instant)) for instant in inside]
