"""A beam from the claims of a data sheet: fitted, with its residuals, its data class and its uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from scenelux.errors import UsageError
from scenelux.photometry.beams import Beam
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.faults import FileWarning
from scenelux.photometry.fit.claims import Claims, rounded
from scenelux.photometry.fit.contradictions import ROUNDING, refuse_contradictions
from scenelux.photometry.fit.figures import Figures, Residual, figures_of
from scenelux.photometry.fit.solve import best_trial, unfit_because
from scenelux.photometry.fit.trial import RANGES_DEG, Trial
from scenelux.photometry.fit.uncertainty import Uncertainty, uncertainty
from scenelux.photometry.sampling import sample

__all__ = ["DataClass", "Fit", "Tried", "fit_beam"]

DataClass = Literal["fitted from several figures", "fitted from one figure"]

EQUAL_MISFIT = 0.5 * ROUNDING
"""Forms whose misfit is within 2.5 percentage points of the least, half the rounding of the claims, count as equal."""

_PLAUSIBLE = 0.20
_DARKENED = 0.05  # a cut-off that leaves less of the peak than this has cut the beam away
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
    beam, distribution : the beam, and the same as a table with exactly its flux.
    form : name of the form.
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
    residuals: tuple[Residual, ...]
    uncertainty_percent: Uncertainty
    data_class: DataClass
    warnings: tuple[FileWarning, ...]
    tried: tuple[Tried, ...]


def fit_beam(claims: Claims) -> Fit:
    """The beam that meets the claims of a data sheet best, by least squares of the relative residuals.

    Of the forms cosine-power, elliptical-gaussian and flat-top, in this order from simple to less so, the simplest is
    taken whose misfit is within 2.5 percentage points of the least (half the rounding of the claims), unless the
    claims name one.

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
    if about_flux and about_flux.code == _CHIPS:
        figures = figures_of(replace(claims, flux_kind="raw"))
        found, tried = _solved(claims, figures)
    chosen = _chosen(claims, figures, found)
    _refuse_darkness(chosen)
    beam = chosen.beam()
    residuals = figures.residuals(chosen)
    by_flux = not (claims.intensities or claims.points)
    data_class: DataClass = "fitted from several figures" if figures.shaped > 1 else "fitted from one figure"
    return Fit(
        claims,
        beam,
        sample(beam),
        chosen.form,
        residuals,
        uncertainty(chosen, _alternatives(claims, figures, found, chosen), figures.worst(chosen), by_flux),
        data_class,
        tuple(_warnings(claims, figures, chosen, residuals, about_flux)),
        tried,
    )


def _solved(claims: Claims, figures: Figures) -> tuple[dict[str, Trial], tuple[Tried, ...]]:
    """The best beam of every form that the claims allow."""
    found: dict[str, Trial] = {}
    tried = []
    for form in RANGES_DEG:
        because = unfit_because(form, claims)
        if because is None:
            found[form] = best_trial(form, claims, figures)
        tried.append(Tried(form, None if because else 100.0 * figures.misfit(found[form]), because))
    if claims.form is not None and claims.form not in found:
        because = next(one.because for one in tried if one.form == claims.form)
        accepted = f"give {' or '.join(found)}, or leave it out" if found else None
        raise UsageError(f"does not suit the claims: {because}", key="form", value=claims.form, accepted=accepted)
    return found, tuple(tried)


def _chosen(claims: Claims, figures: Figures, found: Mapping[str, Trial]) -> Trial:
    if claims.form is not None:
        return found[claims.form]
    misfits = {form: figures.misfit(trial) for form, trial in found.items()}
    least = min(misfits.values())
    return next(found[form] for form, misfit in misfits.items() if misfit <= least + EQUAL_MISFIT)


def _alternatives(claims: Claims, figures: Figures, found: Mapping[str, Trial], chosen: Trial) -> list[Trial]:
    """Beams that meet every claim within its rounding, or as well as the chosen one; flat-top ones of any edge."""
    edges = [] if "flat-top" not in found else [best_trial("flat-top", claims, figures, one) for one in _SOFTNESSES]
    allowed = max(ROUNDING, figures.worst(chosen))
    return [one for one in (*found.values(), *edges) if one is not chosen and figures.worst(one) <= allowed]


def _refuse_darkness(trial: Trial) -> None:
    if trial.peak_cd < _DARKENED * trial.height_cd:
        raise UsageError(
            f"the cut-off at {trial.cutoff_deg:g} deg leaves only the outskirts of a beam {trial.up_deg:.4g} deg high",
            accepted="give a cut-off above the axis, or one that leaves the beam its middle",
        )


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
        return FileWarning(_CHIPS, None, words)
    if min(fluxes) * (1.0 - _PLAUSIBLE) > flux:
        words = f"{rounded(flux, 6)} lm are few for this peak and these angles, which give {_range(fluxes)} lm"
        return FileWarning(_FEW_LUMENS, None, words)
    return None


def _range(values: list[float]) -> str:
    low, high = (rounded(pick(values), 3) for pick in (min, max))
    return low if low == high else f"{low} to {high}"


_RAW, _CHIPS, _FEW_LUMENS, _FAR_OFF, _ONE_FIGURE, _SHARP_CUTOFF, _RECTANGLE = range(170, 177)

_RAW_WORDS = (
    "raw chip lumens are only an upper limit, optics and heat take typically 10 to 40 % of them (common practice, "
    "no source); the other figures decide"
)
_CUTOFF_WORDS = "the cut-off is taken as sharp; what a real one lets through above it is not known"
_RECTANGLE_WORDS = "a flat-top beam lights a rectangle to its corners, which a round beam would leave darker"


def _warnings(
    claims: Claims, figures: Figures, chosen: Trial, residuals: tuple[Residual, ...], about_flux: FileWarning | None
) -> list[FileWarning]:
    found = [about_flux] if about_flux else []
    if claims.flux_kind == "raw":
        found.append(FileWarning(_RAW, None, _RAW_WORDS))
    found += [FileWarning(_FAR_OFF, None, _far_off(one)) for one in residuals if _is_far_off(one)]
    if figures.shaped == 1:
        found.append(FileWarning(_ONE_FIGURE, None, "the shape of the beam rests on one figure"))
    if claims.cutoff_above_deg is not None:
        found.append(FileWarning(_SHARP_CUTOFF, None, _CUTOFF_WORDS))
    if chosen.form == "flat-top" and figures.round:
        found.append(FileWarning(_RECTANGLE, None, _RECTANGLE_WORDS))
    return found


def _is_far_off(one: Residual) -> bool:
    return one.percent > 100.0 * _PLAUSIBLE or (one.percent < -100.0 * _PLAUSIBLE and not one.limit)


def _far_off(one: Residual) -> str:
    fitted = f"{rounded(one.fitted)} {one.unit}"
    return f"{one.claim}: stated {rounded(one.stated, 6)} {one.unit}, the fit gives {fitted}"
