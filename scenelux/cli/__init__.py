"""The command line: one command a file; each reads, calls and prints. Nothing heavy loads before it is needed."""

from __future__ import annotations

import sys
from itertools import pairwise

from scenelux.cli.ending import Ending
from scenelux.errors import InputError, UsageError

__all__ = ["main"]


def main() -> None:
    """Runs `scenelux`: exit status 0 fine, 2 bad usage or input, 3 a criterion is missed, 130 interrupted, 143 ended.

    Any other error is a fault of scenelux: it leaves a traceback and exit status 1, never a verdict's status.
    """
    ending = Ending()
    ending.answer()
    try:
        _refuse_empty(sys.argv[1:])
        from scenelux.cli.app import app

        app()
    except InputError as error:
        print(f"scenelux: {error}", file=sys.stderr)
        raise SystemExit(2) from None
    finally:
        ending.end_if_told()  # another library may have wrapped the error that a signal raised in one of its own


def _refuse_empty(words: list[str]) -> None:
    """An empty value comes from a shell variable that is not set; taken as left out it would choose by itself."""
    accepted = "give a value, or leave the option out"
    for before, word in pairwise(["", *words]):
        if not word.strip():
            key = before if before.startswith("-") else "an argument"
            raise UsageError("is empty", key=key, accepted=accepted)
        if word.startswith("--") and word.find("=") == len(word) - 1:
            raise UsageError("is empty", key=word[:-1], accepted=accepted)
