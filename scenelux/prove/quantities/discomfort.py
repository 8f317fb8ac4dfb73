"""Discomfort glare on the nine-point scale."""

from __future__ import annotations

import math
from typing import Annotated

from scenelux.prove.quantities.lists import matched
from scenelux.prove.signature import Numbers
from scenelux.vision import de_boer as de_boer_of
from scenelux.vision import outdoor_discomfort as outdoor_of
from scenelux.vision import outdoor_glare_index

__all__ = ["de_boer", "outdoor_discomfort"]


def de_boer(
    eye_illuminance_lx: Annotated[Numbers, "square to the line of sight, one for each source"],
    angle_deg: Annotated[Numbers, "between line of sight and source, one for each source, 1 to 30 (not in arcmin)"],
    adaptation_luminance_cd_m2: Annotated[float, "0.015 to 15"],
) -> Annotated[float, "rating, 1 unbearable to 9 unnoticeable"]:
    """De Boer rating of all sources together."""
    angle, light = matched(angle_deg=angle_deg, eye_illuminance_lx=eye_illuminance_lx)
    return float(de_boer_of(light, angle, adaptation_luminance_cd_m2))


def outdoor_discomfort(
    direct_lx: Annotated[float, "vertical at the eye, straight from the source"],
    surround_lx: Annotated[float, "vertical at the eye, from surroundings that the source lights"],
    ambient_lx: Annotated[float, "vertical at the eye, without the source"],
    source_width_deg: Annotated[float, "angle that the source fills; wider than 0.3 it needs its luminance"] = 0.0,
    source_luminance_cd_m2: Annotated[float | None, "of a source wider than 0.3 deg"] = None,
) -> Annotated[dict[str, float], "rating", "index"]:
    """Discomfort rating of outdoor lighting (1 unbearable to 9 unnoticeable), and its index."""
    luminance = math.nan if source_luminance_cd_m2 is None else source_luminance_cd_m2
    light = (direct_lx, surround_lx, ambient_lx)
    rating = outdoor_of(*light, source_width_deg=source_width_deg, source_luminance_cd_m2=luminance)
    return {"rating": float(rating), "index": float(outdoor_glare_index(*light))}
