"""Tokens of a flash pattern as people write it, each with its place in the text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from scenelux.errors import QuantityError

__all__ = ["ACCEPTED", "UNITS_US", "Token", "fault", "number_of", "tokens"]

ACCEPTED = (
    'write steps such as "on 50 ms", "off 0.7 s" or "at 40 % 120 ms" with commas between them, "3 x (..)" to repeat, '
    'and before them, where wanted, "75 per minute:" or "every 800 ms:"'
)

UNITS_US = {"us": 1, "ms": 1_000, "s": 1_000_000, "min": 60_000_000}

_TOKEN = re.compile(r"(?P<number>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)|(?P<word>[A-Za-zµ×]+)|(?P<mark>[(),:%])")
_LONGEST = 400
_MOST_DIGITS = 15


@dataclass(frozen=True)
class Token:
    """A number, a word in small letters or a mark, and the character at which it begins, counted from 1."""

    text: str
    kind: str
    at: int


def tokens(text: str) -> Iterator[Token]:
    """Tokens of a text, a last empty one at its end."""
    if len(text) > _LONGEST:
        raise QuantityError(f"is longer than {_LONGEST} characters", value=text, accepted="write it with repeats")
    place = 0
    while place < len(text):
        if text[place].isspace():
            place += 1
            continue
        found = _TOKEN.match(text, place)
        if not found:
            raise fault(text, Token(text[place], "mark", place + 1), "a word, a number or a mark")
        word = found.group().lower().replace("×", "x").replace("µ", "u")
        yield Token(word, str(found.lastgroup), place + 1)
        place = found.end()
    yield Token("", "end", len(text) + 1)


def fault(text: str, token: Token, wanted: str) -> QuantityError:
    """An error that says what stands where, and what was wanted there."""
    has = f'has "{token.text}" at character {token.at}' if token.text else "ends"
    return QuantityError(f"{has} where {wanted} is expected", value=text, accepted=ACCEPTED)


def number_of(text: str, token: Token) -> Fraction:
    """The number of a token, exactly."""
    if token.kind != "number" or len(token.text) > _MOST_DIGITS:
        raise fault(text, token, f"a number of at most {_MOST_DIGITS} characters")
    return Fraction(token.text)
