"""What is kept of an XML document: a small tree of elements, and long lists of points beside it."""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from dataclasses import dataclass, field

__all__ = ["DOCUMENT_LETTERS", "ELEMENT_LETTERS", "POINT_LIMIT", "Element", "Points", "one_line"]

ELEMENT_LETTERS = 1_000_000
"""Most letters of text in one element."""

DOCUMENT_LETTERS = 4_000_000
"""Most letters of text and attributes in one document, those of points not counted."""

POINT_LIMIT = 4_000_000
"""Most points in one document."""


@dataclass
class Points:
    """The points under one element, in the order of the document, and the byte where each begins."""

    h_deg: array[float] = field(default_factory=lambda: array("d"))
    v_deg: array[float] = field(default_factory=lambda: array("d"))
    value: array[float] = field(default_factory=lambda: array("d"))
    offset: array[int] = field(default_factory=lambda: array("q"))


@dataclass(slots=True)
class Element:
    """One element by its local name; case and namespace do not matter when it is looked for."""

    name: str
    offset: int
    attributes: dict[str, str]
    parts: list[str] = field(default_factory=list)
    children: list[Element] = field(default_factory=list)
    points: Points | None = None

    @property
    def text(self) -> str:
        """The text of the element itself."""
        return "".join(self.parts)

    def child(self, name: str) -> Element | None:
        """The first child of a name."""
        return next(self.every_child(name), None)

    def every_child(self, name: str) -> Iterator[Element]:
        """All children of a name."""
        return (one for one in self.children if one.name.lower() == name.lower())

    def within(self) -> Iterator[Element]:
        """All elements inside, in the order of the document."""
        waiting = self.children[::-1]
        while waiting:
            one = waiting.pop()
            yield one
            waiting += one.children[::-1]

    def first(self, *names: str) -> Element | None:
        """The first element inside, at any depth, that has one of the names."""
        wanted = {name.lower() for name in names}
        return next((one for one in self.within() if one.name.lower() in wanted), None)

    def every(self, name: str) -> list[Element]:
        """All elements inside of a name, at any depth."""
        return [one for one in self.within() if one.name.lower() == name.lower()]

    def words(self) -> str:
        """The text of the element and of what is in it, on one line."""
        parts = (self.text, *(one.text for one in self.within()))
        return " ".join(part for part in (one_line(text) for text in parts) if part)


def one_line(text: str) -> str:
    """A text without its line ends and outer blanks; blanks inside a line stay."""
    return " ".join(line.strip() for line in text.splitlines() if line.strip())
