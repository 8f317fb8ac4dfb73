"""Work shared out: all of it once, on several threads only when it is worth it, and failures come back."""

from __future__ import annotations

import threading

import pytest

from scenelux.engine.threads import SMALL_TASK, in_blocks, together


@pytest.mark.parametrize("threads", [None, 1, 2, 3, 7])
@pytest.mark.parametrize("count", [1, 5, 1000])
def test_blocks_make_up_the_whole(threads: int | None, count: int) -> None:
    done = [0] * count

    def fill(first: int, last: int) -> None:
        for place in range(first, last):
            done[place] += 1

    in_blocks(fill, count, SMALL_TASK, threads)
    assert done == [1] * count


def test_little_work_stays_on_the_thread_that_asks() -> None:
    names = []
    together(lambda: names.append(threading.get_ident()), SMALL_TASK - 1, 4)
    assert names == [threading.get_ident()]


def test_each_thread_is_called_once() -> None:
    meeting = threading.Barrier(3, timeout=10.0)  # passes only when three are there at the same time
    names = []

    def task() -> None:
        meeting.wait()
        names.append(threading.get_ident())

    together(task, SMALL_TASK, 3)
    assert len(set(names)) == 3


def test_a_failure_on_another_thread_is_raised_where_the_work_was_given_out() -> None:
    here = threading.get_ident()

    def task() -> None:
        if threading.get_ident() != here:
            raise ValueError("elsewhere")

    with pytest.raises(ValueError, match="elsewhere"):
        together(task, SMALL_TASK, 2)
