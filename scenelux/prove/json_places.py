"""Finds the line and column of every value of a JSON text that is known to be valid."""

from __future__ import annotations

import json
import re
from bisect import bisect_right

from scenelux.scene.positions import KeyPath, Place, TooDeep

__all__ = ["find_json_places"]

_DEEPEST = 50

_BLANK = re.compile(r"[ \t\n\r]*")
_STRING = re.compile(r'"(?:\\.|[^"\\])*"', re.DOTALL)
_SCALAR = re.compile(r"[^,\]}\s]+")


def find_json_places(text: str) -> dict[KeyPath, Place]:
    """Place of every member and element; the whole document stands under the empty path.

    Example
    -------
    >>> places = find_json_places('[\\n {"a": [2, 30]}]')
    >>> place = places[0, "a", 1]
    >>> place.line, place.column
    (2, 12)
    """
    return _Scan(text).run()


class _Scan:
    """One pass over the text; the state is the position reached."""

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.lines = [0, *(match.end() for match in re.finditer("\n", text))]
        self.places: dict[KeyPath, Place] = {}

    def run(self) -> dict[KeyPath, Place]:
        self.blank()
        self.value((), self.at, 0)
        return self.places

    def blank(self) -> None:
        found = _BLANK.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def line_column(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self.lines, offset)
        return line, offset - self.lines[line - 1] + 1

    def value(self, path: KeyPath, key_at: int, depth: int) -> None:
        if depth > _DEEPEST:
            raise TooDeep
        start, first = self.at, self.text[self.at]
        if first in "[{":
            self.members(path, depth, named=first == "{")
        else:
            found = (_STRING if first == '"' else _SCALAR).match(self.text, start)
            assert found is not None, "json accepted the value"
            self.at = found.end()
        self.places[path] = Place(*self.line_column(start), *self.line_column(key_at), start, self.at)

    def members(self, path: KeyPath, depth: int, named: bool) -> None:
        """Elements of a list, or members of an object."""
        self.at += 1
        index = 0
        self.blank()
        while self.text[self.at] not in "]}":
            key_at, key = self.at, self.key() if named else index
            self.value((*path, key), key_at, depth + 1)
            index += 1
            self.blank()
            if self.text[self.at] == ",":
                self.at += 1
                self.blank()
        self.at += 1

    def key(self) -> str:
        found = _STRING.match(self.text, self.at)
        assert found is not None, "json accepted the key"
        self.at = found.end()
        self.blank()
        self.at += 1  # the colon
        self.blank()
        return str(json.loads(found[0]))
