"""Limits that every format shares, so that what one of them holds the others can take."""

from __future__ import annotations

__all__ = ["LARGEST_CANDELA", "LARGEST_NUMBER", "LARGEST_SIZE_M", "MOST_LAMPS", "USUAL_SIZE_M"]

LARGEST_NUMBER = 1e12
"""Of the head of a file."""

LARGEST_CANDELA = 5e10
"""No lamp sends more in any direction [cd]; the same all around stays below the largest number."""

MOST_LAMPS = 1_000_000
"""In one luminaire."""

USUAL_SIZE_M = 20.0
"""A luminous opening above this is told: its unit may be wrong [m]."""

LARGEST_SIZE_M = 1e6
"""A luminous opening above this is refused [m]."""
