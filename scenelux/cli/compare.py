"""`scenelux compare`: two variants of a scene, or two scenes, side by side on one scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from scenelux.cli.options import (
    Colours,
    Json,
    Out,
    Precise,
    Quiet,
    Strict,
    Units,
    Verbose,
    announce,
    check_output,
    console,
    exit_status,
    listed,
    new_store,
    print_file,
    progress_printer,
)

if TYPE_CHECKING:
    from scenelux.scene.model import SceneDocument

__all__ = ["compare"]


def compare(
    scenes: Annotated[list[str], typer.Argument(metavar="SCENE [SCENE]", help="One scene, or two scenes.")],
    out: Out,
    variants: Annotated[str, typer.Option("--variants", help="Two variants of one scene: flat,tilted.")] = "",
    units: Units = "",
    colours: Colours = "inferno",
    strict: Strict = False,
    quiet: Quiet = False,
    precision: Precise = "fast",
    verbose: Verbose = False,
    json: Json = False,
) -> None:
    """Put two variants side by side: maps on one scale, differences, glare curves, verdicts that flip.

    The exit status looks at the variant named last: 3 when it misses a rule.

    Example: scenelux compare causeway-truck --variants flat,tilted --out out/pair
    """
    from scenelux.cli.verbose import Stopwatch, check_verbose, tell

    check_verbose(verbose, quiet)
    check_output(out, units, colours)
    progress = progress_printer(quiet or json)
    watch = Stopwatch(progress)
    from scenelux.errors import UsageError
    from scenelux.reports import print_comparison, write_comparison
    from scenelux.scene.read import read_scene
    from scenelux.study.simulate import simulate, simulate_pair

    store = new_store(precision)
    names = listed(variants, "--variants")
    if len(scenes) == 1:
        scene = read_scene(scenes[0])
        _check_two(scene, names, variants)
        result = simulate(scene, names, units=units or None, progress=watch, store=store)
    elif len(scenes) == 2 and not names:
        pair = read_scene(scenes[0]), read_scene(scenes[1])
        result = simulate_pair(*pair, units=units or None, progress=watch, store=store)
    else:
        raise UsageError(
            "cannot be compared",
            value=" ".join([*scenes, variants]).strip(),
            accepted="name one scene with --variants A,B, or two scenes",
        )
    watch("files")
    files = write_comparison(result, out, colours=colours, progress=progress)
    watch("")
    if verbose:
        tell(watch.steps, store.state())
    if json:
        print_file(out / "comparison.json")
    elif not quiet:
        print_comparison(result, console())
    announce(files, quiet, json)
    raise typer.Exit(exit_status(result.variants[-1], strict))


def _check_two(scene: SceneDocument, names: list[str], written: str) -> None:
    """One scene is compared in two of its variants."""
    from scenelux.errors import UsageError

    known = [scene.base, *scene.variants]
    if len(names) != 2:
        accepted = f"give two of {', '.join(known)}" if len(known) > 1 else "this scene has none: name a second scene"
        raise UsageError("is not two variants", key="--variants", value=written, accepted=accepted)
