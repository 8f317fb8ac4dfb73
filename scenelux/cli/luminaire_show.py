"""`scenelux luminaire show`: what a luminaire sends where, or all luminaires of a folder in one table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scenelux.cli.luminaire_look import look_at
from scenelux.cli.options import Json, console, print_json

if TYPE_CHECKING:
    from scenelux.photometry import Summary
    from scenelux.pictures.luminaire_facts import Identity
    from scenelux.pictures.sheet import Sheet

__all__ = ["show"]

FILE = "A photometric file, a card (.toml), the name of a shipped luminaire, or a folder."
AT = "Print the intensity at C,gamma of the mounted lamp, or at a test point such as 5D-20R; may be repeated."
TILT = "Tilt of the beam, negative = down, for the light ahead and upwards and the picture."


def show(
    file: Annotated[str, typer.Argument(metavar="FILE", help=FILE)],
    at: Annotated[list[str] | None, typer.Option("--at", help=AT)] = None,
    tilt: Annotated[str, typer.Option("--tilt", help=TILT)] = "0 deg",
    picture: Annotated[Path | None, typer.Option("--picture", help="Draw its diagrams to a PNG file.")] = None,
    json: Json = False,
) -> None:
    """Show what a luminaire sends where: flux, peak, beam and field angles, opening, colour, warnings.

    Files of LM-63, EULUMDAT and TM-33 and tables of H-V test points are told by their content. Of a folder, every
    luminaire in one table. C and gamma are those of the lamp as it hangs: gamma 0 is the beam axis; seen along it C 0
    is right and C 90 up.

    Example: scenelux luminaire show tail-flood-round --at 0,0 --at 90,30 --tilt "-35 deg"
    """
    from os.path import isdir

    tilt_deg = _angle_deg(tilt)
    _check_picture(picture)
    if isdir(file):  # unlike Path.is_dir never an error, as for too long a name
        _show_folder(Path(file), tilt_deg, bool(at) or picture is not None, json)
        return
    identity, summary = look_at(file, Path.cwd(), tilt_deg)
    intensities = [_intensity(summary, text) for text in at or []]
    written = _draw(identity, summary, picture) if picture is not None else []
    if json:
        from scenelux.reports.luminaire import luminaire_document

        print_json(luminaire_document(identity, summary, intensities))
        return
    _print(identity, summary, intensities)
    for path in written:
        typer.echo(f"{path} written")


def _check_picture(path: Path | None) -> None:
    """A picture never takes the place of a file that is none."""
    from os.path import isfile

    from scenelux.errors import UsageError

    if path is None:
        return
    if path.suffix.lower() != ".png":
        raise UsageError("does not end in .png", key="--picture", value=str(path), accepted="name a PNG file")
    if isfile(path):
        with path.open("rb") as file:
            if file.read(4) != b"\x89PNG":
                raise UsageError(
                    "is there and is no picture", key="--picture", value=str(path), accepted="give another"
                )


def _angle_deg(text: str) -> float:
    """Degrees, with the unit or bare."""
    from scenelux.errors import UsageError
    from scenelux.scene.quantities import parse_quantity

    try:
        tilt = parse_quantity(float(text), "angle")
    except ValueError:
        tilt = parse_quantity(text, "angle")
    if not -90.0 <= tilt <= 90.0:
        accepted = "give -90 deg (straight down) to 90 deg"
        raise UsageError("is no tilt", key="--tilt", value=text, accepted=accepted)
    return tilt


def _show_folder(folder: Path, tilt_deg: float, has_other_options: bool, json: bool) -> None:
    """A row for every luminaire; what cannot be read is told after the others, with exit status 2."""
    from scenelux.errors import InputError, UsageError
    from scenelux.reports.luminaire import luminaire_document, luminaire_table
    from scenelux.reports.terminal import print_table
    from scenelux.scene.catalogue import luminaires_in

    if has_other_options:
        accepted = "leave --at and --picture out, or name one luminaire"
        raise UsageError("is a folder", value=str(folder), accepted=accepted)
    found, wrong = [], []
    for name in luminaires_in(folder):
        try:
            found.append(look_at(name, folder, tilt_deg))
        except InputError as error:
            wrong.append(str(error))
    if not found and not wrong:
        accepted = "name a folder with photometric files or luminaire cards"
        raise UsageError("holds no luminaire", value=str(folder), accepted=accepted)
    if json:
        rows = [luminaire_document(identity, summary, []) for identity, summary in found]
        print_json({"folder": folder.as_posix(), "luminaires": rows, "not_read": wrong})
    else:
        print_table(luminaire_table(found, folder.as_posix()), console())
    for sentence in wrong:
        typer.echo(sentence, err=True)
    if wrong:
        raise typer.Exit(2)


def _intensity(summary: Summary, text: str) -> dict[str, Any]:
    """A row of intensity: where, in the angles of the vehicle and of the data, and how much."""
    from scenelux.photometry import candela_in_vehicle_convention, own_angles
    from scenelux.photometry.coverage import not_known
    from scenelux.reports.luminaire import known_candela

    c, gamma = _direction(summary, text)
    candela = candela_in_vehicle_convention(summary.distribution, summary.orientation, c, gamma)
    h, v = own_angles(summary.distribution, summary.orientation, c, gamma)
    own = {"H_deg": round(float(h), 9) + 0.0, "V_deg": round(float(v), 9) + 0.0}
    kept = own if summary.distribution.photometric_type != "C" else {}
    unknown = bool(not_known(summary.distribution, summary.orientation, c, gamma))
    return {"C_deg": c, "gamma_deg": gamma, **kept, **known_candela(None if unknown else float(candela))}


def _at_point(summary: Summary, h_deg: float, v_deg: float) -> tuple[float, float]:
    """C and gamma of a test point: in the data's own H and V, or for type C data as a lamp of a vehicle is turned.

    That is type A about the beam axis, H to the right and V up as seen along it.
    """
    from scenelux.photometry import IntensityDistribution, default_orientation, vehicle_angles

    if summary.distribution.photometric_type != "C":
        found = vehicle_angles(summary.distribution, summary.orientation, h_deg, v_deg)
    else:
        front = IntensityDistribution("A", [-90, 90], [-90, 90], [[0, 0], [0, 0]])  # type: ignore[arg-type]
        found = vehicle_angles(front, default_orientation("A"), h_deg, v_deg)
    return float(found[0]), round(float(found[1]), 9)


def _direction(summary: Summary, text: str) -> tuple[float, float]:
    """C and gamma of the mounted lamp, from these or from a test point of the data."""
    from math import isfinite

    from scenelux.errors import UsageError
    from scenelux.photometry import point_of

    try:
        c, gamma = (float(part) for part in text.split(","))
    except ValueError:
        if (point := point_of(text)) is not None:
            return _at_point(summary, *point)
        c = gamma = float("nan")
    if not (isfinite(c) and isfinite(gamma)):
        accepted = "give C,gamma in degrees, such as 90,30, or a test point, such as 5D-20R"
        raise UsageError("is not a pair of angles", key="--at", value=text, accepted=accepted)
    if not 0.0 <= gamma <= 180.0:
        accepted = "gamma runs from 0 deg (along the beam axis) to 180 deg, and C all around"
        raise UsageError("has a gamma that is out of range", key="--at", value=text, accepted=accepted)
    return c, gamma


def _print(identity: Identity, summary: Summary, intensities: list[dict[str, Any]]) -> None:
    from scenelux.pictures.luminaire_facts import fact_rows

    for name, text in fact_rows(identity, summary):
        typer.echo(f"{name:13} {text}")
    for one in intensities:
        own = f", H {one['H_deg']:.4g}, V {one['V_deg']:.4g}" if "H_deg" in one else ""
        reason = f": {one['reason']}" if "reason" in one else ""
        candela = f"{one['cd']:.6g} cd" if one["cd"] is not None else "not known"
        at = f"C {one['C_deg']:.5g}, gamma {one['gamma_deg']:.5g} deg{own}"
        typer.echo(f"{'intensity':13} {candela} at {at}{reason}")


def _draw(identity: Identity, summary: Summary, path: Path) -> list[Path]:
    """The sheet, and beside it the chart of the points where there are any."""
    from scenelux.errors import UsageError
    from scenelux.pictures.luminaire import luminaire_sheet, points_sheet
    from scenelux.pictures.sheet import png_bytes

    sheets: dict[Path, Sheet] = {path: luminaire_sheet(identity, summary)}
    if summary.file is not None and summary.file.points:
        sheets[path.with_name(f"{path.stem}-points{path.suffix}")] = points_sheet(identity, summary)
    try:
        for name, sheet in sheets.items():
            name.write_bytes(png_bytes(sheet))
    except OSError as error:
        raise UsageError(f"cannot be written: {error.strerror}", key="--picture", value=str(path)) from None
    return list(sheets)
