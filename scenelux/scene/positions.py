"""Finds the line and column of every key and value of a TOML text that is known to be valid."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass

__all__ = ["KeyPath", "Place", "TooDeep", "find_places", "path_text"]

KeyPath = tuple[str | int, ...]
"""Keys and indices from the top of a document."""

_DEEPEST = 50

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_INLINE_BLANK = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}(?!")' r"|'''.*?'{3,5}(?!')" r'|"(?:\\.|[^"\\])*"' r"|'[^']*'", re.DOTALL
)
_SCALAR = re.compile(r"[^,\]}#\n]+")


class TooDeep(Exception):
    """Arrays and inline tables inside each other beyond any sense."""


@dataclass(frozen=True)
class Place:
    """Where a value and its key begin; lines and columns count from 1. start and end cut the value from the text."""

    line: int
    column: int
    key_line: int
    key_column: int
    start: int
    end: int


def path_text(path: KeyPath) -> str:
    """A path as it is written in messages.

    Example
    -------
    >>> path_text(("vehicles", 0, "lamps", 2, "tilt")), path_text(("states", "on call", "say"))
    ('vehicles[0].lamps[2].tilt', 'states."on call".say')
    """
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            text += ("." if text else "") + (part if _BARE_KEY.fullmatch(part) else f'"{part}"')
    return text


def find_places(text: str) -> dict[KeyPath, Place]:
    """Place of every table, key and array element; the whole document stands under the empty path.

    Example
    -------
    >>> places = find_places('a = 1\\n[[b]]\\nc = { d = [2, 30] }')
    >>> place = places["b", 0, "c", "d", 1]
    >>> place.line, place.column
    (3, 15)
    """
    return _Scan(text).run()


class _Scan:
    """One pass over the text; the state is the position reached and the table being filled."""

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.lines = [0, *(match.end() for match in re.finditer("\n", text))]
        self.places: dict[KeyPath, Place] = {(): Place(1, 1, 1, 1, 0, 0)}
        self.counts: dict[KeyPath, int] = {}

    def run(self) -> dict[KeyPath, Place]:
        table: KeyPath = ()
        self.skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.key_value(table, 0)
            self.skip(_BLANK)
        return self.places

    def skip(self, pattern: re.Pattern[str]) -> None:
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def line_column(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self.lines, offset)
        return line, offset - self.lines[line - 1] + 1

    def note(self, path: KeyPath, key_at: int, start: int, end: int) -> None:
        place = Place(*self.line_column(start), *self.line_column(key_at), start, end)
        # The first mention of a dotted or implied table is the one to point at.
        self.places.setdefault(path, place)

    def header(self) -> KeyPath:
        start = self.at
        several = self.text.startswith("[[", start)
        self.at += 2 if several else 1
        keys = self.keys()
        self.at = self.text.index("]", self.at) + (2 if several else 1)
        path: KeyPath = ()
        for key in keys[:-1]:
            path = self.inside((*path, key))
            self.note(path, start, start, start)
        path = (*path, keys[-1])
        if several:
            self.note(path, start, start, start)
            self.counts[path] = self.counts.get(path, 0) + 1
            path = (*path, self.counts[path] - 1)
        # A header stands for the whole table, also when a child was written earlier.
        self.places.pop(path, None)
        self.note(path, start, start, start)
        return path

    def inside(self, path: KeyPath) -> KeyPath:
        """The path itself, or its last element when it is an array of tables."""
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def keys(self) -> list[str]:
        keys = []
        while True:
            self.skip(_INLINE_BLANK)
            quoted = self.text[self.at] in "\"'"
            found = (_STRING if quoted else _BARE_KEY).match(self.text, self.at)
            assert found is not None, "tomllib accepted the key"
            keys.append(tomllib.loads(f"{found[0]} = 0").popitem()[0] if quoted else found[0])
            self.at = found.end()
            self.skip(_INLINE_BLANK)
            if self.text[self.at] != ".":
                return keys
            self.at += 1

    def key_value(self, table: KeyPath, depth: int) -> None:
        key_at = self.at
        keys = self.keys()
        self.at += 1  # the equals sign
        self.skip(_INLINE_BLANK)
        for count in range(1, len(keys)):
            self.note((*table, *keys[:count]), key_at, key_at, key_at)
        self.value((*table, *keys), key_at, depth)

    def value(self, path: KeyPath, key_at: int, depth: int) -> None:
        if depth > _DEEPEST:
            raise TooDeep
        start, first = self.at, self.text[self.at]
        if first == "[":
            self.array(path, depth)
        elif first == "{":
            self.inline_table(path, depth)
        else:
            found = (_STRING if first in "\"'" else _SCALAR).match(self.text, start)
            assert found is not None, "tomllib accepted the value"
            self.at = start + len(found[0].rstrip())
        self.note(path, key_at, start, self.at)

    def array(self, path: KeyPath, depth: int) -> None:
        self.at += 1
        index = 0
        self.skip(_BLANK)
        while self.text[self.at] != "]":
            self.value((*path, index), self.at, depth + 1)
            index += 1
            self.skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
                self.skip(_BLANK)
        self.at += 1

    def inline_table(self, path: KeyPath, depth: int) -> None:
        self.at += 1
        self.skip(_INLINE_BLANK)
        while self.text[self.at] != "}":
            self.key_value(path, depth + 1)
            self.skip(_INLINE_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
                self.skip(_INLINE_BLANK)
        self.at += 1
