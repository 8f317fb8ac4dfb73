"""Keywords as the lines of an LM-63 file: plain ASCII, at most 132 characters, long texts continued under MORE."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from scenelux.errors import LimitError, UsageError
from scenelux.photometry.lm63.text import HEAD_LINES, REQUIRED_KEYWORDS

__all__ = ["LONGEST_LINE", "keyword_lines", "plain_key"]

LONGEST_LINE = 132
"""Characters of a line without its end; every edition takes that many."""

_LONGEST_KEY = 100
_LETTERS = str.maketrans(
    {
        "°": "deg", "µ": "u", "μ": "u", "×": "x", "·": "*", "±": "+-", "–": "-", "—": "-", "−": "-", "‐": "-",
        "ß": "ss", "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O", "œ": "oe", "Œ": "OE", "ł": "l", "Ł": "L", "đ": "d",
        "Đ": "D", "ı": "i",
        "‘": "'", "’": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "…": "...", "≤": "<=", "≥": ">=",
        "Ω": "Ohm", "€": "EUR", "®": "(R)", "©": "(C)",
    }
)  # fmt: skip
_LOOKS_LIKE_SYNTAX = re.compile(r"\s*(?:\[|TILT\s*=)", re.IGNORECASE)


def keyword_lines(keywords: Sequence[tuple[str, str]]) -> list[str]:
    """The lines of keywords in order, after those of the required ones that are missing.

    Parameters
    ----------
    keywords : (key, text), keys without brackets. A text without a key stands alone on its line.

    Source
    ------
    ANSI/IESNA LM-63-2002, clauses 4 and 5.2 and Annex A.

    Example
    -------
    >>> keyword_lines([("TEST", "1"), ("TESTLAB", "Häll"), ("ISSUEDATE", "today"), ("MANUFAC", "")])
    ['[TEST] 1', '[TESTLAB] Hall', '[ISSUEDATE] today', '[MANUFAC]']
    """
    present = {key for key, _ in keywords}
    missing = [(key, "not stated") for key in REQUIRED_KEYWORDS if key not in present]
    lines: list[str] = []
    for given, text in [*missing, *keywords]:
        key, words = _ascii(given), _ascii(text).strip()
        if len(key) > _LONGEST_KEY or any(bracket in key for bracket in "[]"):
            raise UsageError("is not a keyword", key="keywords", value=key, accepted="use a short one without brackets")
        bare = not key and not _LOOKS_LIKE_SYNTAX.match(words)
        if key or words:
            lines += _folded("" if bare else f"[{key or 'OTHER'}] ", words)
    if len(lines) >= HEAD_LINES:
        raise LimitError(f"need {len(lines)} lines", key="the keywords", accepted=f"{HEAD_LINES - 1} have room")
    return lines


def plain_key(key: str) -> str:
    """A key that every reader takes: capitals without brackets, not too long.

    Parameters
    ----------
    key : of any format.

    Example
    -------
    >>> plain_key("_Lamp [1]"), plain_key("")
    ('_LAMP 1', 'OTHER')
    """
    plain = _ascii(key).replace("[", "").replace("]", "").upper()
    return " ".join(plain.split())[:_LONGEST_KEY].strip() or "OTHER"


def _folded(first: str, text: str) -> list[str]:
    """One keyword on as many lines as it needs, later ones under MORE."""
    lines: list[str] = []
    start = first
    while True:
        room = LONGEST_LINE - len(start)
        if len(text) <= room:
            return [*lines, f"{start}{text}".rstrip()]
        cut = text.rfind(" ", 1, room + 1)
        cut = cut if cut > 0 else room
        lines.append(f"{start}{text[:cut]}".rstrip())
        text, start = text[cut:].lstrip(), "[MORE] "


def _ascii(text: str) -> str:
    """Letters without their accents, usual signs in plain letters; what has neither becomes a question mark."""
    plain = unicodedata.normalize("NFKD", text.translate(_LETTERS)).translate(_LETTERS)
    kept = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return "".join(letter if " " <= letter <= "~" else "?" if letter > "~" else " " for letter in kept)
