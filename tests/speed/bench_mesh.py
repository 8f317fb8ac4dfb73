"""Shadow rays against meshes beside a general ray library.

The library is embree by its Python binding embreex (extra "speed"), which answers one array of rays in single
precision. Both are asked the same: whether anything stands between two points. Coherent rays go from 24 lamps to a grid
on the ground, lamp after lamp; random rays between points anywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from importlib.util import find_spec

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Mesh
from scenelux.engine.segments import hidden
from tests import mesh_shapes
from tests.speed.ratios import Ratios
from tests.speed.timing import Timed, alternating, two_threads

__all__ = ["mesh", "rays"]

Floats = NDArray[np.float64]
Query = Callable[[], NDArray[np.bool_]]

SIZES = (1_000, 10_000, 100_000, 1_000_000)
RAYS = 200_000
BASE, BASE_2 = "embreex, 1 thread", "embreex, 2 threads"
OURS, OURS_2 = "scenelux, 1 thread", "scenelux, 2 threads"


def mesh(quick: bool) -> Ratios:
    """Ratios to the library, printed."""
    if find_spec("embreex") is None:
        print('embreex is not installed (extra "speed"): ratios are to one thread of our own')
    ratios: Ratios = {}
    for size in SIZES[1:3] if quick else SIZES:
        for kind in ("coherent", "random"):
            ratios |= _compare(size, kind, RAYS, 2 if quick else 7)
    return ratios


def rays(kind: str, count: int) -> tuple[Floats, Floats]:
    """Starts and ends around a ball of 2 m."""
    generator = np.random.default_rng(1)
    if kind == "random":
        starts, ends = generator.uniform(-6, 6, (2, count, 3))
        return starts, ends
    lamps = generator.uniform([-4, -4, 3], [4, 4, 5], (24, 3))
    side = np.linspace(-10, 10, round((count / 24) ** 0.5))
    ground = np.stack(np.meshgrid(side, side, [-2.5], indexing="ij"), axis=-1).reshape(-1, 3)
    return np.repeat(lamps, len(ground), axis=0), np.tile(ground, (24, 1))


def _library(vertices: Floats, triangles: NDArray[np.int64], starts: Floats, ends: Floats) -> dict[str, Query]:
    """The same question to embreex, on one thread and with the rays in two halves; nothing when it is not installed."""
    if find_spec("embreex") is None:
        return {}
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    scene = EmbreeScene()
    shape = TriangleMesh(scene, vertices.astype(np.float32), triangles.astype(np.int32))
    from_, step = starts.astype(np.float32), (ends - starts).astype(np.float32)
    far = np.ones(len(from_), np.float32)
    half = len(from_) // 2
    parts = [slice(0, half), slice(half, None)]

    def ask(part: slice) -> NDArray[np.bool_]:
        assert shape is not None
        answer: NDArray[np.bool_] = scene.run(from_[part], step[part], far[part], query="OCCLUDED") >= 0
        return answer

    def both() -> NDArray[np.bool_]:
        with ThreadPoolExecutor(2) as pool:
            return np.concatenate(list(pool.map(ask, parts)))

    return {BASE: lambda: ask(slice(None)), BASE_2: both}


def _compare(size: int, kind: str, count: int, rounds: int) -> Ratios:
    """One mesh, one kind of rays, and how many answers differ."""
    vertices, triangles = mesh_shapes.ball(size)
    starts, ends = rays(kind, count)
    shape = Mesh.from_triangles(vertices, triangles)
    tasks = _library(vertices, triangles, starts, ends) | {
        OURS: lambda: hidden(shape, starts, ends, threads=1),
        OURS_2: lambda: hidden(shape, starts, ends, threads=2),
    }
    answers = [task() for task in tasks.values()]  # The first run also compiles and builds.
    timed = alternating(tasks, rounds)
    print(f"{len(shape)} triangles, {len(starts)} {kind} rays, {answers[-1].mean():.0%} stopped")
    _table(timed, len(starts))
    print(f"  {np.count_nonzero(answers[0] != answers[-1])} answers differ from the library's")
    name = f"mesh: {{}} over embreex's, {kind} rays, {size} triangles"
    ratios: Ratios = {
        name.format("one thread"): timed.effort(OURS, BASE) if BASE in tasks else None,
        name.format("two threads"): timed.times(OURS_2, BASE_2) if BASE in tasks else None,
    }
    if kind == "coherent":
        ratios |= two_threads(f"mesh: {size} triangles, two threads", tasks, OURS, OURS_2, rounds)
    return ratios


def _table(timed: Timed, count: int) -> None:
    """Beside the rate the time of all processors for one ray, which busy neighbours disturb less."""
    base = BASE if BASE in timed.walls else OURS
    for task in timed.walls:
        print(
            f"  {task:20}{count / timed.median(task) / 1e6:8.2f} Mrays/s{timed.times(task, base):7.2f}"
            f"{timed.work(task) / count * 1e9:8.0f} ns of processor a ray{timed.effort(task, base):7.2f}"
        )
