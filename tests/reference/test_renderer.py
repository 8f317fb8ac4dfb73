"""The same light in a general physically based renderer: points past a box, a spot beam, and a glowing rectangle.

Every point carries a small white patch; a meter just in front of it reads the radiance that comes back, and
irradiance = pi x radiance. Light reaches a patch directly only: the box is black and patches are too small to see
each other.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Blockers, Lamps, illuminance
from scenelux.geometry import aim_axes
from tests.analytic_lamps import beam_axes, cosine_power, isotropic, one_lamp, rotational

mi = pytest.importorskip("mitsuba")
mi.set_variant("scalar_rgb")

pytestmark = pytest.mark.usefixtures("precision")

Floats = NDArray[np.float64]

POINTS = 20
PATCH_M = 1e-3
BOX_CENTRE, BOX_HALF, BOX_TURN_DEG = np.array([0.8, 0.3, 0.6]), np.array([0.5, 0.4, 0.6]), 25.0


def patches() -> tuple[Floats, Floats]:
    """Points in front of, beside and behind the box, half on the ground and half on tilted planes."""
    generator = np.random.default_rng(12)
    many = generator.uniform([-0.8, -1.0, 0.1], [2.4, 1.6, 1.5], (10 * POINTS, 3))
    many[::2, 2] = 0.0
    outside = np.abs((many - BOX_CENTRE) @ box_axes().T / BOX_HALF).max(axis=1) > 1.05
    points = many[outside][:POINTS]
    normals = np.tile([0.0, 0.0, 1.0], (POINTS, 1))
    tilted = points[:, 2] > 0.0
    normals[tilted, :2] = generator.uniform(-0.8, 0.3, (tilted.sum(), 2))
    return points, normals / np.linalg.norm(normals, axis=1)[:, None]


def box_axes() -> Floats:
    return np.array(aim_axes(BOX_TURN_DEG, 0.0))


def box() -> Blockers:
    return Blockers.boxes([BOX_CENTRE], [BOX_HALF], [box_axes()])


def rendered(emitters: dict[str, object], points: Floats, normals: Floats, samples: int) -> tuple[Floats, Floats]:
    """Irradiance at the points from a set of emitters past the box, and its standard error over eight renderings."""
    place = mi.ScalarTransform4f()
    black = {"type": "diffuse", "reflectance": {"type": "rgb", "value": 0.0}}
    scene: dict[str, object] = {
        "type": "scene",
        "integrator": {"type": "direct", "emitter_samples": 1, "bsdf_samples": 0},
        "box": {
            "type": "cube",
            "bsdf": black,
            "to_world": place.translate(BOX_CENTRE.tolist()).rotate([0, 0, 1], BOX_TURN_DEG).scale(BOX_HALF.tolist()),
        },
    }
    for i, (point, normal) in enumerate(zip(points, normals, strict=True)):
        aside = [1.0, 0.0, 0.0] if abs(normal[0]) < 0.7 else [0.0, 1.0, 0.0]
        towards = place.look_at(origin=point.tolist(), target=(point + normal).tolist(), up=aside)
        white = {"type": "diffuse", "reflectance": {"type": "rgb", "value": 1.0}}
        scene[f"patch{i}"] = {"type": "disk", "to_world": towards.scale(PATCH_M), "bsdf": white}
        scene[f"meter{i}"] = {
            "type": "radiancemeter",
            "origin": (point + PATCH_M * normal).tolist(),
            "direction": (-normal).tolist(),
            "film": {
                "type": "hdrfilm", "width": 1, "height": 1, "rfilter": {"type": "box"}, "component_format": "float32",
            },
        }  # fmt: skip
    world = mi.load_dict(scene | emitters)
    runs = np.array([
        [np.pi * float(np.array(mi.render(world, sensor=k, spp=samples, seed=seed))[0, 0, 0]) for k in range(POINTS)]
        for seed in range(1, 9)
    ])  # fmt: skip
    return runs.mean(axis=0), runs.std(axis=0, ddof=1) / np.sqrt(len(runs))


def agree(what: str, ours: Floats, theirs: Floats, noise: Floats) -> None:
    """Same points in the dark, the others within one percent; says the renderer's own noise."""
    lit = theirs > 0.0
    worst_noise = float((noise[lit] / theirs[lit]).max())
    apart = np.abs(ours[lit] / theirs[lit] - 1)
    print(f"{what}: {lit.sum()} of {POINTS} points lit, worst {apart.max():.2%}, renderer noise {worst_noise:.2%}")
    assert (ours[~lit] == 0.0).all()
    assert worst_noise < 0.004
    assert (apart < 0.01).all()


def test_two_point_lamps_and_a_box() -> None:
    points, normals = patches()
    places, candela = [[-1.0, -0.5, 2.4], [2.6, 1.8, 3.0]], [800.0, 500.0]
    emitters = {
        f"lamp{k}": {"type": "point", "position": place, "intensity": {"type": "rgb", "value": strength}}
        for k, (place, strength) in enumerate(zip(places, candela, strict=True))
    }
    theirs, noise = rendered(emitters, points, normals, 32768)
    lamps = Lamps.from_tables(
        [isotropic(strength) for strength in candela], table=[0, 1], position_m=places, axes=[np.eye(3)] * 2
    )
    by_lamp = illuminance(lamps, box(), points, normals)
    # The box matters: it takes a good part of one lamp at several points.
    free = illuminance(lamps, Blockers.none(), points, normals)
    assert (by_lamp < free).sum() >= 5
    agree("two point lamps", by_lamp.sum(axis=0), theirs, noise)


def test_spot_lamp_and_a_box() -> None:
    """A beam that is even to 15 deg and falls straight to nothing at 50 deg: a table says the same exactly."""
    points, normals = patches()
    place, heading, tilt = np.array([-1.4, 0.2, 2.2]), 5.0, -40.0
    axes = beam_axes(heading, tilt)
    aim = mi.ScalarTransform4f().look_at(origin=place.tolist(), target=(place + axes[2]).tolist(), up=list(axes[1]))
    spot = {
        "type": "spot", "to_world": aim, "beam_width": 15.0, "cutoff_angle": 50.0,
        "intensity": {"type": "rgb", "value": 3000.0},
    }  # fmt: skip
    theirs, noise = rendered({"spot": spot}, points, normals, 64)
    lamp = one_lamp(rotational([0, 15, 50, 180], [3000, 3000, 0, 0]), place, axes)
    agree("spot lamp", illuminance(lamp, box(), points, normals)[0], theirs, noise)


def test_glowing_rectangle_close_by() -> None:
    """A diffuse opening of 0.6 x 0.3 m, from 0.08 to 2.5 m away; the box stands beside the light."""
    place, axes = np.array([1.6, -1.2, 0.9]), np.array(beam_axes(150, -20))
    length, width, luminance = 0.6, 0.3, 2000.0
    generator = np.random.default_rng(4)
    ahead = np.geomspace(0.08, 2.5, POINTS)
    across = generator.uniform(-0.5, 0.5, (POINTS, 2)) * np.minimum(ahead + 0.1, 0.6)[:, None]
    points = place + np.c_[across, ahead] @ axes
    normals = np.tile(-axes[2], (POINTS, 1)) + generator.uniform(-0.3, 0.3, (POINTS, 3))
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    shape = np.eye(4)
    shape[:3, :3] = (axes * [[length / 2], [width / 2], [1.0]]).T
    shape[:3, 3] = place
    emitter = {
        "type": "rectangle", "to_world": mi.ScalarTransform4f(shape),
        "emitter": {"type": "area", "radiance": {"type": "rgb", "value": luminance}},
    }  # fmt: skip
    theirs, noise = rendered({"opening": emitter}, points, normals, 65536)
    table = cosine_power(length * width * luminance, 1.0, 0.1)
    lamp = one_lamp(table, place, axes, opening_m=(length, width))
    agree("glowing rectangle", illuminance(lamp, box(), points, normals)[0], theirs, noise)
    as_point = illuminance(one_lamp(table, place, axes), box(), points, normals)[0]
    assert np.abs(as_point / theirs - 1).max() > 0.5
