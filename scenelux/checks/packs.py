"""Reads criteria documents (TOML): one file a document, one table a rule, every key checked."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Literal, cast, get_args

from scenelux.checks.criteria import KINDS, LIGHTING, NOT_STATED, PLANES, QUANTITIES, Rule, Zone, known_word
from scenelux.checks.limits import Sense
from scenelux.errors import DocumentError, InputError
from scenelux.shipped import shipped
from scenelux.sources import Source, Status

__all__ = ["PACK_FORMAT", "read_pack", "read_packs", "shipped_rules"]

PACK_FORMAT = "scenelux criteria 1"

_Table = Mapping[str, object]
_HEAD = frozenset({"format", "title", "edition", "publisher", "read", "rules"})
_TEXTS = ("clause", "lighting", "states", "says")
_NEEDED = frozenset({"id", "quantity", "statistic", "sense", "limit", "unit", "plane", "height_m", "zone", "status"})
_ROW = _NEEDED | frozenset(_TEXTS) | {"note", "printed", "beside", "not_counted"}
_ZONE = frozenset({"shape", "where", "along_m", "left_m", "within_m"})


def shipped_rules() -> Mapping[str, Rule]:
    """Every rule that travels with scenelux, by name.

    Example
    -------
    >>> rule = shipped_rules()["nfpa_rear_average"]
    >>> rule.limit, rule.unit, rule.zone.along_m, rule.source.status
    (30.0, 'lx', 3.048, 'quoted')
    """
    return read_packs(sorted((shipped("shared") / "criteria").glob("*.toml")))


def read_packs(files: Iterable[Path]) -> Mapping[str, Rule]:
    """Rules of several documents by name; a name used twice is an error."""
    rules: dict[str, Rule] = {}
    for file in files:
        for rule in read_pack(file):
            if rule.id in rules:
                raise DocumentError(
                    "is the name of two rules", file=file.name, key="id", value=rule.id, accepted="rename one"
                )
            rules[rule.id] = rule
    return rules


def read_pack(file: Path) -> tuple[Rule, ...]:
    """Rules of one criteria document, in the order written.

    Parameters
    ----------
    file : a TOML file of the form described beside the shipped criteria.
    """
    try:
        text = file.read_text(encoding="utf-8")
        document = tomllib.loads(text)
    except (OSError, UnicodeDecodeError) as error:
        raise DocumentError("cannot be read as UTF-8 text", file=str(file)) from error
    except tomllib.TOMLDecodeError as error:
        problem = f"is not TOML: {str(error)[0].lower()}{str(error)[1:]}"
        raise DocumentError(problem, file=file.name) from error
    try:
        return _rules(document)
    except InputError as error:
        raise error.at(file=file.name, line=_line(text, error.key)) from None


def _rules(document: _Table) -> tuple[Rule, ...]:
    if document.get("format") != PACK_FORMAT:
        raise DocumentError(
            "is not a criteria document", key="format", value=document.get("format"), accepted=f'give "{PACK_FORMAT}"'
        )
    _only(document, _HEAD, "")
    head = {key: _text(document, key, "") for key in ("title", "edition", "publisher", "read")}
    rows = document.get("rules")
    if not isinstance(rows, list) or not rows:
        raise DocumentError("is missing", key="rules", accepted="give at least one [[rules]] table")
    return tuple(_rule(row, head, f"rules[{index}].") for index, row in enumerate(rows))


def _rule(row: object, head: Mapping[str, str], at: str) -> Rule:
    if not isinstance(row, dict):
        raise DocumentError("is not a table", key=at[:-1], value=row, accepted="give a [[rules]] table")
    _only(row, _ROW, at)
    for key in sorted(_NEEDED - row.keys()):
        raise DocumentError("is missing", key=at + key, accepted="every rule states it")
    clause, lighting, states, says = (_text(row, key, at) for key in _TEXTS)
    quantity = _word(row, "quantity", QUANTITIES, at)
    kind = QUANTITIES[quantity]
    return Rule(
        id=_text(row, "id", at),
        quantity=quantity,
        statistic=_word(row, "statistic", kind.statistics, at),
        sense=cast(Sense, _word(row, "sense", get_args(Sense), at)),
        limit=_stated(row, "limit", at, math.nan),
        unit=_word(row, "unit", kind.units, at),
        beside=_beside(row, kind.units, at),
        printed=_text(row, "printed", at) if "printed" in row else "",
        plane=_word(row, "plane", PLANES, at),
        height_m=_height(row, at),
        zone=_zone(row["zone"], at + "zone"),
        lighting=_among(lighting, LIGHTING, at + "lighting"),
        states=states,
        says=says,
        note=_text(row, "note", at) if "note" in row else "",
        source=Source(head["title"], head["edition"], clause, cast(Status, _word(row, "status", get_args(Status), at))),
        read=head["read"],
        not_counted=_kinds(row.get("not_counted", []), at + "not_counted"),
    )


def _kinds(value: object, key: str) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise DocumentError("is not a list", key=key, value=value, accepted='give a list such as ["headlamp"]')
    return tuple(_among(kind, KINDS, f"{key}[{index}]") for index, kind in enumerate(value))


def _zone(table: object, at: str) -> Zone:
    if not isinstance(table, dict):
        raise DocumentError("is not a table", key=at, value=table, accepted='give { shape = "words", where = "..." }')
    _only(table, _ZONE, f"{at}.")
    shape = cast(
        Literal["rectangle", "strip", "words"], _word(table, "shape", ("rectangle", "strip", "words"), f"{at}.")
    )
    needed = {"rectangle": ("along_m", "left_m"), "strip": ("within_m",), "words": ()}[shape]
    if set(table) - {"shape", "where"} != set(needed):
        accepted = f"give {' and '.join(needed) or 'no sizes'}"
        raise DocumentError(f"has the wrong sizes for a {shape}", key=at, accepted=accepted)
    sizes = {key: _number(table[key], f"{at}.{key}") for key in needed}
    return Zone(shape, _text(table, "where", f"{at}."), **sizes)


def _beside(row: _Table, units: Iterable[str], at: str) -> tuple[float, str] | None:
    table = row.get("beside")
    if table is None:
        return None
    if not isinstance(table, dict) or set(table) != {"limit", "unit"}:
        raise DocumentError(
            "is not a limit", key=f"{at}beside", value=table, accepted='give { limit = 3, unit = "fc" }'
        )
    return _number(table["limit"], f"{at}beside.limit"), _word(table, "unit", units, f"{at}beside.")


def _height(row: _Table, at: str) -> float | None:
    height = _stated(row, "height_m", at, math.nan)
    return None if math.isnan(height) else height


def _stated(row: _Table, key: str, at: str, absent: float) -> float:
    return absent if row[key] == NOT_STATED else _number(row[key], at + key)


def _number(value: object, key: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or value < 0:
        raise DocumentError(
            "is not a number of zero or more",
            key=key,
            value=value,
            accepted='give a number, or "not stated" for a limit or height',
        )
    return float(value)


def _text(table: _Table, key: str, at: str) -> str:
    value = table.get(key)
    if not isinstance(value, str) or not value.strip():
        raise DocumentError("is not a text", key=at + key, value=value, accepted='give words, or "not stated"')
    return value


def _word(row: _Table, key: str, known: Iterable[str], at: str) -> str:
    return _among(row.get(key), known, at + key)


def _among(value: object, known: Iterable[str], key: str) -> str:
    try:
        return known_word(value, known, "is not a word known here")
    except InputError as error:
        raise error.at(key=key) from None


def _only(table: _Table, known: frozenset[str], at: str) -> None:
    for key in table:
        if key not in known:
            try:
                known_word(key, known, "is not a key known here")
            except InputError as error:
                raise error.at(key=at + key) from None


def _line(text: str, key: str | None) -> int | None:
    """Line of a key such as rules[3].limit: the file is flat, so the third table header is enough."""
    found = re.fullmatch(r"(?:rules\[(\d+)\]\.?)?([\w-]*).*", key or "")
    if found is None:
        return None
    lines = text.splitlines()
    heads = [index for index, line in enumerate(lines) if line.strip() == "[[rules]]"]
    start = heads[int(found[1])] if found[1] and int(found[1]) < len(heads) else 0
    for index in range(start, len(lines)):
        if re.match(rf'\s*"?{re.escape(found[2])}"?\s*=', lines[index]) and found[2]:
            return index + 1
        if index > start and lines[index].strip() == "[[rules]]":
            break
    return start + 1
