"""Files of an approach study, all or none, and what it says at a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from scenelux.names import slug
from scenelux.reports.approach.document import approach_document
from scenelux.reports.approach.page import approach_page
from scenelux.reports.approach.rows import driver_line, opening_lines, short_tables, title_of
from scenelux.reports.approach.tables import approach_table_files
from scenelux.reports.html import Picture
from scenelux.reports.terminal import print_table
from scenelux.reports.write import place_files
from scenelux.study.results.approach import ApproachStudy
from scenelux.study.results.drive import DriveFrames

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["INDEX", "show", "write"]

INDEX = "approach.json"
DPI = 120.0

Progress = Callable[[str], None]


def write(
    study: ApproachStudy,
    out: Path,
    frames: Iterable[DriveFrames] = (),
    *,
    video: bool = False,
    progress: Progress = lambda step: None,
) -> list[Path]:
    """Writes approach.json, approach.html, sheets, tables and animations into a folder, all or none.

    Parameters
    ----------
    study : all approaches.
    out : the folder.
    frames : what drivers see, an animation each; computed as they are asked for.
    video : whether animations are written as MP4, too.
    progress : told in words what is being made.
    """
    return place_files(_files(study, frames, video, progress), out, INDEX, approach_document(study))


def _files(
    study: ApproachStudy, frames: Iterable[DriveFrames], video: bool, progress: Progress
) -> Iterator[tuple[str, bytes]]:
    from scenelux.pictures.drive.sheets import approach_study_sheets
    from scenelux.pictures.sheet import png_bytes

    yield from approach_table_files(study)
    pictures = []
    for name, sheet in approach_study_sheets(study):
        progress(name)
        pictures.append(Picture(name, png_bytes(sheet), str(sheet.get_label())))
        yield name, pictures[-1].png
    stills: dict[str, Picture] = {}
    for drive in frames:
        for name, content in _animated(study, drive, video, progress):
            if name.endswith(".png"):
                says = f"What the driver sees at the stopping sight distance, {drive.variant}, {drive.light}"
                stills[name.replace(".png", ".webp")] = Picture(name, content, says)
            yield name, content
    yield "approach.html", approach_page(study, pictures, stills, video=video).encode("utf-8")
    progress("results")


def _animated(study: ApproachStudy, drive: DriveFrames, video: bool, progress: Progress) -> Iterator[tuple[str, bytes]]:
    """An animation, its still, and the same as MP4."""
    from scenelux.pictures.drive.animation import animation_file, drive_pictures, still_picture
    from scenelux.pictures.png import png_file

    name = slug("drive", drive.approach_id, drive.variant, drive.state, drive.light)
    progress(f"{name}.webp")
    yield f"{name}.png", png_file(still_picture(study, drive), DPI)
    pictures = list(drive_pictures(study, drive))
    yield f"{name}.webp", animation_file(pictures)
    if video:
        from scenelux.pictures.drive.video import video_file

        progress(f"{name}.mp4")
        yield f"{name}.mp4", video_file(pictures)


def show(study: ApproachStudy, console: Console) -> None:
    """Prints from where on everybody stays seen, then glare beside conspicuity, then cautions.

    Parameters
    ----------
    study : all approaches.
    console : where.
    """
    from rich.text import Text

    def say(text: str, style: str = "") -> None:
        console.print(Text(text, style="" if console.no_color else style), soft_wrap=not console.is_terminal)

    for line in opening_lines(study):
        say(line, "bold")
    for variant in study.variants:
        for approach in variant.approaches:
            say("")
            say(title_of(study, variant.name, approach), "bold")
            say(driver_line(approach, study.about.units))
            for table in short_tables(study, approach):
                print_table(table, console)
    say("")
    say("Constants of the model of visibility are unconfirmed: it decides no verdict.")
    say("Parts, discomfort, notes, formulas and their sources: see approach.html and approach.json.")
    for caution in study.about.cautions:
        say(f"Caution: {caution}")
