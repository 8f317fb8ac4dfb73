"""Two circuits and two trucks: shares of time, and distributions over the phase of clocks that run apart."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.errors import LimitError, UsageError
from scenelux.signals import all_dark, measured, over_phases, synchrony, timeline
from scenelux.signals.waveform import Waveform, from_segments
from scenelux.timing import STEADY, Pattern, named_pattern, parse_pattern


def flash(on_ms: int, cycle_ms: int) -> Pattern:
    return Pattern(((on_ms * 1000, 1.0), ((cycle_ms - on_ms) * 1000, 0.0)))


def at_phase(first: Pattern, second: Pattern, phase_us: int) -> Waveform:
    """Both with one candela, at one relative phase."""
    found = timeline([first, second.delayed(phase_us)])
    return from_segments(np.diff(found.edges_us) / 1e6, (found.levels > 0.1).any(axis=0).astype(float))


@given(st.integers(50, 900), st.integers(50, 900), st.sampled_from([0, 50, 100]))
def test_two_trucks_of_one_cycle_against_the_analytic_distribution(one: int, other: int, gap: int) -> None:
    """Flashes of length d1 and d2 in a cycle T: they part where both gaps reach g, over T - d1 - d2 - 2 g of phases.

    The overlap is d1 + d2 - T at least and the shorter at most, with all values between alike on two slopes.
    """
    cycle = 1000
    d1, d2 = sorted((one, other))
    found = over_phases(flash(one, cycle), flash(other, cycle), group_gap_s=gap / 1000)
    parted = max(0.0, (cycle - d1 - d2 - 2 * gap) / cycle)
    rate = found.flashes_per_s
    assert 1.0 - rate.share_at_most(1.0) == pytest.approx(parted, abs=1e-12)
    low = max(0, d1 + d2 - cycle)
    at_low = abs(cycle - d1 - d2) / cycle  # both apart; or where they fill the cycle, the gap of one inside the other
    at_high = (d2 - d1) / cycle
    for value in np.linspace(low, d1, 7):
        slopes = 2 * (value - low) / cycle
        analytic = 1.0 if value == d1 else at_low + slopes
        assert found.both_lit.share_at_most(value / cycle + 1e-13) == pytest.approx(analytic, abs=1e-9)
    assert found.both_lit.share_at_most(d1 / cycle - 1e-9) == pytest.approx(1.0 - at_high, abs=1e-6)
    assert found.both_dark.mean == pytest.approx((1 - d1 / cycle) * (1 - d2 / cycle), rel=1e-12)


def test_the_longest_gap_of_two_equal_flashes() -> None:
    """It is the larger of two gaps that add up to T - 2 d, or T - d - overlap's rest: straight in the phase."""
    found = over_phases(flash(100, 1000), flash(100, 1000)).longest_dark_s
    # Flashes apart: larger gap uniform from 0.4 to 0.8, for 0.8 of phases; overlapping: from 0.8 to 0.9, for 0.2.
    for value, share in ((0.4, 0.0), (0.6, 0.4), (0.8, 0.8), (0.85, 0.9), (0.9, 1.0)):
        assert found.share_at_most(value + 1e-12) == pytest.approx(share, abs=1e-9)
    assert found.mean == pytest.approx(0.8 * 0.6 + 0.2 * 0.85)


@pytest.mark.parametrize(
    ("one", "other"),
    [("quad flash", "double flash"), ("2 Hz flash", "double flash"), ("2 Hz double flash", "single flash"),
     ("indicator", "2 Hz flash"), ("single flash", "steady at 50 %"), ("indicator", "steady")],
)  # fmt: skip
def test_any_patterns_against_phases_drawn_by_lot(one: str, other: str) -> None:
    """Each drawn phase alone gives a value; their shares follow the distribution within what chance allows."""
    first, second = named_pattern(one), named_pattern(other)
    found = over_phases(first, second)
    drawn = np.random.default_rng(5).integers(0, second.period_us, 300)
    seen = [measured(at_phase(first, second, int(phase))) for phase in drawn]
    gaps = np.array([one.longest_dark_s for one in seen])
    dark = np.array([1 - one.lit_share for one in seen])
    rates = np.nan_to_num([one.flash_rate_hz for one in seen])
    for curve, values in (
        (found.longest_dark_s, gaps), (found.both_dark, dark), (found.flashes_per_s, rates),
    ):  # fmt: skip
        assert values.min() >= curve.least - 1e-6 and values.max() <= curve.greatest + 1e-6
        for value in np.linspace(curve.least, curve.greatest, 5):
            share = (values <= value + 1e-6).mean()
            assert share == pytest.approx(float(curve.share_at_most(value + 1e-6)), abs=0.1)
    assert found.both_dark.mean == pytest.approx(all_dark([first, second]).mean, rel=2e-6)
    assert found.both_lit.share.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("phase_ms", [0, 50, 130, 400, 777])
def test_synchrony_against_levels_over_time(phase_ms: int) -> None:
    first, second = named_pattern("double flash"), named_pattern("2 Hz flash").delayed(phase_ms * 1000)
    found = synchrony(first, second)
    ticks = np.arange(4_000) * 1000  # all instants of the two are whole milliseconds
    one, other = (np.array([p.level_at(int(t)) > 0.1 for t in ticks]) for p in (first, second))
    shares = [(one & other).mean(), (one & ~other).mean(), (~one & other).mean(), (~one & ~other).mean()]
    ours = [found.both_lit, found.first_only, found.second_only, found.both_dark]
    assert ours == pytest.approx(shares, abs=1e-9)
    assert found.period_s == 4.0 and 0.0 <= found.lag_least_s <= found.lag_most_s <= 0.5
    assert found.overlap == pytest.approx(shares[0] / (1 - shares[3]))


def test_alternating_and_together() -> None:
    left = flash(200, 500)
    together, apart = synchrony(left, left), synchrony(left, left.delayed(250_000))
    assert (together.overlap, together.lag_most_s, together.both_dark) == (1.0, 0.0, 0.6)
    assert (apart.overlap, apart.lag_least_s, apart.lag_most_s) == (0.0, 0.25, 0.25)
    assert apart.both_dark == pytest.approx(0.2)


def test_many_vehicles() -> None:
    found = all_dark([flash(200, 500), flash(100, 800), STEADY])
    assert (found.mean, found.least, found.most) == (0.0, 0.0, 0.0)
    found = all_dark([flash(200, 500), flash(100, 800)])
    assert found.mean == pytest.approx(0.6 * 0.875) and found.least == pytest.approx(0.475)
    assert found.most == pytest.approx(0.6)


def test_what_is_refused() -> None:
    with pytest.raises(UsageError, match="dark all the time"):
        over_phases(flash(100, 500), parse_pattern("steady at 0 %"))
    with pytest.raises(LimitError, match="come together only after"):
        over_phases(flash(100, 500), parse_pattern("every 0.779221 s: on 100 ms, off"))
    many = Pattern(((1000, 1.0), (1000, 0.0)) * 900)
    with pytest.raises(LimitError, match="too many pulses"):
        over_phases(many, many)


def test_a_value_at_a_share_of_phases_turns_the_distribution_around() -> None:
    found = over_phases(flash(100, 1000), flash(150, 1000))
    for curve in (found.longest_dark_s, found.both_lit, found.flashes_per_s):
        assert curve.value_at(0.0) == curve.least and curve.value_at(1.0) == curve.greatest
        for share in (0.1, 0.35, 0.5, 0.7, 0.77, 0.9, 0.97):
            value = curve.value_at(share)
            assert curve.share_at_most(value + 1e-12) >= share - 1e-9
            assert curve.share_at_most(value - 1e-9) <= share + 1e-6
