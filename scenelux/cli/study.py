"""`scenelux study`: the main job, every state at every light level, with maps, verdicts and a report."""

from __future__ import annotations

from typing import Annotated

import typer

from scenelux.cli.options import (
    Colours,
    Json,
    Out,
    Precise,
    Quiet,
    SceneName,
    Strict,
    Units,
    Verbose,
    announce,
    check_output,
    console,
    exit_status,
    new_store,
    print_file,
    progress_printer,
)
from scenelux.cli.second_process import second_process

__all__ = ["study"]


def study(
    scene: SceneName,
    out: Out,
    variant: Annotated[str, typer.Option("--variant", help="Compute this variant; else the base.")] = "",
    units: Units = "",
    colours: Colours = "inferno",
    every_light: Annotated[bool, typer.Option("--every-light", help="Draw every state at every light level.")] = False,
    strict: Strict = False,
    quiet: Quiet = False,
    precision: Precise = "fast",
    verbose: Verbose = False,
    json: Json = False,
) -> None:
    """Compute a scene: lux, glare and verdicts for every duty state at every light level.

    Writes summary.json, report.html, report.pdf, plans and curves (PNG) and grids (CSV, NPZ).
    Exit status 0 when no rule is missed, 3 when one is, 2 for input that cannot be used.

    Example: scenelux study causeway-truck --out out/causeway
    """
    from scenelux.cli.verbose import Stopwatch, check_verbose, tell

    check_verbose(verbose, quiet)
    check_output(out, units, colours)
    progress = progress_printer(quiet or json)
    watch = Stopwatch(progress)
    from scenelux.engine.warm import compile_fast_path, is_cold
    from scenelux.reports import print_study, write_study
    from scenelux.scene.read import read_scene
    from scenelux.study.simulate import simulate

    document, store, cold = read_scene(scene), new_store(precision), is_cold()
    with second_process(cold) as other:
        if cold and other:
            watch("compiling, once on this machine")
            compile_fast_path()
        result = simulate(document, [variant or document.base], units=units or None, progress=watch, store=store)
        watch("files")
        files = write_study(result, out, colours=colours, every_light=every_light, progress=progress, executor=other)
    watch("")
    if verbose:
        tell(watch.steps, store.state())
    if json:
        print_file(out / "summary.json")
    elif not quiet:
        print_study(result, console())
    announce(files, quiet, json)
    raise typer.Exit(exit_status(result.variants[0], strict))
