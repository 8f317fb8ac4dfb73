"""A second process that draws the PDF while this one computes and draws the pictures."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager

__all__ = ["second_process"]


@contextmanager
def second_process(cold: bool) -> Iterator[Executor | None]:
    """Starts it at once, so that it loads what drawing needs while a study is computed; None on a single processor.

    On a cold machine it first compiles half of the engine, while this process compiles the other.
    """
    import os
    from multiprocessing import active_children, get_context

    if (os.cpu_count() or 1) < 2:
        yield None
        return
    pool = ProcessPoolExecutor(1, mp_context=get_context("spawn"), initializer=_begin)
    try:
        with _signals_held():
            pool.submit(_load, cold)
        yield pool
    except BaseException:
        for child in active_children():  # nobody waits for its drawing any more
            child.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)  # waits: the interpreter may not end while the pool closes its pipes


@contextmanager
def _signals_held() -> Iterator[None]:
    """Lets signals wait while a process is started, which itself never hears an interruption: this one answers."""
    import signal

    told: list[int] = []
    answers = {number: signal.signal(number, lambda n, _: told.append(n)) for number in (signal.SIGINT, signal.SIGTERM)}
    masks = hasattr(signal, "pthread_sigmask")  # what is masked here stays masked in the new process
    if masks:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        if masks:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
        for number, answer in answers.items():
            signal.signal(number, answer)
        for held in told:
            signal.raise_signal(held)


def _begin() -> None:
    import signal
    from threading import Thread

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process answers an interruption
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Waits for the end of the first process, also when that was killed and could tell nobody."""
    import os
    from multiprocessing import parent_process

    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _load(cold: bool) -> None:
    from importlib import import_module

    if cold:
        import_module("scenelux.engine.warm").compile_exact_path()
    import_module("scenelux.reports.pdf")
