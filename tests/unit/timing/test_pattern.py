"""Patterns as values, and the library of common ones."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from scenelux.errors import InputError, LimitError, QuantityError, UsageError
from scenelux.timing import STEADY, Pattern, common_patterns, named_pattern, parse_pattern, published_rates
from tests.signal_trains import flashes_in_a_cycle


def test_levels_at_instants_and_phase() -> None:
    pattern = Pattern(((100, 1.0), (300, 0.25)))
    assert [pattern.level_at(at) for at in (0, 99, 100, 399, 400, -1)] == [1.0, 1.0, 0.25, 0.25, 1.0, 0.25]
    late = pattern.delayed(150)
    assert [late.level_at(at) for at in (0, 149, 150, 249, 250)] == [0.25, 0.25, 1.0, 1.0, 0.25]
    assert late.delayed(300).phase_us == 50
    assert pattern.duty == pytest.approx((100 + 300 * 0.25) / 400)
    assert STEADY.is_steady and not pattern.is_steady


def test_a_rate_holds_for_ever() -> None:
    """90 a minute are 666666.667 us: the third cycle begins at 1333333, the fourth at 2 s sharp."""
    pattern = parse_pattern("90 per minute: on 100 ms, off")
    assert (pattern.period_us, pattern.cycle_us) == (666_667, Fraction(2_000_000, 3))
    for cycle, start in ((0, 0), (1, 666_667), (2, 1_333_333), (3, 2_000_000), (900_000, 600_000_000_000)):
        assert (pattern.level_at(start - 1), pattern.level_at(start)) == (0.0, 1.0), cycle
        assert (pattern.level_at(start + 99_999), pattern.level_at(start + 100_000)) == (1.0, 0.0), cycle
    with pytest.raises(UsageError, match="not the length"):
        Pattern(((10, 1.0),), exact_us=Fraction(21, 2) + 1)


@pytest.mark.parametrize(
    "steps", [(), ((0, 1.0),), ((10, 1.1),), ((10, -0.1),), ((10, float("nan")),), ((1.5, 1.0),)]
)  # fmt: skip
def test_what_is_no_pattern(steps: tuple[tuple[int, float], ...]) -> None:
    with pytest.raises(UsageError):
        Pattern(steps)


def test_limits() -> None:
    with pytest.raises(LimitError):
        Pattern(((1, 1.0),) * 2_001)
    with pytest.raises(LimitError):
        Pattern(((3_600_000_001, 1.0),))


def test_common_patterns_keep_to_the_rates_they_name() -> None:
    rates = published_rates()
    for name, common in common_patterns().items():
        assert common.source.status == "unconfirmed" and common.say, name
        for rate in common.rates:
            found = float(60_000_000 / common.pattern.cycle_us) * flashes_in_a_cycle(common.pattern)
            assert rates[rate].low_per_min <= found <= rates[rate].high_per_min, (name, rate)


def test_rates_as_published() -> None:
    rates = published_rates()
    assert (rates["kkk"].low_per_min, rates["kkk"].high_per_min, rates["kkk"].source.status) == (75, 125, "published")
    assert (rates["r65"].low_per_min / 60, rates["r65"].high_per_min / 60) == (2, 4)
    assert rates["r65"].source.status == "unconfirmed"
    assert (rates["arrow-board"].low_per_min, rates["arrow-board"].high_per_min) == (25, 40)


def test_a_name_or_a_text() -> None:
    assert named_pattern("steady") == STEADY
    assert named_pattern("on 5 ms, off 5 ms") == parse_pattern("on 5 ms, off 5 ms")
    with pytest.raises(QuantityError, match=r'"tripel flash" is not the name of a flash pattern; give one of steady'):
        named_pattern("tripel flash")
    with pytest.raises(InputError, match="character 7"):
        named_pattern("on 50 mm")


def test_documents_can_be_read_without_numpy() -> None:
    """Patterns are plain values: checking a document waits for no library of arrays."""
    code = "import scenelux.timing, sys; scenelux.timing.common_patterns(); print('numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
