"""Files of a study of flashing lamps, all or none, and what it says at a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from scenelux.reports.html import Picture
from scenelux.reports.signal.document import signal_document
from scenelux.reports.signal.page import signal_page
from scenelux.reports.signal.rows import opening_lines, said_lines, short_tables
from scenelux.reports.signal.tables import signal_table_files
from scenelux.reports.terminal import print_table
from scenelux.reports.write import place_files
from scenelux.study.results.signal import SignalStudy

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["INDEX", "show_signals", "write_signals"]

INDEX = "signal.json"

Progress = Callable[[str], None]


def write_signals(
    study: SignalStudy,
    out: Path,
    *,
    animation: bool = True,
    video: bool = False,
    progress: Progress = lambda step: None,
) -> list[Path]:
    """Writes signal.json, signal.html, sheets, tables and animations into a folder, all or none.

    Parameters
    ----------
    study : all variants.
    out : the folder.
    animation, video : whether there are animations, and the same as MP4.
    progress : told in words what is being made.
    """
    return place_files(_files(study, animation, video, progress), out, INDEX, signal_document(study))


def _files(study: SignalStudy, animation: bool, video: bool, progress: Progress) -> Iterator[tuple[str, bytes]]:
    from scenelux.pictures.signal import signal_pictures

    yield from signal_table_files(study)
    sheets: list[Picture] = []
    stills: dict[str, Picture] = {}
    for one in signal_pictures(study, animation=animation, video=video, progress=progress):
        shown = Picture(one.name, one.content, one.says)
        if one.opens:
            stills[one.opens] = shown
        elif one.name.endswith(".png"):
            sheets.append(shown)
        yield one.name, one.content
    progress("page")
    yield "signal.html", signal_page(study, sheets, stills, video=video).encode("utf-8")
    progress("results")


def show_signals(study: SignalStudy, console: Console) -> None:
    """Prints what is met and missed, what each side sees, sentences, then cautions.

    Parameters
    ----------
    study : all variants.
    console : where.
    """
    from rich.text import Text

    def say(text: str, style: str = "") -> None:
        console.print(Text(text, style="" if console.no_color else style), soft_wrap=not console.is_terminal)

    for line in opening_lines(study):
        say(line, "bold")
    for variant in study.variants:
        say("")
        say(f"{variant.name}: {variant.say}", "bold")
        for table in short_tables(study, variant):
            print_table(table, console)
        for line in said_lines(study, variant):
            say(line)
    say("")
    say("Zones, patterns, colours, notes, formulas and their sources: see signal.html and signal.json.")
    for caution in study.about.cautions:
        say(f"Caution: {caution}")
