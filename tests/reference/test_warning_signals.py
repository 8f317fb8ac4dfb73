"""Worked values of warning lamps: peaks, power, on-times, angles, solid angles, legibility."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from scenelux.signals import (
    arrow_boards,
    arrow_times,
    elevation_of_eye,
    field_solid_angle,
    filament_light,
    from_pattern,
    kept,
    measured,
    on_time_rules,
    over_phases,
    warning_requirements,
)
from scenelux.timing import named_pattern, parse_pattern, published_rates

Agreement = Callable[..., None]
BY_ID = {row.id: row for row in warning_requirements()}


def test_field_of_ten_degrees(agreement: Agreement) -> None:
    words = "calculated from 2 pi (1 - cos 5 deg)"
    agreement("field of 10 deg [sr]", 0.023909, field_solid_angle(), words, "calculated", 5e-7)
    agreement("a quarter of it [sr]", 0.005977, 0.25 * field_solid_angle(), words, "calculated", 5e-7)


def test_filament_at_half_voltage(agreement: Agreement) -> None:
    agreement("light of a filament at half of its voltage [%]", 9.5, 100 * filament_light(0.5),
              "calculated from 0.5^3.4, exponent from memory", "unconfirmed", 0.05)  # fmt: skip


def test_ratios_of_day_to_night(agreement: Agreement) -> None:
    for colour, angle, ratio in (("blue", 0, 2.40), ("amber", 0, 2.30), ("amber", 8, 2.43), ("blue", 4, 2.40)):
        day, night = (BY_ID[f"r65_t_{colour}_{angle}_{light}"].at_least for light in ("day", "night"))
        agreement(f"UN R65 day over night, {colour}, {angle} deg", ratio, day / night,
                  "UN R65, as quoted by a trade page", "unconfirmed", 0.005)  # fmt: skip


def test_power_classes(agreement: Agreement) -> None:
    power = [BY_ID[f"j845_class_{number}"].at_least for number in (1, 2, 3)]
    agreement("class 2 over class 1 [%]", 25, 100 * power[1] / power[0], "SAE J845, trade pages", "unconfirmed", 0.5)
    agreement("class 1 over class 3", 10, power[0] / power[2], "SAE J845, trade pages", "unconfirmed", 0.5)


def test_french_on_time_and_mean(agreement: Agreement) -> None:
    rule = on_time_rules()[0]
    source = "French order of 4 July 1972, clauses 5 to 7"
    agreement("longest on-time of a rotating beacon at 2 Hz [s]", 0.300, rule.most_share / 2.0, source, "published",
              5e-4)  # fmt: skip
    found = measured(from_pattern(parse_pattern("2 per second: on 20 ms, off"), 1000.0))
    agreement("mean of 1000 cd for 20 ms at 2 Hz [cd]", 40, found.mean_cd, "calculated from I t F", "calculated", 1e-9)
    assert kept(BY_ID["french_rotating_0"], found.mean_cd) == "meets"


def test_airport_vehicle_on_its_cap() -> None:
    assert kept(BY_ID["liol_c"], 400.0) == "meets"
    assert kept(BY_ID["liol_d"], 199.0) == "misses"


def test_rates_in_hertz(agreement: Agreement) -> None:
    rates = published_rates()
    for name, low, high, rounding in (("kkk", 1.25, 2.08, 5e-3), ("arrow-board", 0.42, 0.67, 5e-3),
                                      ("airport-vehicle", 1.0, 1.5, 5e-2), ("indicator", 1.0, 2.0, 5e-2)):  # fmt: skip
        rate, source = rates[name], str(rates[name].source)
        agreement(f"{name}, least [Hz]", low, rate.low_per_min / 60, source, rate.source.status, rounding)
        agreement(f"{name}, most [Hz]", high, rate.high_per_min / 60, source, rate.source.status, rounding)


def test_eye_on_a_walk_round(agreement: Agreement) -> None:
    agreement("lamp 3.0 m, eye 1.2 m at 25 m [deg]", -4.12, float(elevation_of_eye(1.2, 3.0, 25.0)),
              "calculated from atan((eye - lamp)/distance)", "calculated", 5e-3)  # fmt: skip


def test_arrow_boards(agreement: Agreement) -> None:
    source = "MUTCD 2009, 6F.61, as quoted by a contractor standard"
    for board, miles in zip(arrow_boards(), (0.5, 0.75, 1.0, 0.5), strict=True):
        agreement(f"legibility of type {board.type} [mi]", miles, board.legibility_m / 1609.344, source, "quoted", 1e-9)
    row = [named_pattern(f"sequence {which}") for which in ("first", "second", "third")]
    assert (
        arrow_times(row, "sequential").shares_hold
        and arrow_times([named_pattern("arrow flashing")], "flashing").shares_hold
    )


def test_two_trucks_by_the_analytic_distribution(agreement: Agreement) -> None:
    """Flashes of 0.1 s once a second: apart over 1 - 2 (0.1 + 0.1) of phases, where the two give 2 flashes a second."""
    truck = parse_pattern("on 100 ms, off 900 ms")
    found = over_phases(truck, truck)
    words = "calculated: (T - d1 - d2 - 2 g)/T, and products of the shares of dark"
    share = 1.0 - float(found.flashes_per_s.share_at_most(1.0))
    agreement("two trucks seen as two flashes a second, share of phases", 0.6, share, words, "calculated", 1e-12)
    agreement("both dark, mean over phases", 0.81, found.both_dark.mean, words, "calculated", 1e-12)
    agreement("both lit at most, share of time", 0.1, found.both_lit.greatest, words, "calculated", 1e-12)
    assert np.isclose(found.flashes_per_s.mean, 1.6)
