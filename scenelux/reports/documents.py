"""JSON documents: numbers in six figures, a reason beside every null, and a text that a reader can follow."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from typing import Any

__all__ = ["explained", "json_text", "number", "numbers"]

_FIGURES = 6


def number(value: float | None) -> float | None:
    """A number in six figures; nothing where it is not valid or without bound.

    Example
    -------
    >>> number(31.4159265), number(float("nan")), number(float("inf"))
    (31.4159, None, None)
    """
    return float(f"{value:.{_FIGURES}g}") if value is not None and math.isfinite(value) else None


def numbers(values: Iterable[float]) -> list[float | None]:
    """Numbers in six figures."""
    return [number(float(value)) for value in values]


def explained(document: dict[str, Any], reason: str) -> dict[str, Any]:
    """The document, with a reason beside it when anything directly in it is null.

    Example
    -------
    >>> explained({"a": 1.0}, "why"), explained({"a": None}, "why")
    ({'a': 1.0}, {'a': None, 'reason': 'why'})
    """
    lists = (value for value in document.values() if isinstance(value, list))
    maps = (value for value in document.values() if isinstance(value, dict) and "reason" not in value)
    inside = (item for group in (*lists, *(list(one.values()) for one in maps)) for item in group)
    nested = any(item is None or (isinstance(item, list) and None in item) for item in inside)
    return {**document, "reason": reason} if nested or None in document.values() else document


def json_text(document: Mapping[str, Any]) -> str:
    """A JSON document as text, an area, eye or verdict on each line; nan cannot get through.

    Example
    -------
    >>> print(json_text({"title": "A", "areas": [{"area": "rear", "cell_m": [1, 1]}, {"area": "side"}]}), end="")
    {
     "title": "A",
     "areas": [
      {"area": "rear", "cell_m": [1, 1]},
      {"area": "side"}
     ]
    }
    """
    return _spread(document, 0) + "\n"


_LINES_DOWN_TO = 4  # the document, its variants, one of them, its areas: each of these is a line


def _spread(value: Any, level: int) -> str:
    """Lists of documents and what holds such lists over several lines, anything else on one."""
    start = "\n" + " " * (level + 1)
    if level < _LINES_DOWN_TO and _is_documents(value):
        return f"[{start}{f',{start}'.join(_spread(one, level + 1) for one in value)}{start[:-1]}]"
    if level < _LINES_DOWN_TO and isinstance(value, dict) and any(_is_documents(one) for one in value.values()):
        parts = (f"{json.dumps(name, ensure_ascii=False)}: {_spread(one, level + 1)}" for name, one in value.items())
        return f"{{{start}{f',{start}'.join(parts)}{start[:-1]}}}"
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _is_documents(value: Any) -> bool:
    return isinstance(value, list) and any(isinstance(one, dict) for one in value)
