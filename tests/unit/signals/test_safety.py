"""Flashes within any second, solid angles in a field of view, and the screens."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.pictures.drive.flashes import measure_flashes
from scenelux.signals import (
    composite,
    concurrent_solid_angle,
    flash_safety,
    from_pattern,
    from_segments,
    modulation_limit_percent,
    modulation_percent,
    most_flashes_per_s,
    solid_angle,
    solid_angle_distance,
)
from scenelux.signals.waveform import Waveform
from scenelux.timing import named_pattern, parse_pattern


@pytest.mark.parametrize(
    ("text", "most"),
    [
        ("3 per second: on 50 %, off", 3.0),
        ("4 per second: on 40 %, off", 4.0),
        ("1 per second: on 50 %, off", 1.0),
        ("30 per minute: on 50 %, off", 0.5),  # within a second it turns on or off, once
        ("75 per minute: on 100 ms, off", 2.0),  # two whole flashes, at 0 and at 0.8 s
        ("75 per minute: 4 x (on 40 ms, off 40 ms), off", 6.5),  # one group of four, and five changes of the next
        ("steady", 0.0),
        ("2 per second: on 40 %, at 95 %", 0.0),  # changes by less than a tenth
        ("2 per second: on 40 %, at 81 %", 0.0),  # the darker is not below 0.80
        ("2 per second: on 40 %, at 79 %", 2.0),
        ("2 per second: at 5 % 40 %, off 30 %, on 20 %, off", 2.0),
    ],
)  # fmt: skip
def test_most_flashes_within_a_second(text: str, most: float) -> None:
    assert most_flashes_per_s(from_pattern(parse_pattern(text), 800.0)) == most


def by_pictures(wave: Waveform, per_s: int) -> float:
    """The same through the measure of pictures: grey frames, of which linear light is the relative intensity.

    They begin in the dark, so that the first change is one of the cycle.
    """
    frames = round(3.0 * max(1.0, wave.period_s)) * per_s
    dark = float(wave.times_s[int(wave.start_cd.argmin())])
    share = wave.at(dark + (np.arange(frames) + 0.5) / per_s) / float(wave.peak_cd)
    encoded = np.where(share <= 0.0031308, 12.92 * share, 1.055 * share ** (1 / 2.4) - 0.055)
    grey = [np.full((3, 3, 3), round(255 * value), np.uint8) for value in encoded]
    return measure_flashes(grey, [1.0 / per_s] * frames).most_flashes_per_s


@pytest.mark.parametrize(
    "names", [("quad flash",), ("2 Hz flash", "double flash"), ("rotating",), ("indicator", "2 Hz flash")]
)
def test_lamps_and_pictures_are_counted_alike(names: tuple[str, ...]) -> None:
    wave = composite([named_pattern(name) for name in names], np.full(len(names), 500.0))
    assert most_flashes_per_s(wave) == by_pictures(wave, 100)


def test_slopes_count_when_they_have_grown_enough() -> None:
    triangle = from_segments([0.25, 0.25], [0.0, 1000.0], [1000.0, 0.0])
    assert most_flashes_per_s(triangle) == 2.0
    assert most_flashes_per_s(from_segments([0.25, 0.25], [850.0, 1000.0], [1000.0, 850.0])) == 0.0


def test_two_trucks_give_up_to_the_sum_of_their_rates() -> None:
    one = parse_pattern("2 per second: on 20 %, off")
    together = composite([one, one.delayed(250_000)], [500.0, 500.0])
    assert most_flashes_per_s(together) == 4.0


def test_a_field_holds_what_lies_within_five_degrees_of_its_middle() -> None:
    def towards(*degrees: float) -> list[list[float]]:
        return [[math.cos(math.radians(d)), math.sin(math.radians(d)), 0.0] for d in degrees]

    assert concurrent_solid_angle(towards(0, 9.9), [1.0, 2.0]) == 3.0
    assert concurrent_solid_angle(towards(0, 10.1), [1.0, 2.0]) == 2.0
    assert concurrent_solid_angle(towards(0, 5, 10), [1.0, 2.0, 4.0]) == 7.0
    assert concurrent_solid_angle(towards(0, 8, 16), [1.0, 2.0, 4.0]) == 6.0
    assert concurrent_solid_angle([], []) == 0.0
    with pytest.raises(UsageError):
        concurrent_solid_angle(towards(0), [1.0, 2.0])


def test_a_field_against_many_fields_tried() -> None:
    generator = np.random.default_rng(2)
    towards = np.column_stack((np.ones(12), generator.uniform(-0.3, 0.3, 12), generator.uniform(-0.2, 0.2, 12)))
    towards /= np.linalg.norm(towards, axis=1, keepdims=True)
    sizes = generator.uniform(0.1, 1.0, 12)
    y, z = np.meshgrid(np.linspace(-0.4, 0.4, 300), np.linspace(-0.3, 0.3, 300))
    middles = np.stack((np.ones_like(y), y, z), axis=-1)
    middles /= np.linalg.norm(middles, axis=-1, keepdims=True)
    tried = ((middles @ towards.T >= math.cos(math.radians(5))) @ sizes).max()
    assert concurrent_solid_angle(towards, sizes) == pytest.approx(tried)


def test_the_report_tells_and_does_not_judge() -> None:
    fast = from_pattern(parse_pattern("4 per second: on 40 %, off"), 700.0)
    small, large = flash_safety(fast, 0.001), flash_safety(fast, 0.02, luminance_cd_m2=5000.0)
    assert small.screen == "above the screen, small" and small.hazard is None and small.in_band
    assert large.screen == "above the screen" and large.hazard is True
    assert "a lamp rule may allow it" in large.sentence and "4 flashes" in large.sentence
    slow = flash_safety(from_pattern(named_pattern("2 Hz flash"), 700.0), 0.02, red=True, luminance_cd_m2=5000.0)
    assert (
        slow.screen == "below the screen"
        and slow.hazard is False
        and not slow.in_band
        and slow.red_flashes_per_s == 2.0
    )
    assert "red flashes" in slow.sentence


def test_solid_angles_outside_their_range_are_nan() -> None:
    assert np.isnan(solid_angle([0.1, -0.1], [0.0, 1.0])).all() and math.isnan(solid_angle_distance(-1.0))
    assert solid_angle(0.1, 10.0) == pytest.approx(0.001)


def test_modulation() -> None:
    assert float(modulation_percent(from_segments([1.0, 1.0], [100.0, 0.0]))) == 100.0
    assert np.isnan(modulation_percent(from_segments([1.0], [0.0])))
    low, none = modulation_limit_percent([80.0, 100.0]), modulation_limit_percent([80.0, 100.0, 3000.0], "no effect")
    assert low == pytest.approx([2.0, 8.0]) and none == pytest.approx([0.8, 100 / 30, 100.0])
    assert np.isnan(modulation_limit_percent(0.0))
    with pytest.raises(UsageError):
        modulation_limit_percent(100.0, "high")  # type: ignore[arg-type]
