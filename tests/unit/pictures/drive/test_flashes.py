"""Flash safety: made-up pictures that flash in known ways, and a slow count pixel by pixel beside the fast one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import UsageError
from scenelux.pictures.drive.flashes import FIELD, measure_flashes, slowed

PER_S = 20


def grey(values: list[int], size: tuple[int, int] = (30, 30)) -> list[np.ndarray]:
    return [np.full((*size, 3), value, np.uint8) for value in values]


def square(rate: float, seconds: float, low: int = 0, high: int = 255) -> list[int]:
    """A square wave, as values of pictures shown a twentieth of a second each."""
    return [high if int(2.0 * rate * number / PER_S) % 2 else low for number in range(int(seconds * PER_S))]


def measured(values: list[int]) -> object:
    return measure_flashes(grey(values), [1.0 / PER_S] * len(values))


def test_two_a_second_pass_and_five_a_second_do_not() -> None:
    slow, fast = measured(square(2.0, 4.0)), measured(square(5.0, 4.0))
    assert slow.most_flashes_per_s <= 3.0 and slow.passes and slow.worst_share == 0.0
    assert fast.most_flashes_per_s >= 5.0 and fast.worst_share == 1.0 and not fast.passes


def test_what_is_no_flash() -> None:
    assert measured(square(8.0, 2.0, 100, 110)).most_flashes_per_s == 0.0  # less than a tenth
    assert measured(square(8.0, 2.0, 235, 255)).most_flashes_per_s == 0.0  # the darker one is brighter than 0.80
    assert measured(list(range(0, 250, 5))).most_flashes_per_s == 0.5  # one way only: half a pair
    assert measured([10] * 60).passes


def test_fast_flashes_over_a_small_area_pass() -> None:
    values = square(6.0, 2.0)
    small, large = grey([0] * len(values)), grey([0] * len(values))
    for one, other, value in zip(small, large, values, strict=True):
        one[:4, :4] = value  # 16 of the 100 pixels of a field
        other[:6, :6] = value
    shown = [1.0 / PER_S] * len(values)
    assert measure_flashes(small, shown).worst_share == pytest.approx(0.16)
    assert measure_flashes(small, shown).passes
    assert measure_flashes(large, shown).worst_share == pytest.approx(0.36)
    assert not measure_flashes(large, shown).passes


def test_the_same_flashes_shown_slower_pass() -> None:
    values = square(6.0, 3.0)
    factor = slowed([6.0])
    assert factor == 2.0
    assert not measured(values).passes
    slower = measure_flashes(grey(values), [factor / PER_S] * len(values))
    assert slower.passes and slower.most_flashes_per_s <= 3.0


def test_red_counts_even_where_it_is_not_bright() -> None:
    red, black = np.zeros((12, 12, 3), np.uint8), np.zeros((12, 12, 3), np.uint8)
    red[..., 0] = 60
    pictures = [red if value else black for value in square(6.0, 2.0)]
    found = measure_flashes(pictures, [1.0 / PER_S] * len(pictures))
    assert found.worst_share == 0.0 and found.worst_red_share == 1.0 and not found.passes


def counted(light: list[float], shown_s: float) -> float:
    """Most flashes of one pixel in a second: its turns one by one, from extreme to extreme."""
    turns, sign, low, high = [], 0, light[0], light[0]
    for number, value in enumerate(light[1:], 1):
        low, high = min(low, value), max(high, value)
        if sign <= 0 and value - low >= 0.1 - 1e-6 and low < 0.8:
            sign, low, high = 1, value, value
            turns.append(number * shown_s)
        elif sign >= 0 and high - value >= 0.1 - 1e-6 and value < 0.8:
            sign, low, high = -1, value, value
            turns.append(number * shown_s)
    return max((sum(start <= turn < start + 1.0 - 1e-6 for turn in turns) for start in turns), default=0) / 2.0


@settings(max_examples=40)
@given(st.lists(st.lists(st.integers(0, 255), min_size=25, max_size=25), min_size=1, max_size=3))
def test_as_a_slow_count_finds_it(rows: list[list[int]]) -> None:
    pictures = [np.array([[row[number]] * 3 for row in rows], np.uint8)[None] for number in range(25)]
    share = np.array(rows) / 255.0
    light = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    expected = max(counted(row.tolist(), 0.125) for row in light)
    assert measure_flashes(pictures, [0.125] * 25).most_flashes_per_s == expected


def test_a_field_is_a_third_of_the_picture() -> None:
    assert FIELD == 3


@pytest.mark.parametrize("rates", [[-1.0], [float("nan")], [float("inf")]])
def test_no_rate(rates: list[float]) -> None:
    with pytest.raises(UsageError, match="rate of flashes"):
        slowed(rates)


def test_each_picture_needs_its_time() -> None:
    with pytest.raises(UsageError, match="one duration"):
        measure_flashes(grey([1, 2]), [1.0])
