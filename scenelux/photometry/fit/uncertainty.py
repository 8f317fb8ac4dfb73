"""How far a fitted beam may be from the lamp: what the other beams say that meet the claims as well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot, pi

import numpy as np
from numpy.typing import NDArray

from scenelux.photometry.fit.trial import Trial

__all__ = ["Uncertainty", "uncertainty"]

Array = NDArray[np.float64]

IN_BEAM_FLOOR_PERCENT = 10.0
"""Common practice, no source: one lamp of a make differs from the next, and hot from cold, by this much."""

OUTSIDE_FLOOR_PERCENT = 100.0
"""Own rule: stray light of lens and rim is in no form of beam; from dark to twice as much is the least to expect."""

_STRAY = 0.01  # of the peak; below this no form of beam says anything about a real lamp
_BELOW_CUTOFF_DEG = 0.02


@dataclass(frozen=True)
class Uncertainty:
    """Uncertainty of the intensity, and so of the illuminance, in percent of the fitted one.

    Parameters
    ----------
    in_beam_percent : in the centre and inside the beam angle.
    outside_beam_percent : outside it, where the eyes of drivers are: 100 means anything from dark to twice as much.
    """

    in_beam_percent: float
    outside_beam_percent: float


def uncertainty(chosen: Trial, alternatives: Sequence[Trial], worst: float, by_flux: bool) -> Uncertainty:
    """The uncertainty of a fitted beam.

    In the beam: the largest difference of an alternative in the centre and at a quarter and a half of the beam angle,
    across and downwards, and the largest residual, as the root of the sum of their squares; at least 10 %. Where
    lumens alone tell the size of a flat-top beam, an ellipse in place of its rectangle would be 4 / pi brighter.
    Outside: the largest difference of an alternative, as a share of the fitted intensity and 1 % of the peak, at the
    edges of the field, 10 deg outside the edges of the beam, and 10 deg above its centre where that is outside
    the beam; at least 100 %.

    Parameters
    ----------
    chosen : the fitted beam.
    alternatives : beams that meet the claims within their rounding, or whose misfit is at most 2.5 percentage points
        above that of the fitted one; what fits worse says nothing.
    worst : the largest relative residual of the fitted beam.
    by_flux : only lumens tell the size.
    """
    h, v = _inside(chosen)
    fitted = chosen.candela(h, v)
    spread = max((float(np.max(np.abs(one.candela(h, v) / fitted - 1.0))) for one in alternatives), default=0.0)
    if by_flux and chosen.form == "flat-top":
        spread = max(spread, 4.0 / pi - 1.0)
    in_beam = 100.0 * hypot(spread, exp(worst) - 1.0)
    h, v = _outside(chosen)
    fitted = chosen.candela(h, v)
    lifted = fitted + _STRAY * chosen.peak_cd
    outside = max((float(np.max(np.abs(one.candela(h, v) - fitted) / lifted)) for one in alternatives), default=0.0)
    outside = max(100.0 * outside, OUTSIDE_FLOOR_PERCENT)
    return Uncertainty(max(in_beam, IN_BEAM_FLOOR_PERCENT), max(outside, in_beam))


def _inside(trial: Trial) -> tuple[Array, Array]:
    """In the centre (or just below the cut-off line), and at a quarter and half of the beam angle."""
    across, up, top = trial.across_deg, trial.up_deg, _brightest_deg(trial)
    nearly = 0.4999  # inside the edge also where it is sharp
    h = trial.right_deg + np.array((0.0, 0.25 * across, nearly * across, 0.0, 0.0))
    v = np.array((top, top, top, *(min(top, trial.raised_deg - share * up) for share in (0.25, nearly))))
    return h, v


def _brightest_deg(trial: Trial) -> float:
    """The centre, or just below a cut-off line that reaches it."""
    centre = trial.raised_deg
    return centre if trial.cutoff_deg is None else min(centre, trial.cutoff_deg - _BELOW_CUTOFF_DEG)


def _outside(trial: Trial) -> tuple[Array, Array]:
    """Edges of the field, 10 deg outside the edges of the beam, and 10 deg above its centre; below the cut-off line."""
    across, up, top = trial.across_deg, trial.up_deg, _brightest_deg(trial)
    right, raised = trial.right_deg, trial.raised_deg
    field_across, field_up = trial.fields_deg
    h = [right + 0.5 * field_across, right + 0.5 * across + 10.0]
    places = [(min(one, 89.0), top) for one in h]
    v = [0.5 * field_up, 0.5 * up + 10.0, *([10.0] if 0.5 * up < 10.0 else [])]
    limit = 89.0 if trial.cutoff_deg is None else trial.cutoff_deg - _BELOW_CUTOFF_DEG
    places += [(right, raised + one) for one in v if raised + one <= limit]
    places += [(right, max(raised - one, -89.0)) for one in v]
    return np.array([one for one, _ in places]), np.array([one for _, one in places])
