"""Stopping sight distance, and what a driver meets along an approach."""

from __future__ import annotations

import math
from typing import Annotated

from scenelux.errors import UsageError
from scenelux.prove.quantities.lists import matched
from scenelux.prove.signature import Numbers
from scenelux.units import FOOT_M
from scenelux.vision import (
    design_distance,
    dose_lx_s,
    seconds_above,
    stopping_sight_distance_ft,
    stopping_sight_distance_m,
)
from scenelux.vision import worst_station as worst_of
from scenelux.vision.stopping import DECELERATION_FT_S2, DECELERATION_M_S2, REACTION_S

__all__ = ["dose", "stopping_sight_distance", "time_above", "worst_station"]


def stopping_sight_distance(
    speed_km_h: Annotated[float | None, "0 or more, or else speed_mph; metric formula, first result in metres"] = None,
    speed_mph: Annotated[float | None, "0 or more, or else speed_km_h; US formula, first result in feet"] = None,
    grade_percent: Annotated[float, "rise over run, positive uphill; at exactly 0 the level formula"] = 0.0,
    reaction_s: Annotated[float, "0 or more"] = REACTION_S,
    deceleration_m_s2: Annotated[float, "above 0, with speed_km_h"] = DECELERATION_M_S2,
    deceleration_ft_s2: Annotated[float, "above 0, with speed_mph"] = DECELERATION_FT_S2,
) -> Annotated[dict[str, float], "distance_m", "design_m", "with speed_mph: distance_ft, design_ft, distance_m"]:
    """Distance in which a vehicle can stop, and the design value, rounded up to a multiple of 5."""
    grade = grade_percent / 100.0
    if speed_mph is not None and speed_km_h is not None:
        raise UsageError("has two speeds", accepted="give speed_km_h or speed_mph")
    if speed_mph is not None:
        feet = stopping_sight_distance_ft(
            speed_mph, grade=grade, reaction_s=reaction_s, deceleration_ft_s2=deceleration_ft_s2
        )
        distance = {"distance_ft": float(feet), "design_ft": float(design_distance(feet))}
        return {**distance, "distance_m": float(feet) * FOOT_M}
    if speed_km_h is None:
        raise UsageError("needs a speed", accepted="give speed_km_h or speed_mph")
    metres = stopping_sight_distance_m(
        speed_km_h, grade=grade, reaction_s=reaction_s, deceleration_m_s2=deceleration_m_s2
    )
    return {"distance_m": float(metres), "design_m": float(design_distance(metres))}


def dose(
    distances_m: Annotated[Numbers, "stations along the path, rising or falling"],
    eye_illuminance_lx: Annotated[Numbers, "at each station, straight between them"],
    speed_m_s: Annotated[float, "above 0"],
) -> Annotated[float, "dose [lx s]"]:
    """Illuminance at the eye summed over the time of an approach."""
    path, light = matched(distances_m=distances_m, eye_illuminance_lx=eye_illuminance_lx)
    return dose_lx_s(path, light, speed_m_s).dose_lx_s if speed_m_s > 0.0 else math.nan


def time_above(
    distances_m: Annotated[Numbers, "stations along the path, rising or falling"],
    values: Annotated[Numbers, "at each station, straight between them"],
    limit: Annotated[float, "in the unit of the values"],
    speed_m_s: Annotated[float, "above 0"],
) -> Annotated[float, "time [s]"]:
    """Seconds of an approach for which a value is above a limit."""
    path, at = matched(distances_m=distances_m, values=values)
    return seconds_above(path, at, limit, speed_m_s).seconds if speed_m_s > 0.0 else math.nan


def worst_station(
    values: Annotated[Numbers, "at stations along a path"],
) -> Annotated[float, "index, counted from 0"]:
    """Where the largest value of a path is, the first of equal ones."""
    found = worst_of(values)
    return math.nan if found is None else float(found)
