"""Runs the command line in this process, as a shell would see it."""

from __future__ import annotations

import contextlib
import io
import signal
import sys
from dataclasses import dataclass
from unittest.mock import patch

from scenelux.cli import main


@dataclass(frozen=True)
class Ran:
    status: int
    out: str
    err: str


def run(*arguments: object) -> Ran:
    """Exit status, standard output and standard error of `scenelux ARGUMENTS`."""
    out, err = io.StringIO(), io.StringIO()
    status = 0
    words = ["scenelux", *(str(argument) for argument in arguments)]
    answers = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}
    with patch.object(sys, "argv", words), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main()
        except SystemExit as stop:
            status = int(stop.code or 0)
    for number, answer in answers.items():
        signal.signal(number, answer)
    return Ran(status, out.getvalue(), err.getvalue())
