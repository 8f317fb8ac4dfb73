"""Proof of the formulas as rows: a table at a terminal, Markdown and a JSON document; and the list of quantities."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from scenelux.prove.agreement import Comparison, Pair
from scenelux.prove.cases import Case
from scenelux.prove.signature import Input, Signature

if TYPE_CHECKING:
    from rich.console import Console

__all__ = [
    "HEADER",
    "asked",
    "document",
    "list_document",
    "list_markdown",
    "markdown",
    "rows",
    "show",
    "show_list",
    "summary",
]

HEADER = ("quantity", "published", "ours", "digits agreed", "source", "status")

_FIGURES = 7
_LONGEST_LIST = 12  # values of an input or of an answer that are shown
_LONGEST_TEXT = 80
_LAMP = "lamp"
_WRONG = "disagrees"


def summary(found: Sequence[Comparison]) -> list[str]:
    """How many cases agree, and a line for each that does not: its place, what is expected and what we get.

    Parameters
    ----------
    found : the cases compared.
    """
    wrong = [one for one in found if one.verdict == "disagrees"]
    head = f"{len(found) - len(wrong)} of {len(found)} cases agree ({sum(len(one.pairs) for one in found)} values)"
    return [f"{head}.", *(f"disagrees: {_place(one)}: {asked(one)}: {_difference(one)}" for one in wrong)]


def _place(one: Comparison) -> str:
    return f"{one.case.document.file}:{one.case.line}"


def _difference(one: Comparison) -> str:
    parts = [
        f"{pair.name} expected {pair.printed}, ours {_number(pair.ours)}".strip()
        for pair in one.pairs
        if not pair.agrees
    ]
    return "; ".join(parts[:_LONGEST_LIST])


def rows(found: Iterable[Comparison]) -> list[tuple[str, ...]]:
    """Cells under `HEADER`, one row a case; a case that disagrees says so in front of its status."""
    return [
        (
            asked(one),
            _values(one.pairs, lambda pair: pair.printed),
            _values(one.pairs, lambda pair: _number(pair.ours)),
            "" if one.digits is None else str(one.digits),
            _words(one.case.source),
            one.case.status if one.verdict == "agrees" else f"DISAGREES, {one.case.status}",
        )
        for one in found
    ]


def show(found: Sequence[Comparison], console: Console) -> None:
    """Prints the cases, those of one quantity and source under one heading, and the count."""
    from rich.table import Table
    from rich.text import Text

    for (quantity, source, status), cases in groupby(found, lambda one: _heading(one.case)):
        console.print(Text(f"\n{quantity} | {source or 'no source'} | {status}", style="bold"))
        table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=True)
        table.add_column("inputs", overflow="fold", ratio=1)
        for name in ("published", "ours", "digits agreed"):
            table.add_column(name, justify="right", no_wrap=True)
        for one in cases:
            for cells in _lines(one):
                wrong = "" if cells[-1] != _WRONG else "bold red"
                table.add_row(*(Text(cell, style=wrong) for cell in cells))
        console.print(table)
    console.print()
    for line in summary(found):
        console.print(Text(line), soft_wrap=True)


def _heading(case: Case) -> tuple[str, str, str]:
    return case.quantity, _words(case.source), case.status


def _lines(one: Comparison) -> list[tuple[str, str, str, str]]:
    """A line for each value; the first tells the inputs."""
    lines = []
    for number, pair in enumerate(one.pairs):
        asked = "; ".join(part for part in (_words(one.case.say), _inputs(one)) if part) if number == 0 else ""
        digits = _WRONG if not pair.agrees else "" if pair.digits is None else str(pair.digits)
        name = f"{pair.name} = " if pair.name and not pair.name.startswith("[") else ""
        lines.append((asked, f"{name}{pair.printed}", _number(pair.ours), digits))
    return lines


def markdown(found: Sequence[Comparison]) -> str:
    """The table and the count as Markdown."""
    lines = "\n\n".join(_escaped(line) for line in summary(found))
    return f"{_markdown_table(HEADER, rows(found))}\n{lines}\n"


def document(found: Sequence[Comparison]) -> dict[str, Any]:
    """Cases with both answers; a value that is nan is null."""
    agree = sum(one.verdict == "agrees" for one in found)
    return {
        "counts": {"cases": len(found), "agree": agree, "disagree": len(found) - agree},
        "cases": [
            {
                "quantity": one.case.quantity,
                "inputs": _plain(one.case.inputs),
                "values": [_pair(pair) for pair in one.pairs],
                "digits_agreed": one.digits,
                "verdict": one.verdict,
                "source": one.case.source,
                "status": one.case.status,
                **({"say": one.case.say} if one.case.say else {}),
            }
            for one in found
        ],
    }


def _pair(pair: Pair) -> dict[str, Any]:
    return {
        **({"name": pair.name} if pair.name else {}),
        "published": _plain(pair.expected),
        "ours": _plain(pair.ours),
        "within": pair.within,
        "digits_agreed": pair.digits,
        "agrees": pair.agrees,
    }


def _plain(value: object) -> Any:
    """As JSON knows it: nan is null, infinite a word, and what is none of its kinds a text."""
    if isinstance(value, Mapping):
        return {str(name): _plain(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None if math.isnan(value) else str(value)
    return value if value is None or isinstance(value, bool | int | float | str) else str(value)


def asked(one: Comparison) -> str:
    """The quantity with what the case says it is and its inputs."""
    return f"{one.case.quantity}: {'; '.join(part for part in (_words(one.case.say), _inputs(one)) if part)}"


def _inputs(one: Comparison) -> str:
    return ", ".join(f"{name} {_shown(value)}" for name, value in one.case.inputs.items())


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:.10g}"
    if isinstance(value, list | tuple):
        more = " ..." if len(value) > _LONGEST_LIST else ""
        return f"[{', '.join(_shown(part) for part in value[:_LONGEST_LIST])}{more}]"
    return _words(str(value))[:_LONGEST_TEXT]


def _words(text: str) -> str:
    """Text of a file on one line, without what steers a terminal."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def _values(pairs: Sequence[Pair], side: Callable[[Pair], str]) -> str:
    shown = pairs[:_LONGEST_LIST]
    parts = [side(pair) if pair.name.startswith("[") else f"{pair.name} {side(pair)}".strip() for pair in shown]
    return ", ".join(parts) + (" ..." if len(pairs) > _LONGEST_LIST else "")


def _number(value: float | str | bool) -> str:
    return _shown(value) if isinstance(value, bool | str) else f"{value:.{_FIGURES}g}"


def _markdown_table(header: Sequence[str], cells: Iterable[Sequence[str]]) -> str:
    lines = [header, ["---"] * len(header), *cells]
    return "".join(f"| {' | '.join(_escaped(cell) for cell in line)} |\n" for line in lines)


def _escaped(text: str) -> str:
    """Text from a file as text: no cell ends early, no markup starts."""
    return re.sub(r"[\\|<>\[\]*`&]|(?<![A-Za-z0-9])_|_(?![A-Za-z0-9])", r"\\\g<0>", text)


LIST_HEADER = ("quantity", "what", "inputs", "result")


def list_markdown(signatures: Sequence[Signature]) -> str:
    """The quantities with inputs, units, defaults and results as a Markdown table, and the inputs of a lamp.

    Parameters
    ----------
    signatures : of the quantities, in order.
    """
    cells = [
        (f"`{one.name}`", one.says, "; ".join(_input_cell(inputs) for inputs in _grouped(one)), _results(one))
        for one in signatures
    ]
    head = [LIST_HEADER, ("---",) * len(LIST_HEADER)]
    table = "".join(f"| {' | '.join(line)} |\n" for line in [*head, *cells])
    lamp = "".join(f"- {_input_cell(one)}\n" for one in _lamp(signatures))
    return f"{table}\nA *lamp* is given by some of:\n\n{lamp}" if lamp else table


def _grouped(one: Signature) -> list[Input | str]:
    """Inputs of a quantity, those of a lamp as one word."""
    found: list[Input | str] = []
    for given in one.inputs:
        entry = f"*{given.group}*" if given.group else given
        if entry not in found:
            found.append(entry)
    return found


def _lamp(signatures: Sequence[Signature]) -> tuple[Input, ...]:
    return next((tuple(i for i in one.inputs if i.group) for one in signatures if any(i.group for i in one.inputs)), ())


def _input_cell(given: Input | str) -> str:
    if isinstance(given, str):
        return given
    words = "" if all(word in given.says for word in given.words) else f" ({', '.join(given.words)})"
    default = "" if given.required else f" = {'none' if given.default is None else _shown(given.default)}"
    return f"`{given.name}`{default}: {given.says}{words}"


def _results(one: Signature) -> str:
    return ", ".join(f"`{name}`" if one.is_table and " " not in name else name for name in one.results)


def list_document(signatures: Sequence[Signature]) -> dict[str, Any]:
    """The quantities as a JSON document."""
    return {
        "quantities": [
            {
                "quantity": one.name,
                "says": one.says,
                "inputs": [
                    {
                        "name": given.name,
                        "accepts": given.accepts,
                        "says": given.says,
                        "required": given.required,
                        "default": _plain(given.default),
                    }
                    for given in one.inputs
                ],
                "results": list(one.results),
            }
            for one in signatures
        ]
    }


def show_list(signatures: Sequence[Signature], console: Console) -> None:
    """Prints the quantities, each with its inputs below it, those of a lamp once at the end."""
    for one in signatures:
        console.print(f"{one.name} -> {', '.join(one.results)}", markup=False, highlight=False)
        console.print(f"    {one.says}", markup=False, highlight=False)
        for given in _grouped(one):
            console.print(f"    {_line(given)}", markup=False, highlight=False)
    lamp = _lamp(signatures)
    if lamp:
        console.print(f"A {_LAMP} is given by some of", markup=False, highlight=False)
    for given in lamp:
        console.print(f"    {_line(given)}", markup=False, highlight=False)


def _line(given: Input | str) -> str:
    return _input_cell(given).replace("`", "").replace("*", "") if not isinstance(given, str) else given.strip("*")
