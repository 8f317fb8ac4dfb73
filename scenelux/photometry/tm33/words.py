"""Texts as XML 1.0 takes them."""

from __future__ import annotations

import re
from xml.sax.saxutils import escape, quoteattr

__all__ = ["holds", "quoted", "xml_text"]

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_KEPT_AS_CODES = {"\r": "&#13;"}
_KEPT_IN_ATTRIBUTES = {"\r": "&#13;", "\n": "&#10;", "\t": "&#9;"}


def holds(text: str) -> bool:
    """Whether XML can hold every letter of a text."""
    return not _FORBIDDEN.search(text)


def xml_text(text: str) -> str:
    """A text between two tags; letters that XML cannot hold are left out."""
    return escape(_FORBIDDEN.sub("", text), _KEPT_AS_CODES)


def quoted(text: str) -> str:
    """The value of an attribute, in quotes."""
    return quoteattr(_FORBIDDEN.sub("", text), _KEPT_IN_ATTRIBUTES)
