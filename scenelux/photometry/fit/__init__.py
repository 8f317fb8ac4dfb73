"""Beams from data sheets: the claims, what contradicts in them, the beam that meets them best, how sure it is."""

from scenelux.photometry.fit.claims import MOST_POINTS, Claims, rounded
from scenelux.photometry.fit.contradictions import least_flux_lm, most_flux_lm, refuse_contradictions
from scenelux.photometry.fit.fit import EQUAL_MISFIT, Fit, Tried, fit_beam
from scenelux.photometry.fit.points import names_of_table, points_of_table
from scenelux.photometry.fit.residuals import Residual
from scenelux.photometry.fit.uncertainty import Uncertainty

__all__ = [
    "EQUAL_MISFIT",
    "MOST_POINTS",
    "Claims",
    "Fit",
    "Residual",
    "Tried",
    "Uncertainty",
    "fit_beam",
    "least_flux_lm",
    "most_flux_lm",
    "names_of_table",
    "points_of_table",
    "refuse_contradictions",
    "rounded",
]
