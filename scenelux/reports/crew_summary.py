"""The people around the vehicle as JSON: an object for each eye, person or area in each state at each light level."""

from __future__ import annotations

import math
from typing import Any

from scenelux.reports.documents import explained, number, numbers
from scenelux.study.results import (
    CrewEntry,
    CrewEye,
    CrewGaze,
    PersonEntry,
    PersonLight,
    StandingEntry,
    StandingPlaces,
    VariantResult,
)

__all__ = ["crew_documents"]

_NO_RATING = "no lamp is seen within the range of the glare rating"
_NO_OPENING = "no lamp with an opening is seen on this side of the eye"


def crew_documents(variant: VariantResult) -> dict[str, list[dict[str, Any]]]:
    """The lists `crew`, `people` and `standing` of a variant."""
    return {
        "crew": [_eye(eye, entry) for eye in variant.crew for entry in eye.entries],
        "people": [_person(person, entry) for person in variant.people for entry in person.entries],
        "standing": [_places(places, entry) for places in variant.standing for entry in places.entries],
    }


def _eye(eye: CrewEye, entry: CrewEntry) -> dict[str, Any]:
    why = "; ".join(entry.notes) or _NO_RATING
    return {
        "eye": eye.eye_id,
        "name": eye.name,
        "kind": eye.kind,
        "person": eye.person_id,
        "frame": eye.frame,
        "position_m": numbers(eye.position_m),
        "height_m": number(eye.height_m),
        "age_years": number(eye.age_years),
        "pigmentation": number(eye.pigmentation),
        "state": entry.state,
        "light": entry.light,
        "veil_form": eye.veil_form,
        "rating_form": eye.rating_form,
        "surroundings": explained(
            {
                "says": eye.surroundings,
                "area": eye.area_id,
                "reflectance": number(eye.reflectance),
                "reflectance_from": eye.reflectance_from,
                "reflectance_status": eye.reflectance_status,
                "mean_horizontal_initial_lx": number(entry.surroundings_lx),
                "veil_cd_m2": number(entry.surroundings_veil_cd_m2),
            },
            why,
        ),
        "worst": explained(
            {
                "glare_rating": number(entry.worst.glare_rating) if entry.worst else None,
                "heading_deg": number(entry.worst_heading_deg),
                "view": _gaze(entry.worst, why) if entry.worst else None,
            },
            why,
        ),
        "views": explained(
            {"heading_deg": numbers(eye.headings_deg), "glare_rating": numbers(entry.rating_by_view)}, why
        ),
        "gazes": [_gaze(gaze, why) for gaze in entry.gazes],
        "notes": list(entry.notes),
    }


def _gaze(gaze: CrewGaze, why: str) -> dict[str, Any]:
    one = gaze.brightest
    document = {
        "gaze": gaze.gaze,
        "direction": numbers(gaze.direction),
        "eye_illuminance_lx": number(gaze.eye_illuminance_lx),
        "veiling_luminance_cd_m2": number(gaze.veil_cd_m2),
        "glare_rating": number(gaze.glare_rating),
        **({} if gaze.air_luminance_cd_m2 is None else {"air_luminance_cd_m2": number(gaze.air_luminance_cd_m2)}),
        "brightest_opening": None
        if one is None
        else {
            "lamp": one.lamp,
            "luminance_cd_m2": number(one.luminance_cd_m2),
            "angle_deg": number(one.angle_deg),
        },
    }
    reasons = [_NO_RATING] if gaze.glare_rating == -math.inf else []
    reasons += [why] if math.isnan(gaze.glare_rating + gaze.veil_cd_m2) else []
    reasons += [_NO_OPENING] if one is None else []
    return explained(document, "; ".join(dict.fromkeys(reasons)))


def _person(person: PersonLight, entry: PersonEntry) -> dict[str, Any]:
    parts: dict[str, dict[str, float | None]] = {}
    for side, lux in zip(person.sides, entry.illuminance_lx, strict=True):
        parts.setdefault(side.part, {})[side.side] = number(lux)
    why = "; ".join(entry.notes)
    return {
        "person": person.person_id,
        "name": person.name,
        "says": person.says,
        "position_m": numbers(person.position_m),
        "state": entry.state,
        "light": entry.light,
        "vertical_maintained_lx": {part: explained(dict(sides), why) for part, sides in parts.items()},
        "notes": list(entry.notes),
    }


def _places(places: StandingPlaces, entry: StandingEntry) -> dict[str, Any]:
    document = {
        "area": places.area_id,
        "name": places.name,
        "state": entry.state,
        "light": entry.light,
        "person_height_m": number(places.person_height_m),
        "torso_up_m": number(places.torso_up_m),
        "valid_places": places.valid_places,
        "all_places": places.all_places,
        "worst_place_m": numbers(entry.place_m),
        "torso_mean_maintained_lx": number(entry.torso_lx),
        "darkest_side": entry.least_side,
        "darkest_side_maintained_lx": number(entry.least_side_lx),
        "lane": places.lane,
        "towards_driver_maintained_lx": number(entry.towards_driver_lx),
        "best_torso_mean_maintained_lx": number(entry.best_torso_lx),
    }
    nobody = math.isnan(entry.torso_lx)
    return explained(document, "nobody can stand anywhere in the area" if nobody else "the site has no lane")
