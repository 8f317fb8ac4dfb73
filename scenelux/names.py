"""Names that several stages must make or know in the same way: file names, marks and size of data files, colours."""

from __future__ import annotations

import re

__all__ = [
    "CALCULATED_FROM_BEAM",
    "COLOUR_WORDS",
    "INVENTED",
    "LARGEST_PHOTOMETRIC_BYTES",
    "LARGEST_SPECTRUM_BYTES",
    "PHOTOMETRIC_ENDINGS",
    "WHITE_RANGE_K",
    "WHITE_WITH_CCT",
    "slug",
]

CALCULATED_FROM_BEAM = "calculated from a stated beam"
"""Keyword text of a photometric file that was made from a beam's stated figures and never measured."""

INVENTED = "Invented"
"""How the keyword text of a photometric file begins that holds demonstration data."""

PHOTOMETRIC_ENDINGS = (".ies", ".ldt", ".xml", ".csv", ".txt")
"""Endings of photometric files; which format one has, its content tells."""

LARGEST_PHOTOMETRIC_BYTES = 32_000_000
LARGEST_SPECTRUM_BYTES = 1_000_000

COLOUR_WORDS = ("white", "amber", "yellow", "selective yellow", "red", "blue", "green")
"""Words for the colour of a lamp's light; amber and yellow are one colour, which documents name differently."""

WHITE_WITH_CCT = r"white ([0-9]{1,6}) K"
"""White with its correlated colour temperature, such as "white 5000 K"."""

WHITE_RANGE_K = (1000, 20_000)


def slug(*parts: str) -> str:
    """A file name from words, safe on every system.

    Example
    -------
    >>> slug("plan", "Tilted 35°", "night/dim")
    'plan-tilted-35-night-dim'
    """
    words = (re.sub(r"[^a-z0-9]+", "-", part.lower()).strip("-") or "x" for part in parts)
    return "-".join(words)
