"""The same scene before an eye in a general physically based renderer: radiance along the rays of chosen pixels.

Road, truck, and a person with clothes and head, under two spot lamps and a bare one, with shadows. Light reaches
surfaces directly only, as in our picture. Radiance in the renderer stands for luminance, candela for candela.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import Camera
from scenelux.placement import PlacedScene
from scenelux.study.view.image import Seen, luminance, setting
from scenelux.study.view.materials import planes_seen
from tests.analytic_lamps import beam_axes, isotropic, point_lamps, rotational
from tests.driver_scenes import placed_scene

mi = pytest.importorskip("mitsuba")
mi.set_variant("scalar_rgb")

Floats = NDArray[np.float64]

EYE = np.array([-25.0, 3.2, 1.2])
WORKER = '{ id = "worker", position = [-4, 0.5], heading = 180, clothing = 0.35 }'
SPOTS = (([-0.2, 1.0, 2.4], 180.0, -25.0, 4000.0), ([-0.2, -1.0, 2.4], 180.0, -25.0, 2500.0))
BARE = ([-12.0, -3.0, 3.0], 900.0)
PATCHES = 10
SIZE = (200, 112)


def picture(placed: PlacedScene) -> Seen:
    spot = rotational([0, 15, 50, 180], [1.0, 1.0, 0.0, 0.0])
    tables = [replace(spot, candela=spot.candela * peak) for *_, peak in SPOTS] + [isotropic(BARE[1])]
    axes = [beam_axes(heading, tilt) for _, heading, tilt, _ in SPOTS] + [np.eye(3)]
    lamps = point_lamps(tables, [place for place, *_ in SPOTS] + [BARE[0]], axes)
    scene = replace(setting(placed), lamps=lamps, lines=())
    camera = Camera.towards(EYE, (-1.0, 0.3, 1.0), *SIZE, field_deg=16)
    return luminance(scene, camera, np.ones(3), 0.0)


def world(placed: PlacedScene) -> dict[str, object]:
    """The renderer's scene: boxes by their parts, the road, and the lamps."""
    place = mi.ScalarTransform4f()
    coefficient = placed.surface.luminance_coefficient
    assert coefficient is not None
    scene: dict[str, object] = {
        "type": "scene",
        "integrator": {"type": "direct", "emitter_samples": 1, "bsdf_samples": 0},
        "road": {"type": "rectangle", "to_world": place.scale(500.0), "bsdf": _matt(np.pi * coefficient.value)},
        "bare": {"type": "point", "position": BARE[0], "intensity": {"type": "rgb", "value": BARE[1]}},
    }
    for number, box in enumerate(placed.boxes):
        shape = np.eye(4)
        shape[:3, :3] = (np.array(box.axes) * np.array(box.half_m)[:, None]).T
        shape[:3, 3] = box.centre_m
        scene[f"box{number}"] = {
            "type": "cube", "to_world": mi.ScalarTransform4f(shape), "bsdf": _matt(box.reflectance.value),
        }  # fmt: skip
    for number, (at, heading, tilt, peak) in enumerate(SPOTS):
        _, up, beam = beam_axes(heading, tilt)
        aim = place.look_at(origin=at, target=(np.array(at) + beam).tolist(), up=list(up))
        scene[f"spot{number}"] = {
            "type": "spot", "to_world": aim, "beam_width": 15.0, "cutoff_angle": 50.0,
            "intensity": {"type": "rgb", "value": peak},
        }  # fmt: skip
    return scene


def _matt(reflectance: float) -> dict[str, object]:
    return {"type": "diffuse", "reflectance": {"type": "rgb", "value": float(reflectance)}}


def even(seen: Seen, spread: float) -> NDArray[np.bool_]:
    """Pixels whose neighbours all round see the same plane and about the same luminance: not at an edge."""
    light, planes = seen.luminance_cd_m2, planes_seen(seen.hits)
    low, high = np.full(light.shape, np.inf), np.zeros(light.shape)
    same = np.ones(light.shape, bool)
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            moved = np.roll(light, (down, right), (0, 1))
            low, high = np.minimum(low, moved), np.maximum(high, moved)
            same &= np.roll(planes, (down, right), (0, 1)) == planes
    found = same & (high <= spread * low)
    found[[0, -1]] = found[:, [0, -1]] = False
    return found


def patches(seen: Seen) -> list[tuple[int, int]]:
    """Lit pixels of different planes: the road, each part of the person that is large enough, the truck."""
    planes, lit = planes_seen(seen.hits), even(seen, 1.05) & (seen.luminance_cd_m2 > 0.0)
    generator, found = np.random.default_rng(5), []
    for plane in np.unique(planes[lit]):
        rows, columns = np.nonzero(lit & (planes == plane))
        found += [(int(rows[at]), int(columns[at])) for at in generator.permutation(len(rows))[:3]]
    return found


def test_luminance_of_ten_patches(tmp_path: Path) -> None:
    placed = placed_scene(tmp_path, people=WORKER)
    seen = picture(placed)
    places = patches(seen)
    planes = planes_seen(seen.hits)
    assert len(places) >= PATCHES
    assert len({int(planes[place]) for place in places}) >= 4
    ways = seen.hits.camera.directions()
    scene = world(placed)
    for number, (row, column) in enumerate(places):
        scene[f"meter{number}"] = {
            "type": "radiancemeter", "origin": EYE.tolist(), "direction": ways[row, column].tolist(),
            "film": {
                "type": "hdrfilm", "width": 1, "height": 1, "rfilter": {"type": "box"}, "component_format": "float32",
            },
        }  # fmt: skip
    loaded = mi.load_dict(scene)
    theirs = np.array(
        [
            np.mean([float(np.array(mi.render(loaded, sensor=k, spp=8192, seed=seed))[0, 0, 0]) for seed in (1, 2)])
            for k in range(len(places))
        ]
    )
    ours = np.array([seen.luminance_cd_m2[place] for place in places])
    apart = np.abs(ours / theirs - 1.0)
    print(f"{len(places)} patches on {len({int(planes[p]) for p in places})} planes, worst {apart.max():.2%}")
    assert (apart < 0.03).all()


def test_shadows_lie_where_the_renderer_has_them(tmp_path: Path) -> None:
    """A whole picture: all pixels but those at edges, over which the renderer takes the mean."""
    placed = placed_scene(tmp_path, people=WORKER)
    seen = picture(placed)
    ahead, _, up = seen.hits.camera.axes
    aim = mi.ScalarTransform4f().look_at(origin=EYE.tolist(), target=(EYE + ahead).tolist(), up=up.tolist())
    sensor = {
        "type": "perspective", "fov": 16.0, "fov_axis": "x", "to_world": aim,
        "film": {"type": "hdrfilm", "width": SIZE[0], "height": SIZE[1], "rfilter": {"type": "box"}},
        "sampler": {"type": "independent", "sample_count": 600},
    }  # fmt: skip
    theirs = np.array(mi.render(mi.load_dict(world(placed) | {"eye": sensor}), seed=3))[..., 0]
    ours, inside = seen.luminance_cd_m2.astype(float), even(seen, 1.2)
    assert inside.mean() > 0.6
    alike = np.abs(ours - theirs)[inside] < 0.1 * theirs[inside] + 1e-3 * theirs.max()
    print(f"{alike.mean():.3%} of the pixels away from edges agree")
    assert alike.mean() > 0.985, "the rest is the noise of the renderer"
    assert (theirs[inside] == 0.0).mean() > 0.2, "a good part lies in the dark in both"
