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

__all__ = ["CENTRED", "MIDDLE_SOFTNESS", "Moves", "best_trial", "possible_moves", "unfit_because"]

Array = NDArray[np.float64]

MIDDLE_SOFTNESS = 0.5
"""Softness of a flat-top beam whose edge no claim tells."""

Moves = tuple[tuple[float, float, float] | None, tuple[float, float, float] | None]
"""Where the centre of the beam may lie, right and up: least, first guess and most [deg]; none where on the axis."""

CENTRED: Moves = (None, None)

_FEWEST_FOR_MOVES = 6  # points, for height, two widths, two places and the edge of a flat-top beam
_BRIGHT = 0.9  # of the brightest point: the points around which a centre is looked for

_STARTS = (1.0, 0.5, 2.0)  # of the first guess of a width
_SOFT_STARTS = (0.25, 0.75)
_TOLERANCE = 1e-13
_ROUGH_STEPS, _STEPS = 12, 200
_HIGHEST = 60.0  # logarithm of an intensity that no lamp has


@dataclass(frozen=True)
class _Layout:
    """Which numbers are free: logarithms of height and of one or two widths, the centre, the softness of the edge."""

    form: str
    round: bool
    softness: float | None  # None where it is free
    cutoff_deg: float | None
    moves: Moves = CENTRED

    def trial(self, free: Array) -> Trial:
        low, high = RANGES_DEG[self.form]
        after = 2 if self.round else 3
        widths = [min(max(exp(one), low), high) for one in free[1:after]]
        places = iter(free[after:].tolist())
        right, raised = (0.0 if one is None else next(places) for one in self.moves)
        softness = float(free[-1]) if self.softness is None else self.softness
        edge = min(max(softness, 0.0), 1.0)
        return Trial(self.form, exp(free[0]), widths[0], widths[-1], edge, self.cutoff_deg, right, raised)

    def bounds(self) -> tuple[list[float], list[float]]:
        low, high = (log(end) for end in RANGES_DEG[self.form])
        widths, soft = 1 if self.round else 2, self.softness is None
        least, most = ([one[end] for one in self.moves if one is not None] for end in (0, 2))
        return [-_HIGHEST, *[low] * widths, *least, *[0.0] * soft], [_HIGHEST, *[high] * widths, *most, *[1.0] * soft]

    def starts(self, claims: Claims) -> list[list[float]]:
        places = [one[1] for one in self.moves if one is not None]
        across, up = _first_widths(claims, self.moves)
        factors = _STARTS[:2] if places else _STARTS
        guesses = product(*([width * factor for factor in factors] for width in (across, up)[: 1 if self.round else 2]))
        soft = [(one,) for one in _SOFT_STARTS] if self.softness is None else [()]
        lows, highs = self.bounds()
        return [
            [0.0, *(min(max(log(width), lows[1] + 1e-3), highs[1] - 1e-3) for width in widths), *places, *edge]
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


def possible_moves(claims: Claims) -> Moves:
    """Where the points allow the centre of a beam: among them, where they lie on both sides of it and of the axis.

    With a cut-off the height of the centre stays: what is seen of the beam does not tell it.

    Parameters
    ----------
    claims : of the data sheet.
    """
    rows = np.array(max(claims.points, claims.relative_points, key=len), np.float64).reshape(-1, 3)
    if len(rows) < _FEWEST_FOR_MOVES or not rows[:, 2].max() > 0.0:
        return CENTRED
    bright = rows[rows[:, 2] >= _BRIGHT * rows[:, 2].max()]
    upwards = None if claims.cutoff_above_deg is not None else _move(rows[:, 1], bright[:, 1])
    return _move(rows[:, 0], bright[:, 0]), upwards


def _move(places: Array, bright: Array) -> tuple[float, float, float] | None:
    least, first, most = float(places.min()), float(bright.mean()), float(places.max())
    return (least, first, most) if least < min(first, 0.0) and max(first, 0.0) < most else None


def best_trial(
    form: str, claims: Claims, figures: Figures, softness: float | None = None, moves: Moves = CENTRED
) -> Trial:
    """The beam of a form with the least squares of the relative residuals.

    Parameters
    ----------
    form : its name.
    claims, figures : of the data sheet, and as equations.
    softness : of a flat-top beam; when not given it is free where there are more figures of the shape than widths,
        otherwise in the middle.
    moves : where its centre may lie.
    """
    if softness is None and (form != "flat-top" or figures.shaped <= figures.widths or not _tells_the_edge(claims)):
        softness = MIDDLE_SOFTNESS
    layout = _Layout(form, figures.round or form == "cosine-power", softness, claims.cutoff_above_deg, moves)
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


def _first_widths(claims: Claims, moves: Moves) -> tuple[float, float]:
    """A first guess of the widths [deg]."""
    beams, fields = claims.beams_deg, claims.fields_deg
    found = [beam or (field and 0.55 * field) for beam, field in zip(beams, fields, strict=True)]
    centre = [0.0 if one is None else one[1] for one in moves]
    return found[0] or _guess(claims, 0, centre[0]), found[1] or _guess(claims, 1, centre[1])


def _guess(claims: Claims, at: int, centre: float) -> float:
    """From the points, twice their mean distance from the centre; else from lumens and peak."""
    rows: Iterable[tuple[float, float, float]] = (*claims.points, *claims.relative_points)
    far = [abs(row[at] - centre) for row in rows if row[at] != centre]
    if far:
        return 2.0 * sum(far) / len(far)
    if claims.flux_lm and claims.intensities:
        return degrees(sqrt(claims.flux_lm / claims.intensities[0][1] / 1.133))
    return 30.0
