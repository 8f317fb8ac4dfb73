"""Fits that are no picture of the lamp, refused with the numbers: dark, far from the points, above an upper limit."""

from __future__ import annotations

from scenelux.errors import UsageError
from scenelux.photometry.fit.claims import Claims, rounded
from scenelux.photometry.fit.contradictions import ROUNDING
from scenelux.photometry.fit.figures import Figures
from scenelux.photometry.fit.trial import Trial

__all__ = ["WORST_POINTS", "refuse_misfits"]

WORST_POINTS = 0.40
"""Own rule: a beam whose points are further apart than this (root mean square) is no picture of the lamp."""

_DARKENED = 0.05  # a cut-off that leaves less of the peak than this has cut the beam away
_FAR_ABOVE_POINTS = 2.0  # the peak of a fit over the brightest point


def refuse_misfits(claims: Claims, figures: Figures, trial: Trial) -> None:
    """Raises what makes a beam unfit to stand for the lamp.

    Parameters
    ----------
    claims, figures : of the data sheet, and as equations.
    trial : the beam that meets them best.
    """
    _refuse_darkness(trial)
    apart = figures.points_misfit(trial)
    if apart > WORST_POINTS:
        which = f"the form {trial.form} does not fit" if claims.form else "no form of beam fits"
        allowed = f"at most {100.0 * WORST_POINTS:g} % are allowed"
        raise UsageError(
            f"{which} the points: they are {100.0 * apart:.0f} % off (root mean square), {allowed}",
            accepted=f"{'leave the form out, or ' if claims.form else ''}use the table of the points as it is: a scene "
            "can name it as a luminaire",
        )
    _refuse_peak_beside_points(claims, trial)
    limit = claims.flux_lm if claims.flux_kind == "raw" else None
    if limit is not None and trial.flux_lm > (1.0 + ROUNDING) * limit:
        raise UsageError(
            f"the bare chips have {rounded(limit, 6)} lm, an upper limit, but the other figures ask for more: the "
            f"nearest beam sends {rounded(trial.flux_lm)} lm ({100.0 * ROUNDING:g} % is left for rounding)",
            accepted="check these figures: they cannot all be of the same lamp",
        )


def _refuse_peak_beside_points(claims: Claims, trial: Trial) -> None:
    """Where points alone tell the size, the brightest of them must hold the peak."""
    brightest = max((candela for _, _, candela in claims.points), default=0.0)
    alone = not claims.intensities and (claims.flux_lm is None or claims.flux_kind == "raw")
    if brightest and alone and trial.peak_cd > _FAR_ABOVE_POINTS * brightest:
        raise UsageError(
            f"the peak of the beam is open: the points reach {rounded(brightest, 6)} cd, the beam through them "
            f"{rounded(trial.peak_cd)} cd between or beside them",
            accepted="give the peak or the lumens as well, or points nearer to the peak",
        )


def _refuse_darkness(trial: Trial) -> None:
    if trial.peak_cd < _DARKENED * trial.height_cd:
        raise UsageError(
            f"the cut-off at {trial.cutoff_deg:g} deg leaves only the outskirts of a beam {trial.up_deg:.4g} deg high",
            accepted="give a cut-off above the axis, or one that leaves the beam its middle",
        )
