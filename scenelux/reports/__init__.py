"""What a study hands over: terminal, JSON, tables, one page, a PDF, and the sheets, all from the same rows."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scenelux.study.results import StudyResult

if TYPE_CHECKING:
    from rich.console import Console

__all__ = [
    "comparison_document",
    "print_comparison",
    "print_study",
    "summary_document",
    "write_comparison",
    "write_study",
]

Progress = Callable[[str], None]


def summary_document(result: StudyResult) -> dict[str, Any]:
    """The study as a JSON document: numbers with units in their names, null with a reason where not valid."""
    from scenelux.reports.summary import study_document

    return study_document(result)


def comparison_document(result: StudyResult, first: str | None = None, second: str | None = None) -> dict[str, Any]:
    """The comparison of two variants as a JSON document.

    Parameters
    ----------
    result : the study that holds both.
    first, second : names of the variants; without them the first two of the study.
    """
    from scenelux.reports.compare import difference_document

    return difference_document(result, first, second)


def write_study(
    result: StudyResult,
    out: Path,
    progress: Progress | None = None,
    *,
    colours: str = "inferno",
    every_light: bool = False,
    executor: Executor | None = None,
) -> list[Path]:
    """Writes every file of a study into a folder, all or none, and returns their paths.

    Parameters
    ----------
    result : the study.
    out : the folder; made when absent, its earlier results replaced only when everything is ready.
    progress : told in words what is being made.
    colours : "inferno" or "cividis".
    every_light : draw every light level of every state and every area, not only those that the rules judge most.
    executor : draws the PDF meanwhile, such as a ProcessPoolExecutor; without one it is drawn in turn.
    """
    from scenelux.reports.write import write_study_files

    return write_study_files(result, out, progress, colours, every_light, executor)


def write_comparison(
    result: StudyResult,
    out: Path,
    progress: Progress | None = None,
    *,
    first: str | None = None,
    second: str | None = None,
    colours: str = "inferno",
) -> list[Path]:
    """Writes every file of a comparison into a folder, all or none, and returns their paths.

    Parameters
    ----------
    result : the study that holds both variants.
    out : the folder; made when absent, its earlier results replaced only when everything is ready.
    progress : told in words what is being made.
    first, second : names of the variants; without them the first two of the study.
    colours : "inferno" or "cividis".
    """
    from scenelux.reports.compare import chosen_pair
    from scenelux.reports.write import write_comparison_files

    one, other = chosen_pair(result, first, second)
    return write_comparison_files(result, one, other, out, progress, colours)


def print_study(result: StudyResult, console: Console) -> None:
    """Prints a study for a reader at a terminal; its first line counts the verdicts."""
    from scenelux.reports.terminal import show_study

    show_study(result, console)


def print_comparison(
    result: StudyResult, console: Console, *, first: str | None = None, second: str | None = None
) -> None:
    """Prints what differs between two variants.

    Parameters
    ----------
    result : the study that holds both.
    console : where to print.
    first, second : names of the variants; without them the first two of the study.
    """
    from scenelux.reports.terminal import show_comparison

    show_comparison(result, console, first, second)
