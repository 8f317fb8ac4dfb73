"""The check case of the flat and the tilted tail floods, through the whole road, against a literal sum of cosines."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, log, pi, radians, sin, sqrt
from pathlib import Path

import numpy as np
import pytest

from scenelux.scene.read import read_scene
from scenelux.study.results import StudyResult, VariantResult
from scenelux.study.simulate import simulate

SCENE = Path(__file__).resolve().parents[1] / "data" / "check-case" / "flat-and-tilted.toml"
FOOT_M = 0.3048
EXPONENT = log(0.5) / log(cos(radians(30.0)))
PEAK_CD = 4200.0 * (EXPONENT + 1.0) / (2.0 * pi)
SOURCE = "calculated from the cosine-power beam, inverse square and cosine"


@pytest.fixture(scope="module")
def found() -> StudyResult:
    return simulate(read_scene(str(SCENE)), ["flat", "tilted"])


def literal_lux(along: float, left: float, tilt_deg: float) -> float:
    """Two lamps 2.36 m up at +-0.97 m, aimed to the rear."""
    total = 0.0
    for lamp_left in (0.97, -0.97):
        dx, dy, dz = along, left - lamp_left, -2.36
        distance = sqrt(dx * dx + dy * dy + dz * dz)
        cosine = (-dx * cos(radians(tilt_deg)) + dz * sin(radians(tilt_deg))) / distance
        total += PEAK_CD * max(cosine, 0.0) ** EXPONENT * 2.36 / distance**3
    return total


def literal_grid(rows: int, columns: int, length_ft: float, half_width_ft: float, tilt_deg: float) -> list[float]:
    length, half = length_ft * FOOT_M, half_width_ft * FOOT_M
    return [
        literal_lux(-length + (i + 0.5) * length / rows, -half + (j + 0.5) * 2.0 * half / columns, tilt_deg)
        for i in range(rows)
        for j in range(columns)
    ]


def area(found: StudyResult, variant: int, name: str) -> np.ndarray:
    result = next(area for area in found.variants[variant].areas if area.area_id == name)
    return result.entries[0].illuminance_lx


@pytest.mark.parametrize(("variant", "tilt_deg"), [(0, 0.0), (1, -35.0)])
@pytest.mark.parametrize(("name", "grid"), [("rear", (7, 7, 10.0, 5.0)), ("strip", (25, 12, 25.0, 6.0))])
def test_every_point_follows_the_literal_beam(
    found: StudyResult, variant: int, tilt_deg: float, name: str, grid: tuple[int, int, float, float]
) -> None:
    """The beam is sampled to a table: half a percent where there is light, a trace of the peak where there is none."""
    expected = np.array(literal_grid(*grid, tilt_deg))
    ours = area(found, variant, name)
    assert np.isfinite(ours).all()
    np.testing.assert_allclose(ours, expected, rtol=0.005, atol=2e-5 * expected.max())


def test_stated_figures(found: StudyResult, agreement: Callable[..., None]) -> None:
    flat, tilted = area(found, 0, "rear"), area(found, 1, "rear")
    strip = area(found, 1, "strip")
    agreement("flat tail floods: average of the rear area, lx", 31.4, flat.mean(), SOURCE, "calculated", 0.05)
    agreement("flat tail floods: minimum of the rear area, lx", 0.0, flat.min(), SOURCE, "calculated", 0.5)
    agreement("tilted 35 deg: average of the rear area, lx", 263, tilted.mean(), SOURCE, "calculated", 0.5)
    agreement("tilted 35 deg: minimum of the rear area, lx", 84, tilted.min(), SOURCE, "calculated", 0.5)
    agreement("tilted 35 deg: minimum of the strip, lx", 24.7, strip.min(), SOURCE, "calculated", 0.05)


def test_veil_of_the_tilted_lamps_is_38_percent_of_the_flat_ones(
    found: StudyResult, agreement: Callable[..., None]
) -> None:
    """Seen from afar at the lamps' own height the ratio is that of the intensities, cos(35 deg)^n."""
    ratios = {
        eye: [
            tilted / flat
            for flat, tilted in zip(*(worst_veil(variant, eye) for variant in found.variants), strict=True)
        ]
        for eye in (0, 1)
    }
    agreement("veil of a truck driver at 150 m, tilted over flat", 0.38, ratios[1][0], SOURCE, "calculated", 0.005)
    agreement("the same as cos(35 deg)^n", cos(radians(35.0)) ** EXPONENT, ratios[1][0], SOURCE, "calculated", 0.005)
    assert all(0.37 < ratio < 0.5 for eye in ratios.values() for ratio in eye)


def worst_veil(variant: VariantResult, eye: int) -> list[float]:
    entry = next(entry for entry in variant.eyes[eye].entries if entry.gaze == "road")
    return entry.veil_cd_m2["cie-general"].tolist()


def test_verdicts_and_their_words(found: StudyResult) -> None:
    rows = {(variant.name, row.rule): row for variant in found.variants for row in variant.verdicts}
    narrow = rows["flat", "nfpa_rear_average"]
    assert narrow.verdict == "meets" and narrow.inside_uncertainty
    assert "margin inside data uncertainty" in narrow.because and "would miss the 3 fc" in narrow.because
    assert rows["flat", "nfpa_rear_minimum"].verdict == "misses"
    assert rows["tilted", "nfpa_rear_average"].verdict == "meets"
    assert rows["tilted", "nfpa_rear_minimum"].verdict == "meets"
    assert not rows["tilted", "nfpa_rear_minimum"].inside_uncertainty
