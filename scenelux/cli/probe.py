"""`scenelux probe`: lux at points, lamp by lamp."""

from __future__ import annotations

from typing import Annotated

import typer

from scenelux.cli.options import Json, Precise, SceneName, Units, Verbose, console, new_store, print_json

__all__ = ["probe"]

FACING = (
    "Plane: up, down, forward, rear, left, right, a vector such as 0,-1,1, cylindrical, "
    "semi-cylindrical (or semi-cylindrical:rear), hemispherical."
)


def probe(
    scene: SceneName,
    at: Annotated[list[str], typer.Option("--at", help="Point ALONG,LEFT,UP of the site frame; may be repeated.")],
    facing: Annotated[str, typer.Option("--facing", help=FACING)] = "up",
    state: Annotated[str, typer.Option("--state", help="Duty state; else the scene's first.")] = "",
    light: Annotated[str, typer.Option("--light", help="Light level; else night, or the scene's first.")] = "",
    variant: Annotated[str, typer.Option("--variant", help="Variant; else the base.")] = "",
    initial: Annotated[bool, typer.Option("--initial", help="Without the lamps' light loss factors.")] = False,
    units: Units = "",
    precision: Precise = "fast",
    verbose: Verbose = False,
    json: Json = False,
) -> None:
    """Compute the illuminance at points, lamp by lamp.

    Light is maintained (with each lamp's light loss factor) unless --initial is given.
    A bare number in --at is in the scene's own units; --json is always in metres and lux.

    Example: scenelux probe causeway-truck --at "-6 ft,0,0" --facing up --light night --json
    """
    from scenelux.cli.verbose import Stopwatch, tell

    watch = Stopwatch()
    from scenelux.reports import probe as report
    from scenelux.scene.read import read_scene
    from scenelux.study.probe import probe as compute

    document, store = read_scene(scene), new_store(precision)
    watch("points")
    result = compute(
        document, at, facing, state, light, variant=variant, initial=initial, units=units or None, store=store
    )
    watch("")
    if verbose:
        tell(watch.steps, store.state())
    if json:
        print_json(report.document(result))
    else:
        report.show(result, console())
