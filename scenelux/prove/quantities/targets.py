"""Small targets and people: how well they are seen."""

from __future__ import annotations

from typing import Annotated

from scenelux.errors import UsageError
from scenelux.prove.signature import Numbers
from scenelux.vision import contrast_reversal as reversal_of
from scenelux.vision import diffuse_luminance, target_arcmin, visibility
from scenelux.vision import threshold_luminance_difference as difference_of
from scenelux.vision import weighted_visibility_level as weighted_of

__all__ = [
    "contrast_reversal",
    "target_size",
    "threshold_luminance_difference",
    "visibility_level",
    "weighted_visibility_level",
]


def threshold_luminance_difference(
    adaptation_luminance_cd_m2: Annotated[float, "background and veil together, above 0"],
    size_arcmin: Annotated[float | None, "least dimension, above 0; more than 60 counts as 60"] = None,
    size_m: Annotated[float | None, "least dimension, instead of size_arcmin"] = None,
    distance_m: Annotated[float | None, "of the target, with size_m"] = None,
    age_years: Annotated[float, "of the observer, 0 to below 75; younger than 23 counts as 23"] = 25.0,
    exposure_s: Annotated[float, "time for which the target is seen, above 0"] = 0.2,
    negative: Annotated[bool, "whether the target is darker than its background"] = False,
) -> Annotated[float, "difference that is just seen [cd/m2]"]:
    """Least difference of luminance between a target and its background that is seen (Adrian 1989)."""
    size = _arcmin(size_arcmin, size_m, distance_m)
    light = adaptation_luminance_cd_m2
    return float(difference_of(light, size, age_years=age_years, exposure_s=exposure_s, negative=negative))


def visibility_level(
    background_cd_m2: Annotated[float, "luminance of the background, above 0"],
    target_cd_m2: Annotated[float | None, "luminance of the target"] = None,
    reflectance: Annotated[float | None, "of the target, with illuminance_lx, instead of its luminance"] = None,
    illuminance_lx: Annotated[float | None, "on the target, with reflectance"] = None,
    size_arcmin: Annotated[float | None, "least dimension, above 0; more than 60 counts as 60"] = None,
    size_m: Annotated[float | None, "least dimension, instead of size_arcmin"] = None,
    distance_m: Annotated[float | None, "of the target, with size_m"] = None,
    age_years: Annotated[float, "of the observer, 0 to below 75; younger than 23 counts as 23"] = 25.0,
    exposure_s: Annotated[float, "time for which the target is seen, above 0"] = 0.2,
    veil_cd_m2: Annotated[float, "adds to what the eye is used to"] = 0.0,
) -> Annotated[dict[str, float], "level", "threshold_cd_m2"]:
    """Visibility level of a target, negative where it is darker than its background, and its threshold."""
    seen = visibility(
        _luminance(target_cd_m2, reflectance, illuminance_lx),
        background_cd_m2,
        _arcmin(size_arcmin, size_m, distance_m),
        age_years=age_years,
        exposure_s=exposure_s,
        veil_cd_m2=veil_cd_m2,
    )
    return {"level": float(seen.level), "threshold_cd_m2": float(seen.threshold_cd_m2)}


def target_size(
    size_m: Annotated[float, "least dimension"], distance_m: Annotated[float, "of the target, above 0"]
) -> Annotated[float, "angle [arcmin]"]:
    """Angle that the least dimension of a target fills at the eye."""
    return float(target_arcmin(size_m, distance_m))


def weighted_visibility_level(
    levels: Annotated[Numbers, "visibility levels of several targets, of either sign"],
) -> Annotated[float, "weighted level"]:
    """Mean visibility of several targets in which the least visible count most."""
    return float(weighted_of(levels))


def contrast_reversal(
    levels: Annotated[Numbers, "visibility levels at stations along a path"],
) -> Annotated[list[bool], "true at stations around a reversal"]:
    """Where a target turns from darker to brighter than its background, or back."""
    return [bool(flag) for flag in reversal_of(levels)]


def _arcmin(size_arcmin: float | None, size_m: float | None, distance_m: float | None) -> float:
    if size_arcmin is not None:
        return size_arcmin
    if size_m is None or distance_m is None:
        raise UsageError("needs the size of the target", accepted="give size_arcmin, or size_m and distance_m")
    return float(target_arcmin(size_m, distance_m))


def _luminance(target: float | None, reflectance: float | None, light_lx: float | None) -> float:
    if target is not None:
        return target
    if reflectance is None or light_lx is None:
        accepted = "give target_cd_m2, or reflectance and illuminance_lx"
        raise UsageError("needs the luminance of the target", accepted=accepted)
    return float(diffuse_luminance(reflectance, light_lx))
