"""A beam from the claims of a data sheet: fitted, with its residuals, its data class and its uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from scenelux.errors import UsageError
from scenelux.photometry.beams import Beam
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.fit.cautions import CHIPS, FEW_LUMENS, cautions
from scenelux.photometry.fit.claims import Claims, rounded
from scenelux.photometry.fit.contradictions import ROUNDING, claimed_least, refuse_contradictions
from scenelux.photometry.fit.figures import Figures, figures_of
from scenelux.photometry.fit.refusals import refuse_misfits
from scenelux.photometry.fit.residuals import Residual
from scenelux.photometry.fit.solve import CENTRED, best_trial, possible_moves, unfit_because
from scenelux.photometry.fit.trial import RANGES_DEG, Trial
from scenelux.photometry.fit.uncertainty import Uncertainty, uncertainty
from scenelux.photometry.sampling import sample

__all__ = ["EQUAL_MISFIT", "DataClass", "Fit", "Tried", "fit_beam"]

DataClass = Literal["fitted from several figures", "fitted from one figure"]

EQUAL_MISFIT = 0.5 * ROUNDING
"""Forms whose misfit is within 2.5 percentage points of the least, half the rounding of the claims, count as equal."""

_PLAUSIBLE = 0.20
_SOFTNESSES = (0.25, 1.0)


@dataclass(frozen=True)
class Tried:
    """A form of beam that was tried: its misfit (root mean square of the residuals) in percent, or why it was not."""

    form: str
    misfit_percent: float | None
    because: str | None = None


@dataclass(frozen=True, eq=False)
class Fit:
    """A beam fitted to the claims of a data sheet.

    Parameters
    ----------
    claims : as given.
    beam, distribution : the beam, and the same about its centre as a table with exactly its flux.
    form : name of the form.
    centre_deg : degrees right and up of its centre, (0, 0) but where points show that the lamp shines elsewhere.
    residuals : every claim beside what the beam gives.
    uncertainty_percent : of the intensities in the beam and outside.
    data_class : how much the data sheet told.
    warnings : what the user should know; numbers 170 to 179.
    tried : every form with its misfit.
    """

    claims: Claims
    beam: Beam
    distribution: IntensityDistribution
    form: str
    centre_deg: tuple[float, float]
    residuals: tuple[Residual, ...]
    uncertainty_percent: Uncertainty
    data_class: DataClass
    warnings: tuple[FileWarning, ...]
    tried: tuple[Tried, ...]


def fit_beam(claims: Claims) -> Fit:
    """The beam that meets the claims of a data sheet, by least squares of the relative residuals.

    Of the forms cosine-power, elliptical-gaussian and flat-top, in this order from simple to less so, the simplest is
    taken whose misfit is within 2.5 percentage points of the least (half the rounding of the claims), unless the
    claims name one. Points are compared with both values lifted by a tenth of the highest stated intensity. Where
    points lie around the centre of the beam, the beam is moved there if that lowers its misfit by more than 2.5
    percentage points. A fit whose points are more than 40 % apart (root mean square) is refused.

    Lumens more than 25 % above what the other figures give look like those of the bare chips: they are then taken as
    an upper limit only, with a warning.

    Parameters
    ----------
    claims : of the data sheet; those that contradict each other, or leave size or shape open, are refused.

    Example
    -------
    >>> fit = fit_beam(Claims(flux_lm=4200.0, beam_angle_deg=60.0))
    >>> fit.beam, fit.data_class
    (CosinePower(flux_lm=4200.0, beam_angle_deg=60.0, cutoff_above_deg=None), 'fitted from one figure')
    """
    refuse_contradictions(claims)
    figures = figures_of(claims)
    found, tried = _solved(claims, figures)
    about_flux = _flux_against_the_rest(claims)
    if about_flux and about_flux.code == CHIPS:
        figures = figures_of(replace(claims, flux_kind="raw"))
        found, tried = _solved(claims, figures)
    chosen = _chosen(claims, figures, found)
    refuse_misfits(claims, figures, chosen)
    chosen = _within_limit(claims, chosen)
    residuals = figures.residuals(chosen)
    by_flux = not (claims.intensities or claims.points)
    data_class: DataClass = "fitted from several figures" if figures.shaped > 1 else "fitted from one figure"
    return Fit(
        claims,
        chosen.beam(),
        sample(chosen.light()),
        chosen.form,
        chosen.centre_deg,
        residuals,
        uncertainty(chosen, _alternatives(claims, figures, found, chosen), figures.worst(chosen), by_flux),
        data_class,
        tuple(cautions(claims, figures, chosen, residuals, about_flux)),
        tried,
    )


def _solved(claims: Claims, figures: Figures) -> tuple[dict[str, Trial], tuple[Tried, ...]]:
    """The best beam of every form that the claims allow."""
    found: dict[str, Trial] = {}
    tried = []
    for form in RANGES_DEG:
        because = unfit_because(form, claims)
        if because is None:
            found[form] = _centred_or_moved(form, claims, figures)
        tried.append(Tried(form, None if because else 100.0 * figures.misfit(found[form]), because))
    if claims.form is not None and claims.form not in found:
        because = next(one.because for one in tried if one.form == claims.form)
        accepted = f"give {' or '.join(found)}, or leave it out" if found else None
        raise UsageError(f"does not suit the claims: {because}", key="form", value=claims.form, accepted=accepted)
    return found, tuple(tried)


def _centred_or_moved(form: str, claims: Claims, figures: Figures) -> Trial:
    """The best beam of a form on the axis of the lamp, unless the points say clearly that it shines elsewhere."""
    centred, moves = best_trial(form, claims, figures), possible_moves(claims)
    if moves == CENTRED:
        return centred
    moved = best_trial(form, claims, figures, moves=moves)
    return moved if figures.misfit(moved) < figures.misfit(centred) - EQUAL_MISFIT else centred


def _chosen(claims: Claims, figures: Figures, found: Mapping[str, Trial]) -> Trial:
    if claims.form is not None:
        return found[claims.form]
    misfits = {form: figures.misfit(trial) for form, trial in found.items()}
    least = min(misfits.values())
    return next(found[form] for form, misfit in misfits.items() if misfit <= least + EQUAL_MISFIT)


def _alternatives(claims: Claims, figures: Figures, found: Mapping[str, Trial], chosen: Trial) -> list[Trial]:
    """Beams that fit about as well as the chosen one; flat-top ones of any edge.

    They meet every claim within its rounding, or their misfit is at most 2.5 percentage points above that of the
    chosen one: the same rule as for the choice.
    """
    others = [one for one in found.values() if one.form != chosen.form]
    if "flat-top" in found:
        flat = found["flat-top"]
        moves = CENTRED if flat.centre_deg == (0.0, 0.0) else possible_moves(claims)
        others += [best_trial("flat-top", claims, figures, one, moves) for one in _SOFTNESSES]
    allowed = figures.misfit(chosen) + EQUAL_MISFIT
    return [one for one in others if figures.worst(one) <= ROUNDING or figures.misfit(one) <= allowed]


def _within_limit(claims: Claims, trial: Trial) -> Trial:
    """The beam dimmed to the lumens of the bare chips, where it passes them within their rounding."""
    if claims.flux_kind != "raw" or claims.flux_lm is None or trial.flux_lm <= claims.flux_lm:
        return trial
    return replace(trial, height_cd=trial.height_cd * claims.flux_lm / trial.flux_lm)


def _flux_against_the_rest(claims: Claims) -> FileWarning | None:
    """Compares the stated lumens with those that the other figures give, in every form that meets these."""
    flux = claims.flux_lm
    if flux is None:
        return None
    rest = replace(claims, flux_lm=None)
    try:
        others = figures_of(rest)
    except UsageError:  # the rest leaves something open
        return None
    found, _ = _solved(rest, others)
    best = min(others.worst(trial) for trial in found.values())
    fluxes = [trial.flux_lm for trial in found.values() if others.worst(trial) <= max(best, ROUNDING)]
    if claims.flux_kind == "delivered" and max(fluxes) < (1.0 - _PLAUSIBLE) * flux:
        words = (
            f"the claimed lumens look like those of the bare chips: {rounded(flux, 6)} lm are stated as delivered, the "
            f"other figures give {_range(fluxes)} lm; they decide, and the lumens are taken as an upper limit"
        )
        return FileWarning(CHIPS, None, words)
    if min(fluxes) * (1.0 - _PLAUSIBLE) > flux:
        words = f"{rounded(flux, 6)} lm are few for this peak and these angles, which give {_range(fluxes)} lm"
        _, least = claimed_least(claims)
        if flux < least:
            words += (
                f"; no beam has less than {rounded(least)} lm, of which {100.0 * ROUNDING:g} % is left for rounding"
            )
        return FileWarning(FEW_LUMENS, None, words)
    return None


def _range(values: list[float]) -> str:
    low, high = (rounded(pick(values), 3) for pick in (min, max))
    return low if low == high else f"{low} to {high}"
