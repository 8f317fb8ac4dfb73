"""Limits that every format shares, so that what one of them holds the others can take."""

from __future__ import annotations

from scenelux.errors import LimitError
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES

__all__ = [
    "GRID_LIMIT",
    "LARGEST_CANDELA",
    "LARGEST_NUMBER",
    "LARGEST_SIZE_M",
    "MOST_LAMPS",
    "USUAL_SIZE_M",
    "check_written_table",
    "written",
]

GRID_LIMIT = 4_000_000
"""Most intensities of one file; in EULUMDAT those count that symmetry leaves out."""

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

_COARSER = "write a coarser table"


def check_written_table(horizontal: int, vertical: int) -> None:
    """Refuses to write a table that no reader takes.

    Parameters
    ----------
    horizontal, vertical : numbers of angles.
    """
    if horizontal * vertical > GRID_LIMIT:
        raise LimitError(f"are {horizontal * vertical}, too many for a file", key="the intensities", accepted=_COARSER)


def written(data: bytes) -> bytes:
    """A file as it was, refused when no reader takes one that is so large.

    Parameters
    ----------
    data : the bytes of the file.
    """
    if len(data) > LARGEST_PHOTOMETRIC_BYTES:
        raise LimitError(f"would be a file of {len(data) / 1e6:.1f} MB", accepted=_COARSER)
    return data
