"""Warnings and errors about a photometric file, each with a stable number and its place.

Numbers up to 99 are those of common faults of such files; from 101 on they are: 101 a required keyword is missing,
102 the file is near-field data, 103 two commas touch, 104 the lamp count is not positive.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from scenelux.errors import PhotometricError

__all__ = ["FaultLog", "FileWarning"]


@dataclass(frozen=True)
class FileWarning:
    """Something about a photometric file that its user should know: stable number, line if there is one, sentence."""

    code: int
    line: int | None
    sentence: str

    def __str__(self) -> str:
        place = f"line {self.line}: " if self.line is not None else ""
        return f"{place}{self.sentence} [{self.code}]"


@dataclass
class FaultLog:
    """Collects the warnings of one reading, and words its errors. Offsets count bytes of `body`."""

    file: str
    body: bytes = b""
    warnings: list[FileWarning] = field(default_factory=list)

    def warn(self, code: int, sentence: str, offset: int | None = None) -> None:
        """Keeps a warning, once."""
        line = None if offset is None else self.place(offset)[0]
        known = [(one.code, one.sentence) for one in self.warnings]
        if (code, sentence) not in known:
            self.warnings.append(FileWarning(code, line, sentence))

    def error(
        self, code: int, problem: str, offset: int | None = None, *,
        key: str | None = None, value: object = None, accepted: str | None = None,
    ) -> PhotometricError:  # fmt: skip
        """An error to raise, with its number."""
        line, column = (None, None) if offset is None else self.place(offset)
        error = PhotometricError(
            problem, file=self.file or None, line=line, column=column, key=key, value=value, accepted=accepted
        )
        error.code = code
        return error

    def place(self, offset: int) -> tuple[int, int]:
        """Line and column of a byte, both counted from 1; computed only for messages."""
        head = self.body[:offset]
        line = 1 + head.count(b"\n") + head.count(b"\r") - head.count(b"\r\n")
        return line, offset - max(head.rfind(b"\n"), head.rfind(b"\r"))
