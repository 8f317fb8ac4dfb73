"""Digits in which two numbers agree."""

from __future__ import annotations

import pytest

from scenelux.prove import digits_agreed


@pytest.mark.parametrize(
    ("expected", "ours", "digits"),
    [
        (15.1805, 15.18053, 6),
        (15.1805, 15.18056, 5),
        (40, 39.912, 2),
        (1000, 1000.4, 4),
        (1000, 1000.6, 3),
        (0.000645, 0.0006451, 3),
        (-2.434, -2.4338, 4),
        (1, -1, 0),
        (1, 100, 0),
        (2.5, 2.5, 15),
        (0, 0, 15),
        (0, 1e-9, 9),
        (99.96, 100.0, 3),
    ],
)
def test_digits(expected: float, ours: float, digits: int) -> None:
    assert digits_agreed(expected, ours) == digits
