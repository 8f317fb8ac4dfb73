"""Approaches as one JSON document: units in the names, null with a reason wherever a number is not valid."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from scenelux.reports.documents import explained, number, numbers
from scenelux.reports.summary import study_document
from scenelux.study.results import EyeEntry
from scenelux.study.results.approach import (
    ApproachEntry,
    ApproachResult,
    ApproachStudy,
    SeenFrom,
    TargetEntry,
    TargetPath,
)

__all__ = ["approach_document"]

FORMAT = "scenelux approach 1"
HEAD = ("title", "scene", "units_of_output", "demonstration_data", "states", "lights")
FOOT = ("luminaires", "inputs")


def approach_document(study: ApproachStudy) -> dict[str, Any]:
    """All approaches of all variants."""
    about = study_document(study.about)
    return {
        "format": FORMAT,
        **{key: about[key] for key in HEAD},
        "variants": [
            {"name": one.name, "say": one.say, "approaches": [_approach(way) for way in one.approaches]}
            for one in study.variants
        ],
        **{key: about[key] for key in FOOT},
        "notes": list(study.notes),
        "cautions": list(study.about.cautions),
    }


def _approach(way: ApproachResult) -> dict[str, Any]:
    document = {
        "approach": way.approach_id,
        "name": way.name,
        "lane": way.lane,
        "direction": way.direction,
        "vehicle": way.vehicle_id,
        "speed_m_s": number(way.speed_m_s),
        "reaction_time_s": number(way.reaction_s),
        "stopping_sight_distance_m": number(way.stopping_distance_m),
        "visibility_level": number(way.visibility_level),
        "eye_height_m": number(way.eye_height_m),
        "ages_years": numbers(way.ages_years),
        "pigmentation": number(way.pigmentation),
        "exposure_s": number(way.exposure_s),
        "headlamps": way.headlamps,
        "weather": way.weather,
        "notes": list(way.notes),
        "distance_m": numbers(way.distances_m),
        "time_s": numbers(way.times_s),
        "position_m": [numbers(point) for point in way.points_m],
        "targets": [_target(way, target) for target in way.targets],
        "vehicle_met": [_met(way, entry) for entry in way.entries],
        "glare": [_glare(way, number_, entry) for number_, entry in enumerate(way.eyes[0].entries)],
    }
    return explained(document, "brakes would not hold on this road")


def _target(way: ApproachResult, target: TargetPath) -> dict[str, Any]:
    why = "; ".join(target.notes) or "outside the range of the model of visibility"
    document = {
        "target": target.target_id,
        "name": target.name,
        "kind": target.kind,
        "says": target.says,
        "position_m": numbers(target.position_m),
        "before_vehicle_m": number(target.before_vehicle_m),
        "notes": list(target.notes),
        "ahead": target.ahead.tolist(),
        "hidden_by_road": target.hidden_by_road.tolist(),
        "hidden_by_body": target.hidden_by_body.tolist(),
        "size_arcmin": numbers(target.size_arcmin),
    }
    cases = [_case(way, entry, why) for entry in target.entries]
    return {**explained(document, why), "cases": cases}


def _case(way: ApproachResult, entry: TargetEntry, why: str) -> dict[str, Any]:
    document = {
        "state": entry.state,
        "light": entry.light,
        "target_luminance_cd_m2": numbers(entry.target_cd_m2),
        "background_luminance_cd_m2": numbers(entry.background_cd_m2),
        "luminance_difference_cd_m2": numbers(entry.difference_cd_m2),
        "contrast_reversal": entry.reversal.tolist(),
    }
    ages = [
        explained(
            {
                **_seen(seen),
                "veiling_luminance_cd_m2": numbers(entry.veil_cd_m2[at]),
                "visibility_level": numbers(entry.level[at]),
                "seen_by": [part or None for part in entry.seen_by[at]],
                "whole_visibility_level": numbers(entry.whole_level[at]),
            },
            "; ".join(part for part in (seen.why, why) if part),
        )
        for at, seen in enumerate(entry.seen)
    ]
    return {**explained(document, why), "by_age": ages}


def _seen(seen: SeenFrom) -> dict[str, Any]:
    return {
        "age_years": number(seen.age_years),
        "outcome": seen.outcome,
        "stays_seen_from_m": number(seen.distance_m),
        "stays_seen_by": seen.seen_by or None,
        "or_more": seen.at_least,
        "in_doubt": seen.in_doubt,
        "seen_spans_m": [numbers(span) for span in seen.seen_spans_m],
        "to_target_m": number(seen.to_target_m),
        "margin_m": number(seen.margin_m),
        "margin_s": number(seen.margin_s),
    }


def _met(way: ApproachResult, entry: ApproachEntry) -> dict[str, Any]:
    document = {
        "state": entry.state,
        "light": entry.light,
        "adaptation_luminance_cd_m2": number(entry.adaptation_luminance_cd_m2),
        "dose_lx_s": number(entry.dose_lx_s),
        "towards_eye_cd": numbers(entry.towards_eye_cd),
        "brightest_lamp_lx": numbers(entry.brightest_lux),
        "brightest_lamp": list(entry.brightest_lamp),
        "outdoor_discomfort_rating": numbers(entry.outdoor_rating),
        "notes": list(entry.notes),
    }
    ages = [
        explained(
            {
                "age_years": number(age),
                "worst_veiling_luminance_cd_m2": number(entry.worst_veil_cd_m2[age]),
                "seconds_above_adaptation": number(entry.seconds_above_adaptation[age]),
            },
            _glare_reason(_notes(way, entry)),
        )
        for age in way.ages_years
    ]
    return {**explained(document, _glare_reason(entry.notes)), "by_age": ages}


def _notes(way: ApproachResult, entry: ApproachEntry) -> list[str]:
    case = (entry.state, entry.light)
    return [note for one in way.eyes[0].entries if (one.state, one.light) == case for note in one.notes]


def _glare(way: ApproachResult, at: int, entry: EyeEntry) -> dict[str, Any]:
    """One gaze; only the veil depends on age."""
    form = way.eyes[0].headline_form
    document = {
        "state": entry.state,
        "light": entry.light,
        "gaze": entry.gaze,
        "form": form,
        "road_luminance_cd_m2": number(entry.road_luminance_cd_m2),
        "notes": list(entry.notes),
        "eye_illuminance_lx": numbers(entry.eye_illuminance_lx),
        "glare_angle_deg": numbers(entry.glare_angle_deg),
        "threshold_increment_percent": numbers(entry.threshold_increment_percent),
        "discomfort_rating": numbers(entry.discomfort_rating),
        "veiling_luminance_by_age_cd_m2": {
            f"{eye.age_years:g}": numbers(eye.entries[at].veil_cd_m2[form]) for eye in way.eyes
        },
    }
    return explained(document, _glare_reason(entry.notes))


def _glare_reason(notes: Iterable[str]) -> str:
    return "; ".join(dict.fromkeys(notes)) or "outside the range of the form, or no lamp sends light here"
