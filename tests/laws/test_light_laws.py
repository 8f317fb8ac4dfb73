"""Laws that hold in every scene: inverse square, cosine, superposition, linearity, mirror, and shadows only darken."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, Plane, illuminance
from tests.analytic_lamps import AnalyticTable, beam_axes, cosine_power, one_lamp, point_lamps

pytestmark = pytest.mark.usefixtures("precision")

NOISE = 0.0  # What the path may lose; the fixture says it.

Floats = NDArray[np.float64]

modest = settings(max_examples=25, deadline=None, derandomize=True, database=None)

headings = st.floats(-180, 180)
tilts = st.floats(-90, 90)
seeds = st.integers(0, 10_000)


@dataclass(frozen=True)
class Site:
    """A random site: lamps with lopsided tables, boxes, points and normals."""

    tables: list[AnalyticTable]
    positions: Floats
    axes: Floats
    boxes: Blockers
    points: Floats
    normals: Floats

    @property
    def lamps(self) -> Lamps:
        return point_lamps(self.tables, self.positions, self.axes)


def lopsided(generator: np.random.Generator) -> AnalyticTable:
    polar = np.r_[0.0, np.sort(generator.uniform(1, 179, 8)), 180.0]
    azimuth = np.r_[0.0, np.sort(generator.uniform(1, 359, 5)), 360.0]
    candela = generator.uniform(0, 4000, (7, 10))
    candela[-1] = candela[0]
    candela[:, 0], candela[:, -1] = candela[0, 0], candela[0, -1]
    return AnalyticTable(azimuth, polar, candela)


def random_site(seed: int, lamps: int = 3) -> Site:
    generator = np.random.default_rng(seed)
    axes = np.array([beam_axes(*generator.uniform(-180, 180, 3)) for _ in range(lamps)])
    turned = np.array([beam_axes(*generator.uniform(-180, 180, 3)) for _ in range(3)])
    return Site(
        [lopsided(generator) for _ in range(lamps)],
        generator.uniform([-3, -3, 1], [3, 3, 4], (lamps, 3)),
        axes,
        Blockers.boxes(generator.uniform(-4, 4, (3, 3)), generator.uniform(0.2, 1.2, (3, 3)), turned),
        generator.uniform([-6, -6, -1], [6, 6, 2], (40, 3)),
        generator.normal(size=(40, 3)),
    )


@modest
@given(heading=headings, tilt=tilts, near=st.floats(0.1, 20), factor=st.floats(1.01, 50))
def test_inverse_square(heading: float, tilt: float, near: float, factor: float) -> None:
    lamp = one_lamp(cosine_power(1000, 3), [1, -2, 3], beam_axes(10, -20))
    direction = np.asarray(beam_axes(heading, tilt)[2])
    points = np.array([1, -2, 3]) + np.outer([near, near * factor], direction)
    lux = illuminance(lamp, Blockers.none(), points, -direction)[0]
    least = 1e-12 + NOISE * 1000 / near**2
    assert lux[1] * factor**2 == pytest.approx(lux[0], rel=1e-9 + NOISE, abs=least)


@modest
@given(turn=st.floats(0, 180), about=headings)
def test_cosine(turn: float, about: float) -> None:
    """A receiver turned away by an angle gets the cosine of it, and nothing beyond a right angle."""
    lamp = one_lamp(cosine_power(1000, 1), [0, 0, 5], beam_axes(0, -90))
    t, a = np.radians([turn, about])
    normal = [np.sin(t) * np.cos(a), np.sin(t) * np.sin(a), np.cos(t)]
    assert illuminance(lamp, Blockers.none(), [[0, 0, 0]], normal)[0, 0] == pytest.approx(
        40 * max(0.0, np.cos(t)), abs=1e-12 + 40 * NOISE
    )


@modest
@given(seed=seeds, plane=st.sampled_from(list(Plane)))
def test_superposition(seed: int, plane: Plane) -> None:
    """Lamps computed together give exactly what each gives alone; none knows of another."""
    site = random_site(seed)
    together = illuminance(site.lamps, site.boxes, site.points, site.normals, plane)
    for k in range(3):
        alone = point_lamps([site.tables[k]], site.positions[k : k + 1], site.axes[k : k + 1])
        assert (illuminance(alone, site.boxes, site.points, site.normals, plane)[0] == together[k]).all()


@modest
@given(seed=seeds)
def test_twice_the_lamp_is_twice_the_light(seed: int) -> None:
    """Two equal lamps at one place, and one lamp of twice the intensity, are the same to the last digits."""
    site = random_site(seed, lamps=1)
    double = AnalyticTable(site.tables[0].azimuth_deg, site.tables[0].polar_deg, 2 * site.tables[0].candela)
    pair = point_lamps(site.tables * 2, np.repeat(site.positions, 2, axis=0), np.repeat(site.axes, 2, axis=0))
    strong = point_lamps([double], site.positions, site.axes)
    summed = illuminance(pair, site.boxes, site.points, site.normals).sum(axis=0)
    assert illuminance(strong, site.boxes, site.points, site.normals)[0] == pytest.approx(summed, rel=1e-12 + NOISE)


@modest
@given(seed=seeds, level=st.floats(0, 1))
def test_linear_in_level(seed: int, level: float) -> None:
    site = random_site(seed)
    dimmed = [AnalyticTable(t.azimuth_deg, t.polar_deg, level * t.candela) for t in site.tables]
    full = illuminance(site.lamps, site.boxes, site.points, site.normals)
    assert illuminance(
        point_lamps(dimmed, site.positions, site.axes), site.boxes, site.points, site.normals
    ) == pytest.approx(level * full, rel=1e-9 + NOISE, abs=1e-12 + NOISE * full.max())


@modest
@given(seed=seeds)
def test_a_blocker_only_removes(seed: int) -> None:
    """With boxes a lamp gives a point all or nothing, and one more box never adds light."""
    site = random_site(seed)
    free = illuminance(site.lamps, Blockers.none(), site.points, site.normals)
    before = free
    for count in (1, 2, 3):
        some = Blockers.boxes(site.boxes.centre_m[:count], site.boxes.half_m[:count], site.boxes.axes[:count])
        now = illuminance(site.lamps, some, site.points, site.normals)
        assert ((now == before) | (now == 0.0)).all()
        before = now


def test_blockers_of_the_random_sites_do_stand_in_the_way() -> None:
    blocked = 0
    for seed in range(20):
        site = random_site(seed)
        free = illuminance(site.lamps, Blockers.none(), site.points, site.normals)
        blocked += int((free > illuminance(site.lamps, site.boxes, site.points, site.normals)).sum())
    assert blocked > 50


@modest
@given(heading=headings, tilt=tilts, roll=headings, x=st.floats(-5, 5), y=st.floats(-5, 5))
def test_mirror(heading: float, tilt: float, roll: float, x: float, y: float) -> None:
    """A lamp whose beam is the same left and right, mirrored in the plane left = 0 with everything round it."""
    polar = np.linspace(0, 90, 46)
    azimuth = np.linspace(0, 360, 25)
    across = 1 + 0.8 * np.cos(np.radians(2 * azimuth))[:, None]
    table = AnalyticTable(azimuth, polar, 900 * across * np.cos(np.radians(polar)).clip(0) ** 2)
    lamp = one_lamp(table, [0.3, 1.1, 2.4], beam_axes(heading, tilt, roll))
    twin = one_lamp(table, [0.3, -1.1, 2.4], beam_axes(-heading, tilt, -roll))
    box = Blockers.boxes([[1, 1.5, 0.5]], [[0.3, 0.2, 0.5]], [beam_axes(25, 0)])
    image = Blockers.boxes([[1, -1.5, 0.5]], [[0.3, 0.2, 0.5]], [beam_axes(-25, 0)])
    lux = illuminance(lamp, box, [[x, y, 0]], (0.2, 0.3, 0.9))
    assert illuminance(twin, image, [[x, -y, 0]], (0.2, -0.3, 0.9)) == pytest.approx(
        lux, rel=1e-9 + NOISE, abs=1e-9 + 900 * NOISE
    )
