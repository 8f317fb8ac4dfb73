"""Work shared out among threads: whole blocks, so that results do not depend on how many there are."""

from __future__ import annotations

import os
from _thread import LockType, allocate_lock, start_new_thread
from collections.abc import Callable
from itertools import pairwise
from queue import Empty, SimpleQueue

import numpy as np

__all__ = ["in_blocks", "together"]

SMALL_TASK = 20_000
"""Below so many lamps times points, threads cost more than they bring."""

BLOCKS_PER_THREAD = 8


def in_blocks(fill: Callable[[int, int], None], count: int, work: int, threads: int | None) -> None:
    """Call fill(first, last) for blocks that make up 0..count, on several threads when the work is worth it."""
    workers = _workers(work, threads)
    if workers < 2:
        fill(0, count)
        return
    edges = np.linspace(0, count, min(count, BLOCKS_PER_THREAD * workers) + 1).astype(int).tolist()
    fill(0, 0)  # Compiles, or loads the machine code, before the threads start.
    waiting: SimpleQueue[tuple[int, int]] = SimpleQueue()
    for block in pairwise(edges):
        waiting.put(block)
    together(lambda: _work_off(fill, waiting), work, workers)


def together(task: Callable[[], None], work: int, threads: int | None) -> None:
    """Call a task once on every thread, if the work is worth several; each call takes what is left to do in turns.

    Threads are started the plain way: waiting until each reports that it runs would cost as much as a tenth of a map.
    """
    failures: list[BaseException] = []
    running = [allocate_lock() for _ in range(_workers(work, threads) - 1)]
    for lock in running:
        lock.acquire()
        start_new_thread(_call, (task, lock, failures))
    task()
    for lock in running:
        lock.acquire()
    if failures:
        raise failures[0]


def _call(task: Callable[[], None], lock: LockType, failures: list[BaseException]) -> None:
    try:
        task()
    except BaseException as failure:  # Whatever it is, it is raised again where the task was given out.
        failures.append(failure)
    finally:
        lock.release()


def _workers(work: int, threads: int | None) -> int:
    if work < SMALL_TASK:
        return 1
    return (os.cpu_count() or 1) if threads is None else threads


def _work_off(fill: Callable[[int, int], None], waiting: SimpleQueue[tuple[int, int]]) -> None:
    while True:
        try:
            first, last = waiting.get_nowait()
        except Empty:
            return
        fill(first, last)
