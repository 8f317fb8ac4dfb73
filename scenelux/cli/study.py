"""`scenelux study`: the main job, every state at every light level, with maps, verdicts and a report."""

from __future__ import annotations

from pathlib import Path

import typer

from scenelux.cli.options import JSON, OUT, QUIET, STRICT, UNITS, announce, console, exit_status, print_json, progress_printer

__all__ = ["study"]


def study(
    scene: str = typer.Argument(..., metavar="SCENE", help="A scene file, or the name of a shipped scene."),
    out: Path = OUT,
    variant: str = typer.Option("", "--variant", help="Judge this variant of the scene in place of the base."),
    units: str = UNITS,
    colours: str = typer.Option("inferno", "--colours", help="Colour map of the plans: inferno or cividis."),
    strict: bool = STRICT,
    quiet: bool = QUIET,
    json: bool = JSON,
) -> None:
    """Compute a scene: lux, glare and verdicts for every duty state at every light level.

    Writes summary.json, report.html, report.pdf, plans and curves (PNG) and grids (CSV, NPZ).
    Exit status 0 when no rule is missed, 3 when one is, 2 for input that cannot be used.

    Example: scenelux study causeway-truck --out out/causeway
    """
    from scenelux.reports import print_study, summary_document, write_study
    from scenelux.scene.read import read_scene
    from scenelux.study.simulate import simulate

    progress = progress_printer(quiet or json)
    document = read_scene(scene)
    result = simulate(document, [variant or document.base], units=units or None, progress=progress)
    files = write_study(result, out, colours=colours, progress=progress)
    progress("")
    if json:
        print_json(summary_document(result))
    elif not quiet:
        print_study(result, console())
    announce(files, quiet, json)
    raise typer.Exit(exit_status(result.variants[0], strict))
