"""`scenelux dusk`: switching of a scene: properties over all inputs, levels over an evening, state matrix, load."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scenelux.cli.options import (
    Json,
    Quiet,
    SceneName,
    Units,
    Verbose,
    announce,
    check_output,
    console,
    print_file,
    progress_printer,
)

__all__ = ["dusk"]

OUT = "Folder for the results; made when missing. Left out: out/SCENE-dusk."
STRICT = "Count faults of the rules, flutters and properties that are not decided as broken, too (exit status 3)."
SWITCHING = "A switching document instead of the one that the scene names: a file, or the name of a shipped one."


def dusk(
    scene: SceneName,
    switching: Annotated[str, typer.Option("--switching", metavar="FILE", help=SWITCHING)] = "",
    out: Annotated[Path | None, typer.Option("--out", help=OUT)] = None,
    units: Units = "",
    strict: Annotated[bool, typer.Option("--strict", help=STRICT)] = False,
    quiet: Quiet = False,
    verbose: Verbose = False,
    json: Json = False,
) -> None:
    """Check the switching of a scene over all inputs, and run it through an evening.

    Properties that the rules break are told as a short story of inputs. Then levels over the evening with every
    disturbance, flutters, the state matrix (lux, veil and amps in every state), the load of the supply, and a test for
    the yard to tick off. Writes dusk.json, dusk.html, yard.html, charts (PNG) and tables (CSV).
    Exit status 0 when all properties hold, 3 when one is broken, 2 for input that cannot be used.

    Example: scenelux dusk causeway-truck --switching causeway-truck-fluttering --out out/dusk
    """
    from scenelux.cli.verbose import Stopwatch, check_verbose, tell

    check_verbose(verbose, quiet)
    watch = Stopwatch(progress_printer(quiet or json))
    from scenelux.engine import Contributions
    from scenelux.reports.dusk.write import INDEX, show, write
    from scenelux.scene.read import read_scene
    from scenelux.scene.switching_read import switching_of
    from scenelux.study.dusk.run import dusk as run

    document = read_scene(scene)
    rules, store = switching_of(document, switching or None), Contributions()
    folder = out or Path("out") / f"{document.name}-dusk"
    check_output(folder, units)
    result = run(document, rules, units=units or None, progress=watch, store=store)
    files = write(result, folder, progress=watch)
    watch("")
    if verbose:
        tell(watch.steps, store.state())
    if json:
        print_file(folder / INDEX)
    elif not quiet:
        show(result, console())
    announce(files, quiet, json)
    raise typer.Exit(3 if result.broken or (strict and not result.clean) else 0)
