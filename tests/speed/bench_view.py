"""A whole driver's view beside plain numpy: surfaces, markings, sky, lamps as openings, and the veil of every lamp.

    python tests/speed/bench_view.py [--quick]

1280 x 720 pixels, 24 lamps on a truck, 40 boxes, a road with three lines, an eye of 50 years. The peer does the same
with whole arrays, one box and one lamp at a time in double precision, on a picture with an eighth of the pixels each
way (a sixteenth when quick); its time is scaled by the number of pixels. Both must see the same. The view in fog on a
wet road is held against that in clear air.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from functools import partial
from math import pi
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Camera, GroundPlane
from scenelux.scene.weather import Weather
from scenelux.study.view.ground import Line
from scenelux.study.view.image import Setting, luminance
from scenelux.study.view.lamps import lamps_seen
from scenelux.study.view.materials import Materials
from scenelux.study.view.tables import film_of, haze_of, markings
from scenelux.study.view.veil import veil
from scenelux.vision import picture_veil_per_lux
from tests.speed.cases import UP, Case, standard_case
from tests.speed.peers import _between, _tables
from tests.speed.ratios import Ratios
from tests.speed.timing import Task, alternating

__all__ = ["view"]

Floats = NDArray[np.float64]

WIDTH, HEIGHT, FIELD_DEG = 1280, 720, 40.0
EYE, AHEAD = (-25.0, 3.5, 1.2), (0.0, 2.5, 0.8)
BOXES, ROAD, BODY, AMBIENT_LX, AGE = 40, 0.07, 0.4 / pi, 0.1, 50.0
LIMIT_S = 0.3
LINES = (Line(1.7, False), Line(5.2, True), Line(8.7, False))
SKIN_M = 1e-6


def view(quick: bool) -> Ratios:
    """Ratios of the driver's view, printed."""
    case, coarse = standard_case(boxes=BOXES, side=2), 16 if quick else 8
    scene, small = _setting(case), _camera(WIDTH // coarse, HEIGHT // coarse)
    tasks: dict[str, Task] = {
        "view, 1 thread": partial(_ours, scene, _camera(WIDTH, HEIGHT), 1),
        "view, 2 threads": partial(_ours, scene, _camera(WIDTH, HEIGHT), 2),
        "view in fog on a wet road, 1 thread": partial(_ours, _foggy(scene), _camera(WIDTH, HEIGHT), 1),
        "surfaces and lamps, 2 threads": partial(_surfaces, scene, _camera(WIDTH, HEIGHT), 2),
        f"plain numpy, 1/{coarse} each way": partial(plain_view, case, small),
    }
    _same(case, scene, small)
    for task in tasks.values():
        task()
    timed = alternating(tasks, 3 if quick else 9)
    pixels = coarse * coarse
    print(f"{WIDTH} x {HEIGHT} pixels, {len(case.lamps)} lamps, {len(case.blockers)} boxes, veil of every lamp")
    for name in tasks:
        print(f"{name:32}{timed.median(name) * 1e3:9.1f} ms median{timed.best(name) * 1e3:9.1f} best", flush=True)
    plain = pixels * timed.median(f"plain numpy, 1/{coarse} each way")
    both, one = timed.median("view, 2 threads"), timed.median("view, 1 thread")
    print(f"plain numpy for all pixels would take {plain:.1f} s: {plain / both:.0f} times as long as two threads")
    return {
        "view: two threads over plain numpy": plain / both,
        "view: one thread over plain numpy": plain / one,
        "view: 0.3 s over the median on two threads": LIMIT_S / both,
        "view: clear air over fog on a wet road": one / timed.median("view in fog on a wet road, 1 thread"),
    }


def _camera(width: int, height: int) -> Camera:
    return Camera.towards(EYE, AHEAD, width, height, field_deg=FIELD_DEG)


def _setting(case: Case) -> Setting:
    upward = np.stack((case.blockers.axes[:, :, 2], -case.blockers.axes[:, :, 2]), axis=2).reshape(-1)
    sky = BODY * 0.5 * (1.0 + upward)
    materials = Materials(
        np.append(ROAD, np.full(6 * len(case.blockers), BODY)), np.append(ROAD, sky), (), None, "matt"
    )
    return Setting(case.lamps, 0, case.blockers, GroundPlane.through(), materials, LINES, markings(), None, None)


def _foggy(scene: Setting) -> Setting:
    return replace(
        scene, materials=replace(scene.materials, film=film_of("wet asphalt")),
        haze=haze_of(Weather.model_validate({"kind": "fog", "visibility": "150 m"})),
    )  # fmt: skip


def _surfaces(scene: Setting, camera: Camera, threads: int) -> object:
    return luminance(scene, camera, np.ones(len(scene.lamps)), AMBIENT_LX, threads=threads)


def _ours(scene: Setting, camera: Camera, threads: int) -> NDArray[np.float32]:
    seen = luminance(scene, camera, np.ones(len(scene.lamps)), AMBIENT_LX, threads=threads)
    return seen.luminance_cd_m2 + veil(seen, age_years=AGE, threads=threads)


def _same(case: Case, scene: Setting, camera: Camera) -> None:
    """Nearly all pixels agree; at edges one sees this side and one that, and markings are drawn finer by ours."""
    ours, theirs = _ours(scene, camera, 1), plain_view(case, camera)
    apart = np.abs(ours - theirs) > 0.02 * theirs
    assert apart.mean() < 0.05, f"{apart.mean():.1%} of the pixels differ"


def plain_view(case: Case, camera: Camera) -> Floats:
    """The view as one writes it with whole arrays."""
    ways = camera.directions().reshape(-1, 3)
    eye = camera.eye_m
    with np.errstate(divide="ignore", invalid="ignore"):
        distance, normal, factor, sky = _first(case, eye, ways)
        points = eye + distance[:, None] * ways
        painted = (factor == ROAD) & _painted(points)
        factor = np.where(painted, markings().luminance_coefficient, factor)
        lit = np.isfinite(distance)
        light = np.zeros(len(ways))
        light[lit] = _light(case, points[lit], normal[lit])
    total = factor * light + AMBIENT_LX * np.where(painted, factor, sky)
    return _with_lamps(case, camera, ways, total).reshape(camera.height_px, camera.width_px)


def _first(case: Case, eye: Floats, ways: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Distance, normal, luminance per lux of lamps and of the sky of what each ray meets first."""
    down = ways[:, 2] < 0.0
    best = np.where(down, -eye[2] / ways[:, 2], np.inf)
    normal = np.tile(UP, (len(ways), 1))
    factor, sky = np.where(down, ROAD, 0.0), np.where(down, ROAD, 1.0 / pi)
    for centre, half, axes in zip(case.blockers.centre_m, case.blockers.half_m, case.blockers.axes, strict=True):
        start, step = axes @ (eye - centre), ways @ axes.T
        one, two = (-half - start) / step, (half - start) / step
        near, far = np.minimum(one, two), np.maximum(one, two)
        enter = near.max(axis=1)
        hit = (enter > 0.0) & (enter < far.min(axis=1)) & (enter < best)
        side = near.argmax(axis=1)
        outward = -np.sign(np.take_along_axis(step, side[:, None], axis=1)) * axes[side]
        best = np.where(hit, enter, best)
        normal = np.where(hit[:, None], outward, normal)
        factor = np.where(hit, BODY, factor)
        sky = np.where(hit, BODY * 0.5 * (1.0 + outward[:, 2]), sky)
    return best, normal, factor, sky


def _painted(points: Floats) -> NDArray[np.bool_]:
    look = markings()
    found = np.zeros(len(points), np.bool_)
    for line in LINES:
        on = np.abs(points[:, 1] - line.left_m) < 0.5 * look.width_m
        found |= on & (not line.dashed or np.mod(points[:, 0], look.line_m + look.gap_m) < look.line_m)
    return found


def _light(case: Case, points: Floats, normal: Floats) -> Floats:
    """Illuminance by all lamps, one at a time, past all boxes."""
    total = np.zeros(len(points))
    for position, axes, table in zip(case.lamps.position_m, case.lamps.axes, case.lamps.table, strict=True):
        away = points - position
        square = (away * away).sum(axis=1)
        turned = away @ axes.T
        azimuth = np.degrees(np.arctan2(turned[:, 1], turned[:, 0])) % 360.0
        polar = np.degrees(np.arctan2(np.hypot(turned[:, 0], turned[:, 1]), turned[:, 2]))
        cosine = np.clip(-(away * normal).sum(axis=1) / np.sqrt(square), 0.0, None)
        hidden = np.zeros(len(points), np.bool_)
        for centre, half, turn in zip(case.blockers.centre_m, case.blockers.half_m, case.blockers.axes, strict=True):
            start, step = turn @ (position - centre), away @ turn.T
            one, two = (SKIN_M - half - start) / step, (half - SKIN_M - start) / step
            enter, leave = np.minimum(one, two).max(axis=1), np.maximum(one, two).min(axis=1)
            hidden |= np.maximum(enter, 0.0) < np.minimum(leave, 1.0)
        total += _between(_tables(case)[table], azimuth, polar) * cosine / square * ~hidden
    return total


def _with_lamps(case: Case, camera: Camera, ways: Floats, total: Floats) -> Floats:
    """Adds each lamp that is seen to the four pixels around it, and its veil to all."""
    seen = lamps_seen(case.lamps, case.blockers, camera.eye_m, np.ones(len(case.lamps)))
    solid, least = camera.solid_angles_sr().ravel(), np.degrees(0.5 * camera.step)
    columns, rows, depth = camera.pixels_of(case.lamps.position_m)
    for lamp in np.flatnonzero(seen.illuminance_lx > 0.0):
        lux, towards = seen.illuminance_lx[lamp], seen.direction[lamp]
        cosine = np.clip(ways @ towards, -1.0, 1.0)
        angle = np.degrees(np.arccos(cosine))
        ahead = angle < 90.0
        per_lux = picture_veil_per_lux(np.clip(angle, least, 90.0), age_years=AGE, pigmentation=0.5)
        total = total + np.where(ahead, lux * cosine * per_lux, 0.0)
        if depth[lamp] > 0.0:
            left, top = int(np.floor(columns[lamp])), int(np.floor(rows[lamp]))
            for i, j in ((top, left), (top, left + 1), (top + 1, left), (top + 1, left + 1)):
                if 0 <= i < camera.height_px and 0 <= j < camera.width_px:
                    share = (1.0 - abs(rows[lamp] - i)) * (1.0 - abs(columns[lamp] - j))
                    total[i * camera.width_px + j] += share * lux / solid[i * camera.width_px + j]
    return np.asarray(total)


def main() -> None:
    """Prints the ratios alone."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="fewer runs")
    for name, ratio in view(parser.parse_args().quick).items():
        print(f"{ratio:8.3g}  {name}")


if __name__ == "__main__":
    main()
