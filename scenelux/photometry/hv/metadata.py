"""The lines of an H-V table that begin with #: what they say about the table, and the keywords that they become."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import Basis
from scenelux.photometry.hv.cells import Comment, Rows
from scenelux.photometry.hv.columns import Unit, unit_of

__all__ = ["SPOKEN", "STEERING", "Metadata", "read_metadata"]

STEERING = ("basis", "unit", "type")
"""Keys that say how the table is read; the others are kept as keywords."""

SPOKEN = MappingProxyType(
    {
        "laboratory": "TESTLAB",
        "date": "TESTDATE",
        "lamp": "LUMINAIRE",
        "report": "TEST",
        "manufacturer": "MANUFAC",
        "catalogue": "LUMCAT",
        "issued": "ISSUEDATE",
        "light source": "LAMP",
        "other": "OTHER",
    }
)
"""Key of a table, and the keyword of photometric files that means the same."""

_KNOWN = {
    "TEST", "TESTLAB", "TESTDATE", "NEARFIELD", "MANUFAC", "LUMCAT", "LUMINAIRE", "LAMPCAT", "LAMP", "BALLAST",
    "BALLASTCAT", "MAINTCAT", "DISTRIBUTION", "FLASHAREA", "COLORCONSTANT", "LAMPPOSITION", "ISSUEDATE", "OTHER",
    "SEARCH",
}  # fmt: skip
_LINE = re.compile(r"([A-Za-z][A-Za-z0-9 _-]{0,39}?)\s*:\s*(.*)", re.DOTALL)
_REQUIRED = ("required minimum", "required minima", "required", "minimum")
_RADIANT = re.compile(r"w\s*/\s*sr|\bm?w\b|[uµμ]mol")


@dataclass(frozen=True)
class Metadata:
    """What the comment lines say; None for what they do not say."""

    basis: Basis | None
    unit: Unit | None
    kind: Literal["A", "B"]
    keywords: tuple[tuple[str, str], ...]


def read_metadata(comments: Sequence[Comment], rows: Rows, log: FaultLog) -> Metadata:
    """Basis, unit and photometric type of a table, and its keywords in order.

    Parameters
    ----------
    comments : the lines that begin with #.
    rows : of the table, for the place of a fault.
    log : words the errors.
    """
    steering: dict[str, Comment] = {}
    keywords: list[tuple[str, str]] = []
    for comment in comments:
        key, text = _split(comment.text)
        if key not in STEERING:
            keywords.append((_keyword(key), text))
        elif key in steering and steering[key].text.lower() != text.lower():
            raise _fault(160, comment.line, f"is stated twice, before as {steering[key].text}", key, text, rows, log)
        else:
            steering.setdefault(key, Comment(comment.line, text))
    return Metadata(
        _basis(steering.get("basis"), rows, log), _unit(steering.get("unit"), rows, log),
        _kind(steering.get("type"), rows, log), tuple(keywords),
    )  # fmt: skip


def _split(text: str) -> tuple[str, str]:
    """Key and text; a line without a key is a remark."""
    found = _LINE.fullmatch(text)
    return (" ".join(found[1].lower().split()), found[2].strip()) if found else ("other", text)


def _keyword(key: str) -> str:
    """The keyword of a key: one of the trade where it means the same, else one of the user's own."""
    name = key.upper().replace(" ", "_")
    return SPOKEN.get(key) or (name if name in _KNOWN else f"_{name}")


def _fault(
    code: int, line: int, problem: str, key: str, text: str, rows: Rows, log: FaultLog, accepted: str = "state it once"
) -> Exception:
    return log.error(code, problem, rows.offset(line), key=key, value=text, accepted=accepted)


def _basis(stated: Comment | None, rows: Rows, log: FaultLog) -> Basis | None:
    if stated is None:
        return None
    text = " ".join(stated.text.lower().split())
    if text == "measured":
        return "measured"
    if text in _REQUIRED:
        return "required minimum"
    accepted = 'write "measured" or "required minimum"'
    raise _fault(160, stated.line, "is not a basis", "basis", stated.text, rows, log, accepted)


def _unit(stated: Comment | None, rows: Rows, log: FaultLog) -> Unit | None:
    if stated is None:
        return None
    accepted = 'write "cd", "kcd" or "lx at 25 m" with the distance of the test'
    if _RADIANT.search(stated.text.lower()):
        raise _fault(54, stated.line, "is radiant, not luminous", "unit", stated.text, rows, log, accepted)
    unit = unit_of(stated.text)
    if unit is None or (unit.name == "lx" and unit.distance_m is None):
        raise _fault(151, stated.line, "is not a unit of a table", "unit", stated.text, rows, log, accepted)
    return unit


def _kind(stated: Comment | None, rows: Rows, log: FaultLog) -> Literal["A", "B"]:
    if stated is None or stated.text.upper() == "A":
        return "A"
    if stated.text.upper() == "B":
        return "B"
    accepted = "write A (planes share the upright axis) or B (planes share the level axis)"
    raise _fault(46, stated.line, "is not a photometric type of H and V", "type", stated.text, rows, log, accepted)
