"""`scenelux view`: what a driver sees, in luminance, at one exposure for all variants and light levels."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scenelux.cli.options import (
    Colours,
    Json,
    Quiet,
    SceneName,
    Units,
    check_output,
    console,
    listed,
    print_json,
    progress_printer,
)

__all__ = ["view"]

OUT = "Folder for the results; made when missing. Left out: out/SCENE-view."
DISTANCE = 'From the eye to the vehicle along the road, such as "100 m"; a bare number is in the scene\'s units.'


def view(
    scene: SceneName,
    approach: Annotated[str, typer.Option("--approach", help="An approach of the scene; else its first.")] = "",
    eye: Annotated[str, typer.Option("--eye", help="An eye of the scene instead.")] = "",
    distance: Annotated[str, typer.Option("--distance", help=DISTANCE)] = "100 m",
    state: Annotated[str, typer.Option("--state", help="Duty state; else the scene's first.")] = "",
    light: Annotated[str, typer.Option("--light", help="Light levels: night,day. Else night.")] = "",
    age: Annotated[str, typer.Option("--age", help="Age of the eye in years; else the oldest of the approach.")] = "",
    variants: Annotated[str, typer.Option("--variants", help="Variants: flat,tilted. Else the base.")] = "",
    out: Annotated[Path | None, typer.Option("--out", help=OUT)] = None,
    units: Units = "",
    colours: Colours = "inferno",
    json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Draw what a driver sees: display image, luminance in false colour, people by visibility.

    All pictures of a run have one exposure. Writes sheets (PNG), luminance in cd/m2 (HDR) and view.json.
    Several variants and light levels stand on one sheet, up to six.

    Example: scenelux view causeway-truck --variants flat,tilted --light night,day --out out/view
    """
    from scenelux.errors import QuantityError
    from scenelux.reports import view as report
    from scenelux.scene.quantities import parse_quantity
    from scenelux.scene.read import read_scene
    from scenelux.study.view.view import view as compute

    document = read_scene(scene)
    folder = out or Path("out") / f"{document.name}-view"
    check_output(folder, units, colours)
    try:
        distance_m = parse_quantity(_number(distance), "length", document.units)
    except QuantityError as error:
        raise error.at(key="--distance") from None
    progress = progress_printer(quiet or json)
    result = compute(
        document,
        listed(variants, "--variants"),
        approach=approach,
        eye=eye,
        distance_m=distance_m,
        state=state,
        lights=listed(light, "--light"),
        age_years=_years(age),
        units=units or None,
        progress=progress,
    )
    files = report.write(result, folder, colours=colours, progress=progress)
    progress("")
    if json:
        print_json({**report.document(result), "files": [file.name for file in files]})
    elif not quiet:
        report.show(result, console())
        typer.echo(f"{len(files)} files written to {folder}; look at {folder / 'people.png'}")


def _years(text: str) -> float | None:
    """An age as written; none when nothing is."""
    from scenelux.errors import UsageError

    try:
        return float(text) if text.strip() else None
    except ValueError:
        accepted = "give a number of years, such as 50"
        raise UsageError("is not an age", key="--age", value=text, accepted=accepted) from None


def _number(text: str) -> str | float:
    """A bare number as a number, so that it counts in the scene's own units."""
    try:
        return float(text)
    except ValueError:
        return text.strip()
