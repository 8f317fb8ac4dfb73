"""What answers an interruption or an end from outside, and remembers it."""

from __future__ import annotations

import signal
from types import FrameType

__all__ = ["Ending", "end_if_told"]

_SIGNALS = (signal.SIGINT, signal.SIGTERM)


class Ending:
    """Leaves as an error does, so that half-written results are taken away and no process stays behind.

    The signal is kept: inside a callback of another library Python ignores the error, and nothing would end.
    """

    def __init__(self) -> None:
        self.told: int | None = None

    def __call__(self, number: int, _: FrameType | None) -> None:
        self.told = number
        self.end_if_told()

    def end_if_told(self) -> None:
        """Leaves once more, when a signal came."""
        if self.told is not None:
            raise SystemExit(128 + self.told)

    def answer(self) -> None:
        """Answers these signals from now on."""
        for number in _SIGNALS:
            signal.signal(number, self)


def end_if_told() -> None:
    """Leaves now, when a signal came earlier and the error it raised was lost."""
    answer = signal.getsignal(signal.SIGINT)
    if isinstance(answer, Ending):
        answer.end_if_told()
