"""Speed of the engine beside numpy, plain and by an expert, as ratios of alternating runs in one sitting.

    python tests/speed/bench_engine.py [--rounds 5]

Standard case: 24 lamps with tables of 72 x 181 intensities, 400 x 400 points on the ground, normals up, 12 boxes.
Hard case: the lamps shine all round from above the roof, so that little is dark and nothing can be left out.
Absolute times belong to the machine and the moment; the ratios are what can be compared. What two threads can gain at
this moment is measured too, by a loop that does nothing else than count.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from threading import Thread
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[2]))

from scenelux.engine import Blockers, Lamps, by_lamp, illuminance, summed, tiled
from scenelux.engine.cache import compiled
from scenelux.geometry import aim_axes

Floats = NDArray[np.float64]

AZIMUTH = np.linspace(0.0, 360.0, 73)
POLAR = np.linspace(0.0, 180.0, 181)


def beam_table(width_deg: float) -> SimpleNamespace:
    """A cosine-power beam with a swing round the axis, so that both angles of the table matter."""
    power = np.log(0.5) / np.log(np.cos(np.radians(width_deg / 2)))
    along = np.clip(np.cos(np.radians(POLAR)), 0.0, None) ** power
    around = 1.0 + 0.3 * np.cos(np.radians(2.0 * AZIMUTH))
    return SimpleNamespace(azimuth_deg=AZIMUTH, polar_deg=POLAR, candela=3000.0 * around[:, None] * along)


def standard_case() -> tuple[Lamps, Blockers, Floats]:
    """Lamps on the four sides of a truck, aimed outwards and down; boxes for the truck and for things around it."""
    generator = np.random.default_rng(7)
    sides = np.repeat([0.0, 90.0, 180.0, 270.0], 6)
    aims = [aim_axes(heading, tilt) for heading, tilt in zip(sides, generator.uniform(-50, -15, 24), strict=True)]
    outwards = np.array([aim_axes(heading, 0.0)[0] for heading in sides])
    places = outwards * [3.6, 1.2, 0.0] + np.array([aim_axes(heading, 0.0)[1] for heading in sides]) * np.tile(
        np.linspace(-1.0, 1.0, 6), 4
    )[:, None] * [3.4, 1.1, 0.0]
    places[:, 2] = 2.4
    # Table z along the beam, x to the right, y up.
    axes = [(tuple(-part for part in left), up, beam) for beam, left, up in aims]
    lamps = Lamps.from_tables(
        [beam_table(width) for width in (30.0, 60.0, 90.0)], table=np.arange(24) % 3, position_m=places, axes=axes
    )
    centres = np.c_[generator.uniform(-9, 9, 12), generator.uniform(-9, 9, 12), np.full(12, 0.8)]
    centres[0] = 0.0, 0.0, 1.5
    halves = np.tile([0.4, 0.3, 0.8], (12, 1))
    halves[0] = 3.6, 1.2, 1.0
    turned = [aim_axes(heading, 0.0) for heading in generator.uniform(0, 360, 12)]
    turned[0] = aim_axes(0.0, 0.0)
    x, y = np.meshgrid(np.linspace(-15, 15, 400), np.linspace(-15, 15, 400), indexing="ij")
    return lamps, Blockers.boxes(centres, halves, turned), np.c_[x.ravel(), y.ravel(), np.zeros(x.size)]


def plain_numpy(lamps: Lamps, blockers: Blockers, points: Floats) -> Floats:
    """The formula as one writes it with whole arrays: one lamp at a time over all points, float64."""
    lux = np.empty((len(lamps), len(points)))
    for lamp in range(len(lamps)):
        away = points - lamps.position_m[lamp]
        square = (away * away).sum(axis=1)
        turned = away @ lamps.axes[lamp].T
        azimuth = np.degrees(np.arctan2(turned[:, 1], turned[:, 0])) % 360.0
        polar = np.degrees(np.arctan2(np.hypot(turned[:, 0], turned[:, 1]), turned[:, 2]))
        cosine = np.clip(-away[:, 2] / np.sqrt(square), 0.0, None)
        light = numpy_table(lamps, lamps.table[lamp], azimuth, polar)
        lux[lamp] = light * cosine / square * ~numpy_blocked(blockers, lamps.position_m[lamp], away)
    return lux


def numpy_table(lamps: Lamps, table: int, azimuth: Floats, polar: Floats) -> Floats:
    """Bilinear look-up of whole arrays."""
    azimuths = lamps.azimuth_deg[lamps.azimuth_start[table] : lamps.azimuth_start[table + 1]]
    polars = lamps.polar_deg[lamps.polar_start[table] : lamps.polar_start[table + 1]]
    candela = lamps.candela[lamps.candela_start[table] : lamps.candela_start[table + 1]]
    candela = candela.reshape(len(azimuths), len(polars))
    i = np.clip(np.searchsorted(azimuths, azimuth, side="right") - 1, 0, len(azimuths) - 2)
    j = np.clip(np.searchsorted(polars, polar, side="right") - 1, 0, len(polars) - 2)
    u = (azimuth - azimuths[i]) / (azimuths[i + 1] - azimuths[i])
    v = (polar - polars[j]) / (polars[j + 1] - polars[j])
    near = (1 - v) * candela[i, j] + v * candela[i, j + 1]
    return (1 - u) * near + u * ((1 - v) * candela[i + 1, j] + v * candela[i + 1, j + 1])


def numpy_blocked(blockers: Blockers, position: Floats, away: Floats) -> NDArray[np.bool_]:
    """Slab test of whole arrays against every box."""
    hidden = np.zeros(len(away), dtype=np.bool_)
    for centre, half, axes in zip(blockers.centre_m, blockers.half_m, blockers.axes, strict=True):
        start, step = axes @ (position - centre), away @ axes.T
        with np.errstate(divide="ignore"):
            one, two = (-half + 1e-6 - start) / step, (half - 1e-6 - start) / step
        enter, leave = np.minimum(one, two).max(axis=1), np.maximum(one, two).min(axis=1)
        hidden |= np.maximum(enter, 0.0) < np.minimum(leave, 1.0)
    return hidden


def hard_case() -> tuple[Lamps, Blockers, Floats]:
    """The standard case with bare lamps 1.5 m above the roof."""
    lamps, blockers, points = standard_case()
    bare = SimpleNamespace(azimuth_deg=AZIMUTH, polar_deg=POLAR, candela=beam_table(60.0).candela + 200.0)
    places = lamps.position_m * [0.8, 0.8, 0.0] + [0.0, 0.0, 4.0]
    return (
        Lamps.from_tables([bare], table=np.zeros(24, int), position_m=places, axes=lamps.axes), blockers, points
    )  # fmt: skip


CHUNK = 8192


def expert_numpy(lamps: Lamps, blockers: Blockers, points: Floats) -> NDArray[np.float32]:
    """The same sum as somebody writes it who knows numpy: one array a coordinate, single precision, in chunks that stay
    in the cache, even tables looked up without a search, and boxes only for points that are lit."""
    single = np.float32
    total = np.zeros(len(points), single)
    x, y, z = (np.ascontiguousarray(points[:, axis], single) for axis in range(3))
    tables = [
        part.reshape(73, 181).astype(single).ravel() for part in np.split(lamps.candela, lamps.candela_start[1:-1])
    ]
    per_radian_a, per_radian_p = single(72 / (2 * np.pi)), single(180 / np.pi)
    for first in range(0, len(points), CHUNK):
        here = slice(first, first + CHUNK)
        for lamp, (px, py, pz) in enumerate(lamps.position_m.astype(single)):
            dx, dy, dz = x[here] - px, y[here] - py, z[here] - pz
            square = dx * dx + dy * dy + dz * dz
            factor = np.maximum(-dz, single(0)) / (square * np.sqrt(square))
            (a, b, c), (d, e, f), (g, h, i) = lamps.axes[lamp].astype(single)
            u, v, w = a * dx + b * dy + c * dz, d * dx + e * dy + f * dz, g * dx + h * dy + i * dz
            around = np.arctan2(v, u)
            around = np.where(around < 0, around + single(2 * np.pi), around) * per_radian_a
            down = np.arctan2(np.sqrt(u * u + v * v), w) * per_radian_p
            column, row = np.minimum(around.astype(np.int32), 71), np.minimum(down.astype(np.int32), 179)
            around -= column
            down -= row
            table, at = tables[lamps.table[lamp]], column * 181 + row
            near = table.take(at) * (1 - down) + table.take(at + 1) * down
            far = table.take(at + 181) * (1 - down) + table.take(at + 182) * down
            light = (near + (far - near) * around) * factor
            lit = np.flatnonzero(light > 0)
            if len(lit):
                light[lit] *= ~expert_blocked(blockers, lamps.position_m[lamp], dx[lit], dy[lit], dz[lit])
            total[here] += light
    return total


def expert_blocked(blockers: Blockers, position: Floats, dx: object, dy: object, dz: object) -> NDArray[np.bool_]:
    hidden = np.zeros(len(dx), dtype=np.bool_)  # type: ignore[arg-type]
    for centre, half, axes in zip(blockers.centre_m, blockers.half_m, blockers.axes, strict=True):
        start = (axes @ (position - centre)).astype(np.float32)
        enter, leave = np.float32(0.0), np.float32(1.0)
        for axis in range(3):
            a, b, c = axes[axis].astype(np.float32)
            with np.errstate(divide="ignore", invalid="ignore"):
                slope = np.float32(1.0) / (a * dx + b * dy + c * dz)  # type: ignore[operator]
                middle, reach = -start[axis] * slope, np.float32(half[axis] - 1e-6) * np.abs(slope)
            enter, leave = np.maximum(enter, middle - reach), np.minimum(leave, middle + reach)
        hidden |= enter < leave
    return hidden


@compiled
def count(steps: int) -> float:
    x = 1.0
    for _ in range(steps):
        x = x * 1.0000001 + 1e-9
    return x


def gain_of_two_threads(steps: int = 10_000_000) -> float:
    """How much more two threads get done than one on this machine at this moment: 2 when nobody else works."""
    count(0)  # Compiles.
    alone = seconds(lambda: count(steps))
    pair = [Thread(target=count, args=(steps,)) for _ in range(2)]

    def both() -> None:
        for thread in pair:
            thread.start()
        for thread in pair:
            thread.join()

    return 2.0 * alone / seconds(both)


def seconds(task: Callable[[], object]) -> float:
    start = time.perf_counter()
    task()
    return time.perf_counter() - start


def tasks_of(lamps: Lamps, blockers: Blockers, points: Floats) -> dict[str, Callable[[], Floats]]:
    """Every way to the same sums; the tiles are made once, as they are for a map that stays while lamps change."""
    up, levels = np.array([0.0, 0.0, 1.0]), np.ones(len(lamps))
    tiles = tiled(points, up)
    return {
        "plain numpy, float64": lambda: plain_numpy(lamps, blockers, points).sum(axis=0),
        "expert numpy, float32": lambda: expert_numpy(lamps, blockers, points),
        "exact, 1 thread": lambda: illuminance(lamps, blockers, points, up, threads=1, precision="exact").sum(axis=0),
        "exact, 2 threads": lambda: illuminance(lamps, blockers, points, up, threads=2, precision="exact").sum(axis=0),
        "fast, all kept, 1 thread": lambda: by_lamp(lamps, blockers, tiles, threads=1).sum(axis=0),
        "fast, not culled, 1": lambda: summed(lamps, blockers, tiles, levels, threads=1, culling=False),
        "fast, not culled, 2": lambda: summed(lamps, blockers, tiles, levels, threads=2, culling=False),
        "fast, 1 thread": lambda: summed(lamps, blockers, tiles, levels, threads=1),
        "fast, 2 threads": lambda: summed(lamps, blockers, tiles, levels, threads=2),
    }


def run(name: str, case: tuple[Lamps, Blockers, Floats], rounds: int) -> None:
    lamps, blockers, points = case
    tasks = tasks_of(*case)
    answers = [task() for task in tasks.values()]  # The first run also compiles.
    assert all(np.isfinite(answer).all() for answer in answers)
    times: dict[str, list[float]] = {task: [] for task in tasks}
    gains = []
    for _ in range(rounds):
        gains.append(gain_of_two_threads())
        for task, call in tasks.items():
            times[task] += [seconds(call) for _ in range(1 if "numpy" in task else 5)]
    pairs = len(lamps) * len(points)
    middle = {task: median(runs) for task, runs in times.items()}
    print(f"{name}: {len(lamps)} lamps, {len(points)} points, {len(blockers)} boxes; lit {np.mean(answers[0] > 0):.0%}")
    print(f"medians of {rounds} alternating rounds; two counting threads gain {median(gains):.2f}")
    print(f"{'':26}{'ms':>9}{'best':>8}{'Mlp/s':>9}{'x plain':>9}{'x expert':>9}{'x exact':>9}   apart")
    for task, answer in zip(tasks, answers, strict=True):
        apart = int((np.abs(answer - answers[0]) > 1e-5 * answers[0].max()).sum())
        ratios = [middle[base] / middle[task] for base in ("plain numpy, float64", "expert numpy, float32")]
        exact = middle[f"exact, {2 if '2' in task.split(',')[-1] else 1} thread{'s' * ('2' in task.split(',')[-1])}"]
        print(
            f"{task:26}{middle[task] * 1e3:9.1f}{min(times[task]) * 1e3:8.1f}{pairs / middle[task] / 1e6:9.2f}"
            f"{ratios[0]:9.1f}{ratios[1]:9.1f}{exact / middle[task]:9.1f}{apart:8d}"
        )
    print("apart: points that differ from plain numpy by more than 1e-5 of the largest (edges of shadows)")
    print(f"two threads over one: {middle['fast, 1 thread'] / middle['fast, 2 threads']:.2f}; points made ready in "
          f"{seconds(lambda: tiled(points, (0.0, 0.0, 1.0))) * 1e3:.0f} ms\n")  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=5)
    rounds = parser.parse_args().rounds
    run("standard case", standard_case(), rounds)
    run("hard case", hard_case(), rounds)


if __name__ == "__main__":
    main()
