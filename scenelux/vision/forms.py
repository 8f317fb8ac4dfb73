"""The published forms of the veiling luminance: name, formula, range of the glare angle, constants and source.

Each form stands here once, with its own constants, its range and its source; constants of two forms are never mixed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source
from scenelux.vision.scatter import FryScatter, Law, Scatter, SpreadFunction

__all__ = [
    "FURTHER_VEIL_FORMS",
    "HEADLINE_FORM",
    "MAXIMUM_PIGMENTATION",
    "NEAR_FORM",
    "VEIL_FORMS",
    "VeilForm",
    "veil_form",
]

Array = NDArray[np.float64]

MAXIMUM_PIGMENTATION = 1.2  # very light blue eyes; 0 is very dark, 0.5 brown, 1.0 blue-green


@dataclass(frozen=True)
class VeilForm:
    """A published form of the veil: its name, formula, range of the glare angle, constants and source.

    Lv is the veil [cd/m2], E the illuminance at the eye [lx], t the glare angle [deg], A the age [years] and p the
    pigmentation of the eye. The range includes its end unless `open_end` is set. Below `join_deg` the law is `near`.
    """

    name: str
    formula: str
    minimum_deg: float
    maximum_deg: float
    law: Law
    source: Source
    range_source: Source
    open_end: bool = False
    near: Law | None = None
    join_deg: float = 0.0

    @property
    def span(self) -> str:
        """The range in words."""
        return f"{self.minimum_deg:g} to {'below ' if self.open_end else ''}{self.maximum_deg:g} deg"

    def covers(self, angle_deg: Array) -> NDArray[np.bool_]:
        """True where a glare angle [deg] lies in the form's range."""
        below = angle_deg < self.maximum_deg if self.open_end else angle_deg <= self.maximum_deg
        return (angle_deg >= self.minimum_deg) & below

    def per_lux(self, angle_deg: Array, age_years: Array, pigmentation: Array) -> Array:
        """Veil per lux [1/sr] at glare angles above 0 [deg], whether in range or not."""
        veil = self.law.per_lux(angle_deg, age_years, pigmentation)
        if self.near is None:
            return veil
        return np.where(angle_deg >= self.join_deg, veil, self.near.per_lux(angle_deg, age_years, pigmentation))


_CIE_146 = "CIE 146:2002, CIE Collection on Glare"
_CIE_135 = "CIE 135/1, Disability glare"
_CIE_RANGE = Source(_CIE_146, "2002", "abstract", "published")
_REVIEW = Source("Clinical and Experimental Optometry 86, 363", "2003", "abstract", "published")
_SMALL_ANGLE = Scatter(cubic=10.0, square=5.0, age_scale_years=62.5)

VEIL_FORMS: tuple[VeilForm, ...] = (
    VeilForm(
        name="cie-general",
        formula="Lv = E {10/t^3 + [5/t^2 + 0.1 p/t] [1 + (A/62.5)^4] + 0.0025 p}",
        minimum_deg=0.1,
        maximum_deg=100.0,
        law=Scatter(cubic=10.0, square=5.0, linear=0.1, constant=0.0025, age_scale_years=62.5),
        source=Source(_CIE_135, "1999", "general equation, as quoted by public code", "quoted"),
        range_source=_CIE_RANGE,
    ),
    VeilForm(
        name="cie-small-angle",
        formula="Lv = E {10/t^3 + 5/t^2 [1 + (A/62.5)^4]}",
        minimum_deg=0.1,
        maximum_deg=30.0,
        law=_SMALL_ANGLE,
        source=Source(_CIE_146, "2002", "small-angle equation, as quoted by public code", "quoted"),
        range_source=_CIE_RANGE,
    ),
    VeilForm(
        name="age-stiles-holladay",
        formula="Lv = 10 E/t^2 [1 + (A/70)^4]",
        minimum_deg=1.0,
        maximum_deg=30.0,
        law=Scatter(square=10.0, age_scale_years=70.0),
        source=_REVIEW,
        range_source=_CIE_RANGE,
    ),
    VeilForm(
        name="stiles-holladay",
        formula="Lv = 10 E/t^2",
        minimum_deg=1.0,  # the source says about 1 to 30 deg
        maximum_deg=30.0,
        law=Scatter(square=10.0),
        source=_REVIEW,
        range_source=_REVIEW,
    ),
    VeilForm(
        name="en13201",
        formula="Lv = 9.86 E/t^2 [1 + (A/66.4)^4] from 1.5 deg; Lv = E {10/t^3 + 5/t^2 [1 + (A/62.5)^4]} below",
        minimum_deg=0.1,
        maximum_deg=60.0,
        open_end=True,
        law=Scatter(square=9.86, age_scale_years=66.4),
        near=_SMALL_ANGLE,  # the standard jumps by 17.6 % where its two laws join
        join_deg=1.5,
        source=Source("EN 13201-3, Road lighting: calculation", "2015", "veil, as quoted by public code", "quoted"),
        range_source=Source("EN 13201-3, Road lighting: calculation", "2015", "as quoted by public code", "quoted"),
    ),
)
"""Forms that a study computes side by side."""

FURTHER_VEIL_FORMS: tuple[VeilForm, ...] = (
    VeilForm(
        name="cie-1999-psf",
        formula="Lv = E {(1 - 0.08 a) [9.2e6/(1 + (t/0.0046)^2)^1.5 + 1.5e5/(1 + (t/0.045)^2)^1.5] + (1 + 1.6 a) "
        "[400/(1 + (t/0.1)^2) + 3e-8 t^2 + p (1300/(1 + (t/0.1)^2)^1.5 + 0.8/(1 + (t/0.1)^2)^0.5)] + 0.0025 p}, "
        "a = (A/70)^4",
        minimum_deg=0.0,
        maximum_deg=100.0,
        law=SpreadFunction(),
        source=Source(_CIE_135, "1999", "total spread function, as quoted by public code", "quoted"),
        # No end of its own is printed: it ends where the simpler general form of the same document does.
        range_source=_CIE_RANGE,
    ),
    VeilForm(
        name="adrian-bhanji",
        formula="Lv = 9.05 E/t^2 [1 + (A/66.4)^4]",
        minimum_deg=1.5,
        maximum_deg=30.0,
        law=Scatter(square=9.05, age_scale_years=66.4),
        source=Source("Adrian and Bhanji", "1991", "veil of headlamps, as quoted by a public lecture", "quoted"),
        range_source=Source("Adrian and Bhanji", "1991", "range from memory", "unconfirmed"),
    ),
    VeilForm(
        name="cie112",
        formula="Lv = 10 E/t^2",
        minimum_deg=1.5,
        maximum_deg=60.0,
        law=Scatter(square=10.0),
        source=Source("CIE 112, Glare evaluation outdoors", "1994", "veil, as quoted by public code", "quoted"),
        range_source=Source("CIE 112, Glare evaluation outdoors", "1994", "range from memory", "unconfirmed"),
    ),
    VeilForm(
        name="rp8-fry",
        formula="Lv = 10 E/(t^2 + 1.5 t)",
        minimum_deg=1.0,
        maximum_deg=30.0,
        law=FryScatter(scale=10.0, offset_deg=1.5),
        source=Source("RP-8, Roadway lighting", "2000 to 2014", "veil, from memory", "unconfirmed"),
        range_source=Source("as of the form stiles-holladay: no range of its own is known", status="unconfirmed"),
    ),
)
"""Forms for one purpose, by name only: nearest to the line of sight, other rules, older documents."""

HEADLINE_FORM = "cie-general"
NEAR_FORM = "cie-1999-psf"  # nearer to the line of sight than the headline form reaches
_BY_NAME = {form.name: form for form in (*VEIL_FORMS, *FURTHER_VEIL_FORMS)}


def veil_form(name: str) -> VeilForm:
    """The form of that name, one of `VEIL_FORMS` or `FURTHER_VEIL_FORMS`.

    Example
    -------
    >>> veil_form("cie-general").formula
    'Lv = E {10/t^3 + [5/t^2 + 0.1 p/t] [1 + (A/62.5)^4] + 0.0025 p}'
    """
    if name not in _BY_NAME:
        raise UsageError("is not a form of the veil", value=name, accepted=f"give one of {', '.join(_BY_NAME)}")
    return _BY_NAME[name]
