"""Names that several stages must make or know in the same way: file names, and marks and size of photometric files."""

from __future__ import annotations

import re

__all__ = ["CALCULATED_FROM_BEAM", "INVENTED", "LARGEST_PHOTOMETRIC_BYTES", "slug"]

CALCULATED_FROM_BEAM = "calculated from a stated beam"
"""Keyword text of a photometric file that was made from a beam's stated figures and never measured."""

INVENTED = "Invented"
"""How the keyword text of a photometric file begins that holds demonstration data."""

LARGEST_PHOTOMETRIC_BYTES = 32_000_000


def slug(*parts: str) -> str:
    """A file name from words, safe on every system.

    Example
    -------
    >>> slug("plan", "Tilted 35°", "night/dim")
    'plan-tilted-35-night-dim'
    """
    words = (re.sub(r"[^a-z0-9]+", "-", part.lower()).strip("-") or "x" for part in parts)
    return "-".join(words)
