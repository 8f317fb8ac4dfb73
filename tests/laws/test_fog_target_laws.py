"""Laws of targets in fog: the lit air as far as a target makes none of it visible; lit air beyond it may."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter

from scenelux.engine import Blockers, Camera, sight
from scenelux.placement import PlacedScene, approach_path
from scenelux.study.view.image import Setting, by_lamp, setting
from scenelux.study.view.limits import MOST_DEPTH, lit_air_note
from scenelux.study.view.targets import target_light, target_surfaces
from scenelux.study.view.visible import TargetSeen
from scenelux.vision import backscatter_luminance, threshold_luminance_difference
from tests.driver_scenes import placed_scene

Floats = NDArray[np.float64]

FLUSH = '{ id = "sheet", kind = "panel", position = [0, 0, 0.8], width = 1.2, height = 0.9, colours = ["white"] }'
APART = '{ id = "sheet", kind = "panel", position = [-20, 0.5, 1.2], width = 1.0, height = 1.0, colours = ["white"] }'
ASYMMETRY = 0.85
"""Of fog, as the shipped table has it."""


def in_fog(folder: Path, visibility_m: float | None, objects: str = FLUSH, tilt: float = 0.0) -> PlacedScene:
    weather = f'weather = {{ kind = "fog", visibility = {visibility_m} }}' if visibility_m else ""
    return placed_scene(folder, objects=objects, weather=weather, tilt=tilt)


def eye_of(placed: PlacedScene, distance_m: float, *, headlamps: bool) -> tuple[Setting, Floats]:
    path = approach_path(placed, placed.scene.approaches[0])
    at = int(np.argmin(np.abs(path.distances_m - distance_m)))
    assert path.headlamps is not None
    return setting(placed, path.headlamps.at(at) if headlamps else None), path.points_m[at]


def as_its_surroundings(placed: PlacedScene, scene: Setting, share: float = 1.0) -> Setting:
    """The sheet as matt as the body that it is fixed to, and a share as bright."""
    body = next(box.reflectance.value for box in placed.boxes if box.owner == "vehicle")
    per_lux, per_sky = scene.materials.per_lux.copy(), scene.materials.per_sky_lux.copy()
    for surface in target_surfaces(placed, "sheet"):
        planes = slice(6 * surface - 5, 6 * surface + 1)
        per_lux[planes], per_sky[planes] = share * body / np.pi, share * per_sky[1:7]
    return replace(scene, materials=replace(scene.materials, per_lux=per_lux, per_sky_lux=per_sky))


def seen(scene: Setting, placed: PlacedScene, eye: Floats, ambient_lx: float = 0.1) -> TargetSeen:
    light = target_light(placed, scene, eye, "sheet")
    return light.seen(np.ones(len(scene.lamps)), ambient_lx, age_years=25)


@pytest.mark.parametrize("tilt", [0.0, 20.0, 45.0])
def test_what_is_flush_and_alike_is_at_level_0_in_any_fog(tmp_path: Path, tilt: float) -> None:
    """The lamps beside it light nothing but the air, more of it the nearer to them; daylight is on both alike."""
    for visibility_m in (None, 1000, 150, 60):
        placed = in_fog(tmp_path, visibility_m, tilt=tilt)
        scene, eye = eye_of(placed, 100.0, headlamps=False)
        for ambient_lx in (0.1, 10_000.0):
            found = seen(as_its_surroundings(placed, scene), placed, eye, ambient_lx)
            assert abs(found.level) < 2e-3, f"{visibility_m} m, {ambient_lx} lx"
            if visibility_m == 150 and ambient_lx < 1.0:
                gradient = abs(found.background_cd_m2[0] - found.target_cd_m2[0]) / found.thresholds_cd_m2[0]
                assert gradient > 1.0, "the glow before it is uneven enough to be taken for a difference"


@pytest.mark.parametrize(("headlamps", "ambient_lx"), [(False, 0.1), (True, 0.1), (True, 5000.0)])
def test_thicker_fog_never_makes_what_is_flush_more_visible(tmp_path: Path, headlamps: bool, ambient_lx: float) -> None:
    levels = []
    for visibility_m in (None, 2000, 400, 150, 80, 50):
        placed = in_fog(tmp_path, visibility_m)
        scene, eye = eye_of(placed, 80.0, headlamps=headlamps)
        half = as_its_surroundings(placed, scene, 0.5)
        levels.append(abs(float(seen(half, placed, eye, ambient_lx).level)))
    assert (np.diff(levels) <= 0.0).all(), levels
    assert levels[0] > 0.0


def literal_difference(placed: PlacedScene, scene: Setting, eye: Floats, visibility_m: float, arcmin: float) -> float:
    """An unlit sheet against what is around it, pixel by pixel and step by step along each line of sight.

    T(d_t) L_target - mean of [T(d_b) L_background + air from d_t to d_b]; light on the background comes through air.
    """
    middle = np.array([-20.0, 0.5, 1.7])
    camera = Camera.towards(eye, middle, 41, 41, field_deg=float(np.degrees(2.4 / np.linalg.norm(middle - eye))))
    clear = by_lamp(replace(scene, haze=None), camera)
    sheet = np.isin(clear.hits.surface, target_surfaces(placed, "sheet"))
    half = round(0.5 * np.radians(arcmin / 60.0) / camera.step)
    ring = maximum_filter(sheet, size=2 * half + 1) & ~sheet
    target_m, sigma = float(clear.hits.distance_m[sheet].max()), 3.0 / visibility_m
    ways, total = camera.directions(), 0.0
    for row, column in np.argwhere(ring):
        way, end_m = ways[row, column], float(clear.hits.distance_m[row, column])
        along = np.linspace(min(target_m, end_m), min(end_m, 400.0), 400)
        points = eye + along[:, None] * way
        at = sight(scene.lamps, Blockers.none(), points)
        for lamp in range(len(scene.lamps)):
            away = at.distance_m[lamp]
            turned = np.degrees(np.arccos(np.clip(at.direction[lamp] @ way, -1.0, 1.0)))
            lux = at.candela[lamp] / away**2
            air = {"visibility_m": visibility_m, "asymmetry": ASYMMETRY}
            total += float(backscatter_luminance(along, lux, away, turned, **air))
            if np.isfinite(end_m):
                lit = float(clear.luminance_cd_m2[lamp, row, column])
                total += lit * np.exp(-sigma * (float(away[-1]) + end_m))
    return -total / int(ring.sum())


def test_a_dark_sheet_before_glowing_air_is_a_silhouette_by_the_formula_written_out(tmp_path: Path) -> None:
    placed = in_fog(tmp_path, 150, APART)
    scene, eye = eye_of(placed, 100.0, headlamps=False)
    found = seen(scene, placed, eye, 0.0)
    by_hand = literal_difference(placed, scene, eye, 150.0, float(found.size_arcmin[0]))
    assert found.difference_cd_m2[0] == pytest.approx(by_hand, rel=0.05)
    assert found.level < -1.0
    assert found.levels[0] * found.thresholds_cd_m2[0] == pytest.approx(found.difference_cd_m2[0])
    assert "silhouette" in lit_air_note(placed.scene.weather)


def test_the_air_before_a_target_stays_in_the_adaptation(tmp_path: Path) -> None:
    """What the eye gets of the background is the whole of it, and from it the threshold follows."""
    placed = in_fog(tmp_path, 150, APART)
    scene, eye = eye_of(placed, 100.0, headlamps=False)
    found = seen(scene, placed, eye, 0.0)
    again = threshold_luminance_difference(
        found.background_cd_m2[0] + found.veil_cd_m2, found.size_arcmin[0], age_years=25, negative=True
    )
    assert found.thresholds_cd_m2[0] == pytest.approx(float(again))
    assert found.background_cd_m2[0] > -found.difference_cd_m2[0] > 0.0


def test_behind_too_much_air_there_is_no_level(tmp_path: Path) -> None:
    placed = in_fog(tmp_path, 45)
    levels = {}
    for distance_m in (80.0, 100.0):
        scene, eye = eye_of(placed, distance_m, headlamps=True)
        light = target_light(placed, scene, eye, "sheet")
        levels[distance_m] = float(seen(scene, placed, eye).level)
        assert (light.optical_depth > MOST_DEPTH) == (distance_m == 100.0)
    assert np.isfinite(levels[80.0]) and np.isnan(levels[100.0])
