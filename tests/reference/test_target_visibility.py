"""Adrian's visibility of targets (1989) against values calculated from the stated formulas, term by term."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable

import numpy as np
import pytest

from scenelux.shipped import shipped
from scenelux.vision import (
    contrast_reversal,
    target_arcmin,
    threshold_luminance_difference,
    visibility_level,
)

Agreement = Callable[..., None]
CALCULATED = "calculated from the stated formulas of Adrian 1989"


def slow_roots(light: float) -> tuple[float, float]:
    log = math.log10(light)
    if light >= 0.6:
        return math.log10(4.1925 * light**0.1556) + 0.1684 * light**0.5867, 0.05946 * light**0.466
    if light > 0.00418:
        return 10 ** (-0.072 + 0.3372 * log + 0.0866 * log**2), 10 ** (-1.256 + 0.319 * log)
    return 10 ** (0.028 + 0.173 * log), 10 ** (-0.891 + 0.5275 * log + 0.0227 * log**2)


def slow_time_constant(light: float, alpha: float) -> float:
    b, c = math.log10(alpha) + 0.523, math.log10(light) + 6
    of_size = 0.36 - 0.0972 * b**2 / (b**2 - 2.513 * b + 2.7895)
    of_luminance = 0.355 - 0.1217 * c**2 / (c**2 - 10.4 * c + 52.28)
    return math.sqrt(of_size**2 + of_luminance**2) / 2.1


def slow_age_factor(age: float) -> float:
    if age <= 23:
        return 1.0
    return (age - 19) ** 2 / 2160 + 0.99 if age <= 64 else (age - 56.6) ** 2 / 116.3 + 1.43


def slow_share(light: float) -> float:
    q = 0.125 if light >= 0.1 else 0.075
    return 10 ** (-(10 ** (-(q * (math.log10(light) + 1) ** 2 + 0.0245))))


def slow_long_look(light: float, alpha: float) -> float:
    root_flux, root_luminance = slow_roots(light)
    return 2.6 * (root_flux / alpha + root_luminance) ** 2


def slow_negative(light: float, alpha: float) -> float:
    light = max(light, 0.004)
    positive = slow_long_look(light, alpha) * (slow_time_constant(light, alpha) + 2) / 2
    return 1 - slow_share(light) * alpha ** (-0.6 * light**-0.1488) / (2.4 * positive)


def slow_difference(light: float, alpha: float, seconds: float, age: float, negative: bool) -> float:
    alpha = min(alpha, 60.0)
    time = (slow_time_constant(light, alpha) + seconds) / seconds
    factor = slow_negative(light, alpha) if negative else 1.0
    return slow_long_look(light, alpha) * time * slow_age_factor(age) * factor


def test_every_branch_equals_the_slow_formula() -> None:
    generator = np.random.default_rng(1989)
    light = 10 ** generator.uniform(-4, 2, 600)
    alpha, seconds = 10 ** generator.uniform(-0.5, 2, 600), 10 ** generator.uniform(-1.5, 1, 600)
    age, negative = generator.uniform(18, 74.9, 600), generator.random(600) < 0.5
    light[:4], negative[:4] = (0.6, 0.00418, 0.1, 0.004), True
    ours = threshold_luminance_difference(light, alpha, age_years=age, exposure_s=seconds, negative=negative)
    rows = zip(light, alpha, seconds, age, negative, strict=True)
    slow = [slow_difference(*map(float, row[:4]), bool(row[4])) for row in rows]
    assert ours == pytest.approx(slow, rel=1e-12)


def test_terms_of_one_target(agreement: Agreement) -> None:
    """Each factor is taken out of the whole as a ratio: of two ages, two exposures, two polarities."""

    def ours(alpha: float = 7.45, **changed: float) -> float:
        given = {"age_years": 23.0, "exposure_s": 0.2, "negative": False} | changed
        return float(threshold_luminance_difference(1.0, alpha, **given))

    def check(quantity: str, printed: float, value: float, rounding: float = 5e-7) -> None:
        agreement(f"target of 7.45 arcmin on 1 cd/m2: {quantity}", printed, value, CALCULATED, "calculated", rounding)

    endless, short = ours(exposure_s=1e12), ours()
    at_5, at_10 = (math.sqrt(ours(alpha, exposure_s=1e12) / 2.6) for alpha in (5.0, 10.0))
    root_flux = (at_5 - at_10) / (1 / 5 - 1 / 10)
    check("root of flux", 0.790873, root_flux)
    check("root of luminance", 0.05946, at_10 - root_flux / 10, 5e-6)
    check("time constant [s]", 0.132134, 0.2 * (short / endless - 1))
    check("growth at 0.2 s", 1.660671, short / endless)
    check("age factor, 60 y", 1.768241, ours(age_years=60) / short)
    check("age factor, 70 y", 2.97393, ours(age_years=70) / short, 1e-5)  # cut off there, not rounded
    check("factor of negative contrast", 0.678809, ours(negative=True) / short)


def test_share_of_negative_contrast_meets_where_its_laws_join(agreement: Agreement) -> None:
    for words, light in (("at", 0.1), ("below", math.nextafter(0.1, 0.0))):
        positive, darker = threshold_luminance_difference(
            light, 7.45, age_years=23, exposure_s=2.0, negative=[False, True]
        )
        beta = 0.6 * light**-0.1488
        ours = (1 - darker / positive) * 2.4 * positive * 7.45**beta
        agreement(f"M of negative contrast {words} 0.1 cd/m2", 0.113462, ours, CALCULATED, "calculated", 5e-7)


def test_older_constant_makes_a_percent_and_a_half(agreement: Agreement) -> None:
    """RP-8 is remembered with 4.2841 where the paper has 4.1925."""
    paper, practice = ((math.log10(constant) + 0.1684) / 7.45 + 0.05946 for constant in (4.1925, 4.2841))
    ours = threshold_luminance_difference(1.0, 7.45, age_years=23, exposure_s=1e12)
    assert ours == pytest.approx(2.6 * paper**2, rel=1e-12)
    more = 100 * (2.6 * practice**2 / ours - 1)
    agreement("threshold with 4.2841 for 4.1925 at 1 cd/m2 [%]", 1.5, more, CALCULATED, "calculated", 0.05)


def test_contrast_reverses_where_both_are_equally_bright(agreement: Agreement) -> None:
    low, high = 1.0, 20.0
    for _ in range(60):
        middle = (low + high) / 2
        level = visibility_level(0.05 * middle / math.pi, 0.1, 21.486, age_years=60)
        low, high = (middle, high) if level < 0 else (low, middle)
    agreement("person at 80 m on 0.1 cd/m2: light of reversal [lx]", 6.28, low, CALCULATED, "calculated", 5e-3)
    levels = visibility_level(0.05 * np.array([3.0, 6.0, 6.5, 9.0]) / math.pi, 0.1, 21.486, age_years=60)
    assert contrast_reversal(levels).tolist() == [False, True, True, False]


def test_small_target(agreement: Agreement) -> None:
    target = tomllib.loads((shipped("shared") / "visibility.toml").read_text(encoding="utf-8"))["targets"]
    row = target["small target, older practice"]
    ours = target_arcmin(row["size_m"], row["distance_m"])
    agreement("small target at 83.07 m [arcmin]", 7.449, ours, CALCULATED, "calculated", 5e-4)
    assert target["small target"]["reflectance"] == 0.2 and row["status"] == "unconfirmed"
