"""A driver's-view picture beside a scalar ray caster, its parts, its growth with lamps and boxes, and its first run.

    python tests/speed/bench_image.py [--quick]

Standard case: 1280 x 720 pixels, 24 lamps on a truck, 40 boxes, a ground plane; luminance of everything that is seen.
The caster asks every box, first by the ball around it, for every pixel and every lamp, in double precision and in one
loop, and must see the same.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from math import acos, atan2, pi, sqrt
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))


import numpy as np
from numpy.typing import NDArray

from scenelux.engine import (
    Camera,
    GroundPlane,
    Lamps,
    Tiles,
    first_hits,
    illuminance_image,
    illuminance_images,
    luminance_image,
    picture,
)
from scenelux.engine.cache import compiled, inner
from scenelux.engine.image.shading import _shade
from tests.speed.cases import Case, standard_case
from tests.speed.ratios import Ratios
from tests.speed.timing import Timed, alternating, in_a_process, two_threads

__all__ = ["image"]

Floats = NDArray[np.float64]

WIDTH, HEIGHT, FIELD_DEG = 1280, 720, 45.0
BOXES, REFLECTANCE = 40, 0.2
LAMP_COUNTS, BOX_COUNTS = (1, 6, 12, 24, 48, 96), (0, 10, 20, 40, 80, 160)
GROUND = GroundPlane.through()
OURS, CASTER = "picture", "scalar caster"
PARTS = ("first hits", "points made ready", "light", "luminance")
BYTES_KEPT = 400_000_000


def image(quick: bool) -> Ratios:
    """Ratios of pictures, printed."""
    case, camera = standard_case(boxes=BOXES, side=2), driver()
    ratios = _beside_the_caster(case, camera, quick)
    _parts(case, camera, 3 if quick else 9)
    ratios |= _lamps(camera, 2 if quick else 5) | _boxes(camera, 2 if quick else 5)
    return ratios | ({} if quick else _cold())


def driver(width: int = WIDTH, height: int = HEIGHT) -> Camera:
    """The eye of a driver 20 m behind the truck, in the next lane."""
    return Camera.towards((-20.0, 3.5, 1.2), (0.0, 0.0, 0.6), width, height, field_deg=FIELD_DEG)


def ours(case: Case, camera: Camera, threads: int) -> NDArray[np.float32]:
    return picture(camera, case.lamps, case.blockers, GROUND, reflectance=REFLECTANCE, threads=threads).luminance_cd_m2


def _beside_the_caster(case: Case, camera: Camera, quick: bool) -> Ratios:
    tasks: dict[str, Callable[[], NDArray[np.floating]]] = {
        f"{OURS}, 1 thread": partial(ours, case, camera, 1),
        f"{OURS}, 2 threads": partial(ours, case, camera, 2),
        f"{CASTER}, 1 thread": partial(cast, case, camera, 1),
        f"{CASTER}, 2 threads": partial(cast, case, camera, 2),
    }
    answers = {name: task() for name, task in tasks.items()}  # The first run also compiles.
    reference = answers[f"{CASTER}, 1 thread"]
    assert all(np.isfinite(answer).all() for answer in answers.values())
    apart = np.abs(answers[f"{OURS}, 1 thread"] - reference) > 1e-5 * reference.max()
    assert apart.mean() < 0.005
    timed = alternating(tasks, 2 if quick else 7)
    seen = first_hits(camera, case.blockers, GROUND).surface
    print(
        f"{WIDTH} x {HEIGHT} pixels, {len(case.lamps)} lamps, {len(case.blockers)} boxes; "
        f"ground {(seen == 0).mean():.0%}, boxes {(seen > 0).mean():.0%}, "
        f"lit {(reference > 0).mean():.0%}; {apart.sum()} pixels differ from the caster "
        "by more than 1e-5 of the largest luminance"
    )
    print(f"{'':26}{'median ms':>11}{'best':>8}{'x caster':>10}")
    for name in tasks:
        times = timed.times(name, f"{CASTER}, {name.split(', ')[1]}")
        print(f"{name:26}{timed.median(name) * 1e3:11.1f}{timed.best(name) * 1e3:8.1f}{times:10.1f}", flush=True)
    both = two_threads("image: two threads", tasks, f"{OURS}, 1 thread", f"{OURS}, 2 threads", 3 if quick else 6)
    over: Ratios = {
        "image: one thread over the scalar caster": timed.effort(f"{OURS}, 1 thread", f"{CASTER}, 1 thread"),
        "image: two threads over the scalar caster": timed.times(f"{OURS}, 2 threads", f"{CASTER}, 2 threads"),
    }
    return over | both


def _parts(case: Case, camera: Camera, rounds: int) -> None:
    """What each part takes on one thread; the light is what is left of both when the points have been made ready."""
    hits = first_hits(camera, case.blockers, GROUND)
    lux = illuminance_image(hits, case.lamps)
    nothing = np.zeros((1, hits.surface.size))

    def no_light(tiles: Tiles) -> Floats:
        return nothing[:, : len(tiles)]

    both = "points and light"
    tasks: dict[str, Callable[[], object]] = {
        PARTS[0]: partial(first_hits, camera, case.blockers, GROUND, threads=1),
        PARTS[1]: lambda: _shade(hits, no_light, np.zeros((1, *lux.shape), np.float32), len(case.lamps), 1),
        both: partial(illuminance_image, hits, case.lamps, threads=1),
        PARTS[3]: partial(luminance_image, hits, lux, REFLECTANCE, threads=1),
        "all lamps kept apart": partial(illuminance_images, hits, case.lamps, threads=1, memory_limit_bytes=BYTES_KEPT),
    }
    for task in tasks.values():
        task()
    timed = alternating(tasks, rounds)
    each = {name: timed.median(name) for name in tasks}
    each[PARTS[2]] = each[both] - each[PARTS[1]]
    whole = sum(each[part] for part in PARTS)
    print("one thread, " + ", ".join(f"{part} {each[part] * 1e3:.1f} ms ({each[part] / whole:.0%})" for part in PARTS))
    kept = each["all lamps kept apart"] / each[both]
    print(f"every lamp kept in a picture of its own takes {kept:.2f} times as long as their sum", flush=True)


def _growth(cases: dict[int, Case], camera: Camera, rounds: int) -> Timed:
    tasks = {str(count): partial(ours, case, camera, 1) for count, case in cases.items()}
    for task in tasks.values():
        assert np.isfinite(task()).all()
    return alternating(tasks, rounds)


def _lamps(camera: Camera, rounds: int) -> Ratios:
    cases = {count: standard_case(lamps=count, boxes=BOXES, side=2) for count in LAMP_COUNTS}
    timed = _growth(cases, camera, rounds)
    least = timed.best(str(LAMP_COUNTS[0]))
    print(f"{'lamps':>8}{'best ms':>10}{'ms a lamp over that of one':>28}   one thread, {BOXES} boxes")
    each = {}
    for count in LAMP_COUNTS:
        best = timed.best(str(count))
        each[count] = (best - least) / (count - 1) if count > 1 else 0.0
        print(f"{count:8}{best * 1e3:10.1f}{each[count] * 1e3:28.2f}", flush=True)
    return {"image: time a further lamp takes with 24 over that with 96": each[24] / each[96]}


def _boxes(camera: Camera, rounds: int) -> Ratios:
    cases = {count: standard_case(boxes=count, side=2) for count in BOX_COUNTS}
    timed = _growth(cases, camera, rounds)
    print(f"{'boxes':>8}{'best ms':>10}{'x 40 boxes':>12}   one thread, 24 lamps")
    for count in BOX_COUNTS:
        best = timed.best(str(count))
        print(f"{count:8}{best * 1e3:10.1f}{best / timed.best('40'):12.2f}", flush=True)
    return {"image: four times the boxes over the time they take": 4 * timed.best("40") / timed.best("160")}


COLD = """
from types import SimpleNamespace
import numpy as np
from scenelux.engine import Blockers, Camera, GroundPlane, Lamps, first_hits, illuminance, illuminance_image
bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[1000, 1000], [1000, 1000]])
lamp = Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
box, ground = Blockers.boxes([[5, 0, 1]], [[1, 1, 1]]), GroundPlane.through()

def map():
    illuminance(lamp, box, np.zeros((300, 3)), (0, 0, 1), precision="fast")

def hits():
    return first_hits(Camera.pinhole((0, 0, 1), np.eye(3), 64, 36, field_deg=60), box, ground)

def took(task):
    start = time.perf_counter()
    task()
    return time.perf_counter() - start

print(json.dumps({"map": took(map), "hits": took(hits), "light": took(lambda: illuminance_image(hits(), lamp))}))
"""


def _cold() -> Ratios:
    """The first picture on a machine that has drawn none, after its first map, and the same in the next process."""
    with tempfile.TemporaryDirectory() as folder:
        before = os.environ.get("NUMBA_CACHE_DIR", "")
        os.environ["NUMBA_CACHE_DIR"] = folder
        first, second = in_a_process(COLD), in_a_process(COLD)
        os.environ["NUMBA_CACHE_DIR"] = before
    for name, told in (("first run", first), ("next process", second)):
        print(
            f"{name}: map {told['map']:.2f} s, then first hits {told['hits']:.2f} s, points and light "
            f"{told['light']:.2f} s", flush=True
        )  # fmt: skip
    return {"image: first run of a map over what pictures add": first["map"] / (first["hits"] + first["light"])}


def cast(case: Case, camera: Camera, threads: int) -> Floats:
    """The picture by one loop over pixels, with rows shared out among threads."""
    lamps, boxes = case.lamps, case.blockers
    out = np.empty((camera.height_px, camera.width_px))
    forward, left, up = camera.axes
    rays = np.stack((forward, -camera.step * left, -camera.step * up))
    fixed = (camera.eye_m, rays, boxes.centre_m, boxes.half_m, boxes.axes, *_lamp_arrays(lamps), REFLECTANCE)
    if threads == 1:
        _cast_rows(*fixed, 0, len(out), out)
        return out
    edges = np.linspace(0, len(out), 16 * threads + 1).astype(int).tolist()
    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(lambda k: _cast_rows(*fixed, edges[k], edges[k + 1], out), range(len(edges) - 1)))
    return out


def _lamp_arrays(lamps: Lamps) -> tuple[Floats, Floats, NDArray[np.int64], Floats]:
    return lamps.position_m, lamps.axes, lamps.table, lamps.tables.candela.reshape(-1, 73, 181)


@compiled
def _cast_rows(
    eye: Floats, rays: Floats, centre: Floats, half: Floats, box_axes: Floats, position: Floats, axes: Floats,
    table: NDArray[np.int64], candela: Floats, reflectance: float, first: int, last: int, out: Floats,
) -> None:  # fmt: skip
    for row in range(first, last):
        y = row + 0.5 - 0.5 * len(out)
        for column in range(out.shape[1]):
            x = column + 0.5 - 0.5 * out.shape[1]
            wx = rays[0, 0] + x * rays[1, 0] + y * rays[2, 0]
            wy = rays[0, 1] + x * rays[1, 1] + y * rays[2, 1]
            wz = rays[0, 2] + x * rays[1, 2] + y * rays[2, 2]
            out[row, column], nx, ny, nz = 0.0, 0.0, 0.0, 1.0
            nearest = -eye[2] / wz if wz < 0.0 else np.inf
            for box in range(len(centre)):
                enter, leave, by = _through(eye[0], eye[1], eye[2], wx, wy, wz, centre, half, box_axes, box, 0.0)
                if 0.0 < enter <= leave and enter < nearest:
                    nearest = enter
                    nx, ny, nz = box_axes[box, by, 0], box_axes[box, by, 1], box_axes[box, by, 2]
            if nearest == np.inf:
                continue
            sign = -1.0 if nx * wx + ny * wy + nz * wz > 0.0 else 1.0
            px, py, pz = eye[0] + nearest * wx, eye[1] + nearest * wy, eye[2] + nearest * wz
            for lamp in range(len(position)):
                ox, oy, oz = position[lamp, 0], position[lamp, 1], position[lamp, 2]
                dx, dy, dz = px - ox, py - oy, pz - oz
                light = _unshaded(dx, dy, dz, -sign * (dx * nx + dy * ny + dz * nz), axes, candela, lamp, table[lamp])
                if light > 0.0 and not _dark(ox, oy, oz, dx, dy, dz, centre, half, box_axes):
                    out[row, column] += reflectance * light / pi


@inner
def _through(
    x: float, y: float, z: float, dx: float, dy: float, dz: float, centre: Floats, half: Floats, axes: Floats, box: int,
    skin: float,
) -> tuple[float, float, int]:  # fmt: skip
    """Where a line enters and leaves a box, and square to which axis it enters; the ball around the box comes first."""
    cx, cy, cz = x - centre[box, 0], y - centre[box, 1], z - centre[box, 2]
    ball = half[box, 0] ** 2 + half[box, 1] ** 2 + half[box, 2] ** 2
    ahead = cx * dx + cy * dy + cz * dz
    if (cx * cx + cy * cy + cz * cz - ball) * (dx * dx + dy * dy + dz * dz) > ahead * ahead:
        return 1.0, 0.0, 0
    enter, leave, by = -np.inf, np.inf, 0
    for axis in range(3):
        origin = axes[box, axis, 0] * cx + axes[box, axis, 1] * cy + axes[box, axis, 2] * cz
        step = axes[box, axis, 0] * dx + axes[box, axis, 1] * dy + axes[box, axis, 2] * dz
        reach = half[box, axis] - skin
        if abs(step) < 1e-12:
            if abs(origin) > reach:
                return 1.0, 0.0, 0
            continue
        one, two = (-reach - origin) / step, (reach - origin) / step
        if min(one, two) > enter:
            enter, by = min(one, two), axis
        leave = min(leave, max(one, two))
        if enter > leave:
            break
    return enter, leave, by


@inner
def _dark(
    x: float, y: float, z: float, dx: float, dy: float, dz: float, centre: Floats, half: Floats, axes: Floats
) -> bool:
    for box in range(len(centre)):
        enter, leave, _ = _through(x, y, z, dx, dy, dz, centre, half, axes, box, 1e-6)
        if max(enter, 0.0) < min(leave, 1.0):
            return True
    return False


@inner
def _unshaded(
    x: float, y: float, z: float, facing: float, axes: Floats, candela: Floats, lamp: int, table: int
) -> float:
    """Illuminance of one lamp as if nothing stood between."""
    if facing <= 0.0:
        return 0.0
    square = x * x + y * y + z * z
    distance = sqrt(square)
    u = axes[lamp, 0, 0] * x + axes[lamp, 0, 1] * y + axes[lamp, 0, 2] * z
    v = axes[lamp, 1, 0] * x + axes[lamp, 1, 1] * y + axes[lamp, 1, 2] * z
    w = axes[lamp, 2, 0] * x + axes[lamp, 2, 1] * y + axes[lamp, 2, 2] * z
    azimuth = atan2(v, u)
    a = (azimuth if azimuth >= 0.0 else azimuth + 2.0 * pi) * (72 / (2.0 * pi))
    b = acos(max(-1.0, min(1.0, w / distance))) * (180 / pi)
    i, j = min(int(a), 71), min(int(b), 179)
    a, b = a - i, b - j
    near = candela[table, i, j] * (1.0 - b) + candela[table, i, j + 1] * b
    far = candela[table, i + 1, j] * (1.0 - b) + candela[table, i + 1, j + 1] * b
    return float((near * (1.0 - a) + far * a) * facing / (square * distance))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="fewer runs")
    for name, ratio in image(parser.parse_args().quick).items():
        print(f"{ratio:8.3g}  {name}")


if __name__ == "__main__":
    main()
