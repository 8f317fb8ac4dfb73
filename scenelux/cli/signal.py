"""`scenelux signal`: flashing lamps by direction over time, what they are worth, and what they must meet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from scenelux.cli.options import (
    Json,
    NoAnimation,
    Quiet,
    SceneName,
    Strict,
    Units,
    Video,
    announce,
    check_output,
    check_video,
    console,
    listed,
    print_file,
    progress_printer,
)

__all__ = ["signal"]

OUT = "Folder for the results; made when missing. Left out: out/SCENE-signal."


def signal(
    scene: SceneName,
    state: Annotated[str, typer.Option("--state", help="Duty state; else all in which a lamp flashes.")] = "",
    light: Annotated[str, typer.Option("--light", help="Light level; else all in which a lamp flashes.")] = "",
    variants: Annotated[str, typer.Option("--variants", help="Variants: flat,tilted. Else the base.")] = "",
    vehicle: Annotated[str, typer.Option("--vehicle", help="Vehicle in the middle; else the first.")] = "",
    distance: Annotated[str, typer.Option("--distance", help='Of eyes near by: "25 m", "80 ft".')] = "25 m",
    out: Annotated[Path | None, typer.Option("--out", help=OUT)] = None,
    no_animation: NoAnimation = False,
    video: Video = False,
    units: Units = "",
    strict: Strict = False,
    quiet: Quiet = False,
    json: Json = False,
) -> None:
    """Look at the flashing lamps of a scene from all sides: patterns, effective intensity, dark gaps, requirements.

    Directions go all around far away, at nine elevations, and eyes around the vehicle at four heights. Writes
    signal.json, signal.html, polar sheets and strip charts (PNG), tables (CSV), and an animation of each duty state at
    its dimmest (WebP, with --video as MP4, too): it is slowed to at most 3 flashes a second, begins with a warning and
    never plays by itself. Exit status 3 when a requirement that the scene applies is missed.

    Example: scenelux signal causeway-truck --state working --light night --out out/signal
    """
    from scenelux.reports.signal.write import INDEX, show_signals, write_signals
    from scenelux.scene.read import read_scene
    from scenelux.study.signal.run import SignalAsked, look_at_signals

    document = read_scene(scene)
    folder = out or Path("out") / f"{document.name}-signal"
    check_output(folder, units)
    check_video(video, no_animation)
    names, progress = listed(variants, "--variants"), progress_printer(quiet or json)
    asked = SignalAsked(state, light, vehicle, _metres(distance, document.units))
    study = look_at_signals(document, names, asked, units=units or None, progress=progress)
    files = write_signals(study, folder, animation=not no_animation, video=video, progress=progress)
    progress("")
    if json:
        print_file(folder / INDEX)
    elif not quiet:
        show_signals(study, console())
    announce(files, quiet, json)
    wrong = {"misses", "not assessed"} if strict else {"misses"}
    if any(row.verdict in wrong for variant in study.variants for row in variant.verdicts):
        raise typer.Exit(3)


def _metres(text: str, units: Literal["metric", "us"]) -> float:
    """A distance as written; a bare number counts in the scene's own units."""
    from scenelux.errors import QuantityError
    from scenelux.scene.quantities import parse_quantity

    try:
        bare: str | float = float(text)
    except ValueError:
        bare = text.strip()
    try:
        return parse_quantity(bare, "length", units)
    except QuantityError as error:
        raise error.at(key="--distance") from None
