"""The picture beside the literal formulas, over random scenes and cameras: the nearest hit of all surfaces by brute
force in double precision, and the exact path of the engine at the literal hit points.

Every comparison first asserts that its numbers are finite: nothing hides behind nan.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import (
    Blockers,
    Camera,
    GroundPlane,
    Hits,
    Lamps,
    Mesh,
    first_hits,
    hit_points,
    illuminance,
    illuminance_image,
    illuminance_images,
)
from tests import mesh_shapes
from tests.analytic_lamps import beam_axes, cosine_power, point_lamps, rotational

Floats = NDArray[np.float64]

SCENES = 80
LAMPS, BOXES = 4, 7

EDGE_PX = 1e-6
"""Pixels whose literal hit is another one so far away in the picture are left out and counted."""

EDGE_M, EDGE_SHARE = 1e-3, 1e-4
"""Points whose light goes on or off within so much, or within this part of the way from the lamp, are left out and
counted."""

FARTHEST_M = 300.0
"""The fast path makes boxes smaller by a millionth of the distances that take part, so that edges of shadows far off
move by more; what lies farther is not compared."""

MOST_LEFT_OUT = 0.005


@dataclass(frozen=True)
class Scene:
    camera: Camera
    lamps: Lamps
    boxes: Blockers
    ground: GroundPlane | None


def turned(generator: np.random.Generator) -> Floats:
    """Any right-handed axes: forward, left, up, the camera on its head included."""
    axes, _ = np.linalg.qr(generator.normal(size=(3, 3)))
    return axes * np.linalg.det(axes)


def random_boxes(generator: np.random.Generator) -> Blockers:
    """Some stand square to the site on the ground, some are turned any way; two stand flush side by side."""
    axes = np.array([turned(generator) if generator.random() < 0.5 else np.eye(3) for _ in range(BOXES)])
    half = generator.uniform(0.05, 2.0, (BOXES, 3))
    centre = generator.uniform([-8, -8, 0], [8, 8, 3], (BOXES, 3))
    axes[0], centre[0, 2] = np.eye(3), half[0, 2]
    axes[1], half[1] = axes[0], half[0]
    centre[1] = centre[0] + [2 * half[0, 0], 0, 0]
    return Blockers.boxes(centre, half, axes)


def random_camera(generator: np.random.Generator, boxes: Blockers) -> Camera:
    """Anywhere, within a box, or a millimetre off a face; pinhole or parallel; sizes that are no multiple of a tile."""
    eye = generator.uniform([-9, -9, 0.2], [9, 9, 4])
    place = generator.random()
    if place < 0.15:
        eye = boxes.centre_m[2] + 0.5 * boxes.half_m[2] @ boxes.axes[2]
    elif place < 0.3:
        eye = boxes.centre_m[3] + (boxes.half_m[3] * [1, 0.2, 0.3] + [1e-3, 0, 0]) @ boxes.axes[3]
    width, height = (int(size) for size in generator.integers(1, 90, 2))
    if generator.random() < 0.3:
        return Camera.side_view(eye, turned(generator), width, height, field_m=generator.uniform(1, 20))
    return Camera.pinhole(eye, turned(generator), width, height, field_deg=generator.uniform(10, 140))


def random_ground(generator: np.random.Generator) -> GroundPlane | None:
    if generator.random() < 0.1:
        return None
    slope = generator.uniform(-0.1, 0.1, 2) * (generator.random() < 0.7)
    far = np.inf if generator.random() < 0.5 else generator.uniform(2, 60)
    return GroundPlane.through((0, 0, generator.uniform(-0.1, 0.1)), (slope[0], slope[1], 1.0), far)


@cache
def scene_of(seed: int) -> Scene:
    generator = np.random.default_rng(seed)
    boxes = random_boxes(generator)
    tables = [cosine_power(3000.0, power, 2.0) for power in generator.uniform(0.5, 8, LAMPS - 1)]
    lamps = point_lamps(
        [*tables, rotational([0, 180], [100, 100])], generator.uniform([-8, -8, 0.5], [8, 8, 6], (LAMPS, 3)),
        [beam_axes(*generator.uniform(-180, 180, 3)) for _ in range(LAMPS)],
    )  # fmt: skip
    return Scene(random_camera(generator, boxes), lamps, boxes, random_ground(generator))


def rays(camera: Camera, shift: tuple[float, float] = (0.0, 0.0)) -> tuple[Floats, Floats]:
    """Starts and unit directions (h * w, 3), as the class says; moved by so many pixels to the right and down."""
    row, column = (part.ravel() for part in np.mgrid[: camera.height_px, : camera.width_px])
    x = (column + 0.5 + shift[0] - camera.width_px / 2)[:, None] * camera.step
    y = (row + 0.5 + shift[1] - camera.height_px / 2)[:, None] * camera.step
    forward, left, up = camera.axes
    beside = -x * left - y * up
    if camera.parallel:
        return camera.eye_m + beside, np.broadcast_to(forward, beside.shape)
    ways = forward + beside
    return np.broadcast_to(camera.eye_m, ways.shape), ways / np.linalg.norm(ways, axis=1)[:, None]


def box_distances(boxes: Blockers, start: Floats, way: Floats) -> tuple[Floats, Floats]:
    """Where each ray enters each box (B, n), inf where it does not or starts inside; and through which face."""
    found, normals = np.full((len(boxes), len(start)), np.inf), np.zeros((len(boxes), len(start), 3))
    for box in range(len(boxes)):
        axes, half = boxes.axes[box], boxes.half_m[box]
        origin, step = (start - boxes.centre_m[box]) @ axes.T, way @ axes.T
        with np.errstate(divide="ignore", invalid="ignore"):
            one, two = (-half - origin) / step, (half - origin) / step
        enter, leave = np.fmin(one, two), np.fmax(one, two)
        first = enter.max(axis=1)
        met = (first > 0) & (first <= leave.min(axis=1))
        found[box, met] = first[met]
        axis = enter.argmax(axis=1)
        normals[box] = -np.sign(step[np.arange(len(axis)), axis])[:, None] * axes[axis]
    return found, normals


def ground_distances(ground: GroundPlane | None, start: Floats, way: Floats) -> tuple[Floats, Floats]:
    if ground is None:
        return np.full(len(start), np.inf), np.zeros_like(start)
    slope = way @ ground.normal
    with np.errstate(divide="ignore", invalid="ignore"):
        found = (ground.point_m - start) @ ground.normal / slope
    return np.where((found > 0) & (found <= ground.far_m), found, np.inf), -np.sign(slope)[:, None] * ground.normal


def literal(scene: Scene, shift: tuple[float, float] = (0.0, 0.0)) -> tuple[NDArray[np.int64], Floats, Floats, Floats]:
    """Surface (-1 the sky), distance, place and normal of the nearest of all hits; of equals the first."""
    start, way = rays(scene.camera, shift)
    earth, earth_normal = ground_distances(scene.ground, start, way)
    walls, wall_normals = box_distances(scene.boxes, start, way)
    each, normals = np.vstack((earth[None], walls)), np.concatenate((earth_normal[None], wall_normals))
    least = each.min(axis=0)
    surface = (each <= least * (1 + 1e-9)).argmax(axis=0)
    pixel = np.arange(len(start))
    far = each[surface, pixel]
    with np.errstate(invalid="ignore"):
        place = start + far[:, None] * way
    return np.where(np.isfinite(far), surface, -1), far, place, normals[surface, pixel]


def at_an_outline(scene: Scene) -> NDArray[np.bool_]:
    """Pixels whose literal hit is another one a hair to the side."""
    middle = literal(scene)[0]
    moved = [literal(scene, shift)[0] for shift in ((EDGE_PX, 0), (-EDGE_PX, 0), (0, EDGE_PX), (0, -EDGE_PX))]
    return np.any([other != middle for other in moved], axis=0)


@cache
def hits_of(seed: int) -> Hits:
    scene = scene_of(seed)
    return first_hits(scene.camera, scene.boxes, scene.ground)


def test_first_hits_are_those_of_brute_force() -> None:
    left_out = total = 0
    seen = {"sky": 0, "ground": 0, "box": 0, "parallel": 0}
    for seed in range(SCENES):
        scene, hits = scene_of(seed), hits_of(seed)
        surface, far, place, normal = literal(scene)
        sure = ~at_an_outline(scene)
        assert (hits.surface.ravel()[sure] == surface[sure]).all(), seed
        same = hits.surface.ravel() == surface
        there = same & (surface >= 0)
        ours, points_normals = hits.distance_m.ravel(), hit_points(hits)
        assert np.isfinite(far[there]).all()
        assert np.isfinite(ours[there]).all()
        assert ours[there] == pytest.approx(far[there], rel=2e-7), seed
        assert np.isposinf(ours[hits.surface.ravel() < 0]).all()
        away = np.linalg.norm(points_normals[0][there] - place[there], axis=1)
        assert (away <= 1e-9 * np.maximum(1.0, far[there])).all(), seed
        flat = there & (np.abs(points_normals[1] - normal).max(axis=1) < 1e-9)
        left_out, total = left_out + int((~sure | (there & ~flat)).sum()), total + len(surface)
        seen["sky"] += int((surface < 0).sum())
        seen["ground"] += int((surface == 0).sum())
        seen["box"] += int((surface > 0).sum())
        seen["parallel"] += len(surface) * scene.camera.parallel
    print(f"{left_out} of {total} left out; {seen}")
    assert min(seen.values()) > 0.05 * total
    assert left_out <= MOST_LEFT_OUT * total


def at_a_shadow(scene: Scene, lamp: int, point: Floats, normal: Floats) -> bool:
    """Whether this light goes on or off when the point moves a little."""
    edge_m = max(EDGE_M, EDGE_SHARE * float(np.linalg.norm(point - scene.lamps.position_m[lamp])))
    steps = edge_m * np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1)], dtype=float)
    moved = illuminance(scene.lamps, scene.boxes, point + steps, normal, precision="exact")[lamp]
    return bool((moved > 0).any() and (moved == 0).any())


def test_light_is_that_of_the_exact_path_at_the_literal_points() -> None:
    left_out = total = lit = dark = 0
    worst = 0.0
    for seed in range(SCENES):
        scene, hits = scene_of(seed), hits_of(seed)
        surface, far, place, normal = literal(scene)
        asked = (surface >= 0) & (far < FARTHEST_M) & (hits.surface.ravel() == surface)
        if not asked.any():
            continue
        points, normals = place[asked], normal[asked]
        exact = illuminance(scene.lamps, scene.boxes, points, normals, precision="exact")
        fast = illuminance_images(hits, scene.lamps).reshape(LAMPS, -1)[:, asked]
        assert np.isfinite(exact).all()
        assert np.isfinite(fast).all()
        apart, most = np.abs(fast - exact), max(exact.max(), 1e-30)
        wrong = (apart > 1e-5 * most) | ((exact > 1e-3 * most) & (apart > 5e-3 * exact))
        for lamp, point in np.argwhere(wrong):
            assert at_a_shadow(scene, lamp, points[point], normals[point]), (seed, lamp, point)
        worst = max(worst, float(apart[~wrong].max() / most))
        left_out, total = left_out + int(wrong.sum()), total + wrong.size
        lit, dark = lit + int((exact > 0).sum()), dark + int((exact == 0).sum())
        levels = np.array([1.0, 0.25, 0.0, 2.0])
        together = illuminance_image(hits, scene.lamps, levels=levels).ravel()[asked]
        assert together == pytest.approx(levels @ fast, rel=2e-6, abs=2e-6 * most)
    print(f"{left_out} of {total} left out; largest error of the others {worst:.1e} of the largest value")
    assert min(lit, dark) > 0.1 * total
    assert left_out <= MOST_LEFT_OUT * total


def images(scene: Scene, **options: object) -> bytes:
    hits_options = {name: value for name, value in options.items() if name in ("threads", "culling")}
    hits = first_hits(scene.camera, scene.boxes, scene.ground, **hits_options)  # type: ignore[arg-type]
    one = illuminance_image(hits, scene.lamps, **options)  # type: ignore[arg-type]
    each = illuminance_images(hits, scene.lamps, **options)  # type: ignore[arg-type]
    assert np.isfinite(one).all()
    assert np.isfinite(each).all()
    return b"".join(a.tobytes() for a in (hits.surface, hits.side, hits.distance_m, one, each))


def test_culling_changes_no_byte() -> None:
    for seed in range(SCENES):
        assert images(scene_of(seed), culling=True) == images(scene_of(seed), culling=False), seed


def test_threads_change_no_byte() -> None:
    scene = next(scene_of(seed) for seed in range(SCENES) if len(np.unique(hits_of(seed).surface)) > 4)
    camera = replace(scene.camera, width_px=501, height_px=403, step=scene.camera.step * scene.camera.width_px / 501)
    large = replace(scene, camera=camera)
    alone = images(large, threads=1)
    for threads in (2, 3, None):
        assert images(large, threads=threads) == alone
    assert images(large, threads=1, culling=False) == alone


@pytest.mark.parametrize("parallel", [False, True])
@pytest.mark.parametrize("shape", ["ball", "soup"])
def test_triangles_between_boxes_and_ground(shape: str, parallel: bool) -> None:
    """The nearest of the ground, one box and every triangle by itself; pixels within 1e-5 of an edge are left out."""
    generator = np.random.default_rng(3)
    vertices, triangles = mesh_shapes.ball(200) if shape == "ball" else mesh_shapes.soup(60, 1.0, generator)
    vertices = vertices + np.array([0.0, 0.0, 1.5])
    boxes = Blockers.boxes([[0.5, 2.0, 0.5]], [[1.0, 0.7, 0.5]], [turned(generator)])
    towards = Camera.towards((-6, -5, 3), (0, 0, 1), 45, 37, field_deg=70)
    camera = Camera.side_view(towards.eye_m, towards.axes, 45, 37, field_m=11) if parallel else towards
    scene = Scene(camera, scene_of(0).lamps, boxes, GroundPlane.through(normal=(0.05, 0, 1)))
    hits = first_hits(camera, boxes.with_mesh(Mesh.from_triangles(vertices, triangles)), scene.ground)
    points, normals = hit_points(hits)
    lux = illuminance_images(hits, scene.lamps).reshape(LAMPS, -1)
    assert np.isfinite(lux).all()
    surface, far, place, _ = literal(scene)
    outline, left_out, met = at_an_outline(scene), 0, 0
    for pixel, (start, way) in enumerate(zip(*rays(camera), strict=True)):
        each, close = mesh_shapes.all_triangles(vertices, triangles, start, way, 1e-5)
        t = each.min()
        if close or outline[pixel] or far[pixel] - 1e-5 < t < far[pixel] + 1e-5:
            left_out += 1
            continue
        if t < far[pixel]:
            surface[pixel], far[pixel], place[pixel] = 2 + each.argmin(), t, start + t * way
            met += 1
            assert normals[pixel] @ way < 0.0
        assert hits.surface.ravel()[pixel] == surface[pixel]
        assert surface[pixel] < 0 or hits.distance_m.ravel()[pixel] == pytest.approx(far[pixel], rel=1e-6)
        assert surface[pixel] < 0 or points[pixel] == pytest.approx(place[pixel], abs=1e-7)
    assert met > 150
    assert left_out < 0.02 * len(surface)
    there = surface >= 0
    exact = illuminance(scene.lamps, hits.blockers, points[there], normals[there], precision="exact")
    assert np.isfinite(exact).all()
    assert (np.abs(lux[:, there] - exact) <= 1e-5 * exact.max()).mean() > 1 - MOST_LEFT_OUT
    assert (exact[:, surface[there] > 1] > 0).any(), "light falls on the triangles themselves"
