"""Speed of shadow rays against meshes beside a general ray library, as ratios of alternating runs in one sitting.

    python tests/speed/bench_mesh.py [--rounds 7] [--rays 200000] [--most 1000000]

The library is embree by its Python binding embreex (extra "speed"), which answers one array of rays in single
precision. Both are asked the same: whether anything stands between two points. Coherent rays go from 24 lamps to a grid
on the ground, lamp after lamp; random rays between points anywhere. Build time and memory are of a process of its own.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from importlib.util import find_spec
from pathlib import Path
from statistics import median

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[2]))

from scenelux.engine import Mesh
from scenelux.engine.segments import hidden
from tests import mesh_shapes

Floats = NDArray[np.float64]
Query = Callable[[], NDArray[np.bool_]]

SIZES = (1_000, 10_000, 100_000, 1_000_000)
BASE = "embreex, 1 thread"


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


def library(vertices: Floats, triangles: NDArray[np.int64], starts: Floats, ends: Floats) -> dict[str, Query]:
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

    return {BASE: lambda: ask(slice(None)), "embreex, 2 threads": both}


def compare(size: int, kind: str, count: int, rounds: int) -> None:
    """One mesh, one kind of rays: medians of alternating runs, and how many answers differ."""
    vertices, triangles = mesh_shapes.ball(size)
    starts, ends = rays(kind, count)
    mesh = Mesh.from_triangles(vertices, triangles)
    tasks = library(vertices, triangles, starts, ends) | {
        "scenelux, 1 thread": lambda: hidden(mesh, starts, ends, threads=1),
        "scenelux, 2 threads": lambda: hidden(mesh, starts, ends, threads=2),
    }
    answers = [task() for task in tasks.values()]  # The first run also compiles and builds.
    walls: dict[str, list[float]] = {name: [] for name in tasks}
    works: dict[str, list[float]] = {name: [] for name in tasks}
    for _ in range(rounds):
        for name, task in tasks.items():
            wall, work = time.perf_counter(), time.process_time()
            task()
            walls[name].append(time.perf_counter() - wall)
            works[name].append(time.process_time() - work)
    print(f"\n{len(mesh)} triangles, {len(starts)} {kind} rays, {answers[-1].mean():.0%} stopped")
    base = BASE if BASE in tasks else "scenelux, 1 thread"
    for name in tasks:
        wall, work = median(walls[name]), median(works[name])
        print(
            f"  {name:20}{len(starts) / wall / 1e6:8.2f} Mrays/s{median(walls[base]) / wall:7.2f}"
            f"{work / len(starts) * 1e9:8.0f} ns of processor a ray{median(works[base]) / work:7.2f}"
        )
    print(f"  answers that differ from the library's: {(answers[0] != answers[-1]).sum()}")


BUILD = """
import sys, time
from pathlib import Path
from scenelux.engine import Mesh
from tests import mesh_shapes

def status(key):
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(key)) / 1024

Mesh.from_triangles(*mesh_shapes.ball(100)).arrays
vertices, triangles = mesh_shapes.ball(int(sys.argv[1]))
if sys.argv[2] == "loose":
    vertices, triangles = vertices[triangles].reshape(-1, 3), __import__("numpy").arange(triangles.size).reshape(-1, 3)
Path("/proc/self/clear_refs").write_text("5")
before, begun = status("VmRSS"), time.perf_counter()
mesh = Mesh.from_triangles(vertices, triangles)
read, size = time.perf_counter(), (vertices.nbytes + triangles.nbytes) / 2**20
tree = mesh.arrays
done, kept = time.perf_counter(), sum(part.nbytes for part in (mesh.vertices_m, mesh.triangles, *tree)) / 2**20
print(f"{len(mesh):8} triangles, {sys.argv[2]:6} read {read - begun:5.2f} s, built {done - read:5.2f} s; MB: "
      f"given {size:4.0f}, kept {kept:4.0f}, at the peak beside what is given {status('VmHWM') - before:4.0f}")
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--rays", type=int, default=200_000)
    parser.add_argument("--most", type=int, default=SIZES[-1])
    options = parser.parse_args()
    print(f"medians of {options.rounds} alternating runs, each with its ratio to one thread of the library;")
    print("beside the rate the time of all processors for one ray, which busy neighbours disturb less")
    if find_spec("embreex") is None:
        print('embreex is not installed (extra "speed"): ratios are to our own one thread')
    for size in SIZES:
        if size <= options.most:
            for kind in ("coherent", "random"):
                compare(size, kind, options.rays, options.rounds)
    print("\nbuilding" + ("" if sys.platform == "linux" else " is measured on Linux only"), flush=True)
    for size in SIZES if sys.platform == "linux" else ():
        for kind in ("joined", "loose") if size <= options.most else ():
            subprocess.run([sys.executable, "-c", BUILD, str(size), kind], cwd=Path(__file__).parents[2], check=True)


if __name__ == "__main__":
    main()
