"""Glare rating of outdoor work places, CIE 112: the veil of the lamps against that of the surroundings.

Lower is better, unlike the discomfort ratings: 10 unnoticeable, 30 noticeable, 50 just admissible, 70 disturbing,
90 unbearable. The words are from memory and unconfirmed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source
from scenelux.vision.forms import veil_form
from scenelux.vision.veil import veiling_luminance

__all__ = [
    "GLARE_RATING_FORM",
    "GLARE_RATING_SOURCE",
    "GLARE_RATING_WORDS",
    "RATING_AZIMUTHS_DEG",
    "RATING_DOWN_DEG",
    "RatingAround",
    "environment_veil",
    "glare_rating",
    "rating_around",
    "rating_gazes",
    "rating_of_gaze",
]

Array = NDArray[np.float64]

GLARE_RATING_FORM = "cie112"
GLARE_RATING_SOURCE = Source("CIE 112, Glare evaluation outdoors", "1994", "as quoted by public code", "quoted")
GLARE_RATING_WORDS = (
    (10, "unnoticeable"),
    (30, "noticeable"),
    (50, "just admissible"),
    (70, "disturbing"),
    (90, "unbearable"),
)
RATING_DOWN_DEG = 2.0  # the views lie this much below the horizontal
RATING_AZIMUTHS_DEG = tuple(15.0 * step for step in range(24))  # a guide for stadiums prints 15, a paper 45 deg

_SURROUNDINGS_SHARE = 0.035  # of the mean luminance of the area; without it a rating is 31 too low


@dataclass(frozen=True, eq=False)
class RatingAround:
    """The worst glare rating over all views of an observer.

    worst and azimuth_deg are (...): the largest of the views that are valid, nan when none is, and its azimuth.
    by_view is (views, ...); left_out (...) counts views in which a lit lamp is nearer than the form's range.
    """

    form: str
    worst: Array
    azimuth_deg: Array
    by_view: Array
    left_out: NDArray[np.int64]


def glare_rating(lamps_veil_cd_m2: ArrayLike, environment_veil_cd_m2: ArrayLike) -> Array:
    """Glare rating GR = 27 + 24 log10(Lvl / Lve^0.9), not rounded; minus infinity when no lamp is seen.

    Parameters
    ----------
    lamps_veil_cd_m2 : (...) veil of the lamps by the form "cie112", zero or more [cd/m2].
    environment_veil_cd_m2 : (...) veil of the surroundings, above 0 [cd/m2].

    Source
    ------
    CIE 112:1994, as quoted by public code.

    Example
    -------
    >>> glare_rating(1.0, [1.0, 0.1, 0.0]).round(1).tolist()
    [27.0, 48.6, nan]
    """
    lamps, around = np.asarray(lamps_veil_cd_m2, np.float64), np.asarray(environment_veil_cd_m2, np.float64)
    valid = (lamps >= 0.0) & (around > 0.0) & np.isfinite(around)
    with np.errstate(divide="ignore"):  # no veil of lamps: minus infinity
        rating = 27.0 + 24.0 * np.log10(np.where(valid, lamps, 1.0) / np.where(valid, around, 1.0) ** 0.9)
    return np.where(valid, rating, np.nan)


def environment_veil(mean_horizontal_lx: ArrayLike, reflectance: ArrayLike) -> Array:
    """Veil of the surroundings, 3.5 % of the mean luminance of the lit area: 0.035 rho E/pi [cd/m2].

    Parameters
    ----------
    mean_horizontal_lx : (...) over the area, above 0 [lx].
    reflectance : (...) of the area, above 0 to 1; 0.20 to 0.25 for work areas is from memory.

    Source
    ------
    A paper on outdoor work places, J. Lighting Eng. p. 49.

    Example
    -------
    >>> environment_veil(20.0, 0.25).round(7).tolist()
    0.0557042
    """
    light, rho = np.asarray(mean_horizontal_lx, np.float64), np.asarray(reflectance, np.float64)
    valid = (light > 0.0) & (rho > 0.0) & (rho <= 1.0)
    return np.where(valid, _SURROUNDINGS_SHARE * rho * light / np.pi, np.nan)


def rating_gazes() -> Array:
    """Lines of sight for the rating, (24, 3) along, left, up: every 15 deg round, 2 deg below the horizontal.

    Example
    -------
    >>> rating_gazes()[6].round(4).tolist()
    [0.0, 0.9994, -0.0349]
    """
    azimuth, down = np.radians(RATING_AZIMUTHS_DEG), np.radians(RATING_DOWN_DEG)
    level = np.cos(down)
    return np.stack([level * np.cos(azimuth), level * np.sin(azimuth), np.full(azimuth.shape, -np.sin(down))], axis=-1)


def rating_of_gaze(eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, environment_veil_cd_m2: ArrayLike) -> Array:
    """Glare rating of all lamps together with any lines of sight.

    Parameters
    ----------
    eye_illuminance_lx : (lamps, ...) square to each line of sight [lx].
    angle_deg : (lamps, ...) between line of sight and lamp [deg].
    environment_veil_cd_m2 : (...) of `environment_veil` [cd/m2].

    Lamps farther than 60 deg from a line of sight do not count in it; with a lit lamp nearer than 1.5 deg it is nan.

    Source
    ------
    CIE 112:1994, as quoted by public code; range and plane from memory, unconfirmed.

    Example
    -------
    >>> rating_of_gaze([[0.4], [0.6]], [[10.0], [10.0]], 0.1).round(1).tolist()
    [24.6]
    """
    light, angle = np.asarray(eye_illuminance_lx, np.float64), np.asarray(angle_deg, np.float64)
    counted = np.where(angle > veil_form(GLARE_RATING_FORM).maximum_deg, 0.0, light)
    veil = veiling_luminance(GLARE_RATING_FORM, counted, angle, age_years=0.0, pigmentation=0.0).sum(axis=0)
    return glare_rating(veil, environment_veil_cd_m2)


def rating_around(
    eye_illuminance_lx: ArrayLike, angle_deg: ArrayLike, environment_veil_cd_m2: ArrayLike
) -> RatingAround:
    """The worst glare rating of an observer and the direction in which he sees it.

    Parameters
    ----------
    eye_illuminance_lx : (lamps, 24, ...) square to each line of sight of `rating_gazes` [lx].
    angle_deg : (lamps, 24, ...) between line of sight and lamp [deg].
    environment_veil_cd_m2 : (...) of `environment_veil` [cd/m2].

    Lamps farther than 60 deg from a line of sight do not count in it. A lit lamp nearer than 1.5 deg leaves the view
    without a value; such views are counted, for the true maximum may be there.

    Source
    ------
    CIE 112:1994, as quoted by public code; range and plane from memory, unconfirmed.

    Example
    -------
    >>> angles = np.abs((np.array(RATING_AZIMUTHS_DEG) - 95.0 + 180.0) % 360.0 - 180.0)
    >>> found = rating_around(np.ones((1, 24)), angles[None], 0.05)
    >>> found.worst.round(1).tolist(), found.azimuth_deg.tolist(), int(found.left_out)
    (45.6, 90.0, 0)
    """
    light, angle = np.broadcast_arrays(np.asarray(eye_illuminance_lx, np.float64), np.asarray(angle_deg, np.float64))
    if light.ndim < 2 or light.shape[1] != len(RATING_AZIMUTHS_DEG):
        raise UsageError("does not have one value for each lamp and view", value=light.shape)
    rating = rating_of_gaze(light, angle, environment_veil_cd_m2)
    known = np.where(np.isnan(rating), -np.inf, rating)
    top = known.argmax(axis=0)
    missing = np.isnan(rating)
    worst = np.where(missing.all(axis=0), np.nan, known.max(axis=0))
    azimuth = np.where(missing.all(axis=0), np.nan, np.asarray(RATING_AZIMUTHS_DEG)[top])
    return RatingAround(GLARE_RATING_FORM, worst, azimuth, rating, missing.sum(axis=0))
