"""Pictures: where pixels look, what they show of simple scenes whose light is known, and what is refused."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import (
    Blockers,
    Camera,
    GroundPlane,
    Lamps,
    Mesh,
    first_hits,
    hit_points,
    illuminance,
    illuminance_image,
    illuminance_images,
    luminance_image,
    picture,
)
from scenelux.engine.image.shading import STRIP_PIXELS
from scenelux.errors import LimitError, UsageError
from scenelux.geometry import aim_axes
from tests.analytic_lamps import cosine_power, isotropic, one_lamp, point_lamps

Floats = NDArray[np.float64]

ROOT = Path(__file__).resolve().parents[3]
GROUND = GroundPlane.through()


def test_pixels_look_where_the_class_says() -> None:
    axes = aim_axes(30, -10, 5)
    camera = Camera.pinhole((1, 2, 3), axes, 33, 18, field_deg=60)
    forward, left, up = np.array(axes)
    step = 2 * np.tan(np.radians(30)) / 33
    for row, column in ((0, 0), (17, 32), (4, 20)):
        way = forward - (column + 0.5 - 16.5) * step * left - (row + 0.5 - 9) * step * up
        assert camera.directions()[row, column] == pytest.approx(way / np.linalg.norm(way), abs=1e-15)
    points = np.array([1.0, 2.0, 3.0]) + camera.directions().reshape(-1, 3) * 7.0
    columns, rows, depth = camera.pixels_of(points)
    assert columns == pytest.approx(np.tile(np.arange(33), 18), abs=1e-9)
    assert rows == pytest.approx(np.repeat(np.arange(18), 33), abs=1e-9)
    assert (depth <= 7.0).all()
    edge = Camera.pinhole((0, 0, 0), np.eye(3), 1000, 2, field_deg=60).directions()[0, [0, -1]]
    assert np.degrees(np.arccos(edge[0] @ edge[1])) == pytest.approx(60, abs=0.1), (
        "the field is the width of the picture"
    )


def test_parallel_rays_measure_lengths() -> None:
    camera = Camera.side_view((0, -20, 1), aim_axes(90, 0), 200, 100, field_m=20)
    hits = first_hits(camera, Blockers.boxes([[1, 0, 1.5]], [[3, 1, 1]]), None)
    seen = hits.surface == 1
    assert seen.sum() * camera.step**2 == pytest.approx(12.0), "six metres by two"
    assert hits.distance_m[seen] == pytest.approx(19.0)
    assert (camera.directions() == camera.axes[0]).all()
    column, row, depth = camera.pixels_of([[4.0, 0.0, 0.5]])
    assert (column[0], row[0], depth[0]) == pytest.approx((139.5, 54.5, 20.0))
    assert not seen[:, int(column[0]) + 1].any(), "the right end of the box"


def test_solid_angles_are_those_of_the_sphere() -> None:
    """Six cameras with square fields of 90 degrees see the whole sphere; a small pixel has area times cosine cubed."""
    camera = Camera.pinhole((0, 0, 0), np.eye(3), 64, 64, field_deg=90)
    assert 6 * camera.solid_angles_sr().sum() == pytest.approx(4 * np.pi, rel=1e-12)
    cosines = camera.directions()[..., 0]
    assert camera.solid_angles_sr() == pytest.approx(camera.step**2 * cosines**3, rel=1e-3)


def test_sum_over_the_picture_is_the_illuminance_at_the_eye_of_a_panel() -> None:
    """A panel of 100 cd/m2, 4 m by 2 m, facing the eye from 2 m: four quarters of the closed form of a rectangle."""
    camera = Camera.pinhole((0, 0, 0), np.eye(3), 400, 200, field_deg=90)
    hits = first_hits(camera, Blockers.boxes([[3, 0, 0]], [[1, 2, 1]]), None)
    luminance = luminance_image(hits, np.full((200, 400), 1000.0, np.float32), np.pi / 10)
    assert luminance[hits.surface == 1] == pytest.approx(100.0, rel=1e-6)
    eye_lux = (luminance * camera.solid_angles_sr() * camera.directions()[..., 0]).sum()
    a, b = 1.0, 0.5  # half width and half height over the distance
    one, other = np.sqrt(1 + a * a), np.sqrt(1 + b * b)
    quarter = (a / one * np.arctan(b / one) + b / other * np.arctan(a / other)) / (2 * np.pi)
    assert eye_lux == pytest.approx(np.pi * 100.0 * 4 * quarter, rel=1e-5)


def test_a_patch_under_even_light_has_even_luminance() -> None:
    """A lamp 1000 m up lights the ground with 1 lx: luminance is reflectance / pi, at a slope times its cosine."""
    lamp = one_lamp(isotropic(1e6), [0, 0, 1000])
    camera = Camera.towards((-3, 0, 2), (0, 0, 0), 61, 41, field_deg=40)
    shown = picture(camera, lamp, Blockers.none(), GROUND, reflectance=0.25)
    assert (shown.surface == 0).all()
    assert shown.luminance_cd_m2 == pytest.approx(0.25 / np.pi, rel=1e-3)
    slope = GroundPlane.through(normal=(0.3, 0, 1))
    assert picture(camera, lamp, Blockers.none(), slope, reflectance=0.25).luminance_cd_m2 == pytest.approx(
        0.25 / np.pi / np.hypot(0.3, 1), rel=2e-2
    )


def test_every_surface_has_its_reflectance_and_the_sky_its_own_luminance() -> None:
    camera = Camera.pinhole((0, 0, 1), np.eye(3), 80, 60, field_deg=80)
    boxes = Blockers.boxes([[8, 2, 1], [6, -2, 1]], [[1, 1, 1], [1, 1, 1]])
    hits = first_hits(camera, boxes, GROUND)
    lux = np.random.default_rng(0).uniform(0, 50, hits.surface.shape).astype(np.float32)
    reflectance = np.array([0.1, 0.5, 0.9])
    found = luminance_image(hits, lux, reflectance, sky_cd_m2=0.02)
    assert set(np.unique(hits.surface)) == {-1, 0, 1, 2}
    lit = hits.surface >= 0
    assert found[lit] == pytest.approx((reflectance[hits.surface] * lux / np.pi)[lit], rel=1e-6)
    assert (found[~lit] == np.float32(0.02)).all()
    glow = np.linspace(0, 1, lux.size).reshape(lux.shape)
    assert (luminance_image(hits, lux, 0.3, sky_cd_m2=glow)[~lit] == glow.astype(np.float32)[~lit]).all()


def test_a_wall_is_lit_in_front_and_throws_a_shadow() -> None:
    """The eye sees the lit face of one wall, the dark face of another, and the shadow of the second on the ground."""
    lamp = one_lamp(isotropic(500.0), [5, 0, 2])
    walls = Blockers.boxes([[9, 3, 1], [3, -3, 1]], [[0.1, 2, 1], [0.1, 2, 1]])
    hits = first_hits(Camera.pinhole((-4, 0, 1.5), np.eye(3), 160, 90, field_deg=70), walls, GROUND)
    lux = illuminance_image(hits, lamp)
    points, normals = hit_points(hits, hits.surface == 1)
    assert (normals == [-1, 0, 0]).all()
    assert points[:, 0] == pytest.approx(8.9)
    assert lux[hits.surface == 1] == pytest.approx(
        illuminance(lamp, walls, points, normals, precision="exact")[0], rel=1e-4
    )
    assert (lux[(hits.surface == 2) & (hits.side == 1)] == 0).all(), "its back, which is face -first"
    assert (lux[(hits.surface == 2) & (hits.side == 2)] > 0).any(), "its end, which is face +second"
    ground, _ = hit_points(hits, hits.surface == 0)
    behind = (ground[:, 0] < 2.8) & (ground[:, 0] > 1.5) & (np.abs(ground[:, 1] + 3.3) < 0.5)
    assert behind.any()
    assert (lux[hits.surface == 0][behind] == 0).all()
    assert (lux[hits.surface == 0] > 0).any()


def test_from_inside_a_box_one_sees_out_and_below_the_ground_its_underside() -> None:
    box = Blockers.boxes([[0, 0, 1], [8, 0, 1]], [[2, 1, 1], [1, 1, 1]])
    hits = first_hits(Camera.pinhole((0, 0, 1), np.eye(3), 30, 20, field_deg=50), box, GROUND)
    assert not (hits.surface == 1).any()
    assert (hits.surface == 2).any()
    below = first_hits(Camera.pinhole((0, 0, -1), aim_axes(0, 60), 9, 9, field_deg=40), Blockers.none(), GROUND)
    assert (below.surface == 0).all()
    assert (hit_points(below)[1] == [0, 0, -1]).all()
    assert (illuminance_image(below, one_lamp(isotropic(100.0), [1, 0, 3])) == 0).all()


def test_ground_ends_where_it_is_stated_to() -> None:
    camera = Camera.pinhole((0, 0, 1.5), np.eye(3), 64, 49, field_deg=40)
    endless, ended = (first_hits(camera, Blockers.none(), GroundPlane.through(far_m=far)) for far in (np.inf, 30.0))
    assert (ended.surface == np.where(endless.distance_m <= 30.0, 0, -1)).all()
    assert (ended.surface[endless.surface == 0] == -1).any()
    beyond = Blockers.boxes([[60, 0, -2]], [[5, 50, 1]])
    assert (first_hits(camera, beyond, GroundPlane.through(far_m=30.0)).surface == 1).any(), "seen where no ground is"
    assert not (first_hits(camera, beyond, GROUND).surface == 1).any()
    assert (first_hits(camera, Blockers.none(), None).surface == -1).all()


def test_the_horizon_is_dark_and_finite() -> None:
    """Pixels that look within a millionth of a pixel of the horizon see ground at any distance, and no light."""
    axes = aim_axes(0, np.degrees(np.arctan(0.5 * 2 / 64 * (1 - 1e-9))))
    hits = first_hits(Camera.pinhole((0, 0, 1), axes, 64, 64, field_deg=90), Blockers.none(), GROUND)
    assert hits.distance_m[hits.surface == 0].max() > 1e6
    lux = illuminance_image(hits, one_lamp(isotropic(1000.0), [3, 0, 2]))
    assert np.isfinite(lux).all()
    assert (lux[hits.distance_m > 1e6] == 0).all()
    assert (lux[hits.surface == 0] > 0).any()


@pytest.mark.parametrize("seed", range(8))
def test_flush_boxes_show_one_front(seed: int) -> None:
    """Of surfaces in one plane the lower number is seen, all over, however the scene lies in the site."""
    axes = np.array(aim_axes(*np.random.default_rng(seed).uniform(-180, 180, 3)))
    boxes = Blockers.boxes([[5, 0, 1], [5, 0.5, 1]] @ axes, [[1, 1, 1], [1, 1, 1]], [axes, axes])
    eye = np.array([0, 0.3, 1]) @ axes
    for camera in (
        Camera.pinhole(eye, axes, 200, 100, field_deg=30),
        Camera.side_view(eye, axes, 200, 100, field_m=3),
    ):
        surface = first_hits(camera, boxes, None).surface
        first = Blockers.boxes(boxes.centre_m[:1], boxes.half_m[:1], boxes.axes[:1])
        assert (surface == 2).any()
        assert ((surface == 1) == (first_hits(camera, first, None).surface == 1)).all()


@pytest.mark.parametrize("parallel", [False, True])
@pytest.mark.parametrize("beyond", [1e-8, -1e-8])
def test_what_single_precision_cannot_tell_is_decided_in_double(beyond: float, parallel: bool) -> None:
    """Faces that end a hundred-millionth beyond or before the middles of pixels, and faces that far behind others."""
    axes = np.eye(3)
    pinhole = Camera.pinhole((0, 0, 0), axes, 200, 99, field_deg=60)
    camera = Camera.side_view((0, 0, 0), axes, 200, 99, field_m=200 * pinhole.step * 4) if parallel else pinhole
    for column in (3, 40, 77, 99, 160):
        end = -pinhole.places()[0][column] * pinhole.step * 4 * (1.0 + beyond)
        low, high = (end, 9.0) if end < 0 else (-9.0, end)
        box = Blockers.boxes([[5, 0.5 * (low + high), 0]], [[1, 0.5 * (high - low), 9]])
        seen = (first_hits(camera, box, None).surface == 1).all(axis=0)
        assert seen[column] == (beyond > 0)
        assert seen[column - 1] == (end < 0)
        assert seen[column + 1] == (end > 0)
    behind = Blockers.boxes([[5, 0, 0], [5 - 4 * beyond, 0, 0]], [[1, 9, 9], [1, 9, 9]])
    assert (first_hits(camera, behind, None).surface == (2 if beyond > 0 else 1)).all()


def test_strips_of_a_large_picture_fit_together() -> None:
    lamps = point_lamps(
        [cosine_power(2000.0, 1.5)] * 2, [[2, 1, 3], [6, -1, 3]], [[[1, 0, 0], [0, -1, 0], [0, 0, -1]]] * 2
    )
    boxes = Blockers.boxes([[4, 0, 0.5]], [[0.5, 0.5, 0.5]])
    hits = first_hits(Camera.towards((-3, 0, 2), (4, 0, 0), 640, 480, field_deg=50), boxes, GROUND)
    assert hits.surface.size > 2 * STRIP_PIXELS
    where = np.zeros(hits.surface.shape, np.bool_)
    where[::17, ::13] = hits.surface[::17, ::13] >= 0
    points, normals = hit_points(hits, where)
    exact = illuminance(lamps, boxes, points, normals, precision="exact")
    each = illuminance_images(hits, lamps)[:, where]
    assert np.isfinite(each).all()
    assert (np.abs(each - exact) <= 1e-5 * exact.max()).mean() > 0.995
    assert illuminance_image(hits, lamps, levels=[0.5, 0.0])[where] == pytest.approx(0.5 * each[0], rel=1e-6)


def test_a_lamp_that_is_off_counts_for_nothing_and_too_near_is_nan() -> None:
    lamp = one_lamp(cosine_power(1.0, 1.0), [1, 0, 0.01], np.diag([1.0, -1.0, -1.0]), opening_m=(1.0, 0.5))
    hits = first_hits(Camera.towards((0, 0, 2), (1, 0, 0), 50, 50, field_deg=60), Blockers.none(), GROUND)
    assert np.isnan(illuminance_image(hits, lamp)).any()
    assert (illuminance_image(hits, lamp, levels=[0.0]) == 0).all()


def refused() -> list[tuple[str, Callable[[], object]]]:
    camera = Camera.pinhole((0, 0, 1), np.eye(3), 8, 8, field_deg=40)
    hits = first_hits(camera, Blockers.none(), GROUND)
    lamp, lux = one_lamp(isotropic(1.0), [0, 0, 3]), np.zeros((8, 8), np.float32)
    side = Camera.side_view((0, 0, 1), np.eye(3), 8, 8, field_m=4)
    return [
        ("field_deg", lambda: Camera.pinhole((0, 0, 1), np.eye(3), 8, 8, field_deg=180)),
        ("field_m", lambda: Camera.side_view((0, 0, 1), np.eye(3), 8, 8, field_m=0)),
        ("axes", lambda: Camera.pinhole((0, 0, 1), np.diag([1.0, -1.0, 1.0]), 8, 8, field_deg=40)),
        ("eye_m", lambda: Camera.pinhole((0, 1), np.eye(3), 8, 8, field_deg=40)),
        ("eye_m", lambda: Camera.pinhole((0, np.nan, 1), np.eye(3), 8, 8, field_deg=40)),
        ("width_px", lambda: Camera.pinhole((0, 0, 1), np.eye(3), 0, 8, field_deg=40)),
        ("height_px", lambda: Camera.pinhole((0, 0, 1), np.eye(3), 8, 2.5, field_deg=40)),  # type: ignore[arg-type]
        ("picture", lambda: Camera.pinhole((0, 0, 1), np.eye(3), 100_000, 100_000, field_deg=40)),
        ("target_m", lambda: Camera.towards((0, 0, 1), (0, 0, 1), 8, 8, field_deg=40)),
        ("normal", lambda: GroundPlane.through(normal=(0, 0, 0))),
        ("far_m", lambda: GroundPlane.through(far_m=0)),
        ("pixel", side.solid_angles_sr),
        ("levels", lambda: illuminance_image(hits, lamp, levels=[1, 1])),
        ("picture", lambda: illuminance_images(hits, lamp, memory_limit_bytes=100)),
        ("picture", lambda: first_hits(camera, Blockers.none(), GROUND, memory_limit_bytes=100)),
        ("reflectance", lambda: luminance_image(hits, lux, [0.1, 0.2])),
        ("reflectance", lambda: luminance_image(hits, lux, 1.5)),
        ("illuminance_lx", lambda: luminance_image(hits, lux[1:], 0.1)),
    ]


@pytest.mark.parametrize(("key", "call"), refused(), ids=[f"{i} {key}" for i, (key, _) in enumerate(refused())])
def test_refused_with_one_sentence(key: str, call: Callable[[], object]) -> None:
    with pytest.raises((UsageError, LimitError)) as caught:
        call()
    assert caught.value.key == key
    assert str(caught.value).endswith(".")


def test_an_empty_mesh_and_no_lamps() -> None:
    nothing = Mesh.from_triangles(np.empty((0, 3)), np.empty((0, 3), int))
    flat = Mesh.from_triangles([[5, 0, 0], [5, 1, 0], [5, 2, 0]], [[0, 1, 2]])
    dark = Lamps.from_tables([], table=[], position_m=np.empty((0, 3)), axes=np.empty((0, 3, 3)))
    for mesh in (nothing, flat):
        hits = first_hits(
            Camera.pinhole((0, 0, 1), np.eye(3), 40, 30, field_deg=50), Blockers.none().with_mesh(mesh), GROUND
        )
        assert set(np.unique(hits.surface)) == {-1, 0}
        assert (illuminance_image(hits, dark) == 0).all()
        assert illuminance_images(hits, dark).shape == (0, 30, 40)


MAPS_ONLY = """
import json, sys
from types import SimpleNamespace
import numpy as np
from scenelux.engine import Blockers, Lamps, illuminance
bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[1000, 1000], [1000, 1000]])
lamp = Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
illuminance(lamp, Blockers.none(), np.zeros((300, 3)), (0, 0, 1), precision="fast")
before = [name for name in sys.modules if "engine.image" in name]
from scenelux.engine import first_hits
print(json.dumps([before, first_hits.__module__]))
"""


def test_maps_do_not_load_what_pictures_need() -> None:
    done = subprocess.run([sys.executable, "-c", MAPS_ONLY], cwd=ROOT, capture_output=True, text=True, check=True)
    assert json.loads(done.stdout) == [[], "scenelux.engine.image.hits"]
