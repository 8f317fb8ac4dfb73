"""The command line: one command a file; each reads, calls and prints. Nothing heavy loads before it is needed."""

from __future__ import annotations

import sys

from scenelux.cli.ending import Ending
from scenelux.errors import InputError

__all__ = ["main"]


def main() -> None:
    """Runs `scenelux`: exit status 0 fine, 2 bad usage or input, 3 a criterion is missed, 130 interrupted, 143 ended.

    Any other error is a fault of scenelux: it leaves a traceback and exit status 1, never a verdict's status.
    """
    ending = Ending()
    ending.answer()
    try:
        from scenelux.cli.app import app

        app()
    except InputError as error:
        print(f"scenelux: {error}", file=sys.stderr)
        raise SystemExit(2) from None
    finally:
        ending.end_if_told()  # another library may have wrapped the error that a signal raised in one of its own
