"""Common flash patterns and published rates by name, from shared/flash-patterns.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from scenelux.errors import QuantityError
from scenelux.shipped import shipped
from scenelux.sources import Source
from scenelux.timing.grammar import parse_pattern
from scenelux.timing.pattern import Pattern

__all__ = ["CommonPattern", "PublishedRate", "common_patterns", "named_pattern", "published_rates"]

_WORDS_SHOWN = 60


@dataclass(frozen=True)
class CommonPattern:
    """A pattern that has a name: its text, what it is, whose rates it keeps to, and where its times are from."""

    name: str
    text: str
    say: str
    rates: tuple[str, ...]
    source: Source

    @property
    def pattern(self) -> Pattern:
        """The pattern itself."""
        return parse_pattern(self.text)


@dataclass(frozen=True)
class PublishedRate:
    """How often a document has lamps flash [1/min]."""

    id: str
    say: str
    low_per_min: float
    high_per_min: float
    source: Source


@cache
def common_patterns() -> Mapping[str, CommonPattern]:
    """Common patterns by name.

    Example
    -------
    >>> common_patterns()["double flash"].pattern.period_us
    800000
    """
    rows = _table()["patterns"]
    found = {
        row["name"]: CommonPattern(row["name"], row["pattern"], row["say"], tuple(row["rates"]), _source(row))
        for row in rows
    }
    return MappingProxyType(found)


@cache
def published_rates() -> Mapping[str, PublishedRate]:
    """Rates of documents by id.

    Example
    -------
    >>> published_rates()["kkk"].low_per_min
    75.0
    """
    rows = _table()["rates"]
    found = {
        row["id"]: PublishedRate(
            row["id"], row["say"], float(row["low_per_min"]), float(row["high_per_min"]), _source(row)
        )
        for row in rows
    }
    return MappingProxyType(found)


def named_pattern(text: str) -> Pattern:
    """The common pattern of that name, or the pattern that the text describes.

    Example
    -------
    >>> named_pattern("double flash") == named_pattern("every 800 ms: 2 x (on 60 ms, off 60 ms), off")
    True
    """
    known = common_patterns()
    if text in known:
        return known[text].pattern
    try:
        return parse_pattern(text)
    except QuantityError as error:
        if isinstance(text, str) and not any(character.isdigit() for character in text) and len(text) <= _WORDS_SHOWN:
            accepted = f"give one of {', '.join(known)}; or {error.accepted}"
            raise QuantityError("is not the name of a flash pattern", value=text, accepted=accepted) from None
        raise


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((shipped("shared") / "flash-patterns.toml").read_text(encoding="utf-8"))


def _source(row: Mapping[str, Any]) -> Source:
    return Source(row["source"], clause=row.get("clause", ""), status=row["status"])
