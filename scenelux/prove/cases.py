"""Reference cases: read from TOML or JSON, every key checked, each fault one sentence with its place.

A document holds `cases`, or `sets` of cases that share a source, a quantity and inputs. A JSON document may be the list
of cases itself.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Literal, NoReturn, TypeAlias, get_args

from scenelux.errors import DocumentError, InputError, LimitError
from scenelux.prove.expected import Path, leaves, printed
from scenelux.prove.json_places import find_json_places
from scenelux.prove.signature import among
from scenelux.scene.document import LARGEST_BYTES, Document, read_document, read_limited
from scenelux.scene.positions import KeyPath, TooDeep, path_text
from scenelux.shipped import shipped
from scenelux.sources import Source

__all__ = ["CASES_FORMAT", "MOST_CASES", "STATUSES", "Case", "CaseStatus", "read_cases", "shipped_cases"]

CASES_FORMAT = "scenelux cases 1"
MOST_CASES = 10_000

CaseStatus: TypeAlias = Literal["published", "quoted", "unconfirmed", "calculated", "library", "invented", "own"]
"""As of other numbers; calculated: worked out from the stated formula, which it does not confirm; library: computed by
the library named."""

STATUSES: tuple[CaseStatus, ...] = get_args(CaseStatus)

_SHARED = ("quantity", "inputs", "tolerance_percent", "tolerance", "source", "status")
_SOURCE = ("title", "edition", "clause")
_CASE_KEYS = (*_SHARED, "expected", "say")
_SET_KEYS = (*_SHARED, *_SOURCE, "cases")
_HEAD_KEYS = ("format", "title", "cases", "case", "sets")
_NAMED = {"quantity": "give the name of a quantity", "expected": "give the number that is published"}


@dataclass(frozen=True, eq=False)
class Case:
    """One case: what is asked with which inputs, what is expected and how near, who says so, and where it stands.

    `expected` has its numbers as printed. Without a tolerance half a unit of their last digit is allowed.
    """

    quantity: str
    inputs: Mapping[str, object]
    expected: object
    tolerance_percent: float | None
    tolerance: float | None
    source: str
    status: CaseStatus
    say: str
    folder: FilePath
    document: Document
    path: KeyPath

    @property
    def line(self) -> int:
        """Line on which it begins."""
        return self.document.places[self.path].line

    def fault(self, problem: str, *keys: str, accepted: str | None = None, value: object = None) -> DocumentError:
        """An error at a key of this case."""
        return _fault(self.document, (*self.path, *keys), problem, accepted, value)


def shipped_cases() -> tuple[Case, ...]:
    """Every published case that travels with scenelux, file by file."""
    files = sorted((shipped("shared") / "cases").glob("*.toml"))
    return tuple(case for file in files for case in read_cases(file))


def read_cases(file: FilePath) -> tuple[Case, ...]:
    """Cases of one document, in the order written.

    Parameters
    ----------
    file : TOML, or JSON where its name ends so; at most 1 MB and 10,000 cases.
    """
    data = read_limited(file, str(file), LARGEST_BYTES, "a file of cases")
    document = _read_json(data, str(file)) if file.suffix.lower() == ".json" else read_document(data, str(file))
    cases = tuple(_cases(document, file.parent))
    if not cases:
        raise _fault(document, (), "has no cases", "give a list of tables under [[cases]]")
    return cases


def _read_json(data: bytes, shown: str) -> Document:
    def refuse(constant: str) -> NoReturn:
        raise DocumentError("is not JSON", file=shown, value=constant, accepted="write null for nan")

    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
        table = json.loads(text, parse_constant=refuse, object_pairs_hook=_once)
        return Document(shown, text, table if isinstance(table, dict) else {"cases": table}, find_json_places(text))
    except UnicodeDecodeError:
        raise DocumentError(
            "the file is not UTF-8 text", file=shown, accepted="save it in the encoding UTF-8"
        ) from None
    except json.JSONDecodeError as error:
        problem = f"this is not JSON ({error.msg[:1].lower()}{error.msg[1:]})"
        raise DocumentError(problem, file=shown, line=error.lineno, column=error.colno) from None
    except (RecursionError, TooDeep):
        raise DocumentError("the document is nested too deeply", file=shown, accepted="cases have few levels") from None
    except InputError as error:
        raise error.at(file=shown) from None
    except ValueError:  # a whole number of thousands of digits
        raise DocumentError("a number is too long to read", file=shown, accepted="shorten it") from None


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise DocumentError("is given twice in one table", key=twice, accepted="give it once")
    return found


def _cases(document: Document, folder: FilePath) -> Iterator[Case]:
    head = document.table
    _only(document, head, _HEAD_KEYS, ())
    if head.get("format", CASES_FORMAT) != CASES_FORMAT:
        raise _fault(document, ("format",), "is another format", f'give "{CASES_FORMAT}"', head["format"])
    bare = isinstance(head.get("cases"), list) and () in document.places and ("cases",) not in document.places
    for count, (path, shared, row) in enumerate(_rows(document, head, bare)):
        if count == MOST_CASES:
            raise LimitError(f"has more than {MOST_CASES:,} cases", file=document.file, accepted="split the file")
        yield _case(document, path, shared, row, folder)


def _rows(
    document: Document, head: Mapping[str, object], bare: bool
) -> Iterator[tuple[KeyPath, Mapping[str, object], object]]:
    """Each case as written, with its place and what it shares with others of its set."""
    for name in ("cases", "case"):
        for index, row in enumerate(_list(document, head.get(name, []), (name,))):
            yield (index,) if bare else (name, index), {}, row
    for number, shared in enumerate(_list(document, head.get("sets", []), ("sets",))):
        path: KeyPath = ("sets", number)
        table = _table(document, shared, path)
        _only(document, table, _SET_KEYS, path)
        for index, row in enumerate(_list(document, table.get("cases", []), (*path, "cases"))):
            yield (*path, "cases", index), table, row


def _case(document: Document, path: KeyPath, shared: Mapping[str, object], row: object, folder: FilePath) -> Case:
    own = _table(document, row, path)
    _only(document, own, _CASE_KEYS, path)
    table = {**{key: shared[key] for key in _SHARED if key in shared}, **own}
    for key, accepted in _NAMED.items():
        if key not in table:
            raise _fault(document, path, f"has no {key}", accepted)
    inputs = {
        **_table(document, shared.get("inputs", {}), path),
        **_table(document, own.get("inputs", {}), (*path, "inputs")),
    }
    status = table.get("status", "own")
    if status not in STATUSES:
        raise _fault(document, (*path, "status"), "is not a status", f"give one of {', '.join(STATUSES)}", status)
    return Case(
        quantity=_text(document, table["quantity"], (*path, "quantity")),
        inputs=inputs,
        expected=_expected(document, table["expected"], (*path, "expected")),
        tolerance_percent=_tolerance(document, table, path, "tolerance_percent"),
        tolerance=_tolerance(document, table, path, "tolerance"),
        source=_source(document, table, shared, path),
        status=status,
        say=_text(document, own.get("say", ""), (*path, "say")),
        folder=folder,
        document=document,
        path=path,
    )


def _expected(document: Document, value: object, path: KeyPath) -> object:
    def written(below: Path) -> str:
        place = document.places[(*path, *below)]
        return document.text[place.start : place.end]

    try:
        expected = printed(value, written)
        if not any(leaves(expected)):
            raise ValueError
        return expected
    except (ValueError, OverflowError):
        accepted = "give a number, nan, a text, or a list or table of these"
        raise _fault(document, path, "cannot be expected", accepted) from None


def _tolerance(document: Document, table: Mapping[str, object], path: KeyPath, key: str) -> float | None:
    value = table.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value < math.inf:
        raise _fault(document, (*path, key), "is not a tolerance", "give a number of zero or more", value)
    return float(value)


def _source(document: Document, table: Mapping[str, object], shared: Mapping[str, object], path: KeyPath) -> str:
    """The source in words: as one text, or title, edition and clause of the set."""
    if "source" in table:
        return _text(document, table["source"], (*path, "source"))
    title, edition, clause = (_text(document, shared.get(key, ""), path) for key in _SOURCE)
    return str(Source(title, edition, clause))


def _text(document: Document, value: object, path: KeyPath) -> str:
    if not isinstance(value, str):
        raise _fault(document, path, "is not a text", "give words in quotes", value)
    return value


def _table(document: Document, value: object, path: KeyPath) -> Mapping[str, object]:
    if not isinstance(value, dict):
        raise _fault(document, path, "is not a table", "give names and values", value)
    return value


def _list(document: Document, value: object, path: KeyPath) -> list[object]:
    if not isinstance(value, list):
        raise _fault(document, path, "is not a list", "give a list of tables", value)
    return value


def _only(document: Document, table: Mapping[str, object], known: tuple[str, ...], path: KeyPath) -> None:
    for key in table:
        if key not in known:
            raise _fault(document, (*path, key), "is not a key that is known here", among(key, known))


def _fault(
    document: Document, path: KeyPath, problem: str, accepted: str | None = None, value: object = None
) -> DocumentError:
    there = path
    while there and there not in document.places:
        there = there[:-1]
    place = document.places[there]
    key = path_text(path) or None
    shown = value if isinstance(value, str | int | float) else None
    return DocumentError(
        problem, file=document.file, line=place.line, column=place.column, key=key, value=shown, accepted=accepted
    )
