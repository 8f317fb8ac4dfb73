"""Flash patterns as people write them are read exactly, and everything else is refused with its place."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.errors import InputError, LimitError, QuantityError
from scenelux.timing import STEADY, Pattern, parse_pattern, parse_time_us, pattern_text

MS = 1000


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("on 50 ms, off 0.7 s", [(50, 1.0), (700, 0.0)]),
        ("ON 50ms,OFF .7s", [(50, 1.0), (700, 0.0)]),
        ("2 x (on 50 ms, off 50 ms), off 600 ms", [(50, 1.0), (50, 0.0), (50, 1.0), (50, 0.0), (600, 0.0)]),
        ("2 × (on 50 ms, off 50 ms)", [(50, 1.0), (50, 0.0)] * 2),
        ("2x on 50 ms, off 100 ms", [(50, 1.0), (50, 1.0), (100, 0.0)]),
        ("2 x (2 x (on 1 ms, off 1 ms), off 3 ms)", [(1, 1.0), (1, 0.0), (1, 1.0), (1, 0.0), (3, 0.0)] * 2),
        ("at 40 % 120 ms, off 80 ms", [(120, 0.4), (80, 0.0)]),
        ("on at 40 % for 120 ms, off for 80 ms", [(120, 0.4), (80, 0.0)]),
        ("75 per minute: on 100 ms, off", [(100, 1.0), (700, 0.0)]),
        ("2 per second: on 40 %, off", [(200, 1.0), (300, 0.0)]),
        ("2 Hz: on 40 %, off 60 %", [(200, 1.0), (300, 0.0)]),
        ("every 800 ms: off 25 %, on 25 %, off", [(200, 0.0), (200, 1.0), (400, 0.0)]),
        ("every 0.5 min: on 10 s, off", [(10_000, 1.0), (20_000, 0.0)]),
        ("steady", [(1000, 1.0)]),
        ("steady at 30 %", [(1000, 0.3)]),
    ],
)  # fmt: skip
def test_what_is_read(text: str, steps: list[tuple[int, float]]) -> None:
    assert parse_pattern(text).steps == tuple((duration * MS, level) for duration, level in steps)


def test_a_cycle_that_is_no_whole_number_of_microseconds_is_rounded_once() -> None:
    """60 s / 70 is 857142.857 us; thirds of it end at 285714.3, 571428.6 and 857142.9."""
    thirds = parse_pattern("70 per minute: on 33.3333333333 %, off 33.3333333333 %, on")
    assert thirds.edges_us == (0, 285_714, 571_429, 857_143)
    assert thirds.cycle_us == Fraction(60_000_000, 70)


@pytest.mark.parametrize(
    ("text", "piece"),
    [
        ("", 'ends where "on", "off" or "at" is expected'),
        ("flash 50 ms", 'has "flash" at character 1 where "on", "off" or "at" is expected'),
        ("on 50", "ends where a unit of time"),
        ("on 50 mm", 'has "mm" at character 7 where a unit of time'),
        ("on 50 ms off 50 ms", 'has "off" at character 10 where a comma'),
        ("on 50 ms,", "ends where"),
        ("3 (on 50 ms)", 'has "(" at character 3 where "x" after a count'),
        ("0 x (on 50 ms)", 'has "0" at character 1 where a count from 1'),
        ("2.5 x (on 50 ms)", "where a count from 1"),
        ("2 x (on 50 ms", "ends where a comma or a closing bracket"),
        ("on 50 ms, off", "a step without a time that is not the last of a cycle of stated length"),
        ("75 per minute: on, off", "a step without a time"),
        ("75 per minute: on 900 ms, off", "leaves nothing of the cycle of 800 ms"),
        ("75 per minute: on 100 ms, off 100 ms", "has steps of 200 ms in a cycle of 800 ms"),
        ("on 40 %, off 60 %", 'no "every" or "per minute" gives the cycle'),
        ("at 140 % 50 ms", "at most 100 %"),
        ("on 0.5 us", "a time in whole microseconds"),
        ("on 0 ms, off 5 ms", "a step shorter than a microsecond"),
        ("0 per minute: on 50 ms, off", "a rate above 0"),
        ("75 per hour: on 50 ms, off", '"minute" or "second"'),
        ("75 per minute on 50 ms", "where a colon is expected"),
        ("on -50 ms", 'has "-" at character 4'),
        ("steady on", "where the end is expected"),
        ("((((((on 1 ms))))))", "no more than 4 brackets"),
        ("on 1234567890123456 s", "at most 15 characters"),
        ("x" * 500, "longer than 400 characters"),
    ],
)  # fmt: skip
def test_what_is_refused(text: str, piece: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_pattern(text)
    assert piece in str(caught.value)


@pytest.mark.parametrize("text", ["2000 x (2 x (on 1 ms, off 1 ms))", "1 per minute: 999 x (1000 x on 1 us), off"])
def test_too_many_steps_are_told_before_they_are_made(text: str) -> None:
    with pytest.raises(LimitError, match=r"more than 2,000 steps"):
        parse_pattern(text)


@pytest.mark.parametrize("text", ["on 2 min, off 59 min", "every 61 min: on 1 s, off", "0.01 per minute: on 1 s, off"])
def test_a_cycle_has_at_most_an_hour(text: str) -> None:
    with pytest.raises(LimitError, match="more than an hour"):
        parse_pattern(text)


def test_what_is_no_text_is_refused() -> None:
    with pytest.raises(QuantityError, match="is not a flash pattern"):
        parse_pattern(5)  # type: ignore[arg-type]
    with pytest.raises(QuantityError, match="is not a delay"):
        parse_time_us(5, STEADY)  # type: ignore[arg-type]


def test_delays() -> None:
    pattern = parse_pattern("on 100 ms, off 300 ms")
    assert [parse_time_us(text, pattern) for text in ("0 s", "250 ms", "25 %")] == [0, 250 * MS, 100 * MS]
    for text in ("250", "half", "250 ms 3", "2 h", "90 min"):
        with pytest.raises(QuantityError):
            parse_time_us(text, pattern)


@given(st.lists(st.tuples(st.integers(1, 10**6), st.sampled_from([0.0, 0.4, 0.125, 1.0])), min_size=1, max_size=9))
def test_text_of_a_pattern_reads_as_the_same(steps: list[tuple[int, float]]) -> None:
    assert parse_pattern(pattern_text(Pattern(tuple(steps)))).steps == tuple(steps)


@given(st.text("on fat%12.:,()xsmuper", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        assert parse_pattern(text).period_us >= 1
    except InputError as error:
        assert str(error).endswith(".")
