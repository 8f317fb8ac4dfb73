"""What --verbose tells on standard error: how long each step took, and what the store of lamps' light did."""

from __future__ import annotations

import sys
from collections.abc import Callable
from time import perf_counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scenelux.engine import StoreState

__all__ = ["Stopwatch", "check_verbose", "tell"]


def check_verbose(verbose: bool, quiet: bool) -> None:
    """Refuses two options that contradict each other."""
    from scenelux.errors import UsageError

    if verbose and quiet:
        raise UsageError("cannot be used together with --quiet", key="--verbose")


class Stopwatch:
    """Passes on the step at work, and keeps how long each took; an empty step is the end of the last."""

    def __init__(self, progress: Callable[[str], None] = lambda step: None) -> None:
        self.progress = progress
        self.steps: list[tuple[str, float]] = []
        self._step, self._since = "reading", perf_counter()

    def __call__(self, step: str) -> None:
        now = perf_counter()
        if self._step:
            self.steps.append((self._step, now - self._since))
        self._step, self._since = step, now
        self.progress(step)


def tell(steps: list[tuple[str, float]], state: StoreState) -> None:
    """Prints the steps and the state of the store on standard error."""
    lines = [f"{seconds:8.2f} s  {step}" for step, seconds in steps]
    lines.append(
        f"store: {state.entries} entries, {state.size_bytes / 1e6:.1f} of {state.limit_bytes / 1e6:.0f} MB, "
        f"{state.hits} hits, {state.misses} misses, {state.evictions} evicted, {state.refused} too large"
    )
    sys.stderr.write("\n".join(lines) + "\n")
