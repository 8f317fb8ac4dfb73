"""`scenelux probe`: lux at points, lamp by lamp."""

from __future__ import annotations

import typer

from scenelux.cli.options import JSON, console, print_json

__all__ = ["probe"]


def probe(
    scene: str = typer.Argument(..., metavar="SCENE", help="A scene file, or the name of a shipped scene."),
    at: list[str] = typer.Option(..., "--at", help="Point ALONG,LEFT,UP in the site frame; may be repeated."),
    facing: str = typer.Option(
        "up",
        "--facing",
        help="Plane: up, down, forward, rear, left, right, a vector such as 0,-1,1, "
        "cylindrical, semi-cylindrical (or semi-cylindrical:rear), hemispherical.",
    ),
    state: str = typer.Option("", "--state", help="Duty state; the scene's first when not given."),
    light: str = typer.Option("", "--light", help="Light level; night when the scene has it, else its first."),
    variant: str = typer.Option("", "--variant", help="Variant; the base when not given."),
    initial: bool = typer.Option(False, "--initial", help="Without the light loss factors of the lamps."),
    json: bool = JSON,
) -> None:
    """Compute the illuminance at points, lamp by lamp.

    Light is maintained (with each lamp's light loss factor) unless --initial is given.

    Example: scenelux probe causeway-truck --at "-6 ft,0,0" --facing up --light night --json
    """
    from scenelux.reports import probe as report
    from scenelux.scene.read import read_scene
    from scenelux.study.probe import probe as compute

    result = compute(read_scene(scene), at, facing, state, light, variant=variant, initial=initial)
    if json:
        print_json(report.document(result))
    else:
        report.show(result, console())
