"""Visibility of a small target: how far its luminance differs from the background, in thresholds of the eye.

The model of Adrian, 1989. Some of its constants are from memory: a visibility level is shown, named as unconfirmed,
and decides nothing. A veil raises the luminance that the eye is used to; it does not take from the difference of
luminances, which is the same on both sides of the edge.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.sources import Source

__all__ = [
    "LARGEST_TARGET_ARCMIN",
    "TARGET_FORM",
    "TARGET_SOURCE",
    "TARGET_UNCONFIRMED",
    "Visibility",
    "contrast_reversal",
    "target_arcmin",
    "threshold_luminance_difference",
    "visibility",
    "visibility_level",
    "weighted_visibility_level",
]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

TARGET_FORM = "adrian-1989"
TARGET_SOURCE = Source("Adrian, Visibility of targets", "1989", "as quoted by public code", "quoted")
TARGET_UNCONFIRMED = Source(
    "RP-8, Roadway lighting",
    "2000",
    "from memory: the factor 2.6, the 2 s rule and the bracket of negative contrast, the place of the veil",
    "unconfirmed",
)
LARGEST_TARGET_ARCMIN = 60.0  # larger targets count as this large

_FIELD_FACTOR = 2.6
_OLDEST_YEARS = 75.0
_LOG_OF_SIZE, _LOG_OF_LUMINANCE = 0.523, 6.0
_BRIGHT_CD_M2, _DARK_CD_M2 = 0.6, 0.00418  # where the printed laws join
_DARKEST_NEGATIVE_CD_M2 = 0.004  # below it the factor of negative contrast stays: a design choice
_LONG_LOOK_S = 2.0


@dataclass(frozen=True, eq=False)
class Visibility:
    """Visibility of a target against its background, all arrays of one shape.

    level is signed: positive where the target is the brighter one; its size tells how well it is seen.
    threshold_cd_m2 is the difference that is just seen, for the polarity in question.
    """

    form: str
    level: Array
    threshold_cd_m2: Array
    negative: Flags


def target_arcmin(size_m: ArrayLike, distance_m: ArrayLike) -> Array:
    """Angle that the least dimension of a target fills at the eye [arcmin].

    Example
    -------
    >>> target_arcmin([0.18, 0.5], [83.07, 80.0]).round(3).tolist()
    [7.449, 21.486]
    """
    size, distance = np.asarray(size_m, np.float64), np.asarray(distance_m, np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        angle = 2.0 * np.degrees(np.arctan(size / 2.0 / distance)) * 60.0
    return np.where((size >= 0.0) & (distance > 0.0), angle, np.nan)


def threshold_luminance_difference(
    adaptation_luminance_cd_m2: ArrayLike,
    size_arcmin: ArrayLike,
    *,
    age_years: ArrayLike,
    exposure_s: ArrayLike = 0.2,
    negative: ArrayLike = False,
) -> Array:
    """Difference of luminance between a target and its background that is just seen [cd/m2].

    Parameters
    ----------
    adaptation_luminance_cd_m2 : (...) background and veil together, above 0 [cd/m2].
    size_arcmin : (...) least dimension of the target, above 0; more than 60 counts as 60 [arcmin].
    age_years : (...) from 0 to below 75; younger than 23 counts as 23 [years].
    exposure_s : (...) time for which the target is seen, above 0 [s].
    negative : (...) True where the target is darker than its background: it is then seen more easily.

    Source
    ------
    Adrian 1989, as quoted by public code; the factor 2.6 and parts of the negative contrast from memory, unconfirmed.

    Example
    -------
    >>> threshold_luminance_difference(1.0, 7.45, age_years=60, negative=[False, True]).round(6).tolist()
    [0.209416, 0.142154]
    """
    light, size, age, exposure, dark = np.broadcast_arrays(
        *(np.asarray(part, np.float64) for part in (adaptation_luminance_cd_m2, size_arcmin, age_years, exposure_s)),
        np.asarray(negative, np.bool_),
    )
    valid = (light > 0.0) & np.isfinite(light) & (size > 0.0) & (exposure > 0.0) & (age >= 0.0) & (age < _OLDEST_YEARS)
    lit, arcmin = np.where(valid, light, 1.0), np.minimum(np.where(valid, size, 1.0), LARGEST_TARGET_ARCMIN)
    seconds = np.where(valid, exposure, 1.0)
    difference = _long_look(lit, arcmin) * _shorter(lit, arcmin, seconds) * _ageing(np.where(valid, age, 0.0))
    difference = difference * np.where(dark, _negative_contrast(lit, arcmin), 1.0)
    return np.where(valid, difference, np.nan)


def visibility(
    target_cd_m2: ArrayLike,
    background_cd_m2: ArrayLike,
    size_arcmin: ArrayLike,
    *,
    age_years: ArrayLike,
    exposure_s: ArrayLike = 0.2,
    veil_cd_m2: ArrayLike = 0.0,
) -> Visibility:
    """Visibility of a target: its difference from the background in thresholds, and the threshold.

    Parameters
    ----------
    target_cd_m2 : (...) zero or more [cd/m2].
    background_cd_m2 : (...) above 0 [cd/m2].
    size_arcmin, age_years, exposure_s : (...) as in `threshold_luminance_difference`.
    veil_cd_m2 : (...) zero or more; added to what the eye is used to, and to nothing else [cd/m2].

    Source
    ------
    Adrian 1989, as quoted by public code; the place of the veil from memory, unconfirmed.

    Example
    -------
    >>> seen = visibility([0.0796, 0.3183], 0.1, 21.486, age_years=60, veil_cd_m2=[0.0, 0.3])
    >>> seen.level.round(2).tolist(), seen.negative.tolist()
    ([-2.43, 5.84], [True, False])
    """
    target, background, veil = (np.asarray(part, np.float64) for part in (target_cd_m2, background_cd_m2, veil_cd_m2))
    valid = (target >= 0.0) & (background > 0.0) & (veil >= 0.0)
    negative = np.asarray(target < background)
    threshold = threshold_luminance_difference(
        np.where(valid, background + veil, np.nan),
        size_arcmin,
        age_years=age_years,
        exposure_s=exposure_s,
        negative=negative,
    )
    level = np.asarray((target - background) / threshold)
    return Visibility(TARGET_FORM, level, threshold, np.broadcast_to(negative, level.shape))


def visibility_level(
    target_cd_m2: ArrayLike,
    background_cd_m2: ArrayLike,
    size_arcmin: ArrayLike,
    *,
    age_years: ArrayLike,
    exposure_s: ArrayLike = 0.2,
    veil_cd_m2: ArrayLike = 0.0,
) -> Array:
    """Visibility level alone, signed: negative where the target is darker than its background.

    Parameters
    ----------
    target_cd_m2, background_cd_m2, size_arcmin, age_years, exposure_s, veil_cd_m2 : as in `visibility`.

    Example
    -------
    >>> visibility_level([0.9, 1.0, 1.2], 1.0, 7.45, age_years=60).round(3).tolist()
    [-0.703, 0.0, 0.955]
    """
    seen = visibility(
        target_cd_m2,
        background_cd_m2,
        size_arcmin,
        age_years=age_years,
        exposure_s=exposure_s,
        veil_cd_m2=veil_cd_m2,
    )
    return seen.level


def contrast_reversal(levels: ArrayLike) -> Flags:
    """True at the stations between which a target turns from darker to brighter than its background, or back.

    There it is hard to see in any amount of light, which is no lack of light.

    Parameters
    ----------
    levels : (..., stations) signed visibility levels; nan where not valid.

    Example
    -------
    >>> contrast_reversal([-3.0, -1.0, 2.0, 4.0, 0.0]).tolist()
    [False, True, True, False, True]
    """
    sign = np.sign(np.asarray(levels, np.float64))
    turns = sign[..., 1:] * sign[..., :-1] < 0.0
    flags = np.asarray(sign == 0.0)
    flags[..., 1:] |= turns
    flags[..., :-1] |= turns
    return flags


def weighted_visibility_level(levels: ArrayLike) -> Array:
    """Mean visibility of several targets in which the least visible count most, over the last axis.

    Each level counts as 10^(-0.4 |VL|), and the mean of these gives the level back.

    Parameters
    ----------
    levels : (..., targets) visibility levels of either sign.

    Source
    ------
    RP-8, from memory, unconfirmed.

    Example
    -------
    >>> weighted_visibility_level([[3.0, -3.0], [1.0, 9.0]]).round(3).tolist()
    [3.0, 1.752]
    """
    weights = 10.0 ** (-0.4 * np.abs(np.asarray(levels, np.float64)))
    return np.asarray(-2.5 * np.log10(weights.mean(axis=-1)))


def _long_look(light: Array, arcmin: Array) -> Array:
    """Threshold [cd/m2] of the young eye that has all the time it needs."""
    log = np.log10(light)
    bright, dark = light >= _BRIGHT_CD_M2, light <= _DARK_CD_M2
    lit = np.maximum(light, _BRIGHT_CD_M2)  # keeps the bright law's logarithm real where another law is chosen
    root_flux = np.select(
        [bright, dark],
        [np.log10(4.1925 * lit**0.1556) + 0.1684 * lit**0.5867, 10.0 ** (0.028 + 0.173 * log)],
        10.0 ** (-0.072 + 0.3372 * log + 0.0866 * log**2),
    )
    root_luminance = np.select(
        [bright, dark],
        [0.05946 * light**0.466, 10.0 ** (-0.891 + 0.5275 * log + 0.0227 * log**2)],
        10.0 ** (-1.256 + 0.319 * log),
    )
    return np.asarray(_FIELD_FACTOR * (root_flux / arcmin + root_luminance) ** 2)


def _shorter(light: Array, arcmin: Array, seconds: Array) -> Array:
    """Growth of the threshold when the target is seen for so many seconds only."""
    b, c = np.log10(arcmin) + _LOG_OF_SIZE, np.log10(light) + _LOG_OF_LUMINANCE
    of_size = 0.36 - 0.0972 * b**2 / (b**2 - 2.513 * b + 2.7895)
    of_luminance = 0.355 - 0.1217 * c**2 / (c**2 - 10.4 * c + 52.28)
    return np.asarray((np.hypot(of_size, of_luminance) / 2.1 + seconds) / seconds)


def _ageing(age: Array) -> Array:
    middle, old = (age - 19.0) ** 2 / 2160.0 + 0.99, (age - 56.6) ** 2 / 116.3 + 1.43
    return np.select([age <= 23.0, age <= 64.0], [np.ones_like(age), middle], old)


def _negative_contrast(light: Array, arcmin: Array) -> Array:
    """What a darker target takes of the threshold of a brighter one."""
    lit = np.maximum(light, _DARKEST_NEGATIVE_CD_M2)
    steepness = np.where(lit >= 0.1, 0.125, 0.075)
    share = 10.0 ** -(10.0 ** -(steepness * (np.log10(lit) + 1.0) ** 2 + 0.0245))
    brighter = _long_look(lit, arcmin) * _shorter(lit, arcmin, np.full_like(lit, _LONG_LOOK_S))
    return np.asarray(1.0 - share * arcmin ** -(0.6 * lit**-0.1488) / (2.4 * brighter))
