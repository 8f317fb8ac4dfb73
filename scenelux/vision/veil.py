"""Veiling luminance: the light that a glare source scatters over the image in the eye.

The name of the form goes with every number, for the forms differ by half between 5 and 20 deg.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.vision.forms import HEADLINE_FORM, MAXIMUM_PIGMENTATION, NEAR_FORM, veil_form

__all__ = ["VeilSum", "picture_veil_per_lux", "sum_veil", "veil_per_lux", "veiling_luminance"]

Array = NDArray[np.float64]


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


def veil_per_lux(form: str, angle_deg: ArrayLike, *, age_years: ArrayLike, pigmentation: ArrayLike) -> Array:
    """Veiling luminance per lux at the eye, against the glare angle [1/sr].

    Parameters
    ----------
    form : name of a form of the veil.
    angle_deg : (...) between line of sight and source [deg]; nan outside the form's range.
    age_years : (...) of the observer [years]; 0 leaves age out.
    pigmentation : (...) of the eye, 0 very dark to 1.2 light blue.

    Example
    -------
    >>> veil_per_lux("cie-general", [0.05, 1.0, 5.0], age_years=25, pigmentation=0.5).round(4).tolist()
    [nan, 15.1805, 0.2966]
    """
    known = veil_form(form)
    angle, age, eye = (np.asarray(value, np.float64) for value in (angle_deg, age_years, pigmentation))
    valid = known.covers(angle) & (age >= 0.0) & (eye >= 0.0) & (eye <= MAXIMUM_PIGMENTATION)
    inside = np.where(valid, angle, 1.0)  # any angle in range: the result there is thrown away
    return np.where(valid, known.per_lux(inside, age, eye), np.nan)


def picture_veil_per_lux(angle_deg: ArrayLike, *, age_years: ArrayLike, pigmentation: ArrayLike) -> Array:
    """Veil per lux from the line of sight itself outward, for pictures: two forms, each where it holds [1/sr].

    The headline form as far as it reaches, nearer than that the spread function; 11 % apart where they join.

    Parameters
    ----------
    angle_deg : (...) 0 to 100 [deg].
    age_years, pigmentation : as in `veil_per_lux`.

    Example
    -------
    >>> picture_veil_per_lux([0.0, 0.05, 0.1, 1.0], age_years=25, pigmentation=0.5).round(1).tolist()
    [9338908.3, 52717.8, 10513.3, 15.2]
    """
    far = veil_per_lux(HEADLINE_FORM, angle_deg, age_years=age_years, pigmentation=pigmentation)
    near = veil_per_lux(NEAR_FORM, angle_deg, age_years=age_years, pigmentation=pigmentation)
    return np.where(np.asarray(angle_deg, np.float64) < veil_form(HEADLINE_FORM).minimum_deg, near, far)


def veiling_luminance(
    form: str, eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, *, age_years: ArrayLike, pigmentation: ArrayLike
) -> Array:
    """Veiling luminance of each source [cd/m2].

    Parameters
    ----------
    form : name of a form of the veil.
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
    form: str, eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, *, age_years: ArrayLike, pigmentation: ArrayLike
) -> VeilSum:
    """Veil of all lamps together: the veils of several sources add.

    Parameters
    ----------
    form : name of a form of the veil.
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
