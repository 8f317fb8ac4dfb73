"""Options and habits that several commands share: output units, quiet, progress on stderr, the exit status."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scenelux.cli.ending import end_if_told

if TYPE_CHECKING:
    from rich.console import Console

    from scenelux.engine import Contributions
    from scenelux.study.results import VariantResult

__all__ = [
    "Colours",
    "Json",
    "NoAnimation",
    "Out",
    "Precise",
    "Quiet",
    "SceneName",
    "Strict",
    "Units",
    "Verbose",
    "Video",
    "announce",
    "check_output",
    "check_video",
    "console",
    "exit_status",
    "listed",
    "new_store",
    "print_file",
    "print_json",
    "progress_printer",
]

SceneName = Annotated[str, typer.Argument(metavar="SCENE", help="A scene file, or the name of a shipped scene.")]
Out = Annotated[Path, typer.Option("--out", help="Folder for the results; made when missing.")]
Units = Annotated[str, typer.Option("--units", help="Units of the output, metric or us; else the scene's own.")]
Colours = Annotated[str, typer.Option("--colours", help="Colours of the plans: inferno or cividis.")]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON document on standard output and nothing else.")]
Precise = Annotated[str, typer.Option("--precision", help="fast, or exact: double precision point by point, slower.")]
Verbose = Annotated[bool, typer.Option("--verbose", help="Tell on standard error what took how long.")]
Strict = Annotated[bool, typer.Option("--strict", help="Count a rule that is not assessed as missed (exit status 3).")]
NoAnimation = Annotated[bool, typer.Option("--no-animation", help="Leave the animation out.")]
Video = Annotated[bool, typer.Option("--video", help='The animation as MP4, too; needs the extra "video".')]


def progress_printer(quiet: bool) -> Callable[[str], None]:
    """Tells the step at work on one line of stderr; silent when quiet or when stderr is no terminal.

    Between two steps an interruption that was lost in a callback of another library is answered.
    """
    if quiet or not sys.stderr.isatty():
        return lambda step: end_if_told()

    def show(step: str) -> None:
        end_if_told()
        sys.stderr.write(f"\r\x1b[K{step}" if step else "\r\x1b[K")
        sys.stderr.flush()

    return show


def new_store(precision: str) -> Contributions:
    """An empty store of what single lamps give, computed in the precision asked for."""
    from scenelux.errors import UsageError

    if precision not in ("fast", "exact"):
        raise UsageError("is not a precision", key="--precision", value=precision, accepted="give fast or exact")
    from scenelux.engine import Contributions

    return Contributions(precision="exact" if precision == "exact" else "fast")


def check_output(out: Path, units: str, colours: str = "inferno") -> None:
    """Refuses an output that could not be written or drawn, before anything is computed.

    Parameters
    ----------
    out : the folder, which may not be there yet.
    units, colours : as written.
    """
    from scenelux.errors import UsageError

    if units not in ("", "metric", "us"):
        raise UsageError("is not a system of units", key="--units", value=units, accepted="give metric or us")
    if colours not in ("inferno", "cividis"):
        raise UsageError("is not a colour map", key="--colours", value=colours, accepted="give inferno or cividis")
    there = next(path for path in (out.absolute(), *out.absolute().parents) if path.exists())
    if not there.is_dir():
        inside = "is a file" if there == out.absolute() else f"lies in {there.name}, which is a file"
        raise UsageError(inside, key="--out", value=str(out), accepted="give a folder")


def check_video(video: bool, no_animation: bool) -> None:
    """Tells what is in the way of a video before anything is computed.

    Parameters
    ----------
    video, no_animation : whether they are asked for.
    """
    if not video:
        return
    from scenelux.errors import UsageError
    from scenelux.pictures.drive.video import check_video as check_library

    if no_animation:
        raise UsageError("are asked for together", key="--video and --no-animation", accepted="give one of them")
    check_library()


def listed(text: str, key: str) -> list[str]:
    """Names with commas between them; none when nothing is written.

    Parameters
    ----------
    text : as written.
    key : the option.

    Example
    -------
    >>> listed("flat, tilted", "--variants"), listed("", "--light")
    (['flat', 'tilted'], [])
    """
    from scenelux.errors import UsageError

    names = [name.strip() for name in text.split(",")] if text.strip() else []
    for number, name in enumerate(names):
        if not name:
            raise UsageError("has a comma without a name", key=key, value=text, accepted="give names such as A,B")
        if name in names[:number]:
            raise UsageError(f'names "{name}" twice', key=key, value=text, accepted="give each name once")
    return names


def console() -> Console:
    """Standard output as rich sees it: plain where it is no terminal or NO_COLOR is set."""
    from rich.console import Console

    return Console(highlight=False)


def print_json(document: object) -> None:
    """One JSON document on standard output."""
    from json import dumps

    typer.echo(dumps(document, indent=2, ensure_ascii=False, allow_nan=False))


def print_file(file: Path) -> None:
    """A JSON document that was just written, on standard output."""
    typer.echo(file.read_text(encoding="utf-8"), nl=False)


def announce(files: Iterable[Path], quiet: bool, json: bool) -> None:
    """Says what was written, the report first."""
    names = list(files)
    report = next((file for file in names if file.suffix == ".html"), None)
    if report is not None and not quiet and not json:
        typer.echo(f"{len(names)} files written to {report.parent}; open {report}")


def exit_status(variant: VariantResult, strict: bool) -> int:
    """0 when no rule is missed in this variant, else 3; strict counts a rule that is not assessed as missed."""
    wrong = {"misses", "not assessed"} if strict else {"misses"}
    return 3 if any(row.verdict in wrong for row in variant.verdicts) else 0
