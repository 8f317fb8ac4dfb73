"""Flash rate, on-time, gaps and darkness against a brute-force sampling every 0.1 ms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.signals import composite, darkness, from_pattern, from_segments, measured, optical_power
from scenelux.signals.waveform import Waveform
from scenelux.timing import Pattern, named_pattern, parse_pattern

TICK_S = 1e-4


def sampled(wave: Waveform) -> NDArray[np.float64]:
    """Every 0.1 ms over one cycle, at middles of ticks."""
    return wave.at((np.arange(round(wave.period_s / TICK_S)) + 0.5) * TICK_S)


def runs(lit: NDArray[np.bool_]) -> list[tuple[bool, int]]:
    """Runs around the cycle: lit or not, and how many ticks."""
    if lit.all() or not lit.any():
        return [(bool(lit[0]), len(lit))]
    first = int(np.flatnonzero(lit & ~np.roll(lit, 1))[0])
    found: list[tuple[bool, int]] = []
    for value in np.roll(lit, -first).tolist():
        if found and found[-1][0] == value:
            found[-1] = (value, found[-1][1] + 1)
        else:
            found.append((value, 1))
    return found


def random_pattern(generator: np.random.Generator) -> Pattern:
    """Steps of whole milliseconds in a cycle of 0.5 to 1 s."""
    cycle = int(generator.choice([500, 600, 750, 800, 1000]))
    cuts = np.sort(generator.choice(np.arange(1, cycle), 7, replace=False))
    lengths = np.diff(np.concatenate(([0], cuts, [cycle])))
    levels = generator.choice([0.0, 0.0, 0.05, 0.5, 1.0], 8)
    levels[3] = 1.0
    return Pattern(tuple((int(ms) * 1000, float(level)) for ms, level in zip(lengths, levels, strict=True)),
                   int(generator.integers(0, cycle)) * 1000)  # fmt: skip


@pytest.mark.parametrize("seed", range(25))
def test_rates_and_gaps_of_a_truck_against_sampling(seed: int) -> None:
    generator = np.random.default_rng(seed)
    patterns = [random_pattern(generator) for _ in range(2)]
    wave = composite(patterns, generator.uniform(50.0, 500.0, 2))
    light = sampled(wave)
    assert (len(light) * TICK_S) == pytest.approx(wave.period_s)
    found = measured(wave)
    level = light.min() + 0.1 * (light.max() - light.min())
    seen = runs(light > level)
    dark = [count for lit, count in seen if not lit]
    assert sorted(found.dark_s) == pytest.approx(sorted(count * TICK_S for count in dark), abs=1e-9)
    assert found.pulses == len([1 for lit, _ in seen if lit and dark])
    assert found.lit_share == pytest.approx(np.mean(light > level), abs=1e-9)
    parting = sum(count >= 1000 for count in dark)
    if parting:
        assert found.flash_rate_hz * wave.period_s == pytest.approx(parting)
        assert found.longest_lit_s == pytest.approx(longest_flash(seen) * TICK_S, abs=1e-9)
    else:
        assert math.isnan(found.flash_rate_hz) or found.peak_cd == found.least_cd
    assert found.mean_cd == pytest.approx(light.mean(), rel=1e-9)
    assert found.peak_cd == light.max() and found.least_cd == light.min()
    assert found.optical_power_cd_s_per_min == pytest.approx(float(optical_power(wave)))


def longest_flash(seen: list[tuple[bool, int]]) -> int:
    """Lit ticks between gaps of 1000 ticks or more, twice around."""
    longest = lit_ticks = 0
    started = False
    for lit, count in seen * 2:
        if lit:
            lit_ticks += count
        elif count >= 1000:
            longest = max(longest, lit_ticks) if started else longest
            lit_ticks, started = 0, True
    return longest


@pytest.mark.parametrize("seed", range(15))
def test_darkness_against_sampling(seed: int) -> None:
    generator = np.random.default_rng(seed)
    wave = composite([random_pattern(generator) for _ in range(3)], generator.uniform(0.0, 500.0, (3, 2)))
    found = darkness(wave, 0.3)
    for at in range(2):
        light = sampled(wave.only(at))
        is_dark = light < 0.3 * light.mean() - 1e-9
        assert found.share[at] == pytest.approx(is_dark.mean(), abs=1e-9)
        longest = max((count for lit, count in runs(~is_dark) if not lit), default=0)
        assert found.longest_s[at] == pytest.approx(longest * TICK_S, abs=1e-9)
        if longest:
            inside = (found.begins_s[at] + 0.5 * TICK_S) / TICK_S
            assert is_dark[int(inside) % len(light)] and not is_dark[int(inside - 1) % len(light)]


def test_slopes_cross_the_level_between_instants() -> None:
    """A triangle is above a tenth for nine tenths of its base."""
    found = measured(from_segments([0.2, 0.2, 0.6], [0.0, 1000.0, 0.0], [1000.0, 0.0, 0.0]))
    assert found.longest_lit_s == pytest.approx(0.36) and found.longest_dark_s == pytest.approx(0.64)
    assert found.flash_rate_hz == pytest.approx(1.0)


def test_a_group_is_one_flash_and_a_gap_of_a_tenth_parts() -> None:
    short = measured(from_pattern(parse_pattern("on 50 ms, off 99 ms, on 50 ms, off 600 ms"), 1.0))
    parted = measured(from_pattern(parse_pattern("on 50 ms, off 100 ms, on 50 ms, off 600 ms"), 1.0))
    assert (len(short.flashes), short.flashes[0].pulses, len(parted.flashes)) == (1, 2, 2)
    assert short.flashes[0].lit_s == pytest.approx(0.1)
    assert short.flashes[0].end_s - short.flashes[0].begin_s == pytest.approx(0.199)
    assert short.pulse_rate_hz == pytest.approx(2 * short.flash_rate_hz)


def test_light_that_never_goes_dark_for_long_enough_has_no_rate() -> None:
    fast = measured(from_pattern(parse_pattern("on 50 ms, off 50 ms"), 100.0))
    assert math.isnan(fast.flash_rate_hz) and fast.pulse_rate_hz == pytest.approx(10.0)
    assert math.isnan(fast.flash_energy_cd_s) and fast.flashes == ()


def test_steady_and_dark() -> None:
    steady, dark = measured(from_segments([1.0], [5.0])), measured(from_segments([1.0], [0.0]))
    assert (steady.flash_rate_hz, steady.longest_dark_s, steady.lit_share, steady.pulses) == (0.0, 0.0, 1.0, 0)
    assert (dark.flash_rate_hz, dark.longest_dark_s, dark.lit_share) == (0.0, 1.0, 0.0)
    nothing = darkness(from_segments([1.0], [[5.0], [0.0]]))
    assert nothing.share.tolist() == [0.0, 1.0] and nothing.longest_s.tolist() == [0.0, 1.0]
    assert np.isnan(nothing.begins_s[0])


def test_a_steady_part_does_not_hide_flashes() -> None:
    lifted = measured(from_segments([0.1, 0.4], [1300.0, 1000.0]))
    assert lifted.flash_rate_hz == pytest.approx(2.0) and lifted.longest_lit_s == pytest.approx(0.1)


def test_flash_energy_times_rate_is_power() -> None:
    found = measured(from_pattern(named_pattern("quad flash"), 2000.0))
    assert found.flash_energy_cd_s * 75 == pytest.approx(found.optical_power_cd_s_per_min)
    assert found.flash_energy_cd_s == pytest.approx(2000 * 4 * 0.040)


def test_what_is_refused() -> None:
    with pytest.raises(UsageError):
        measured(from_segments([1.0], [[1.0]]))
    with pytest.raises(UsageError):
        measured(from_segments([1.0], [1.0]), lit_share=1.0)
