"""The claims as equations: what each one states, what a beam on trial gives for it, and how far apart they are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.photometry.fit.claims import Claims, lux_at, named
from scenelux.photometry.fit.contradictions import cone_sr
from scenelux.photometry.fit.residuals import LIFT, Residual
from scenelux.photometry.fit.trial import Trial

__all__ = ["Figure", "Figures", "figures_of"]

Array = NDArray[np.float64]

_FLUX_OVER_PEAK = 1.4  # of a smooth beam, in solid angles of its beam angles
_TINY = 1e-300


@dataclass(frozen=True)
class Figure:
    """One stated figure: in words, its value and unit, what a beam gives, and whether it is only an upper limit."""

    words: str
    stated: float
    unit: str
    given: Callable[[Trial], float]
    limit: bool = False

    def apart(self, trial: Trial) -> float:
        """Logarithm of fitted over stated; a limit counts only when it is passed."""
        ratio = log(max(self.given(trial), _TINY) / self.stated)
        return max(ratio, 0.0) if self.limit else ratio


@dataclass(frozen=True, eq=False)
class Figures:
    """All claims as equations.

    Parameters
    ----------
    single : one by one.
    points : (n, 3) degrees right, degrees up, candela.
    shares : (n, 3) degrees right, degrees up, share of the peak.
    names : of the points and shares.
    highest_cd : the highest intensity as far as the claims tell it, 0 where they do not [cd].
    round : the beam is the same all around, as far as the claims say.
    sized : independent figures that tell how much light there is.
    shaped : independent figures that tell where it goes.
    """

    single: tuple[Figure, ...]
    points: Array
    shares: Array
    names: tuple[str, ...]
    highest_cd: float
    round: bool
    sized: int
    shaped: int

    @property
    def widths(self) -> int:
        """Widths that the claims have to decide."""
        return 1 if self.round else 2

    @cached_property
    def _h_v(self) -> tuple[Array, Array, Array, Array]:
        return self.points[:, 0], self.points[:, 1], self.shares[:, 0], self.shares[:, 1]

    def apart(self, trial: Trial) -> Array:
        """Logarithms of fitted over stated, a claim each; at points both are lifted by a tenth of the stated peak."""
        return np.concatenate(([one.apart(trial) for one in self.single], self._points_apart(trial)))

    def _points_apart(self, trial: Trial) -> Array:
        h, v, of_h, of_v = self._h_v
        low = LIFT * (self.highest_cd or trial.peak_cd)
        in_candela = np.log((trial.candela(h, v) + low) / (self.points[:, 2] + low))
        return np.concatenate(
            (in_candela, np.log((trial.candela(of_h, of_v) / trial.peak_cd + LIFT) / (self.shares[:, 2] + LIFT)))
        )

    def misfit(self, trial: Trial) -> float:
        """Root mean square of the relative residuals."""
        return _root_mean_square(self.apart(trial))

    def points_misfit(self, trial: Trial) -> float:
        """The same of the points alone; 0 without any."""
        return _root_mean_square(self._points_apart(trial))

    def worst(self, trial: Trial) -> float:
        """The largest relative residual of the single figures, or the root mean square of the points if larger."""
        return max((*(abs(one.apart(trial)) for one in self.single), self.points_misfit(trial)))

    def residuals(self, trial: Trial) -> tuple[Residual, ...]:
        """The table of the claims."""
        rows = [Residual(one.words, one.stated, one.given(trial), one.unit, one.limit) for one in self.single]
        h, v, of_h, of_v = self._h_v
        fitted = (*trial.candela(h, v).tolist(), *(100.0 * trial.candela(of_h, of_v) / trial.peak_cd).tolist())
        stated = (*self.points[:, 2].tolist(), *(100.0 * self.shares[:, 2]).tolist())
        many = len(self.points)
        for at, (name, one, given) in enumerate(zip(self.names, stated, fitted, strict=True)):
            unit, peak = ("cd", self.highest_cd or trial.peak_cd) if at < many else ("% of the peak", 100.0)
            rows.append(Residual(f"point {name}", one, given, unit, peak=peak))
        return tuple(rows)


def _root_mean_square(values: Array) -> float:
    return sqrt(float(np.mean(np.square(values)))) if values.size else 0.0


def figures_of(claims: Claims) -> Figures:
    """The claims as equations; refuses claims that leave the size or the shape open, saying what would close them.

    Parameters
    ----------
    claims : of the data sheet.
    """
    single = (*_sizes(claims), *_widths(claims))
    points = np.array(claims.points, np.float64).reshape(-1, 3)
    shares = np.array(claims.relative_points, np.float64).reshape(-1, 3) * (1.0, 1.0, 0.01)
    sized = _independent_sizes(claims)
    shaped = _independent_shapes(claims, sized)
    highest = _highest_cd(claims)
    figures = Figures(single, points, shares, claims.names, highest, _is_round(claims), sized, shaped)
    _refuse_open_size(claims, figures)
    _refuse_open_shape(claims, figures)
    return figures


def _highest_cd(claims: Claims) -> float:
    """The highest stated intensity, or the peak that lumens and beam angles mean, if that is higher."""
    known = [candela for _, candela in claims.intensities] + [candela for _, _, candela in claims.points]
    across, up = claims.beams_deg
    if claims.flux_lm is not None and not claims.intensities and across is not None and up is not None:
        known.append(claims.flux_lm / (_FLUX_OVER_PEAK * cone_sr(across, up)))
    return max(known, default=0.0)


def _sizes(claims: Claims) -> list[Figure]:
    found: list[Figure] = []
    if claims.flux_lm is not None:
        raw = claims.flux_kind == "raw"
        words = "flux of the bare chips, an upper limit" if raw else "flux delivered"
        found.append(Figure(words, claims.flux_lm, "lm", lambda trial: trial.flux_lm, raw))
    if claims.peak_cd is not None:
        found.append(Figure("peak", claims.peak_cd, "cd", lambda trial: trial.peak_cd))
    return found + [_illuminance(lux, metres) for lux, metres in claims.illuminance]


def _illuminance(lux: float, metres: float) -> Figure:
    return Figure(lux_at(lux, metres), lux, "lx", lambda trial: trial.peak_cd / metres**2)


def _widths(claims: Claims) -> list[Figure]:
    given: dict[str, Callable[[Trial], float]] = {
        "beam_angle_deg": lambda trial: sqrt(trial.across_deg * trial.up_deg),
        "across_deg": lambda trial: trial.across_deg,
        "up_deg": lambda trial: trial.up_deg,
        "field_angle_deg": lambda trial: sqrt(trial.fields_deg[0] * trial.fields_deg[1]),
        "field_across_deg": lambda trial: trial.fields_deg[0],
        "field_up_deg": lambda trial: trial.fields_deg[1],
    }
    stated = {key: getattr(claims, key) for key in given}
    cut = "" if claims.cutoff_above_deg is None else " before the cut"
    return [Figure(named(key) + cut, value, "deg", given[key]) for key, value in stated.items() if value is not None]


def _off_axis(claims: Claims) -> list[tuple[float, float]]:
    return [(h, v) for h, v, _ in (*claims.points, *claims.relative_points) if h or v]


def _is_round(claims: Claims) -> bool:
    """No figure tells the two planes apart."""
    for across, up in (claims.beams_deg, claims.fields_deg):
        if across != up:
            return False
    off = _off_axis(claims)
    return len(off) < 2 or not (any(h for h, _ in off) and any(v for _, v in off))


def _independent_sizes(claims: Claims) -> int:
    """Flux, peak intensity (however often it is stated), and points in candela."""
    flux = claims.flux_lm is not None and claims.flux_kind == "delivered"
    on_axis = any(not (h or v) and cd > 0.0 for h, v, cd in claims.points)
    off_axis = sum(1 for h, v, cd in claims.points if (h or v) and cd > 0.0)
    return int(flux) + int(bool(claims.intensities) or on_axis) + off_axis


def _independent_shapes(claims: Claims, sized: int) -> int:
    """Angles, points in percent and dark points; and every figure of the size beyond the first."""
    angles = len(_widths(claims))
    shares = sum(1 for h, v, _ in claims.relative_points if h or v)
    return angles + shares + max(sized - 1, 0)


def _refuse_open_size(claims: Claims, figures: Figures) -> None:
    if figures.sized:
        return
    accepted = "give the delivered lumens, the peak, an illuminance at a distance, or a point in candela"
    if claims.flux_kind == "raw" and claims.flux_lm is not None:
        accepted = "give the peak, an illuminance at a distance, a point in candela, or the delivered lumens"
        raise UsageError(
            "how much light leaves the lamp is open: lumens of bare chips only limit it", accepted=accepted
        )
    raise UsageError("how much light leaves the lamp is open: no figure tells it", accepted=accepted)


def _refuse_open_shape(claims: Claims, figures: Figures) -> None:
    problem = "the width of the beam is open: no figure tells it"
    accepted = "give a beam angle, a field angle, points off the axis, or both lumens and peak"
    if not figures.shaped:
        raise UsageError(problem, accepted=accepted)
    if figures.round:
        return
    off = _off_axis(claims)
    both = claims.flux_lm is not None and claims.flux_kind == "delivered" and (claims.intensities or claims.points)
    for at, axis, words in ((0, "across", "left to right"), (1, "up", "bottom to top")):
        known = claims.beams_deg[at] or claims.fields_deg[at] or any(point[at] for point in off)
        if not (known or both):
            accepted = f"give the beam angle {axis}, points in that plane, or both lumens and peak"
            raise UsageError(f"the width of the beam {words} is open", accepted=accepted)
    if figures.shaped < figures.widths:
        raise UsageError("the two widths of the beam are open: one figure tells of both", accepted=accepted)
