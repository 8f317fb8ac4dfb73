"""File generation types of LM-63-2019: ten legal tokens, kept as written, never a factor."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.photometry import read_lm63

Write = Callable[..., bytes]

LEGAL = {
    "1.00001": ("undefined",),
    "1.00010": ("computer simulation",),
    "1.00000": ("unaccredited laboratory",),
    "1.00100": ("unaccredited laboratory", "scaled lumens"),
    "1.01000": ("unaccredited laboratory", "interpolated angles"),
    "1.01100": ("unaccredited laboratory", "interpolated angles", "scaled lumens"),
    "1.10000": ("accredited laboratory",),
    "1.10100": ("accredited laboratory", "scaled lumens"),
    "1.11000": ("accredited laboratory", "interpolated angles"),
    "1.11100": ("accredited laboratory", "interpolated angles", "scaled lumens"),
}


def of(lm63: Write, token: str, first: str = "IES:LM-63-2019"):
    return read_lm63(lm63(first=first, second=f"0.5 {token} 10"))


@pytest.mark.parametrize("token", LEGAL)
def test_legal_tokens(lm63: Write, token: str) -> None:
    file = of(lm63, token)
    assert file.generation is not None and file.warnings == ()
    assert (file.generation.token, file.generation.words) == (token, LEGAL[token])
    assert file.distribution.candela.max() == 50 and file.factor == 0.5


@pytest.mark.parametrize(
    ("token", "same"), [("1", "1.00000"), ("1.", "1.00000"), ("1.0001", "1.00010"), ("1.1", "1.10000")]
)
def test_short_tokens_mean_their_digits(lm63: Write, token: str, same: str) -> None:
    file = of(lm63, token)
    assert file.generation is not None and file.generation.token == token and file.warnings == ()
    assert file.generation.words == LEGAL[same]


@pytest.mark.parametrize("token", ["0.9", "1.00011", "1.2", "2", "1.000001", "0", "-1", "+1.1", "1e0"])
def test_109_any_other_is_undefined(lm63: Write, token: str) -> None:
    file = of(lm63, token)
    assert file.generation is not None
    assert (file.generation.token, file.generation.words) == (token, ("undefined",))
    assert (109, 8) in [(one.code, one.line) for one in file.warnings]
    assert file.distribution.candela.max() == 50


@pytest.mark.parametrize("first", ["IESNA91", "IESNA:LM-63-1995", "IESNA:LM-63-2002", "words"])
def test_other_editions_say_nothing(lm63: Write, first: str) -> None:
    assert of(lm63, "1", first).generation is None
