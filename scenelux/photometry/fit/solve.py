"""Least squares: the beam of the family that meets the claims of a data sheet best."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product
from math import degrees, exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.fit.claims import Claims
from scenelux.photometry.fit.figures import Figures
from scenelux.photometry.fit.trial import RANGES_DEG, Trial

__all__ = ["MIDDLE_SOFTNESS", "best_trial", "unfit_because"]

Array = NDArray[np.float64]

MIDDLE_SOFTNESS = 0.5
"""Softness of a flat-top beam whose edge no claim tells."""

_STARTS = (1.0, 0.5, 2.0)  # of the first guess of a width
_SOFT_STARTS = (0.25, 0.75)
_TOLERANCE = 1e-13
_ROUGH_STEPS, _STEPS = 12, 200
_HIGHEST = 60.0  # logarithm of an intensity that no lamp has


@dataclass(frozen=True)
class _Layout:
    """Which numbers are free: logarithms of the height and of one or two widths, and the softness of the edge."""

    form: str
    round: bool
    softness: float | None  # None where it is free
    cutoff_deg: float | None

    def trial(self, free: Array) -> Trial:
        low, high = RANGES_DEG[self.form]
        widths = [min(max(exp(one), low), high) for one in free[1 : 2 if self.round else 3]]
        softness = float(free[-1]) if self.softness is None else self.softness
        return Trial(self.form, exp(free[0]), widths[0], widths[-1], min(max(softness, 0.0), 1.0), self.cutoff_deg)

    def bounds(self) -> tuple[list[float], list[float]]:
        low, high = (log(end) for end in RANGES_DEG[self.form])
        widths, soft = 1 if self.round else 2, self.softness is None
        return [-_HIGHEST, *[low] * widths, *[0.0] * soft], [_HIGHEST, *[high] * widths, *[1.0] * soft]

    def starts(self, claims: Claims) -> list[list[float]]:
        across, up = _first_widths(claims)
        guesses = [(across,), (across * 0.5,), (across * 2.0,)] if self.round else product(
            *([width * factor for factor in _STARTS] for width in (across, up))
        )  # fmt: skip
        soft = [(one,) for one in _SOFT_STARTS] if self.softness is None else [()]
        lows, highs = self.bounds()
        return [
            [0.0, *(min(max(log(width), lows[1] + 1e-3), highs[1] - 1e-3) for width in widths), *edge]
            for widths, edge in product(guesses, soft)
        ]


def unfit_because(form: str, claims: Claims) -> str | None:
    """Why a form cannot have the claimed widths at all; None when it can.

    Parameters
    ----------
    form : its name.
    claims : of the data sheet.
    """
    low, high = RANGES_DEG[form]
    pairs = claims.beams_deg, claims.fields_deg
    if form == "cosine-power" and any(across != up for across, up in pairs):
        return "it is round, and the claims are not"
    if any(one is not None and not low <= one <= high for one in claims.beams_deg):
        return f"its beam angle is {low:g} to {high:g} deg"
    return None


def _points(claims: Claims) -> bool:
    return bool(claims.points or claims.relative_points)


def best_trial(form: str, claims: Claims, figures: Figures, softness: float | None = None) -> Trial:
    """The beam of a form with the least squares of the relative residuals.

    Parameters
    ----------
    form : its name.
    claims, figures : of the data sheet, and as equations.
    softness : of a flat-top beam; when not given it is free where there are more figures of the shape than widths,
        otherwise in the middle.
    """
    if softness is None and (form != "flat-top" or figures.shaped <= figures.widths or not _tells_the_edge(claims)):
        softness = MIDDLE_SOFTNESS
    layout = _Layout(form, figures.round or form == "cosine-power", softness, claims.cutoff_above_deg)
    starts = [[_first_height(layout.trial(np.array(one)), figures), *one[1:]] for one in layout.starts(claims)]
    rough = [_solved(layout, start, figures, _ROUGH_STEPS) for start in starts]
    _, best = min(rough, key=lambda one: (round(one[0], 9), tuple(one[1].tolist())))
    return layout.trial(_solved(layout, best.tolist(), figures, _STEPS)[1])


def _tells_the_edge(claims: Claims) -> bool:
    """Only a second level tells how soft an edge is; lumens and peak hardly depend on it."""
    return any(one is not None for one in claims.fields_deg) or _points(claims)


def _solved(layout: _Layout, start: list[float], figures: Figures, steps: int) -> tuple[float, Array]:
    """Half the sum of the squares, and the free numbers, after at most so many steps."""
    from scipy.optimize import least_squares

    def apart(free: Array) -> Array:
        return figures.apart(layout.trial(free))

    bounds = layout.bounds()
    found = least_squares(
        apart, start, bounds=bounds, ftol=_TOLERANCE, xtol=_TOLERANCE, gtol=_TOLERANCE, max_nfev=steps
    )
    return float(found.cost), np.asarray(found.x, np.float64)


def _first_height(trial: Trial, figures: Figures) -> float:
    """Logarithm of the height that suits the first figure of the size."""
    for one in figures.single:
        if one.unit in ("lm", "cd", "lx"):
            return min(log(one.stated / max(one.given(trial), 1e-12)), _HIGHEST - 1.0)
    return log(max(float(figures.points[:, 2].max()), 1e-6))


def _first_widths(claims: Claims) -> tuple[float, float]:
    """A first guess of the widths [deg]."""
    beams, fields = claims.beams_deg, claims.fields_deg
    found = [beam or (field and 0.55 * field) for beam, field in zip(beams, fields, strict=True)]
    return found[0] or _guess(claims, 0), found[1] or _guess(claims, 1)


def _guess(claims: Claims, at: int) -> float:
    """From the points, twice their weighted distance from the axis; else from lumens and peak."""
    rows: Iterable[tuple[float, float, float]] = (*claims.points, *claims.relative_points)
    far = [abs(row[at]) for row in rows if row[at]]
    if far:
        return 2.0 * sum(far) / len(far)
    if claims.flux_lm and claims.intensities:
        return degrees(sqrt(claims.flux_lm / claims.intensities[0][1] / 1.133))
    return 30.0
