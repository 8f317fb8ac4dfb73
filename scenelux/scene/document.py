"""A TOML document with the place of every key and value: parsed by tomllib, located by a scan of our own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from scenelux.errors import DocumentError, InputError, LimitError
from scenelux.names import PHOTOMETRIC_ENDINGS
from scenelux.scene.positions import KeyPath, Place, TooDeep, find_places, path_text

__all__ = ["LARGEST_BYTES", "Document", "Written", "read_document", "read_limited"]

LARGEST_BYTES = 1_000_000

_SYNTAX = {
    "Cannot overwrite a value": "a key is given twice",
    "Cannot declare": "a table is given twice",
    "Cannot mutate": "a table that is already complete is added to",
    "Cannot redefine": "a table is given twice",
    "Invalid value": "this value is not TOML",
    "Expected '='": "a key has no value",
    "Unterminated string": "a text has no closing quote",
    "Illegal character '\\n'": "a text has no closing quote",
    "Illegal character": "a character is not allowed here",
    "Unclosed array": "a list has no closing ]",
    "Unclosed inline table": "a table has no closing }",
    "Invalid statement": "a line is no key, table or comment",
    "Expected newline or end of document": "a line holds more than one key and its value",
    "Duplicate inline table key": "a key is given twice",
    "Unescaped": "a text has a backslash that TOML does not know",
    "Invalid hex": "a text has a backslash that TOML does not know",
    "Invalid initial character": "a key is not TOML",
    "Expected ']'": "the name of a table has no closing ]",
    "Found invalid character": "a character is not allowed here",
}
"""How the parser's complaints begin, and how we say them."""


class Written:
    """A value shown in an error as it stands in the document."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __repr__(self) -> str:
        return self.text


@dataclass(frozen=True, eq=False)
class Document:
    """What a TOML file says, and where it says it."""

    file: str
    text: str
    table: Mapping[str, object]
    places: Mapping[KeyPath, Place]

    def place(self, path: KeyPath) -> Place:
        """Place of a path, or of the nearest table around it that was written."""
        while path not in self.places:
            path = path[:-1]
        return self.places[path]

    def value(self, path: KeyPath) -> object:
        """The value at a path as it should be shown: text as text, everything else as written."""
        place = self.places.get(path)
        if place is None or place.end <= place.start:
            return None
        written = self.text[place.start : place.end]
        return tomllib.loads(f"v = {written}")["v"] if written[:1] in "\"'" else Written(written)

    def error(
        self, path: KeyPath, problem: str, accepted: str | None = None, *, show: bool = True, at_key: bool = False
    ) -> DocumentError:
        """A document error at a path.

        Parameters
        ----------
        path : keys and indices from the top of the document.
        problem, accepted : clauses of the sentence.
        show : whether to show the value as written.
        at_key : whether the key itself is at fault, not its value.
        """
        place = self.place(path)
        line, column = (place.key_line, place.key_column) if at_key else (place.line, place.column)
        value = self.value(path) if show and not at_key else None
        key = path_text(path) or None
        return DocumentError(problem, file=self.file, line=line, column=column, key=key, value=value, accepted=accepted)

    def located(self, error: InputError, path: KeyPath) -> InputError:
        """An error that arose elsewhere, with the place of a path filled in."""
        place, value = self.place(path), self.value(path)
        return error.at(file=self.file, line=place.line, column=place.column, key=path_text(path) or None, value=value)


def read_limited(path: Path, shown: str, largest_bytes: int, what: str) -> bytes:
    """Bytes of a file that must not be larger than a limit.

    Parameters
    ----------
    path : the file.
    shown : its name in messages.
    largest_bytes : the limit.
    what : what it is, in messages ("a scene").
    """
    try:
        if path.exists() and not path.is_file():  # a pipe would be waited for, a device has no end
            raise DocumentError("is not a plain file", file=shown, accepted=f"name {what}")
        with path.open("rb") as stream:
            data = stream.read(largest_bytes + 1)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise DocumentError(f"the file cannot be read ({reason})", file=shown, accepted=f"name {what}") from None
    if len(data) > largest_bytes:
        problem = f"the file is larger than {largest_bytes:,} bytes"
        raise LimitError(problem, file=shown, accepted=f"{what} is much smaller")
    return data


def read_document(data: bytes, shown: str) -> Document:
    """A TOML document from its bytes.

    Parameters
    ----------
    data : UTF-8 text.
    shown : name of the file in messages.
    """
    if shown.lower().endswith(PHOTOMETRIC_ENDINGS):
        raise DocumentError(
            "is named as a photometric file is", file=shown,
            accepted=f"scenes and cards end in .toml; look at lamp data with: scenelux luminaire show {shown}",
        )  # fmt: skip
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        problem = "the file is not UTF-8 text"
        raise DocumentError(problem, file=shown, line=line, accepted="save the file in the encoding UTF-8") from None
    try:
        table = tomllib.loads(text)
        return Document(shown, text, table, find_places(text))
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(str(error), text, shown) from None
    except (RecursionError, TooDeep):
        problem = "the document is nested too deeply"
        raise DocumentError(problem, file=shown, accepted="a scene has few levels") from None
    except ValueError:  # a whole number of thousands of digits
        raise DocumentError("a number is too long to read", file=shown, accepted="shorten it") from None


def _syntax_error(message: str, text: str, shown: str) -> DocumentError:
    found = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)$", message)
    said = message[: found.start()] if found else message
    if found and found[1]:
        line, column = int(found[1]), int(found[2])
    else:
        line, column = text.count("\n") + 1, len(text) - (text.rfind("\n") + 1) + 1
    plain = next((ours for theirs, ours in _SYNTAX.items() if said.startswith(theirs)), None)
    problem = plain or f"this is not TOML ({said[:1].lower()}{said[1:]})"
    accepted = 'write key = value, text in quotes such as "2.36 m", and # before a comment'
    there = _comma_in_number(text.split("\n")[line - 1], column)
    if there is not None:
        problem = "a number has a comma" if there else problem
        accepted = "write decimals with a point, such as 20.5, and thousands without a comma"
    return DocumentError(problem, file=shown, line=line, column=column, accepted=accepted)


def _comma_in_number(line: str, column: int) -> bool | None:
    """Whether a number with a comma is what the parser stumbled over; None where the line has no such number."""
    before, rest = line[: column - 1], line[column - 1 :]
    if re.search(r"[0-9]$", before) and re.match(r",[0-9]", rest):
        return True
    if re.search(r"[0-9],0$", before) and re.match(r"[0-9]", rest):  # a part of a list that begins with 0
        return True
    return False if re.search(r"[0-9],[0-9]", re.sub(r"\"[^\"]*\"|'[^']*'|#.*", "", line)) else None
