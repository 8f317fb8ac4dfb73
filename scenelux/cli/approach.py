"""`scenelux approach`: a driver comes along a lane: glare, from where on people are seen, curves and an animation."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scenelux.cli.options import (
    Json,
    NoAnimation,
    Quiet,
    SceneName,
    Units,
    Verbose,
    Video,
    announce,
    check_output,
    check_video,
    console,
    listed,
    print_file,
    progress_printer,
)

if TYPE_CHECKING:
    from scenelux.cli.verbose import Stopwatch

__all__ = ["approach"]

OUT = "Folder for the results; made when missing. Left out: out/SCENE-approach."


def approach(
    scene: SceneName,
    name: Annotated[str, typer.Option("--approach", metavar="ID", help="An approach of the scene; else all.")] = "",
    state: Annotated[str, typer.Option("--state", help="Duty state; else all that the approach names.")] = "",
    light: Annotated[str, typer.Option("--light", help="Light level; else all that the approach names.")] = "",
    variants: Annotated[str, typer.Option("--variants", help="Variants: flat,tilted. Else the base.")] = "",
    out: Annotated[Path | None, typer.Option("--out", help=OUT)] = None,
    no_animation: NoAnimation = False,
    video: Video = False,
    units: Units = "",
    quiet: Quiet = False,
    verbose: Verbose = False,
    json: Json = False,
) -> None:
    """Drive along the approaches of a scene: glare on the way, and from where on people stay seen.

    Holds every distance against the stopping sight distance; a negative margin is too late. Several variants stand
    side by side. Writes approach.json, approach.html, curves (PNG), tables (CSV), and an animation (WebP, with --video
    as MP4, too) that begins with a warning and never plays by itself; without --state and --light it shows the first
    state, by night.

    Example: scenelux approach causeway-truck --variants flat,tilted --state working --light night --out out/drive
    """
    from scenelux.cli.verbose import Stopwatch, check_verbose, tell

    check_verbose(verbose, quiet)
    watch = Stopwatch(progress_printer(quiet or json))
    check_video(video, no_animation)
    from scenelux.engine import Contributions
    from scenelux.reports.approach.write import INDEX, show, write
    from scenelux.scene.read import read_scene
    from scenelux.study.approach.frames import frames_of
    from scenelux.study.approach.run import Asked, drive

    document, store = read_scene(scene), Contributions()
    folder = out or Path("out") / f"{document.name}-approach"
    check_output(folder, units)
    names, steps = listed(variants, "--variants"), _counted(watch)
    study = drive(document, names, Asked(name, state, light), units=units or None, progress=steps, store=store)
    frames = [] if no_animation else frames_of(document, study, progress=steps)
    files = write(study, folder, frames, video=video, progress=watch)
    watch("")
    if verbose:
        tell(watch.steps, store.state())
    if json:
        print_file(folder / INDEX)
    elif not quiet:
        show(study, console())
    announce(files, quiet, json)


def _counted(watch: Stopwatch) -> Callable[[str], None]:
    """Steps that count up within one piece of work are shown, and timed together."""
    last = ""

    def step(words: str) -> None:
        nonlocal last
        work = words.split(" · ")[0]
        if work != last:
            watch(work)
            last = work
        watch.progress(words)

    return step
