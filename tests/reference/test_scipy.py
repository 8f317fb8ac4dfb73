"""The distribution against a general numerical library: interpolation and flux by other people's code."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.interpolate import RegularGridInterpolator

from scenelux.photometry import IntensityDistribution, flux_lm

RNG = np.random.default_rng(11)


def random_distribution(kind: str) -> IntensityDistribution:
    low_h, high_h, low_v, high_v = (0, 360, 0, 180) if kind == "C" else (-90, 90, -90, 90)
    h = np.concatenate(([low_h], np.sort(RNG.uniform(low_h + 1, high_h - 1, 9)), [high_h]))
    v = np.concatenate(([low_v], np.sort(RNG.uniform(low_v + 1, high_v - 1, 12)), [high_v]))
    candela = RNG.uniform(0, 1000, (h.size, v.size))
    if kind == "C":
        candela[-1] = candela[0]
    return IntensityDistribution(kind, h, v, candela)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_interpolation_is_bilinear_in_the_angles(kind: str) -> None:
    one = random_distribution(kind)
    theirs = RegularGridInterpolator((one.horizontal_deg, one.vertical_deg), one.candela)
    h = RNG.uniform(one.horizontal_deg[0], one.horizontal_deg[-1], 5000)
    v = RNG.uniform(one.vertical_deg[0], one.vertical_deg[-1], 5000)
    np.testing.assert_allclose(one.candela_at(h, v), theirs(np.stack((h, v), axis=1)), rtol=1e-10, atol=1e-9)


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_flux_against_quadrature(kind: str, agreement: Callable[..., None]) -> None:
    """Simpson's rule within every cell, with the solid angle of the type: sinV (C), cosH (B), cosV (A)."""
    one = random_distribution(kind)
    weight = {"C": lambda h, v: np.sin(v), "B": lambda h, v: np.cos(h), "A": lambda h, v: np.cos(v)}[kind]
    total = 0.0
    for h0, h1 in zip(one.horizontal_deg[:-1], one.horizontal_deg[1:], strict=True):
        for v0, v1 in zip(one.vertical_deg[:-1], one.vertical_deg[1:], strict=True):
            h, v = np.linspace(h0, h1, 41), np.linspace(v0, v1, 41)
            grid_h, grid_v = np.meshgrid(h, v, indexing="ij")
            cell = one.candela_at(np.clip(grid_h, h0, h1 - 1e-12), grid_v)
            values = cell * weight(np.radians(grid_h), np.radians(grid_v))
            total += simpson(simpson(values, x=np.radians(v)), x=np.radians(h))
    agreement(
        f"flux of a random type {kind} table [lm]",
        total,
        flux_lm(one),
        "scipy, Simpson's rule",
        "library",
        1e-5 * total,
    )
