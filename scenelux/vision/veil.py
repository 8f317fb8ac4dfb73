"""Veiling luminance: the light that a glare source scatters over the image in the eye.

Each published form stands here once, with its own constants, its range and its source; constants of two forms
are never mixed, and the name of the form goes with every number, for the forms differ by half between 5 and 20 deg.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source

__all__ = [
    "HEADLINE_FORM",
    "MAXIMUM_PIGMENTATION",
    "VEIL_FORMS",
    "Scatter",
    "VeilForm",
    "VeilSum",
    "sum_veil",
    "veil_form",
    "veil_per_lux",
    "veiling_luminance",
]

Array = NDArray[np.float64]

MAXIMUM_PIGMENTATION = 1.2  # very light blue eyes; 0 is very dark, 0.5 brown, 1.0 blue-green


@dataclass(frozen=True)
class Scatter:
    """Constants of one law: cubic/t^3 + (square/t^2 + linear p/t) [1 + (A/age_scale)^4] + constant p, per lux."""

    square: float
    cubic: float = 0.0
    linear: float = 0.0
    constant: float = 0.0
    age_scale_years: float = math.inf  # no growth with age

    def per_lux(self, t: Array, age_years: float, pigmentation: float) -> Array:
        """Veil per lux [1/sr] at glare angles above 0 [deg]."""
        age = 1.0 + (age_years / self.age_scale_years) ** 4
        falling = self.square / t**2 + self.linear * pigmentation / t
        return self.cubic / t**3 + falling * age + self.constant * pigmentation


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
    law: Scatter
    source: Source
    range_source: Source
    open_end: bool = False
    near: Scatter | None = None
    join_deg: float = 0.0

    @property
    def span(self) -> str:
        """The range in words."""
        return f"{self.minimum_deg:g} to {'below ' if self.open_end else ''}{self.maximum_deg:g} deg"

    def covers(self, angle_deg: Array) -> NDArray[np.bool_]:
        """True where a glare angle [deg] lies in the form's range."""
        below = angle_deg < self.maximum_deg if self.open_end else angle_deg <= self.maximum_deg
        return (angle_deg >= self.minimum_deg) & below

    def per_lux(self, angle_deg: Array, age_years: float, pigmentation: float) -> Array:
        """Veil per lux [1/sr] at glare angles above 0 [deg], whether in range or not."""
        veil = self.law.per_lux(angle_deg, age_years, pigmentation)
        if self.near is None:
            return veil
        return np.where(angle_deg >= self.join_deg, veil, self.near.per_lux(angle_deg, age_years, pigmentation))


@dataclass(frozen=True, eq=False)
class VeilSum:
    """The veil of several lamps: the sum and its parts.

    total_cd_m2 is (...), nan where a lamp that lights the eye is outside the form's range; by_lamp_cd_m2 and
    outside are (lamps, ...), `outside` telling which lamps those are.
    """

    form: str
    total_cd_m2: Array
    by_lamp_cd_m2: Array
    outside: NDArray[np.bool_]


_CIE_146 = "CIE 146:2002, CIE Collection on Glare"
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
        source=Source("CIE 135/1, Disability glare", "1999", "general equation, as quoted by public code", "quoted"),
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
HEADLINE_FORM = "cie-general"
_BY_NAME = {form.name: form for form in VEIL_FORMS}


def veil_form(name: str) -> VeilForm:
    """The form of that name.

    Example
    -------
    >>> veil_form("cie-general").formula
    'Lv = E {10/t^3 + [5/t^2 + 0.1 p/t] [1 + (A/62.5)^4] + 0.0025 p}'
    """
    if name not in _BY_NAME:
        raise UsageError("is not a form of the veil", value=name, accepted=f"give one of {', '.join(_BY_NAME)}")
    return _BY_NAME[name]


def veil_per_lux(form: str, angle_deg: ArrayLike, *, age_years: float, pigmentation: float) -> Array:
    """Veiling luminance per lux at the eye, against the glare angle [1/sr].

    Parameters
    ----------
    form : name of a `VEIL_FORMS` entry.
    angle_deg : (...) between line of sight and source [deg]; nan outside the form's range.
    age_years : of the observer [years]; 0 leaves age out.
    pigmentation : of the eye, 0 very dark to 1.2 light blue.

    Example
    -------
    >>> veil_per_lux("cie-general", [0.05, 1.0, 5.0], age_years=25, pigmentation=0.5).round(4).tolist()
    [nan, 15.1805, 0.2966]
    """
    known = veil_form(form)
    angle = np.asarray(angle_deg, dtype=np.float64)
    valid = known.covers(angle)
    if not (age_years >= 0.0 and 0.0 <= pigmentation <= MAXIMUM_PIGMENTATION):
        valid = np.zeros_like(valid)
    inside = np.where(valid, angle, 1.0)  # any angle in range: the result there is thrown away
    return np.where(valid, known.per_lux(inside, age_years, pigmentation), np.nan)


def veiling_luminance(
    form: str, eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, *, age_years: float, pigmentation: float
) -> Array:
    """Veiling luminance of each source [cd/m2].

    Parameters
    ----------
    form : name of a `VEIL_FORMS` entry.
    eye_illuminance_lx : (...) on the plane square to the line of sight, zero or more [lx].
    angle_deg : (...) between line of sight and source [deg].
    age_years, pigmentation : as in `veil_per_lux`.

    A source that gives no light to the eye has no veil, whatever its angle; one that does, at an angle outside the
    form's range, has nan.

    Example
    -------
    >>> veil = veiling_luminance("stiles-holladay", [2.0, 0.0, 2.0], [2.0, 90.0, 90.0], age_years=25, pigmentation=0.5)
    >>> veil.tolist()
    [5.0, 0.0, nan]
    """
    light = np.asarray(eye_illuminance_lx, dtype=np.float64)
    per_lux = veil_per_lux(form, angle_deg, age_years=age_years, pigmentation=pigmentation)
    light, per_lux = np.broadcast_arrays(np.where(light >= 0.0, light, np.nan), per_lux)
    return np.where(light == 0.0, 0.0, light * per_lux)


def sum_veil(
    form: str, eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, *, age_years: float, pigmentation: float
) -> VeilSum:
    """Veil of all lamps together: the veils of several sources add.

    Parameters
    ----------
    form : name of a `VEIL_FORMS` entry.
    eye_illuminance_lx, angle_deg : (lamps, ...) as in `veiling_luminance`.
    age_years, pigmentation : as in `veil_per_lux`.

    Source
    ------
    CIE 146:2002, abstract: linear addition of sources.

    Example
    -------
    >>> veil = sum_veil("cie-general", [[1.0, 1.0], [1.0, 1.0]], [[2.0, 2.0], [2.0, 0.05]],
    ...                 age_years=25, pigmentation=0.5)
    >>> veil.total_cd_m2.round(4).tolist(), veil.outside.tolist()
    ([5.1178, nan], [[False, False], [False, True]])
    """
    veils = veiling_luminance(form, eye_illuminance_lx, angle_deg, age_years=age_years, pigmentation=pigmentation)
    return VeilSum(form, veils.sum(axis=0), veils, np.isnan(veils))
