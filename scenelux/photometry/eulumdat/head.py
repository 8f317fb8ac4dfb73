"""The head of an EULUMDAT file: fields 1 to 27, everything before the angles."""

from __future__ import annotations

from dataclasses import dataclass

from scenelux.photometry.eulumdat.fields import DIRECT_RATIOS, HEAD, LAMP_SET
from scenelux.photometry.eulumdat.lines import Lines
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.limits import GRID_LIMIT

__all__ = ["Head", "LampSet", "read_head"]

_MOST_SETS = 100


@dataclass(frozen=True)
class LampSet:
    """One set of lamps: its fields by name and as written, and where it and its flux stand."""

    texts: dict[str, str]
    numbers: dict[str, float]
    tokens: tuple[str, ...]
    offset: int
    flux_at: int


@dataclass(frozen=True)
class Head:
    """Fields 1 to 26 by name, the lamp sets and the direct ratios."""

    texts: dict[str, str]
    numbers: dict[str, float]
    sets: tuple[LampSet, ...]
    ratios: tuple[float, ...]


def read_head(lines: Lines, log: FaultLog) -> Head:
    """Takes the lines of the head.

    Parameters
    ----------
    lines : at their beginning.
    log : words the errors.
    """
    texts, numbers = {}, {}
    for field in HEAD:
        if field.kind == "text":
            texts[field.name] = lines.text(field)
        elif field.kind == "whole":
            numbers[field.name] = float(lines.whole(field))
        else:
            numbers[field.name] = lines.number(field, 1.0 if field.name == "conversion factor" else 0.0)
    count = int(numbers["number of lamp sets"])
    if not 1 <= count <= _MOST_SETS:
        raise log.error(57, "is not a number of lamp sets", lines.offsets["number of lamp sets"], key=HEAD[-1].key,
                        value=count, accepted=f"give 1 to {_MOST_SETS}")  # fmt: skip
    _check_counts(numbers, lines, log)
    sets = tuple(_read_set(number, count, lines) for number in range(1, count + 1))
    ratios = tuple(lines.number(field, 0.0) for field in DIRECT_RATIOS)
    return Head(texts, numbers, sets, ratios)


def _check_counts(numbers: dict[str, float], lines: Lines, log: FaultLog) -> None:
    """Refuses what stands for no table, before anything is allocated."""
    symmetry, planes, gammas = (int(numbers[HEAD[at].name]) for at in (2, 3, 5))
    if symmetry not in (0, 1, 2, 3, 4):
        accepted = "give 0 for none, 1 for rotational, 2 for a mirror at C0-C180, 3 at C90-C270 or 4 for both"
        raise log.error(111, "is not a symmetry", lines.offsets["symmetry"], key=HEAD[2].key, value=symmetry,
                        accepted=accepted)  # fmt: skip
    accepted = "give 1 plane or more and 2 gamma angles or more, at most 4 million intensities all around"
    for field, count, least in ((HEAD[3], planes, 1), (HEAD[5], gammas, 2)):
        if count < least or planes * gammas > GRID_LIMIT:
            raise log.error(57, "makes no table that can be read", lines.offsets[field.name], key=field.key,
                            value=str(count)[:20], accepted=accepted)  # fmt: skip


def _read_set(number: int, count: int, lines: Lines) -> LampSet:
    texts, numbers, tokens = {}, {}, []
    offset = flux_at = lines.offset
    for field in LAMP_SET:
        named = field if count == 1 else field._replace(name=f"{field.name} of lamp set {number}")
        tokens.append(lines.peek() if field.kind == "text" else lines.peek().replace(",", "."))
        flux_at = lines.offset if field.name == "lamp flux" else flux_at
        if field.kind == "text":
            texts[field.name] = lines.text(named)
        elif field.kind == "whole":
            numbers[field.name] = float(lines.whole(named))
        else:
            numbers[field.name] = lines.number(named, 0.0 if field.kind == "optional" else None)
    return LampSet(texts, numbers, tuple(tokens), offset, flux_at)
