"""The outermost directions of a plane through the beam axis that reach an intensity."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Lit", "lit_span"]

Array = NDArray[np.float64]

_FRONT_DEG = 90.0 - 1e-6  # what only touches the plane square to the beam lies behind
_HALVINGS = 50


@dataclass(frozen=True)
class Lit:
    """From where to where a plane is lit, and the nearest directions outside that are not [deg]."""

    start_deg: float
    end_deg: float
    before_deg: float
    after_deg: float

    @property
    def width_deg(self) -> float:
        """Distance between the ends."""
        return self.end_deg - self.start_deg


def lit_span(reaches: Callable[[Array], NDArray[np.bool_]], theta_deg: Array) -> Lit | None:
    """The span between the outermost lit directions; None when the front of the plane is dark.

    Light behind the lamp counts where it goes on without a gap from the front. Light that runs round the back and
    leaves the beam axis dark has no span about that axis and does not count. A plane lit all around has 360 deg.

    Parameters
    ----------
    reaches : whether angles from the beam axis reach the intensity.
    theta_deg : (n,) angles to look at, ascending from -180 to 180, which are one direction [deg].

    Example
    -------
    >>> span = lit_span(lambda theta: np.abs(theta - 5.0) <= 10.0, np.arange(-180.0, 181.0, 2.0))
    >>> round(span.start_deg, 6), round(span.end_deg, 6)
    (-5.0, 15.0)
    """
    lit = reaches(theta_deg)
    around = lit[:-1].copy()
    around[0] |= lit[-1]
    if around.all():
        return Lit(-180.0, 180.0, -180.0, 180.0)
    spans = [(a, b) for a, b in _spans(around, theta_deg) if _counts(_place(theta_deg, a), _place(theta_deg, b))]
    if not spans:
        return None
    first, last = min(a for a, _ in spans), max(b for _, b in spans)
    return _closed_in(reaches, *(_place(theta_deg, index) for index in (first, last, first - 1, last + 1)))


def _spans(around: NDArray[np.bool_], theta: Array) -> list[tuple[int, int]]:
    """First and last index of each lit span; those of one across the back lie beyond an end of the list."""
    n = around.size
    starts = np.nonzero(around & ~np.roll(around, 1))[0].tolist()
    after = np.nonzero(~around & np.roll(around, 1))[0].tolist()
    ends = [next((end for end in after if end > start), after[0] + n) - 1 for start in starts]
    return [(a - n, b - n) if _place(theta, b) >= 360.0 else (a, b) for a, b in zip(starts, ends, strict=True)]


def _counts(start_deg: float, end_deg: float) -> bool:
    if start_deg <= -180.0 or end_deg >= 180.0:
        return start_deg <= 0.0 <= end_deg
    return start_deg < _FRONT_DEG and end_deg > -_FRONT_DEG


def _place(theta: Array, index: int) -> float:
    """The angle of an index that may lie beyond an end of the list."""
    turns, inside = divmod(index, theta.size - 1)
    return float(theta[inside]) + 360.0 * turns


def _closed_in(
    reaches: Callable[[Array], NDArray[np.bool_]], start: float, end: float, before: float, after: float
) -> Lit:
    ends, outside = np.array((start, end)), np.array((before, after))
    for _ in range(_HALVINGS):
        middle = 0.5 * (ends + outside)
        above = reaches(middle)
        ends, outside = np.where(above, middle, ends), np.where(above, outside, middle)
    return Lit(float(ends[0]), float(ends[1]), float(outside[0]), float(outside[1]))
