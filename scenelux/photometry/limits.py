"""Limits that every format shares, so that what one of them holds the others can take."""

from __future__ import annotations

__all__ = ["LARGEST_NUMBER", "LARGEST_SIZE_M", "MOST_LAMPS", "USUAL_SIZE_M"]

LARGEST_NUMBER = 1e12
"""Of the head of a file."""

MOST_LAMPS = 1_000_000
"""In one luminaire."""

USUAL_SIZE_M = 20.0
"""A luminous opening above this is told: its unit may be wrong [m]."""

LARGEST_SIZE_M = 1e6
"""A luminous opening above this is refused [m]."""
