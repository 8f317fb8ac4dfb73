"""Surfaces that send light back: diffuse, roads, retroreflective material."""

from __future__ import annotations

from typing import Annotated

from scenelux.errors import UsageError
from scenelux.prove.signature import Vector
from scenelux.vision import diffuse_luminance, retro_angles, retro_materials, road_luminance
from scenelux.vision import retroreflected_luminance as luminance_of
from scenelux.vision import retroreflection_coefficient as coefficient_of

__all__ = [
    "retroreflected_luminance",
    "retroreflection_angles",
    "retroreflection_coefficient",
    "road_surface_luminance",
    "surface_luminance",
]


def retroreflection_coefficient(
    material: Annotated[str, f"one of {', '.join(retro_materials())}"],
    observation_deg: Annotated[float, "between lamp and eye at the material, 0 to 180; 12 arcmin is 0.2"],
    entrance_deg: Annotated[float, "between lamp and normal, of either sign, up to 180"],
    colour: Annotated[str, "one in which the material is listed"] = "white",
) -> Annotated[float, "coefficient [cd/(lx m2)]"]:
    """Coefficient of retroreflection by the least values of a standard; 0 beyond its table, nan in a gap of it."""
    return float(coefficient_of(material, observation_deg, entrance_deg, colour=colour))


def retroreflected_luminance(
    perpendicular_lx: Annotated[float | None, "on the plane square to the light"] = None,
    coefficient_cd_lx_m2: Annotated[float | None, "of retroreflection, or its material and angles"] = None,
    view_deg: Annotated[float, "between view and normal, 0 to below 90"] = 0.0,
    intensity_cd: Annotated[float | None, "of the lamp, with distance_m, instead of the illuminance"] = None,
    distance_m: Annotated[float | None, "from lamp to material, above 0"] = None,
    material: Annotated[str | None, "as of retroreflection_coefficient"] = None,
    observation_deg: Annotated[float | None, "with material"] = None,
    entrance_deg: Annotated[float | None, "with material"] = None,
    colour: Annotated[str, "with material"] = "white",
) -> Annotated[float, "luminance [cd/m2]"]:
    """Luminance of retroreflective material, R E / cos(view)."""
    if coefficient_cd_lx_m2 is None:
        if material is None or observation_deg is None or entrance_deg is None:
            accepted = "give coefficient_cd_lx_m2, or material, observation_deg and entrance_deg"
            raise UsageError("needs a coefficient", accepted=accepted)
        coefficient_cd_lx_m2 = retroreflection_coefficient(material, observation_deg, entrance_deg, colour)
    if perpendicular_lx is None:
        if intensity_cd is None or distance_m is None:
            accepted = "give perpendicular_lx, or intensity_cd and distance_m"
            raise UsageError("needs an illuminance", accepted=accepted)
        perpendicular_lx = intensity_cd / distance_m**2 if distance_m > 0.0 else float("nan")
    return float(luminance_of(coefficient_cd_lx_m2, perpendicular_lx, view_deg))


def retroreflection_angles(
    lamp_m: Annotated[Vector, "[along, left, up]"],
    eye_m: Annotated[Vector, "[along, left, up]"],
    target_m: Annotated[Vector, "[along, left, up]"],
    normal: Annotated[Vector, "of the material, any length"],
) -> Annotated[dict[str, float], "observation_deg", "entrance_deg", "view_deg"]:
    """Angles of retroreflection from where lamp, eye and material are."""
    found = retro_angles(lamp_m, eye_m, target_m, normal)
    return {
        "observation_deg": float(found.observation_deg),
        "entrance_deg": float(found.entrance_deg),
        "view_deg": float(found.view_deg),
    }


def surface_luminance(
    reflectance: Annotated[float, "0 to 1"],
    illuminance_lx: Annotated[float, "on the surface, 0 or more"],
) -> Annotated[float, "luminance [cd/m2]"]:
    """Luminance of a matt surface, rho E / pi."""
    return float(diffuse_luminance(reflectance, illuminance_lx))


def road_surface_luminance(
    luminance_coefficient_cd_m2_lx: Annotated[float, "average of the class, 0 or more"],
    illuminance_lx: Annotated[float, "on the road, 0 or more"],
) -> Annotated[float, "luminance [cd/m2]"]:
    """Luminance of a road by its average luminance coefficient, q E."""
    return float(road_luminance(luminance_coefficient_cd_m2_lx, illuminance_lx))
