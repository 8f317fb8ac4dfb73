"""What the user of a fitted beam should know about it, warnings 170 to 178."""

from __future__ import annotations

from scenelux.photometry.faults import FileWarning
from scenelux.photometry.fit.claims import Claims, rounded
from scenelux.photometry.fit.figures import Figures
from scenelux.photometry.fit.residuals import Residual, far_off_in_words
from scenelux.photometry.fit.trial import Trial

__all__ = ["CHIPS", "FEW_LUMENS", "cautions"]

_ABOVE_POINTS = 1.25  # the peak of a fit over the brightest point

_RAW, CHIPS, FEW_LUMENS, _FAR_OFF, _ONE_FIGURE, _SHARP_CUTOFF, _RECTANGLE, _ABOVE, _MOVED = range(170, 179)

_RAW_WORDS = (
    "raw chip lumens are only an upper limit, optics and heat take typically 10 to 40 % of them (common practice, "
    "no source); the other figures decide"
)
_CUTOFF_WORDS = "the cut-off is taken as sharp; what a real one lets through above it is not known"
_RECTANGLE_WORDS = "a flat-top beam lights a rectangle to its corners, which a round beam would leave darker"


def cautions(
    claims: Claims, figures: Figures, chosen: Trial, residuals: tuple[Residual, ...], about_flux: FileWarning | None
) -> list[FileWarning]:
    """What the user of a fit should know.

    Parameters
    ----------
    claims, figures : of the data sheet, and as equations.
    chosen, residuals : the fitted beam, and what became of the claims.
    about_flux : what the lumens gave reason to say.
    """
    found = [about_flux] if about_flux else []
    if claims.flux_kind == "raw":
        found.append(FileWarning(_RAW, None, _RAW_WORDS))
    found += [FileWarning(_FAR_OFF, None, words) for words in far_off_in_words(residuals)]
    if figures.shaped == 1:
        found.append(FileWarning(_ONE_FIGURE, None, "the shape of the beam rests on one figure"))
    if claims.cutoff_above_deg is not None:
        found.append(FileWarning(_SHARP_CUTOFF, None, _CUTOFF_WORDS))
    if chosen.form == "flat-top" and figures.round:
        found.append(FileWarning(_RECTANGLE, None, _RECTANGLE_WORDS))
    found += _about_points(claims, chosen)
    return found


def _about_points(claims: Claims, chosen: Trial) -> list[FileWarning]:
    found = []
    brightest = max((candela for _, _, candela in claims.points), default=0.0)
    if brightest and not claims.intensities and chosen.peak_cd > _ABOVE_POINTS * brightest:
        words = f"the peak of {rounded(chosen.peak_cd)} cd lies between the points or beside them: the brightest has "
        found.append(FileWarning(_ABOVE, None, f"{words}{rounded(brightest, 6)} cd"))
    if chosen.centre_deg != (0.0, 0.0):
        right, up = chosen.centre_deg
        words = f"the points have their peak off the axis of the lamp: the centre of the beam is {_place(right, up)} it"
        found.append(FileWarning(_MOVED, None, words))
    return found


def _place(right: float, up: float) -> str:
    sideways = f"{abs(right):.2f} deg {'right' if right >= 0.0 else 'left'} of"
    return f"{sideways} and {abs(up):.2f} deg {'above' if up >= 0.0 else 'below'}"
