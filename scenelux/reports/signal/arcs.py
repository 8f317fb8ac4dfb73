"""Headings about a vehicle in words: runs of neighbours with the side on which they are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["SIDES", "arc_words"]

SIDES = ("front", "left", "rear", "right")
"""Counter-clockwise from the front."""

MOST_ARCS = 3


def arc_words(heading_deg: NDArray[np.float64], there: NDArray[np.bool_]) -> str:
    """Some of the headings of a ring, neighbours together.

    Parameters
    ----------
    heading_deg : (directions,) ascending all round, counter-clockwise from the front [deg].
    there : (directions,) which of them.

    Example
    -------
    >>> ring = np.arange(0.0, 360.0, 5.0)
    >>> arc_words(ring, (ring == 90) | (ring == 95) | (ring == 270))
    'heading 90 to 95 deg (left), 270 deg (right)'
    >>> arc_words(ring, (ring > 340) | (ring < 20))
    'heading 345 to 15 deg (front)'
    """
    if there.all() or not there.any():
        return "all round" if there.any() else "none"
    start = int(np.flatnonzero(~there)[0])
    heading, marks = np.roll(heading_deg, -start), np.append(np.roll(there, -start), False)
    ends = np.flatnonzero(np.diff(marks.astype(np.int8))).reshape(-1, 2)
    words = [_arc(float(heading[before + 1]), float(heading[last])) for before, last in ends]
    return f"heading {', '.join(words[:MOST_ARCS])}{' ..' if len(words) > MOST_ARCS else ''}"


def _arc(first_deg: float, last_deg: float) -> str:
    """From, to, and the side of its middle, where it is no wider than a side."""
    width = (last_deg - first_deg) % 360.0
    turn = f"{first_deg:g} to {last_deg:g} deg" if width else f"{first_deg:g} deg"
    return turn if width > 90.0 else f"{turn} ({SIDES[round((first_deg + 0.5 * width) / 90.0) % 4]})"
