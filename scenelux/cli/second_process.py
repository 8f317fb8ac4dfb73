"""A second process that draws the PDF while this one computes and draws the pictures."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager

__all__ = ["second_process"]


@contextmanager
def second_process() -> Iterator[Executor | None]:
    """Starts it at once, so that it loads what drawing needs while a study is computed; None on a single processor."""
    import os
    from multiprocessing import get_context

    if (os.cpu_count() or 1) < 2:
        yield None
        return
    pool = ProcessPoolExecutor(1, mp_context=get_context("spawn"))
    pool.submit(_load)
    try:
        yield pool
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def _load() -> None:
    import signal
    from importlib import import_module

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process answers an interruption
    import_module("scenelux.reports.pdf")
