"""Laws of fog: nothing is lost but by the drops, and what the closed form says of light that is the same everywhere."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.vision import backscatter_luminance, henyey_greenstein, retro_angles, transmittance


@given(one=st.floats(0.0, 500.0), more=st.floats(0.0, 500.0), visibility=st.floats(10.0, 1e5))
def test_two_ways_in_a_row_multiply(one: float, more: float, visibility: float) -> None:
    whole = transmittance(one + more, visibility)
    assert whole == pytest.approx(transmittance(one, visibility) * transmittance(more, visibility), rel=1e-12)


@given(asymmetry=st.floats(-0.95, 0.95))
def test_scattered_light_goes_somewhere_once_and_forward_by_its_asymmetry(asymmetry: float) -> None:
    angle = np.linspace(0.0, 180.0, 20_001)
    ring = 2.0 * np.pi * np.sin(np.radians(angle)) * henyey_greenstein(angle, asymmetry)
    assert np.trapezoid(ring, np.radians(angle)) == pytest.approx(1.0, rel=1e-4)
    mean = np.trapezoid(ring * np.cos(np.radians(angle)), np.radians(angle))
    assert mean == pytest.approx(asymmetry, abs=1e-4)


@given(visibility=st.floats(30.0, 1e4), ends_m=st.floats(5.0, 300.0), asymmetry=st.floats(-0.9, 0.9))
def test_even_light_has_a_closed_form(visibility: float, ends_m: float, asymmetry: float) -> None:
    """Light E on every sample, not taken on its way: phase times E times what the air hides, 1 - exp(-3 d/V)."""
    ray = np.linspace(0.0, ends_m, 4001)
    ours = backscatter_luminance(ray, 7.0, 0.0, 120.0, visibility_m=visibility, asymmetry=asymmetry)
    closed = 7.0 * henyey_greenstein(120.0, asymmetry) * (1.0 - math.exp(-3.0 * ends_m / visibility))
    assert ours == pytest.approx(closed, rel=1e-5)


def slow_backscatter(eye: list[float], lamp: list[float], candela: float, visibility: float, g: float) -> float:
    """Along the horizontal from the eye to 60 m, in small steps, each with its own way from the lamp."""
    total, step, extinction = 0.0, 0.005, 3.0 / visibility
    for k in range(12_000):
        s = (k + 0.5) * step
        point = [eye[0] + s, eye[1], eye[2]]
        way = [p - q for p, q in zip(point, lamp, strict=True)]
        d = math.sqrt(sum(part**2 for part in way))
        cosine = -way[0] / d  # between the light's way and the way back to the eye
        phase = (1 - g**2) / (4 * math.pi * (1 + g**2 - 2 * g * cosine) ** 1.5)
        total += extinction * phase * candela / d**2 * math.exp(-extinction * (d + s)) * step
    return total


@pytest.mark.parametrize(("visibility", "asymmetry"), [(50.0, 0.0), (150.0, 0.7), (2000.0, -0.3)])
def test_the_glow_of_a_lamp_equals_the_slow_sum(visibility: float, asymmetry: float) -> None:
    eye, lamp = [0.0, 0.0, 1.08], [2.0, 0.6, 0.65]
    ray = np.linspace(0.0, 60.0, 6001)
    points = np.stack([ray, np.zeros_like(ray), np.full_like(ray, 1.08)], axis=-1)
    from_lamp = np.linalg.norm(points - lamp, axis=-1)
    turn = 180.0 - retro_angles(lamp, [-1e9, 0.0, 1.08], points, [1.0, 0.0, 0.0]).observation_deg
    ours = backscatter_luminance(
        ray, 20_000.0 / from_lamp**2, from_lamp, turn, visibility_m=visibility, asymmetry=asymmetry
    )
    assert ours == pytest.approx(slow_backscatter(eye, lamp, 20_000.0, visibility, asymmetry), rel=1e-4)
