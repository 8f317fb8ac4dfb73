"""How time and memory grow with points, lamps, boxes and triangles, on one thread.

The least processor time of alternating runs counts here: a run that takes long never has the machine to itself from end
to end, a short one does, and medians on the clock would show that as growth.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from functools import partial

import numpy as np

from scenelux.engine import Mesh, summed, tiled
from scenelux.engine.segments import hidden
from tests import mesh_shapes
from tests.speed.bench_mesh import rays
from tests.speed.cases import UP, Case, standard_case
from tests.speed.ratios import Ratios
from tests.speed.timing import Task, Timed, alternating, in_a_process

__all__ = ["growth"]

SIDES = {10_000: 100, 100_000: 316, 1_000_000: 1_000, 10_000_000: 3_162}
LAMPS = (1, 10, 50, 200)
BOXES = (0, 12, 50, 200)
TRIANGLES = (1_000, 10_000, 100_000, 1_000_000)
RAYS = 100_000


def growth(quick: bool) -> Ratios:
    """Ratios of growth, printed: 1 where time grows as the work does."""
    rounds = 2 if quick else 7
    sides = dict(list(SIDES.items())[: 3 if quick else 4])
    triangles = TRIANGLES[: 3 if quick else 4]
    ratios = _points(sides, rounds) | _memory(max(sides.values())) | _lamps(rounds) | _boxes(rounds)
    return ratios | _triangles(triangles, rounds) | _building(triangles, ("joined",) if quick else ("joined", "loose"))


def _light(case: Case) -> Task:
    tiles, levels = tiled(case.points, UP), np.ones(len(case.lamps))
    return lambda: summed(case.lamps, case.blockers, tiles, levels, threads=1)


def _timed(tasks: Mapping[str, Task], rounds: int) -> Timed:
    for task in tasks.values():
        answer = task()  # Compiles, or loads the machine code.
        assert not isinstance(answer, np.ndarray) or np.isfinite(answer).all()
    return alternating(tasks, rounds)


def _points(sides: Mapping[int, int], rounds: int) -> Ratios:
    cases = {count: standard_case(side=side) for count, side in sides.items()}
    light = _timed({str(count): _light(case) for count, case in cases.items()}, rounds)
    ready = _timed({str(count): partial(tiled, case.points, UP) for count, case in cases.items()}, rounds)
    print(f"{'points':>12}{'ns a lamp-point':>18}{'ns a point for tiles':>22}{'both, ns a lamp-point':>23}")
    each = {}
    for count, case in cases.items():
        n, lamps = len(case.points), len(case.lamps)
        lit, made = light.least_work(str(count)) / n * 1e9, ready.least_work(str(count)) / n * 1e9
        each[count] = lit / lamps
        print(f"{n:12}{each[count]:18.2f}{made:22.1f}{(lit + made) / lamps:23.2f}")
    print("24 lamps, 12 boxes")
    named = {1_000_000: "a million points", 10_000_000: "10 million points"}
    return {
        f"growth: speed at {words} over that at 100000": each[100_000] / each[count]
        for count, words in named.items() if count in each
    }  # fmt: skip


MEMORY = """
import numpy as np
from scenelux.engine import summed, tiled
from tests.speed.cases import UP, standard_case

def run(side):
    case = standard_case(side=side)
    before = most_from_now()
    tiles = tiled(case.points, UP)
    ready = status("VmHWM")
    summed(case.lamps, case.blockers, tiles, np.ones(len(case.lamps)), threads=1)
    kept = sum(part.nbytes for part in (tiles.arrays.rows, tiles.arrays.bounds, tiles.arrays.order))
    return {"points": len(case.points), "tiles": kept, "ready": ready - before, "all": status("VmHWM") - before}

run(10)  # Compiles, or loads the machine code.
print(json.dumps(run(int(sys.argv[1]))))
"""


def _memory(side: int) -> Ratios:
    """Memory of the largest number of points, in a process of its own."""
    if sys.platform != "linux":
        print("memory is measured on Linux only")
        return {"growth: bytes of a point given over bytes at the peak beside it": None}
    told = in_a_process(MEMORY, side)
    each = {part: told[part] / told["points"] for part in ("tiles", "ready", "all")}
    print(
        f"bytes a point, of {told['points']} points: tiles keep {each['tiles']:.0f} beside points and normals (48); "
        f"most beside the points (24): {each['ready']:.0f} while tiles are made, {each['all']:.0f} with the light (8)"
    )
    return {"growth: bytes of a point given over bytes at the peak beside it": 24 / each["all"]}


def _lamps(rounds: int) -> Ratios:
    cases = {count: standard_case(lamps=count, side=316) for count in LAMPS}
    timed = _timed({str(count): _light(case) for count, case in cases.items()}, rounds)
    print(f"{'lamps':>12}{'ns a lamp-point':>18}   100000 points, 12 boxes")
    each = {count: timed.least_work(str(count)) / count / len(cases[count].points) * 1e9 for count in LAMPS}
    for count in LAMPS:
        print(f"{count:12}{each[count]:18.2f}")
    return {"growth: speed with 200 lamps over that with 10": each[10] / each[200]}


def _boxes(rounds: int) -> Ratios:
    cases = {count: standard_case(boxes=count, side=316) for count in BOXES}
    timed = _timed({str(count): _light(case) for count, case in cases.items()}, rounds)
    print(f"{'boxes':>12}{'x none':>18}   time, 100000 points, 24 lamps")
    for count in BOXES:
        print(f"{count:12}{timed.least_work(str(count)) / timed.least_work('0'):18.2f}")
    return {"growth: time without boxes over that with 200": timed.least_work("0") / timed.least_work("200")}


def _triangles(sizes: tuple[int, ...], rounds: int) -> Ratios:
    """Shadow rays on one thread."""
    starts, ends = rays("coherent", RAYS)
    meshes = {size: Mesh.from_triangles(*mesh_shapes.ball(size)) for size in sizes}
    timed = _timed({str(size): partial(hidden, mesh, starts, ends, threads=1) for size, mesh in meshes.items()}, rounds)
    print(f"{'triangles':>12}{'ns a ray':>18}   coherent rays")
    for size, mesh in meshes.items():
        print(f"{len(mesh):12}{timed.least_work(str(size)) / len(starts) * 1e9:18.0f}")
    return {
        "growth: rays past 100000 triangles over rays past 1000": timed.least_work("1000") / timed.least_work("100000")
    }


BUILD = """
import numpy as np
from scenelux.engine import Mesh
from tests import mesh_shapes

Mesh.from_triangles(*mesh_shapes.ball(100)).arrays
vertices, triangles = mesh_shapes.ball(int(sys.argv[1]))
if sys.argv[2] == "loose":
    vertices, triangles = vertices[triangles].reshape(-1, 3), np.arange(triangles.size).reshape(-1, 3)
before, begun = most_from_now(), time.perf_counter()
mesh = Mesh.from_triangles(vertices, triangles)
read = time.perf_counter()
tree = mesh.arrays
done, kept = time.perf_counter(), sum(part.nbytes for part in (mesh.vertices_m, mesh.triangles, *tree))
print(json.dumps({
    "triangles": len(mesh), "given": vertices.nbytes + triangles.nbytes, "kept": kept,
    "peak": status("VmHWM") - before, "read": read - begun, "built": done - read,
}))
"""


def _building(sizes: tuple[int, ...], kinds: tuple[str, ...]) -> Ratios:
    """Time and memory of trees, each in a process of its own."""
    name = "growth: triangles built a second, 100000 over 10000"
    if sys.platform != "linux":
        print("building is measured on Linux only")
        return {name: None}
    print(f"{'triangles':>12}{'us read':>10}{'us built':>10}{'B given':>10}{'B kept':>9}{'B peak beside':>15}   each")
    each = {}
    for size in sizes[1:]:
        for kind in kinds:
            told = in_a_process(BUILD, size, kind)
            part = {key: value / told["triangles"] for key, value in told.items()}
            each[size, kind] = part["built"]
            print(
                f"{told['triangles']:12}{part['read'] * 1e6:10.2f}{part['built'] * 1e6:10.2f}{part['given']:10.0f}"
                f"{part['kept']:9.0f}{part['peak']:15.0f}   {kind}", flush=True
            )  # fmt: skip
    return {name: each[10_000, "joined"] / each[100_000, "joined"]}
