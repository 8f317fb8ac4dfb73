"""The inputs and results of a quantity, as its function states them, and calls with inputs from a document.

A quantity is a plain function with keyword arguments. Each is annotated with its type and one line of words, the
result with its names; nothing else is needed to check, list and document it. A parameter that is a dataclass stands
for its fields.
"""

from __future__ import annotations

import difflib
import inspect
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, is_dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, Literal, TypeAlias, get_args, get_origin, get_type_hints

import numpy as np

from scenelux.errors import UsageError

__all__ = [
    "UNBOUNDED",
    "Input",
    "Numbers",
    "Quantity",
    "Rows",
    "Signature",
    "Vector",
    "among",
    "called",
    "signature_of",
]

Quantity: TypeAlias = Callable[..., object]
Vector: TypeAlias = tuple[float, float, float]
Numbers: TypeAlias = tuple[float, ...]
Rows: TypeAlias = tuple[tuple[float, ...], ...]

UNBOUNDED = "or infinite"
"""Third part of the annotation of an input that may be infinite."""

MOST_NUMBERS = 10_000
"""In one list; more is a slip of the pen."""

_KINDS: Mapping[object, str] = {
    float: "a number",
    bool: "true or false",
    str: "a text",
    Path: "the name of a file",
    datetime: 'a date and time, such as "2026-06-21T21:30:00Z"',
    Vector: "a list of three numbers",
    Numbers: "a number or a list of numbers",
    Rows: "a list of lists of numbers",
}


@dataclass(frozen=True)
class Input:
    """An input of a quantity: its name, what it holds, the words that are known, and its default.

    A default of None means that the input may be left out. `group` is the parameter whose field it is, where it is one.
    An input that is not `unbounded` has no meaning when it is infinite.
    """

    name: str
    kind: object
    words: tuple[str, ...]
    says: str
    required: bool
    default: object
    group: str = ""
    unbounded: bool = False

    @property
    def accepts(self) -> str:
        """What may be given, in words."""
        return f"one of {', '.join(self.words)}" if self.words else _KINDS[self.kind]


@dataclass(frozen=True)
class Signature:
    """What a quantity is, its inputs and the names of its results; a single number has a name in words."""

    name: str
    says: str
    inputs: tuple[Input, ...]
    results: tuple[str, ...]
    is_table: bool


@cache
def signature_of(function: Quantity) -> Signature:
    """Inputs and results of a quantity."""
    hints = get_type_hints(function, include_extras=True)
    kind, *results = get_args(hints["return"])
    says = (inspect.getdoc(function) or "").split("\n\n")[0].replace("\n", " ")
    inputs = tuple(_inputs(function, hints, ""))
    return Signature(function.__name__, says, inputs, tuple(results), get_origin(kind) is dict)


def _inputs(function: Callable[..., object], hints: Mapping[str, Any], group: str) -> Iterator[Input]:
    for name, parameter in inspect.signature(function).parameters.items():
        if is_dataclass(hints[name]):
            yield from _inputs(hints[name], get_type_hints(hints[name], include_extras=True), name)
        else:
            yield _input(parameter, hints[name], group)


def _input(parameter: inspect.Parameter, hint: object, group: str) -> Input:
    kind, says, *marks = get_args(hint)
    if type(None) in get_args(kind):
        kind = next(part for part in get_args(kind) if part is not type(None))
    words = tuple(get_args(kind)) if get_origin(kind) is Literal else ()
    required = parameter.default is inspect.Parameter.empty
    default = None if required else parameter.default
    return Input(parameter.name, kind, words, says, required, default, group, UNBOUNDED in marks)


def among(word: str, names: Iterable[str]) -> str:
    """Every name that is known, the one that may have been meant first.

    Example
    -------
    >>> among("angle", ["angle_deg", "form"])
    'did you mean "angle_deg"; known: angle_deg, form'
    """
    known = list(names)
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    meant = f'did you mean "{close[0]}"; ' if close else ""
    return f"{meant}known: {', '.join(known)}"


def called(function: Quantity, inputs: Mapping[str, object], folder: Path) -> object:
    """The result of a quantity for inputs as a document gives them.

    A list in place of a number gives a list of answers. An input that is not a finite number gives nan.

    Parameters
    ----------
    function : one of the quantities.
    inputs : by name; a fault in one is an error with its name as key.
    folder : where names of files start.
    """
    signature = signature_of(function)
    known = {one.name: one for one in signature.inputs}
    for name in inputs:
        if name not in known:
            raise UsageError(f"is not an input of {signature.name}", key=name, accepted=among(name, known))
    missing = [one for one in signature.inputs if one.required and one.name not in inputs]
    if missing:
        accepted = f"give {missing[0].accepts}: {missing[0].says}"
        raise UsageError("is missing", key=missing[0].name, accepted=accepted)
    given = {name: _read(known[name], value, folder) for name, value in inputs.items()}
    lists = {name: value for name, value in given.items() if isinstance(value, list)}
    if not lists:
        return _answer(function, given)
    first, count = next((name, len(value)) for name, value in lists.items())
    for name, value in lists.items():
        if len(value) != count:
            raise UsageError(f"has {len(value)} numbers", key=name, accepted=f"give {count}, as {first} has")
    answers = [_answer(function, {**given, **{name: value[i] for name, value in lists.items()}}) for i in range(count)]
    return _turned(answers) if signature.is_table else answers


def _answer(function: Quantity, given: Mapping[str, object]) -> object:
    unbounded = {one.name for one in signature_of(function).inputs if one.unbounded}
    if not all(_is_known(value, name in unbounded) for name, value in given.items()):
        return math.nan
    hints = get_type_hints(function)
    grouped = {name: hint for name, hint in hints.items() if name != "return" and is_dataclass(hint)}
    of_groups = {one.name: one.group for one in signature_of(function).inputs if one.group}
    plain = {name: value for name, value in given.items() if name not in of_groups}
    for group, kind in grouped.items():
        plain[group] = kind(**{name: value for name, value in given.items() if of_groups.get(name) == group})  # type: ignore[operator]
    try:
        with np.errstate(all="ignore"):  # numbers beyond any sense: what comes of them is nan or infinite
            return function(**plain)
    except ArithmeticError:
        return math.nan


def _turned(answers: list[Any]) -> object:
    """Tables of numbers as one table of lists."""
    names = next((answer for answer in answers if isinstance(answer, dict)), None)
    if names is None:
        return [math.nan] * len(answers)
    return {name: [answer[name] if isinstance(answer, dict) else math.nan for answer in answers] for name in names}


def _is_known(value: object, unbounded: bool) -> bool:
    """Whether every number is finite, or at least one."""
    if isinstance(value, tuple):
        return all(_is_known(part, unbounded) for part in value)
    return not isinstance(value, float) or not (math.isnan(value) or (math.isinf(value) and not unbounded))


def _read(known: Input, value: object, folder: Path) -> object:
    """The value as the function takes it: lists for numbers that vary, tuples for what belongs together."""
    if isinstance(value, list) and len(value) > MOST_NUMBERS:
        raise UsageError(f"has {len(value)} values", key=known.name, accepted=f"give at most {MOST_NUMBERS}")
    try:
        if known.words:
            return _word(known, value)
        if known.kind is Path:
            return folder / _text(value)
        return _READERS[known.kind](value)
    except (TypeError, OverflowError):
        shown = value if isinstance(value, str | int | float) else None
        raise UsageError(
            f"is not {known.accepts}", key=known.name, value=shown, accepted=f"it is {known.says}"
        ) from None


def _word(known: Input, value: object) -> str:
    text = _text(value).strip().lower()
    for word in known.words:
        if text.replace("_", "-").replace(" ", "-") == word.lower().replace("_", "-").replace(" ", "-"):
            return word
    raise UsageError("is not a word that is known here", key=known.name, value=value, accepted=among(text, known.words))


def _number(value: object) -> float:
    if value is None:
        return math.nan
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError
    return float(value)


def _number_or_list(value: object) -> object:
    return list(_several(value)) if isinstance(value, list) else _number(value)


def _instants(value: object) -> object:
    """One or several, in UTC without a zone; without a zone they are UTC as written."""
    if isinstance(value, list):
        if not value:
            raise TypeError
        return list(map(_instant, value))
    return _instant(value)


def _instant(value: object) -> datetime:
    try:
        found = value if isinstance(value, datetime) else datetime.fromisoformat(_text(value).strip())
    except ValueError:
        raise TypeError from None
    return found if found.tzinfo is None else found.astimezone(UTC).replace(tzinfo=None)


def _several(value: object) -> Numbers:
    if not isinstance(value, list) or not value:
        raise TypeError
    return tuple(map(_number, value))


def _numbers(value: object) -> Numbers:
    return _several(value if isinstance(value, list) else [value])


def _vector(value: object) -> Vector:
    x, y, z = _several(value) if isinstance(value, list) and len(value) == 3 else _several(None)
    return x, y, z


def _rows(value: object) -> Rows:
    if not isinstance(value, list) or not value:
        raise TypeError
    return tuple(map(_several, value))


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError
    return value


def _text(value: object) -> str:
    if not isinstance(value, str) or not value or "\0" in value:
        raise TypeError
    return value


_READERS: Mapping[object, Callable[[object], object]] = {
    float: _number_or_list,
    datetime: _instants,
    bool: _flag,
    str: _text,
    Vector: _vector,
    Numbers: _numbers,
    Rows: _rows,
}
