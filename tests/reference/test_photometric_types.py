"""Types A, B and C through the polar table into the engine: intensities and lux stay what the file says."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import Blockers, Lamps, illuminance, sight
from scenelux.geometry import aim_axes
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.orientation import default_orientation, polar_table
from tests.reference.literal import LiteralLamp, literal_lux

pytestmark = pytest.mark.usefixtures("precision")

NOISE = 0.0  # What the path may lose; the fixture says it.

POINTS = 60


def uneven(low: float, high: float, count: int, generator: np.random.Generator) -> np.ndarray:
    return np.r_[low, np.sort(generator.uniform(low + 0.5, high - 0.5, count)), high]


def lopsided(photometric_type: str, seed: int) -> IntensityDistribution:
    """Uneven angles, another value in every direction; types A and B cover a window only."""
    generator = np.random.default_rng(seed)
    if photometric_type == "C":
        horizontal, vertical = uneven(0, 360, 7, generator), uneven(0, 110, 6, generator)
    else:
        horizontal, vertical = uneven(-80, 60, 7, generator), uneven(-50, 70, 6, generator)
    candela = generator.uniform(0, 3000, (len(horizontal), len(vertical)))
    if photometric_type == "C":
        candela[-1], candela[:, 0] = candela[0], candela[0, 0]
    return IntensityDistribution(photometric_type, horizontal, vertical, candela)  # type: ignore[arg-type]


@pytest.mark.parametrize("photometric_type", ["A", "B", "C"])
@pytest.mark.parametrize("aim", [(180.0, -35.0, 0.0), (25.0, 10.0, 130.0)])
def test_intensity_and_lux(photometric_type: str, aim: tuple[float, float, float]) -> None:
    distribution = lopsided(photometric_type, 5)
    orientation = default_orientation(photometric_type)  # type: ignore[arg-type]
    table = polar_table(distribution, orientation)
    lamp_axes = np.array(aim_axes(*aim))
    place = np.array([0.4, -0.3, 2.5])
    lamps = Lamps.from_tables([table], table=[0], position_m=[place], axes=[table.axes @ lamp_axes])
    points = np.random.default_rng(8).uniform([-5, -5, -1], [5, 5, 2], (POINTS, 3))
    seen = sight(lamps, Blockers.none(), points).candela[0]
    in_lamp = (points - place) @ lamp_axes.T
    expected = distribution.intensity(orientation.to_photometric(in_lamp))
    assert seen == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert (seen > 0).sum() > 8
    literal = LiteralLamp(
        place.tolist(), (table.axes @ lamp_axes).tolist(), table.azimuth_deg.tolist(), table.polar_deg.tolist(),
        table.candela.tolist(),
    )  # fmt: skip
    lux = illuminance(lamps, Blockers.none(), points, (0, 0, 1))[0]
    for i, point in enumerate(points.tolist()):
        slow = literal_lux(literal, [], point, "plane", (0.0, 0.0, 1.0), (0.0, 0.0, 1.0))
        assert lux[i] == pytest.approx(slow, rel=1e-6 + NOISE, abs=1e-9 + NOISE * lux.max())


def test_the_same_beam_measured_as_a_b_and_c_gives_the_same_lux() -> None:
    """One formula for a beam, sampled finely in the three systems of angles and mounted in the usual way."""
    from scenelux.photometry.directions import direction

    def beam(right: np.ndarray, up: np.ndarray, along: np.ndarray) -> np.ndarray:
        inside = along.clip(0) ** 2
        return 1000 * inside * np.exp(-3 * (right - 0.2) ** 2 - 12 * (up + 0.1) ** 2)

    points = np.random.default_rng(1).uniform([-6, -4, 0], [-1, 4, 1], (POINTS, 3))
    pose = np.array(aim_axes(180, -25, 15))
    answers = []
    for photometric_type in ("A", "B", "C"):
        horizontal = np.linspace(0, 360, 721) if photometric_type == "C" else np.linspace(-90, 90, 361)
        vertical = np.linspace(0, 90, 181) if photometric_type == "C" else np.linspace(-90, 90, 361)
        orientation = default_orientation(photometric_type)  # type: ignore[arg-type]
        h, v = np.meshgrid(horizontal, vertical, indexing="ij")
        along, left, up = np.moveaxis(direction(photometric_type, h, v) @ np.array(orientation.axes_in_lamp()), -1, 0)
        candela = beam(-left, up, along)
        table = polar_table(IntensityDistribution(photometric_type, horizontal, vertical, candela), orientation)  # type: ignore[arg-type]
        lamps = Lamps.from_tables([table], table=[0], position_m=[[0, 0, 2.4]], axes=[table.axes @ pose])
        answers.append(illuminance(lamps, Blockers.none(), points, (0, 0, 1))[0])
    assert answers[0].max() > 20
    for answer in answers[1:]:
        assert answer == pytest.approx(answers[0], rel=2e-3, abs=2e-4 * answers[0].max())
