"""The command line: one command a file; each reads, calls and prints. Nothing heavy loads before it is needed."""

from __future__ import annotations

import sys

__all__ = ["main"]


def main() -> None:
    """Runs `scenelux`: exit status 0 fine, 2 bad usage or input, 3 a criterion is missed, 130 interrupted.

    Any other error is a fault of scenelux: it leaves a traceback and exit status 1, never a verdict's status.
    """
    from scenelux.cli.app import app
    from scenelux.errors import InputError

    try:
        app()
    except InputError as error:
        print(f"scenelux: {error}", file=sys.stderr)
        raise SystemExit(2) from None
    except KeyboardInterrupt:
        print("scenelux: interrupted; nothing was written", file=sys.stderr)
        raise SystemExit(130) from None
