"""Disability glare: light at an eye, veil, threshold increment and glare rating."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np

from scenelux.errors import UsageError
from scenelux.prove.quantities.lists import matched
from scenelux.prove.signature import Numbers, Rows, Vector
from scenelux.vision import (
    FURTHER_VEIL_FORMS,
    VEIL_FORMS,
    environment_veil,
    eye_light,
    rating_around,
    rating_gazes,
    sum_veil,
    threshold_increment_percent,
    veil_per_lux,
)
from scenelux.vision import glare_rating as rating_of
from scenelux.vision import picture_veil_per_lux as picture_veil_of
from scenelux.vision.rating import GLARE_RATING_FORM
from scenelux.vision.threshold import MINIMUM_ROAD_LUMINANCE_CD_M2, OBSERVER_AGE_YEARS, VEIL_FORM

__all__ = [
    "eye_illuminance",
    "glare_rating",
    "glare_rating_around",
    "picture_veil_per_lux",
    "surroundings_veil",
    "threshold_increment",
    "veiling_luminance",
    "veiling_luminance_per_lux",
]

Form = Literal[
    "cie-general", "cie-small-angle", "age-stiles-holladay", "stiles-holladay", "en13201", "cie-1999-psf",
    "adrian-bhanji", "cie112", "rp8-fry",
]  # fmt: skip

_RANGES = ", ".join(f"{form.name} {form.span}" for form in (*VEIL_FORMS, *FURTHER_VEIL_FORMS))
_AGE_YEARS, _PIGMENTATION = 25.0, 0.5


def veiling_luminance(
    angle_deg: Annotated[Numbers, "between line of sight and source, one for each source; in the range of the form"],
    eye_illuminance_lx: Annotated[Numbers, "square to the line of sight, one for each source"] = (1.0,),
    form: Annotated[Form, f"form of the veil, with its range of angles: {_RANGES}"] = "cie-general",
    age_years: Annotated[float, "of the observer, 0 or more"] = _AGE_YEARS,
    pigmentation: Annotated[float, "of the eye, 0 very dark to 1.2 light blue"] = _PIGMENTATION,
) -> Annotated[float, "veil [cd/m2]"]:
    """Veiling luminance of all sources together."""
    angle, light = matched(angle_deg=angle_deg, eye_illuminance_lx=eye_illuminance_lx)
    return float(sum_veil(form, light, angle, age_years=age_years, pigmentation=pigmentation).total_cd_m2)


def veiling_luminance_per_lux(
    angle_deg: Annotated[float, "between line of sight and source; in the range of the form"],
    form: Annotated[Form, f"form of the veil, with its range of angles: {_RANGES}"] = "cie-general",
    age_years: Annotated[float, "of the observer, 0 or more"] = _AGE_YEARS,
    pigmentation: Annotated[float, "of the eye, 0 very dark to 1.2 light blue"] = _PIGMENTATION,
) -> Annotated[float, "veil per lux [1/sr]"]:
    """Veiling luminance of one source for each lux at the eye."""
    return float(veil_per_lux(form, angle_deg, age_years=age_years, pigmentation=pigmentation))


def picture_veil_per_lux(
    angle_deg: Annotated[float, "from the line of sight, 0 to 100"],
    age_years: Annotated[float, "of the observer, 0 or more"] = _AGE_YEARS,
    pigmentation: Annotated[float, "of the eye, 0 very dark to 1.2 light blue"] = _PIGMENTATION,
) -> Annotated[float, "veil per lux [1/sr]"]:
    """Veil per lux as pictures have it, from the line of sight itself outward by two forms."""
    return float(picture_veil_of(angle_deg, age_years=age_years, pigmentation=pigmentation))


def threshold_increment(
    road_luminance_cd_m2: Annotated[float, f"average, {MINIMUM_ROAD_LUMINANCE_CD_M2:g} or more"],
    veil_cd_m2: Annotated[float | None, "instead of light and angle"] = None,
    eye_illuminance_lx: Annotated[Numbers | None, "square to the line of sight, one for each source"] = None,
    angle_deg: Annotated[Numbers | None, "one for each source, 0.1 to below 60"] = None,
    age_years: Annotated[float, "of the observer"] = OBSERVER_AGE_YEARS,
) -> Annotated[float, "threshold increment [%]"]:
    """Threshold increment of EN 13201-3, of a veil or of sources whose veil is that of the standard."""
    veil = _veil(VEIL_FORM, veil_cd_m2, eye_illuminance_lx, angle_deg, age_years)
    return float(threshold_increment_percent(veil, road_luminance_cd_m2))


def glare_rating(
    lamps_veil_cd_m2: Annotated[float | None, "instead of light and angle"] = None,
    environment_veil_cd_m2: Annotated[float | None, "instead of illuminance and reflectance"] = None,
    eye_illuminance_lx: Annotated[Numbers | None, "square to the line of sight, one for each lamp"] = None,
    angle_deg: Annotated[Numbers | None, "one for each lamp, 1.5 to 60"] = None,
    mean_horizontal_lx: Annotated[float | None, "of the lit area, above 0"] = None,
    reflectance: Annotated[float, "of the lit area, above 0 to 1"] = 0.25,
) -> Annotated[float, "glare rating"]:
    """Glare rating of CIE 112 for one line of sight."""
    lamps = _veil(GLARE_RATING_FORM, lamps_veil_cd_m2, eye_illuminance_lx, angle_deg, 0.0)
    return float(rating_of(lamps, _surroundings(environment_veil_cd_m2, mean_horizontal_lx, reflectance)))


def glare_rating_around(
    intensity_cd: Annotated[Numbers, "toward the eye, one for each lamp"],
    lamps_from_eye_m: Annotated[Rows, "[along, left, up] of each lamp from the eye"],
    mean_horizontal_lx: Annotated[float | None, "of the lit area, above 0"] = None,
    reflectance: Annotated[float, "of the lit area, above 0 to 1"] = 0.25,
    environment_veil_cd_m2: Annotated[float | None, "instead of illuminance and reflectance"] = None,
) -> Annotated[dict[str, float], "rating", "azimuth_deg"]:
    """The worst glare rating over views every 15 deg round, 2 deg below the horizontal."""
    around = _surroundings(environment_veil_cd_m2, mean_horizontal_lx, reflectance)
    places = _places(lamps_from_eye_m, len(intensity_cd))
    gazes = rating_gazes()
    light = eye_light(
        np.array(intensity_cd)[:, None],
        np.linalg.norm(places, axis=-1)[:, None],
        np.repeat(places[:, None], len(gazes), axis=1),
        gazes,
    )
    found = rating_around(light.illuminance_lx, light.angle_deg, around)
    return {"rating": float(found.worst), "azimuth_deg": float(found.azimuth_deg)}


def surroundings_veil(
    mean_horizontal_lx: Annotated[float, "of the lit area, above 0"],
    reflectance: Annotated[float, "of the lit area, above 0 to 1"] = 0.25,
) -> Annotated[float, "veil [cd/m2]"]:
    """Veil of the surroundings in the glare rating of CIE 112."""
    return float(environment_veil(mean_horizontal_lx, reflectance))


def eye_illuminance(
    intensity_cd: Annotated[float, "toward the eye"],
    lamp_from_eye_m: Annotated[Vector, "[ahead, left, up]"],
    gaze_down_deg: Annotated[float, "of the line of sight below the horizontal"] = 0.0,
    gaze_left_deg: Annotated[float, "of the line of sight from straight ahead"] = 0.0,
) -> Annotated[dict[str, float], "illuminance_lx", "angle_deg", "distance_m"]:
    """Illuminance square to the line of sight, glare angle and distance of a lamp."""
    down, left = math.radians(gaze_down_deg), math.radians(gaze_left_deg)
    gaze = (math.cos(down) * math.cos(left), math.cos(down) * math.sin(left), -math.sin(down))
    distance = math.hypot(*lamp_from_eye_m)
    if distance == 0.0:
        return {"illuminance_lx": math.nan, "angle_deg": math.nan, "distance_m": 0.0}
    found = eye_light(intensity_cd, distance, lamp_from_eye_m, gaze)
    light = {"illuminance_lx": float(found.illuminance_lx), "angle_deg": float(found.angle_deg)}
    return {**light, "distance_m": distance}


def _veil(form: str, veil: float | None, light: Numbers | None, angle: Numbers | None, age: float) -> float:
    if veil is not None:
        return veil
    if light is None or angle is None:
        accepted = "give the veil, or eye_illuminance_lx and angle_deg"
        raise UsageError("needs the veil of the sources", accepted=accepted)
    angle, light = matched(angle_deg=angle, eye_illuminance_lx=light)
    return float(sum_veil(form, light, angle, age_years=age, pigmentation=_PIGMENTATION).total_cd_m2)


def _surroundings(veil: float | None, light_lx: float | None, reflectance: float) -> float:
    if veil is not None:
        return veil
    if light_lx is None:
        accepted = "give environment_veil_cd_m2, or mean_horizontal_lx and reflectance"
        raise UsageError("needs the veil of the surroundings", accepted=accepted)
    return float(environment_veil(light_lx, reflectance))


def _places(rows: Rows, count: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    if len(rows) != count or any(len(row) != len("xyz") for row in rows):
        raise UsageError("is not a list of places", key="lamps_from_eye_m", accepted=f"give {count} lists of three")
    return np.array(rows, np.float64)
