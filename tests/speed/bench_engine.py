"""Speed of the engine beside plain numpy on one standard case, as ratios of alternating runs in one sitting.

    python tests/speed/bench_engine.py [--rounds 5]

Standard case: 24 lamps with tables of 72 x 181 intensities, 400 x 400 points on the ground, normals up, 12 boxes.
Absolute times belong to the machine and the moment; the ratios are what can be compared.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[2]))

from scenelux.engine import Blockers, Lamps, illuminance
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


def seconds(task: Callable[[], object]) -> float:
    start = time.perf_counter()
    task()
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=5)
    rounds = parser.parse_args().rounds
    lamps, blockers, points = standard_case()
    up = np.array([0.0, 0.0, 1.0])
    tasks: dict[str, Callable[[], Floats]] = {
        "plain numpy, float64": lambda: plain_numpy(lamps, blockers, points),
        "engine, 1 thread": lambda: illuminance(lamps, blockers, points, up, threads=1),
        "engine, 2 threads": lambda: illuminance(lamps, blockers, points, up, threads=2),
    }
    answers = [task() for task in tasks.values()]  # The first run also compiles.
    assert all(np.isfinite(answer).all() for answer in answers)
    apart = np.abs(answers[1] - answers[0]) > 1e-9 * answers[0].max()
    times: dict[str, list[float]] = {name: [] for name in tasks}
    for _ in range(rounds):
        for name, task in tasks.items():
            times[name].append(seconds(task))
    base = median(times["plain numpy, float64"])
    pairs = len(lamps) * len(points)
    print(f"{len(lamps)} lamps, {len(points)} points, {len(blockers)} boxes; medians of {rounds} alternating runs")
    print(f"{'':24}{'ms':>9}{'Mlp/s':>9}{'ratio':>8}   (Mlp/s: million lamps x points a second)")
    for name, runs in times.items():
        print(f"{name:24}{median(runs) * 1e3:9.0f}{pairs / median(runs) / 1e6:9.2f}{base / median(runs):8.1f}")
    print(f"lit {np.mean(answers[0] > 0):.0%}; lamp-points that differ by more than 1e-9 of the largest: {apart.sum()}")


if __name__ == "__main__":
    main()
