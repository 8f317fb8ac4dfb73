"""Options and habits that several commands share: output units, quiet, progress on stderr, the exit status."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from scenelux.study.results import VariantResult

__all__ = ["JSON", "OUT", "QUIET", "STRICT", "UNITS", "announce", "console", "exit_status", "print_json", "progress_printer"]

OUT = typer.Option(..., "--out", help="Folder for the results; made when missing.")
UNITS = typer.Option("", "--units", help="Units of the output: metric or us; the scene's own when not given.")
QUIET = typer.Option(False, "--quiet", "-q", help="Print nothing but errors.")
JSON = typer.Option(False, "--json", help="Print one JSON document on standard output and nothing else.")
STRICT = typer.Option(False, "--strict", help="Count a rule that is not assessed as missed (exit status 3).")


def progress_printer(quiet: bool) -> Callable[[str], None]:
    """Tells the step at work on one line of stderr; silent when quiet or when stderr is no terminal."""
    if quiet or not sys.stderr.isatty():
        return lambda step: None

    def show(step: str) -> None:
        sys.stderr.write(f"\r\x1b[K{step}" if step else "\r\x1b[K")
        sys.stderr.flush()

    return show


def console() -> Console:
    """Standard output as rich sees it: plain where it is no terminal or NO_COLOR is set."""
    from rich.console import Console

    return Console(highlight=False)


def print_json(document: object) -> None:
    """One JSON document on standard output."""
    from json import dumps

    typer.echo(dumps(document, indent=2, ensure_ascii=False, allow_nan=False))


def announce(files: Iterable[object], quiet: bool, json: bool) -> None:
    """Says what was written."""
    names = [str(file) for file in files]
    if not quiet and not json and names:
        typer.echo(f"{len(names)} files written, first of all {names[0]}")


def exit_status(variant: VariantResult, strict: bool) -> int:
    """0 when no rule is missed in this variant, else 3; strict counts a rule that is not assessed as missed."""
    wrong = {"misses", "not assessed"} if strict else {"misses"}
    return 3 if any(row.verdict in wrong for row in variant.verdicts) else 0
