"""One way to time: tasks in turns, so that a machine that slows down slows all of them, and medians of the runs."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from threading import Thread
from typing import Any

from scenelux.engine.cache import compiled

__all__ = ["PROCESS", "ROOT", "Timed", "alternating", "in_a_process", "seconds", "two_threads"]

Task = Callable[[], object]

ROOT = Path(__file__).resolve().parents[2]

SHORT_S = 0.1
"""A task that takes less is run several times a round, seven times at most."""

COUNT_1, COUNT_2 = "counting, 1 thread", "counting, 2 threads"
STEPS = 10_000_000


@dataclass(frozen=True)
class Timed:
    """Seconds on the clock and seconds of processors of every run of each task."""

    walls: dict[str, list[float]]
    works: dict[str, list[float]]

    def median(self, task: str) -> float:
        """Seconds on the clock, the middle of all runs."""
        return median(self.walls[task])

    def best(self, task: str) -> float:
        """Seconds on the clock, the least of all runs."""
        return min(self.walls[task])

    def least_work(self, task: str) -> float:
        """Seconds of processors, the least of all runs."""
        return min(self.works[task])

    def work(self, task: str) -> float:
        """Seconds of processors, the middle of all runs."""
        return median(self.works[task])

    def times(self, task: str, base: str) -> float:
        """How many times as fast as another a task is."""
        return self.median(base) / self.median(task)

    def effort(self, task: str, base: str) -> float:
        """The same by seconds of processors, which neighbours on the machine disturb less; for tasks on one thread."""
        return self.work(base) / self.work(task)


def seconds(task: Task) -> float:
    """Seconds on the clock that one run takes."""
    start = time.perf_counter()
    task()
    return time.perf_counter() - start


def alternating(tasks: Mapping[str, Task], rounds: int) -> Timed:
    """Run all tasks in turns, round after round; each must have run before, so that nothing is compiled here."""
    walls: dict[str, list[float]] = {name: [] for name in tasks}
    works: dict[str, list[float]] = {name: [] for name in tasks}
    for _ in range(rounds):
        for name, task in tasks.items():
            repeats = 1 if not walls[name] else max(1, min(7, round(SHORT_S / min(walls[name]))))
            for _ in range(repeats):
                work = time.process_time()
                walls[name].append(seconds(task))
                works[name].append(time.process_time() - work)
    return Timed(walls, works)


@compiled
def count(steps: int) -> float:
    x = 1.0
    for _ in range(steps):
        x = x * 1.0000001 + 1e-9
    return x


def two_threads(name: str, tasks: Mapping[str, Task], one: str, two: str, rounds: int) -> dict[str, float]:
    """How many times as fast two threads are as one, and that beside what two counting threads gain meanwhile.

    The second is what can be compared where a machine is shared; both are printed, of the middle and of the best runs.
    """
    count(0)  # Compiles.
    counting = {COUNT_1: lambda: count(STEPS), COUNT_2: _count_twice}
    timed = alternating({one: tasks[one], two: tasks[two]} | counting, rounds)
    gain, possible = timed.times(two, one), 2 * timed.times(COUNT_2, COUNT_1)
    print(
        f"two threads over one: {gain:.2f} (best runs {timed.best(one) / timed.best(two):.2f}); two threads that only "
        f"count get {possible:.2f} times as much done at the moment "
        f"(best runs {2 * timed.best(COUNT_1) / timed.best(COUNT_2):.2f})",
        flush=True,
    )  # fmt: skip
    return {f"{name} over one": gain, f"{name} over one, of what counting gains": gain / possible}


def _count_twice() -> None:
    pair = [Thread(target=count, args=(STEPS,)) for _ in range(2)]
    for thread in pair:
        thread.start()
    for thread in pair:
        thread.join()


PROCESS = """
import json, sys, time
from pathlib import Path

def status(key):
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(key)) * 1024

def most_from_now():
    Path("/proc/self/clear_refs").write_text("5")
    return status("VmRSS")
"""


def in_a_process(code: str, *arguments: object) -> dict[str, Any]:
    """What code prints as JSON, run in a process of its own after `PROCESS`: for memory, and for what is cold."""
    command = [sys.executable, "-c", PROCESS + code, *map(str, arguments)]
    done = subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True)
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer
