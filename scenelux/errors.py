"""Every error a user can cause is one sentence that says where, what and what would be accepted.

SceneluxError
└── InputError              something given cannot be used              exit status 2
    ├── QuantityError       a text that is not a quantity of the kind asked for
    ├── DocumentError       a scene, luminaire card or criteria document
    ├── PhotometricError    a photometric data file
    ├── UsageError          a command line or library call
    └── LimitError          larger than the stated limit, told before any memory is taken
"""

from __future__ import annotations

__all__ = [
    "DocumentError",
    "InputError",
    "LimitError",
    "PhotometricError",
    "QuantityError",
    "SceneluxError",
    "UsageError",
]


class SceneluxError(Exception):
    """Base of every error that scenelux raises on purpose."""


class InputError(SceneluxError):
    """Input that cannot be used: where it stands, what is wrong and what would be accepted.

    Parameters
    ----------
    problem : what is wrong, one clause without a full stop ("is not an angle").
    file, line, column : place of the value in its document; lines and columns count from 1.
    key : path of the value in its document, such as ``vehicles[0].lamps[2].tilt``.
    value : the value as given, shown in quotes and shortened.
    accepted : what would be accepted, one clause ("give degrees, such as \\"35 deg\\"").
    """

    def __init__(
        self,
        problem: str,
        *,
        file: str | None = None,
        line: int | None = None,
        column: int | None = None,
        key: str | None = None,
        value: object = None,
        accepted: str | None = None,
    ) -> None:
        super().__init__(problem)
        self.problem, self.key, self.value, self.accepted = problem, key, value, accepted
        self.file, self.line, self.column = file, line, column

    def at(self, **where: object) -> InputError:
        """The same error with places filled in that were not known where it arose."""
        known = {name: getattr(self, name) for name in ("file", "line", "column", "key", "value", "accepted")}
        known.update({name: value for name, value in where.items() if known.get(name) is None})
        return type(self)(self.problem, **known)

    def __str__(self) -> str:
        place = ":".join(str(part) for part in (self.file, self.line, self.column) if part is not None)
        what = " ".join(part for part in (self.key, _quoted(self.value), self.problem) if part)
        sentence = f"{place}: {what}" if place else what
        return f"{sentence}; {self.accepted}." if self.accepted else f"{sentence}."


def _quoted(value: object) -> str:
    if value is None:
        return ""
    text = repr(value) if not isinstance(value, str) else f'"{value}"'
    text = " ".join(text.split())
    return text if len(text) <= 120 else f"{text[:117]}..."


class QuantityError(InputError):
    """A text that is not a quantity of the kind asked for."""


class DocumentError(InputError):
    """A scene, a luminaire card or a criteria document that cannot be used."""


class PhotometricError(InputError):
    """A photometric data file that cannot be used; `code` is the stable number of the fault, where it has one."""

    code: int | None = None


class UsageError(InputError):
    """A command line or library call that asks for something that does not exist."""


class LimitError(InputError):
    """Something larger than the stated limit, told before any memory is taken."""
