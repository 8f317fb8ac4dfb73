"""Files of switching, all or none, and what it says at a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from scenelux.reports.dusk.document import dusk_document
from scenelux.reports.dusk.page import YARD, dusk_page, yard_page
from scenelux.reports.dusk.rows import evening_table, load_table, property_table
from scenelux.reports.dusk.tables import dusk_table_files
from scenelux.reports.dusk.words import leading_lines
from scenelux.reports.html import Picture
from scenelux.reports.terminal import print_table
from scenelux.reports.write import place_files
from scenelux.study.results.dusk import DuskResult

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["INDEX", "show", "write"]

INDEX = "dusk.json"

Progress = Callable[[str], None]


def write(result: DuskResult, out: Path, *, progress: Progress = lambda step: None) -> list[Path]:
    """Writes dusk.json, dusk.html, the yard test, sheets and tables into a folder, all or none.

    Parameters
    ----------
    result : of the switching.
    out : the folder.
    progress : told in words what is being made.
    """
    return place_files(_files(result, progress), out, INDEX, dusk_document(result))


def _files(result: DuskResult, progress: Progress) -> Iterator[tuple[str, bytes]]:
    from scenelux.pictures.dusk.sheets import dusk_sheets
    from scenelux.pictures.sheet import png_bytes

    pictures = []
    for name, sheet in dusk_sheets(result):
        progress(name)
        pictures.append(Picture(name, png_bytes(sheet), str(sheet.get_label())))
    yield "dusk.html", dusk_page(result, pictures).encode("utf-8")
    yield YARD, yard_page(result).encode("utf-8")
    yield from ((picture.name, picture.png) for picture in pictures)
    yield from dusk_table_files(result)
    progress("results")


def show(result: DuskResult, console: Console) -> None:
    """Prints the counts, every broken property and fault, then properties, evenings and load.

    Parameters
    ----------
    result : of the switching.
    console : where.
    """
    from rich.text import Text

    def say(text: str, style: str = "") -> None:
        console.print(Text(text, style="" if console.no_color else style), soft_wrap=not console.is_terminal)

    first, *further = leading_lines(result)
    say(first, "bold")
    for line in further:
        say(line, "bold")
    say(f"{result.title}: {result.check.says}")
    for table in (property_table(result, short=True), evening_table(result), load_table(result, short=True)):
        if table.rows:
            print_table(table, console)
    say("")
    say(f"State matrix, levels over time and the yard test ({len(result.yard)} steps): see dusk.html and {YARD}.")
    for caution in result.about.cautions:
        say(f"Caution: {caution}")
