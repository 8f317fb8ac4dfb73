"""Light for the quantities of flashing: either pulses or a pattern, and what is neither is said."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from scenelux.errors import InputError, UsageError
from scenelux.prove.quantities.signals import effective_intensity, flash_frequency, optical_power, zone_of_direction
from scenelux.prove.signature import called


def test_a_pattern_and_its_pulses_are_one() -> None:
    pulses = [[0.1, 2400.0], [0.7, 0.0]]
    for quantity in (effective_intensity, optical_power):
        extra = {"repeated": True} if quantity is effective_intensity else {}
        one = called(quantity, {"pulses": pulses, **extra}, Path())
        assert called(quantity, {"pattern": "single flash", "peak_cd": 2400}, Path()) == pytest.approx(one)


def test_a_list_of_peaks_gives_a_list_of_answers() -> None:
    found = called(effective_intensity, {"pattern": "single flash", "peak_cd": [100, 200]}, Path())
    assert found[1] == pytest.approx(2 * found[0])  # type: ignore[index]


@pytest.mark.parametrize(
    ("inputs", "piece"),
    [
        ({}, "needs one kind of light"),
        ({"pulses": [[1, 1]], "pattern": "steady"}, "needs one kind of light"),
        ({"pulses": [[1]]}, "is not a pulse"),
        ({"pulses": [[1, 2, 3, 4]]}, "is not a pulse"),
        ({"pulses": [[1, 2]], "model": "blondel"}, "is not a word that is known here"),
        ({"pattern": "on 50 mm"}, "where a unit of time"),
        ({"pattern": "unheard of"}, "is not the name of a flash pattern"),
    ],
)  # fmt: skip
def test_what_is_refused(inputs: dict[str, object], piece: str) -> None:
    with pytest.raises(InputError, match=piece):
        called(effective_intensity, inputs, Path())


@pytest.mark.parametrize(
    "inputs", [{"pulses": [[1, -1]]}, {"pulses": [[0, 1]]}, {"pulses": [[1, 1]], "a_s": 0}, {"pulses": [[1, math.nan]]}]
)
def test_outside_its_range_it_is_nan(inputs: dict[str, object]) -> None:
    assert math.isnan(called(effective_intensity, inputs, Path()))  # type: ignore[arg-type]


def test_other_ranges() -> None:
    assert all(math.isnan(value) for value in flash_frequency(((0.1, 1.0),), group_gap_s=-1.0).values())
    assert all(math.isnan(value) for value in optical_power(((0.1, -1.0),)).values())
    with pytest.raises(UsageError):
        zone_of_direction(math.inf)
