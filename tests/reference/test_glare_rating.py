"""Glare rating after CIE 112:1994 against the stated formula, written out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scenelux.vision import environment_veil, eye_light, glare_rating, rating_around, rating_gazes


def slow_rating(lamps: float, surroundings: float) -> float:
    return 27 + 24 * math.log10(lamps / surroundings**0.9)


def test_it_is_the_stated_formula() -> None:
    lamps, around = 10.0 ** np.random.default_rng(1994).uniform(-3, 2, (2, 200))
    slow = [slow_rating(float(veil), float(other)) for veil, other in zip(lamps, around, strict=True)]
    assert glare_rating(lamps, around) == pytest.approx(slow, rel=1e-12)


def test_share_of_the_surroundings_left_out_takes_thirty_one_off() -> None:
    right, wrong = (glare_rating(0.4, environment_veil(20.0, 0.25) / share) for share in (1.0, 0.035))
    assert right - wrong == pytest.approx(31.4, abs=0.05)


def slow_around(
    lamps: list[tuple[float, float, float, float]], eye: tuple[float, float, float], surroundings: float
) -> tuple[float, float]:
    """Lamps as position [m] and candela towards the eye: every view one by one, with nothing shared."""
    worst, where = -math.inf, math.nan
    for step in range(24):
        azimuth, down = math.radians(15 * step), math.radians(2)
        gaze = (math.cos(down) * math.cos(azimuth), math.cos(down) * math.sin(azimuth), -math.sin(down))
        veil = 0.0
        for x, y, z, candela in lamps:
            to = (x - eye[0], y - eye[1], z - eye[2])
            d = math.sqrt(sum(part**2 for part in to))
            cosine = sum(a * b for a, b in zip(to, gaze, strict=True)) / d
            theta = math.degrees(math.acos(cosine))
            if theta <= 60:
                veil += 10 * candela * cosine / d**2 / theta**2
        if veil > 0 and 27 + 24 * math.log10(veil / surroundings**0.9) > worst:
            worst, where = 27 + 24 * math.log10(veil / surroundings**0.9), 15.0 * step
    return worst, where


def test_views_all_round_equal_the_slow_sum() -> None:
    generator = np.random.default_rng(112)
    eye = (0.0, 0.0, 1.5)
    for _ in range(20):
        lamps = [
            (*map(float, generator.uniform(-20, 20, 2)), float(generator.uniform(4, 9)), float(candela))
            for candela in generator.uniform(100, 9000, 5)
        ]
        to_lamp = np.array([lamp[:3] for lamp in lamps]) - eye
        shape = (5, 24, 3)
        seen = eye_light(
            np.array([lamp[3] for lamp in lamps])[:, None],
            np.linalg.norm(to_lamp, axis=-1)[:, None],
            np.broadcast_to(to_lamp[:, None], shape),
            rating_gazes(),
        )
        found = rating_around(seen.illuminance_lx, seen.angle_deg, 0.05)
        worst, where = slow_around(lamps, eye, 0.05)
        assert found.worst == pytest.approx(worst, rel=1e-9) and found.azimuth_deg == where
        assert found.form == "cie112" and found.left_out == 0
