from __future__ import annotations

import math

import numpy as np
import pytest

from scenelux.photometry import angles, direction


def slow(kind: str, h_deg: float, v_deg: float) -> tuple[float, float, float]:
    h, v = math.radians(h_deg), math.radians(v_deg)
    if kind == "C":
        return math.sin(v) * math.cos(h), math.sin(v) * math.sin(h), -math.cos(v)
    if kind == "B":
        return math.cos(h) * math.sin(v), -math.sin(h), -math.cos(h) * math.cos(v)
    return math.cos(v) * math.cos(h), -math.cos(v) * math.sin(h), math.sin(v)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_directions_follow_the_printed_vectors(kind: str) -> None:
    for h, v in [(0, 0), (30, 40), (-20, 65), (350, 10), (89, -70)]:
        assert direction(kind, h, v) == pytest.approx(slow(kind, h, v), abs=1e-15)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_angles_are_the_inverse(kind: str) -> None:
    d = np.random.default_rng(3).normal(size=(5000, 3))
    d /= np.linalg.norm(d, axis=1, keepdims=True)
    h, v = angles(kind, 7.5 * d)
    assert direction(kind, h, v) == pytest.approx(d, abs=5e-15)
    if kind == "C":
        assert h.min() >= 0 and h.max() < 360 and v.min() >= 0 and v.max() <= 180


def test_the_zero_of_each_type() -> None:
    assert direction("C", 0, 0) == pytest.approx((0, 0, -1), abs=1e-15)
    assert direction("B", 0, 0) == pytest.approx((0, 0, -1), abs=1e-15)
    assert direction("A", 0, 0) == pytest.approx((1, 0, 0), abs=1e-15)


def test_seen_from_above_c_counts_counter_clockwise_and_h_clockwise() -> None:
    assert direction("C", 90, 90) == pytest.approx((0, 1, 0), abs=1e-15)
    assert direction("B", 90, 0) == pytest.approx((0, -1, 0), abs=1e-15)
    assert direction("A", 90, 0) == pytest.approx((0, -1, 0), abs=1e-15)


@pytest.mark.parametrize(
    ("kind", "pole", "expected"),
    [
        ("C", (0, 0, -1), (0, 0)),
        ("C", (0, -0.0, 1), (0, 180)),
        ("B", (0, -1, 0), (90, 0)),
        ("B", (1e-17, 1, 1e-17), (-90, 0)),
        ("A", (1e-17, -1e-17, 1), (0, 90)),
    ],
)
def test_at_a_pole_the_free_angle_is_zero(kind: str, pole: tuple[float, ...], expected: tuple[float, float]) -> None:
    h, v = angles(kind, pole)
    assert (float(h), float(v)) == pytest.approx(expected, abs=1e-12)
