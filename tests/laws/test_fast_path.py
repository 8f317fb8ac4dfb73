"""The fast path beside the exact one on random three-dimensional scenes, and culled beside not culled, byte for byte.

Every comparison first asserts that its numbers are finite: nothing hides behind nan.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, Mesh, Plane, Tiles, by_lamp, illuminance, illuminance_sum, summed, tiled
from tests.analytic_lamps import AnalyticTable, beam_axes, cosine_power, isotropic, one_lamp, rotational

Floats = NDArray[np.float64]

SCENES = 1000
LAMPS, BOXES = 3, 3

EDGE_M, EDGE_DEG = 1e-3, 1e-3
"""Points whose light goes on or off within so much are left out and counted."""


@pytest.fixture(autouse=True)
def all_on_tiles(monkeypatch: pytest.MonkeyPatch) -> None:
    """A few points are not left to the exact path here."""
    monkeypatch.setattr("scenelux.engine.receiving.FEW_POINTS", 0)


@dataclass(frozen=True)
class Scene:
    lamps: Lamps
    boxes: Blockers
    points: Floats
    normals: Floats
    plane: Plane


def random_axes(generator: np.random.Generator, count: int) -> Floats:
    return np.array([beam_axes(*generator.uniform(-180, 180, 3)) for _ in range(count)])


def uneven(generator: np.random.Generator, first: float, last: float) -> Floats:
    """Angles at least a degree apart that lie on no grid, or now and then on one of 2.5 degrees."""
    if generator.random() < 0.3:
        return np.arange(first, last + 1e-9, 2.5)
    steps = generator.uniform(1.0, 40.0, 40)
    inside = first + np.cumsum(steps)
    return np.r_[first, inside[inside < last - 1.0], last]


def random_table(generator: np.random.Generator) -> AnalyticTable:
    """A closed circle or a window of azimuths; polar angles from anywhere to anywhere; dark parts and sharp edges.

    Towards a pole the azimuths agree, as they do for anything that shines: a direction has one intensity.
    """
    kind = generator.integers(0, 4)
    low = 0.0 if kind < 2 else 2.5 * generator.integers(0, 20)
    high = (90.0, 180.0, 120.0, low + 2.5 * generator.integers(4, 40))[kind]
    polar = uneven(generator, low, high)
    closed = generator.random() < 0.6
    start = 0.0 if closed else 2.5 * generator.integers(0, 80)
    azimuth = uneven(generator, start, 360.0 if closed else start + 2.5 * generator.integers(4, 60))
    around = generator.uniform(-1.0, 1.0, (len(azimuth), len(polar))) * np.sin(np.radians(polar))
    candela = generator.uniform(0.0, 2500.0, len(polar)) * (1.0 + around)
    if generator.random() < 0.7:  # Nothing beyond an angle: a cut-off within one interval, or at the last angle.
        candela[:, generator.integers(1, len(polar)) :] = 0.0
    if closed:
        candela[-1] = candela[0]
    return AnalyticTable(azimuth, polar, candela)


def sharp_table(generator: np.random.Generator) -> AnalyticTable:
    """Light that comes and goes within hundredths of a degree, and that says different things of one pole."""

    def narrow(first: float, last: float) -> Floats:
        steps = np.where(generator.random(60) < 0.5, generator.uniform(0.01, 1.0, 60), generator.uniform(1, 30, 60))
        inside = first + np.cumsum(steps)
        return np.r_[first, inside[inside < last - 0.01], last]

    start, width = (0.0, 360.0) if generator.random() < 0.6 else (2.5 * generator.integers(0, 80), 150.0)
    azimuth, polar = (
        narrow(start, start + width),
        narrow(*((0.0, 180.0), (0.0, 90.0), (30.0, 80.0))[generator.integers(3)]),
    )
    candela = generator.uniform(0.0, 2500.0, (len(azimuth), len(polar)))
    if generator.random() < 0.7:
        candela[:, generator.integers(1, len(polar)) :] = 0.0
    if width == 360.0:
        candela[-1] = candela[0]
    return AnalyticTable(azimuth, polar, candela)


def random_points(generator: np.random.Generator) -> Floats:
    """A grid on a tilted plane, or points anywhere in a block."""
    if generator.random() < 0.5:
        return generator.uniform([-8, -8, -1], [8, 8, 1], (int(generator.integers(1, 700)), 3))
    x, y = np.meshgrid(np.linspace(-8, 8, 25), np.linspace(-8, 8, 24))
    slope = generator.uniform(-0.1, 0.1, 2)
    return np.c_[x.ravel(), y.ravel(), slope[0] * x.ravel() + slope[1] * y.ravel()]


def random_scene(seed: int, table: Callable[[np.random.Generator], AnalyticTable] = random_table) -> Scene:
    generator = np.random.default_rng(seed)
    axes = random_axes(generator, LAMPS)
    large = 0.3 if table is random_table else 0.0  # Openings of narrow beams would count by a million parts.
    sizes = generator.uniform(0, 0.3, (LAMPS, 3)) * (generator.random((LAMPS, 1)) < large)
    lamps = Lamps.from_tables(
        [table(generator) for _ in range(LAMPS)], table=np.arange(LAMPS), axes=axes,
        position_m=generator.uniform([-5, -5, 1.8], [5, 5, 4], (LAMPS, 3)), opening_m=sizes, opening_axes=axes,
        opening_round=generator.random(LAMPS) < 0.5,
    )  # fmt: skip
    halves = generator.uniform(0.02, 1.5, (BOXES, 3))
    boxes = Blockers.boxes(
        generator.uniform([-6, -6, -1], [6, 6, 3], (BOXES, 3)), halves, random_axes(generator, BOXES)
    )
    points = random_points(generator)
    one_for_all = generator.random() < 0.5
    normals = (
        np.tile(generator.normal(size=3), (len(points), 1)) if one_for_all else generator.normal(size=points.shape)
    )
    return Scene(lamps, boxes, points, normals, Plane(seed % 4))


@cache
def pair(seed: int, sharp: bool = False) -> tuple[Scene, Floats, Floats]:
    scene = random_scene(seed, sharp_table if sharp else random_table)
    at = (scene.lamps, scene.boxes, scene.points, scene.normals, scene.plane)
    return scene, illuminance(*at, precision="fast"), illuminance(*at, precision="exact")


@pytest.mark.parametrize("sharp", [False, True])
def test_culling_changes_no_byte(sharp: bool) -> None:
    lit = dark = 0
    for seed in range(SCENES):
        scene, fast, _ = pair(seed, sharp)
        tiles = tiled(scene.points, scene.normals, scene.plane)
        brute = by_lamp(scene.lamps, scene.boxes, tiles, culling=False)
        assert np.isfinite(brute).all()
        assert fast.tobytes() == brute.tobytes(), seed
        levels = np.random.default_rng(seed).uniform(0, 1, LAMPS)
        assert sums(scene, tiles, levels, True).tobytes() == sums(scene, tiles, levels, False).tobytes(), seed
        lit, dark = lit + int((fast > 0).sum()), dark + int((fast == 0).sum())
    assert min(lit, dark) > 200_000


def test_shapes_of_triangles() -> None:
    """The same mesh stands in the way on both paths, with culling and without."""
    blocked = 0
    for seed in range(40):
        scene = random_scene(seed)
        generator = np.random.default_rng(seed)
        corners = generator.uniform([-6, -6, 0], [6, 6, 2], (12, 3))
        boxes = scene.boxes.with_mesh(Mesh.from_triangles(corners, np.arange(12).reshape(4, 3)))
        at = (scene.lamps, boxes, scene.points, scene.normals, scene.plane)
        fast, exact = illuminance(*at, precision="fast"), illuminance(*at, precision="exact")
        assert np.isfinite(fast).all()
        assert np.isfinite(exact).all()
        assert ((fast > 0) == (exact > 0)).mean() > 0.999
        assert (np.abs(fast - exact) <= 1e-5 * exact.max(initial=0.0))[(fast > 0) == (exact > 0)].all()
        tiles = tiled(scene.points, scene.normals, scene.plane)
        assert by_lamp(scene.lamps, boxes, tiles, culling=False).tobytes() == fast.tobytes()
        blocked += int((pair(seed)[1] > fast).sum())
    assert blocked > 500


def sums(scene: Scene, tiles: Tiles, levels: Floats, culling: bool) -> Floats:
    found = summed(scene.lamps, scene.boxes, tiles, levels, culling=culling)
    assert np.isfinite(found).all()
    return found


def misses(fast: Floats, exact: Floats) -> NDArray[np.bool_]:
    """Where the fast path is farther from the exact one than it may be."""
    most = exact.max(initial=0.0)
    apart = np.abs(fast - exact)
    tight = (exact > 5e-2 * most) & (apart > 1e-4 * exact)
    loose = (exact > 1e-3 * most) & (apart > 5e-3 * exact)
    return (apart > 1e-5 * most) | tight | loose


def at_an_edge(scene: Scene, lamp: int, point: int) -> bool:
    """Whether this light goes on or off when the point moves by a millimetre, or the lamp turns by 0.001 deg."""
    steps = EDGE_M * np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1)], dtype=float)
    normal = scene.normals[point]
    moved = illuminance(scene.lamps, scene.boxes, scene.points[point] + steps, normal, scene.plane, precision="exact")
    # A lamp that turns sees the point move round it, which is the same as long as boxes and receiver stand still.
    distance = float(np.linalg.norm(scene.points[point] - scene.lamps.position_m[lamp]))
    turned = illuminance(
        scene.lamps, Blockers.none(), scene.points[point] + steps * np.radians(EDGE_DEG) * distance / EDGE_M, normal,
        scene.plane, precision="exact",
    )  # fmt: skip
    return any((found[lamp] > 0).any() and (found[lamp] == 0).any() for found in (moved, turned))


@pytest.mark.parametrize("sharp", [False, True])
def test_error_against_the_exact_path(sharp: bool) -> None:
    left_out = total = 0
    worst = 0.0
    for seed in range(SCENES):
        scene, fast, exact = pair(seed, sharp)
        assert np.isfinite(fast).all()
        assert np.isfinite(exact).all()
        wrong = misses(fast, exact)
        for lamp, point in np.argwhere(wrong):
            assert at_an_edge(scene, lamp, point), (seed, lamp, point, fast[lamp, point], exact[lamp, point])
        left_out, total = left_out + int(wrong.sum()), total + fast.size
        apart = np.abs(fast - exact)[~wrong].max(initial=0.0)
        worst = max(worst, float(apart / max(exact.max(initial=0.0), 1e-30)))
    print(f"{left_out} of {total} left out; largest error of the others {worst:.1e} of the largest value")
    assert left_out <= 1e-3 * total
    assert worst <= 1e-5


def test_sums_are_the_weighted_sums_of_the_lamps() -> None:
    for seed in range(40):
        scene, fast, exact = pair(seed)
        levels = np.array([0.3, 0.0, 1.0])
        at = (scene.lamps, scene.boxes, scene.points, scene.normals, scene.plane)
        ours = illuminance_sum(*at, levels=levels, precision="fast")
        reference = illuminance_sum(*at, levels=levels, precision="exact")
        assert np.isfinite(ours).all()
        assert ours == pytest.approx(levels @ fast, rel=1e-6, abs=1e-6 * fast.max(initial=0.0) + 1e-30)
        assert reference == pytest.approx(levels @ exact, rel=1e-12)


def test_threads_change_no_byte() -> None:
    scene = random_scene(4)
    x, y = np.meshgrid(np.linspace(-8, 8, 150), np.linspace(-8, 8, 130))
    points = np.c_[x.ravel(), y.ravel(), 0.01 * x.ravel()]
    tiles = tiled(points, (0, 0, 1))
    alone = by_lamp(scene.lamps, scene.boxes, tiles, threads=1)
    assert np.isfinite(alone).all()
    assert (alone > 0).any()
    for threads in (2, 3, 8, None):
        assert by_lamp(scene.lamps, scene.boxes, tiles, threads=threads).tobytes() == alone.tobytes()
        together = summed(scene.lamps, scene.boxes, tiles, np.ones(LAMPS), threads=threads)
        assert together.tobytes() == summed(scene.lamps, scene.boxes, tiles, np.ones(LAMPS), threads=1).tobytes()


def test_at_a_lamp_and_too_near_an_opening_is_nan() -> None:
    lamp = one_lamp(isotropic(100.0), [1.0, 2.0, 3.0])
    points = np.array([[1.0, 2.0, 3.0], [1.0, 2.0, 2.0], [60.0, 2.0, 2.0]])
    lux = illuminance(lamp, Blockers.none(), points, (0, 0, 1), precision="fast")[0]
    assert np.isnan(lux[0])
    assert lux[1] == pytest.approx(100.0, rel=1e-6)
    assert np.isfinite(lux[2])
    wide = one_lamp(cosine_power(1.0, 1.0), [0, 0, 0], opening_m=(1.0, 0.5))
    near = [[0.3, 0.1, 0.0249], [0.3, 0.1, 0.0251], [0, 0, 3.0], [0, 0, 30.0]]
    fast = illuminance(wide, Blockers.none(), near, (0, 0, -1), precision="fast")[0]
    exact = illuminance(wide, Blockers.none(), near, (0, 0, -1), precision="exact")[0]
    assert np.isnan(fast[0])
    assert (fast[1:3] == exact[1:3]).all(), "near points are computed by the exact path itself"
    total = illuminance_sum(wide, Blockers.none(), near, (0, 0, -1), levels=[0.0], precision="fast")
    assert (total == 0.0).all(), "a lamp that is off counts for nothing, even where its own value is nan"


def test_surfaces_are_not_hidden_by_their_own_body() -> None:
    """Lamps and points on faces of boxes turned any way and standing far away: light passes along and ends there."""
    generator = np.random.default_rng(2)
    for _ in range(200):
        axes, half = random_axes(generator, 1)[0], generator.uniform(0.2, 6, 3)
        centre = generator.uniform(-80, 80, 3)
        box = Blockers.boxes([centre], [half], [axes])
        on_face = generator.uniform(-1, 1, (300, 3)) * half
        on_face[:, 0] = half[0]
        above = centre + (np.array([half[0] + generator.uniform(0.02, 3), 0, 0]) @ axes)
        for lamp in (above, centre + on_face[0] @ axes):
            points = centre + on_face[1:] @ axes
            at = (one_lamp(isotropic(1.0), lamp), box, points, -axes[0], Plane.HEMISPHERICAL)
            fast, exact = illuminance(*at, precision="fast"), illuminance(*at, precision="exact")
            assert np.isfinite(fast).all()
            assert (exact > 0).all()
            assert (fast > 0).all()


def test_ends_of_tables_belong_to_them() -> None:
    """Points exactly at the last polar angle and in the end azimuths of a window, at any place and pose."""
    table = AnalyticTable(np.array([0.0, 180.0]), np.array([0.0, 90.0]), np.full((2, 2), 1000.0))
    points = np.array([[x, y, 2.0] for x in (-9.0, -3.0, 3.0, 9.0) for y in (0.0, 1e-9, 3.0)])
    lux = illuminance(
        one_lamp(table, [0, 0, 2]), Blockers.none(), points, (0, 0, 1), Plane.CYLINDRICAL, precision="fast"
    )
    exact = illuminance(
        one_lamp(table, [0, 0, 2]), Blockers.none(), points, (0, 0, 1), Plane.CYLINDRICAL, precision="exact"
    )
    assert (exact > 0).all()
    assert lux == pytest.approx(exact, rel=1e-6)
    on_axis = illuminance(
        one_lamp(AnalyticTable(np.array([60.0, 120.0]), table.polar_deg, table.candela), [0, 0, 0]), Blockers.none(),
        [[0, 0, 2], [0, 0, 7]], (0, 0, -1), precision="fast",
    )[0]  # fmt: skip
    assert on_axis == pytest.approx([1000 / 4, 1000 / 49], rel=1e-6)


def test_thin_sheets_and_far_places() -> None:
    sheet = Blockers.boxes([[1000.0, 0, 1]], [[1e-5, 5, 5]])
    lamp = one_lamp(rotational([0, 180], [500, 500]), [990, 0, 1])
    points = np.array([[1000.0 - 1e-5, 0.5, 1], [1000.0 + 1e-5, 0.5, 1], [1010, 0.5, 1]])
    fast = illuminance(lamp, sheet, points, (-1, 0, 0), precision="fast")[0]
    assert fast[0] > 0
    assert (fast[1:] == 0).all()
    far = illuminance(one_lamp(isotropic(1.0), [0, 0, 1e10]), Blockers.none(), [[0, 0, 0]], (0, 0, 1), precision="fast")
    assert far[0, 0] == pytest.approx(1e-20)
