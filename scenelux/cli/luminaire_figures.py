"""What `scenelux luminaire fit` is given: quantities, illuminances at a distance, points and tables of points."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scenelux.photometry import FileWarning
    from scenelux.scene.quantities import DimensionName

__all__ = ["Points", "all_points", "dimension_of", "figure", "lone_dots", "option_of", "throw_of"]

Triples = tuple[tuple[float, float, float], ...]

_LONE_DOT = re.compile(r"\s*\+?[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9])")
_FEW = 50.0  # in SI units; of a figure below this the dot may have been one between thousands
_LONE_DOT_CODE = 179


@dataclass(frozen=True)
class Points:
    """Digitised points: degrees right and up with candela, with percent of the peak, and names of the former."""

    in_candela: Triples
    in_percent: Triples
    names: tuple[str, ...]


def option_of(key: str) -> str:
    """The option for a figure of the claims."""
    special = {"illuminance": "--throw", "points": "--point", "point_names": "--points", "relative_points": "--point"}
    name = key.removesuffix("_deg").removesuffix("_lm").removesuffix("_cd").replace("_", "-")
    return special.get(key, f"--{name}")


def dimension_of(key: str) -> DimensionName:
    """What a figure of the claims measures."""
    return "flux" if key.endswith("_lm") else "intensity" if key.endswith("_cd") else "angle"


def figure(option: str, text: str, dimension: DimensionName, *, whole: str = "") -> float:
    """A quantity with its unit; an error shows all that stands at the option."""
    from scenelux.errors import QuantityError
    from scenelux.scene.quantities import parse_quantity

    try:
        return parse_quantity(text, dimension)
    except QuantityError as error:
        raise QuantityError(error.problem, key=option, value=whole or text, accepted=error.accepted) from None


def throw_of(text: str) -> tuple[float, float]:
    """Lux and metres of an illuminance at a distance."""
    from scenelux.errors import UsageError

    level, at, distance = text.partition(" at ")
    if not at:
        accepted = 'give it as in "1 lx at 62 m" or "1 fc at 60 ft"'
        raise UsageError("is no illuminance at a distance", key="--throw", value=text, accepted=accepted)
    return (
        figure("--throw", level, "illuminance", whole=text),
        figure("--throw", distance, "length", whole=text),
    )


def lone_dots(given: Mapping[str, str], throws: Sequence[str], points: Sequence[str]) -> Iterator[FileWarning]:
    """A warning for every figure such as "4.200 lm", which some write for 4200 lm."""
    from scenelux.photometry.faults import FileWarning

    texts: list[tuple[str, str, DimensionName]] = []
    for key, text in given.items():
        if dimension_of(key) != "angle":
            texts.append((option_of(key), text, dimension_of(key)))
    for text in throws:
        level, _, distance = text.partition(" at ")
        texts += [("--throw", level, "illuminance"), ("--throw", distance, "length")]
    for text in points:
        value = text.split(",")[-1].strip()
        if not value.endswith("%"):
            texts.append(("--point", _with_unit(value, "cd"), "intensity"))
    for option, text, dimension in texts:
        found = _LONE_DOT.match(text)
        if found and figure(option, text, dimension) < _FEW:
            number, unit = found.group().strip(), text[found.end() :].strip()
            sentence = f"{option} {text.strip()} is read as {float(number):g} {unit}, not as {number.replace('.', '')}"
            yield FileWarning(_LONE_DOT_CODE, None, sentence)


def all_points(texts: Sequence[str], table: Path | None) -> Points:
    """The points of the command line and those of a table, each named as it was given."""
    found = [_point(text) for text in texts]
    in_candela = [place for place, is_share in found if not is_share]
    names = [f"{h:g}, {v:g} deg" for h, v, _ in in_candela]
    listed, of_table = ((), ()) if table is None else _listed(table)
    in_percent = tuple(place for place, is_share in found if is_share)
    return Points((*in_candela, *listed), in_percent, (*names, *of_table))


def _point(text: str) -> tuple[tuple[float, float, float], bool]:
    from scenelux.errors import UsageError

    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 3:
        accepted = 'give degrees right, degrees up and candela or percent, such as "10,-5,2400"'
        raise UsageError("is not a point", key="--point", value=text, accepted=accepted)
    h, v = (figure("--point", _with_unit(part, "deg"), "angle", whole=text) for part in parts[:2])
    if parts[2].endswith("%"):
        return (h, v, 100.0 * figure("--point", parts[2], "ratio", whole=text)), True
    return (h, v, figure("--point", _with_unit(parts[2], "cd"), "intensity", whole=text)), False


def _with_unit(text: str, unit: str) -> str:
    """A quantity; a bare number gets the unit."""
    return f"{text} {unit}" if re.fullmatch(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)", text) else text


def _listed(path: Path) -> tuple[Triples, tuple[str, ...]]:
    """Points of a table, and their names."""
    from scenelux.errors import LimitError, UsageError
    from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
    from scenelux.photometry.fit import MOST_POINTS, names_of_table, points_of_table
    from scenelux.photometry.hv.read import read_hv_table
    from scenelux.scene.document import read_limited

    data = read_limited(path, str(path), LARGEST_PHOTOMETRIC_BYTES, "a table of points")
    _refuse_other_formats(data, str(path))
    table = read_hv_table(data, str(path))
    if len(table.points) > MOST_POINTS or not table.points:
        accepted = "a table of so many points is a luminaire as it is"
        raise LimitError(f"has more than {MOST_POINTS} points", file=str(path), accepted=accepted)
    try:
        return points_of_table(table), names_of_table(table)
    except UsageError as error:
        raise UsageError(error.problem, file=str(path), accepted=error.accepted) from None


def _refuse_other_formats(data: bytes, name: str) -> None:
    from scenelux.errors import PhotometricError, UsageError
    from scenelux.photometry.formats import format_of

    try:
        kind = format_of(data, name)
    except PhotometricError:  # the reader of tables says why
        return
    if kind != "H-V table":
        article = "an" if kind[0] in "EL" else "a"
        raise UsageError(f"is {article} {kind} file, which needs no fit", file=name, accepted="use it as it is")
