"""The claims beside what the fitted beam gives: how far apart they are, which of them far, and that in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import nan
from typing import NamedTuple

from scenelux.photometry.fit.claims import rounded

__all__ = ["FAR_OFF", "LIFT", "Residual", "far_off_in_words"]

LIFT = 0.1
"""Points are compared with both values lifted by this share of the stated peak.

Near the peak the difference is then about a relative one, far below it a multiple of that in percent of the peak. The
peak is the stated one, never that of the beam on trial: a beam that is far too bright must not shrink its own misfit.
"""

FAR_OFF = 0.20
"""Share of a stated figure from which on a difference is told; of a point, of its value and a tenth of the peak."""


class Residual(NamedTuple):
    """A claim beside what the fitted beam gives; a limit may be passed downwards, and a point has a peak above it."""

    claim: str
    stated: float
    fitted: float
    unit: str
    limit: bool = False
    peak: float | None = None

    @property
    def percent(self) -> float:
        """The difference in percent of the stated value; nan where that is 0."""
        return 100.0 * (self.fitted / self.stated - 1.0) if self.stated else nan

    @property
    def percent_of_peak(self) -> float | None:
        """The difference at a point in percent of the stated peak."""
        return None if self.peak is None else 100.0 * (self.fitted - self.stated) / self.peak

    @property
    def is_small(self) -> bool:
        """A point below a tenth of the peak, whose difference says more in percent of the peak."""
        return self.peak is not None and self.stated < LIFT * self.peak

    @property
    def share(self) -> float:
        """What `FAR_OFF` is compared with: below 0 where the fit gives less."""
        return (self.fitted - self.stated) / (self.stated + LIFT * (self.peak or 0.0))

    @property
    def is_far_off(self) -> bool:
        """The fit and the claim differ by more than `FAR_OFF`."""
        return self.share > FAR_OFF or (self.share < -FAR_OFF and not self.limit)


def far_off_in_words(residuals: Sequence[Residual]) -> Iterator[str]:
    """A sentence for every figure that is far off, and one for all points that are.

    Parameters
    ----------
    residuals : all of a fit.
    """
    for one in residuals:
        if one.peak is None and one.is_far_off:
            yield _in_words(one)
    points = [one for one in residuals if one.peak is not None]
    far = [one for one in points if one.is_far_off]
    if far:
        worst = max(far, key=lambda one: abs(one.share))
        yield f"{_in_words(worst)}; {_how_many(len(far), len(points))} of its value and 2 % of the peak"


def _in_words(one: Residual) -> str:
    fitted = f"{rounded(one.fitted)} {one.unit}"
    return f"{one.claim}: stated {rounded(one.stated, 6)} {one.unit}, the fit gives {fitted}"


def _how_many(far: int, all_points: int) -> str:
    if far == 1:
        return f"of {all_points} points this one is off by more than 20 %"
    return f"{far} of {all_points} points are off by more than 20 %"
