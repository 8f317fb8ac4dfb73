"""The study as one JSON document: units in the names, null with a reason wherever a number is not valid."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from scenelux.pictures.sentences import worst_veil
from scenelux.pictures.words import count_verdicts, counts_sentence
from scenelux.reports.crew_summary import crew_documents
from scenelux.reports.documents import explained, number, numbers
from scenelux.study.results import (
    AreaEntry,
    AreaResult,
    EyeEntry,
    EyeResult,
    Statistics,
    StudyResult,
    VariantResult,
    VerdictRow,
)
from scenelux.study.results.signal_facts import SignalVerdict

__all__ = ["counts_document", "study_document", "verdict_document"]

FORMAT = "scenelux summary 1"


def study_document(result: StudyResult) -> dict[str, Any]:
    """The whole study."""
    rows = [row for variant in result.variants for row in variant.verdicts]
    return {
        "format": FORMAT,
        "title": result.title,
        "scene": result.scene_name,
        "units_of_output": result.units,
        "demonstration_data": result.demonstration,
        "verdict_line": counts_sentence(rows),
        "counts": counts_document(rows),
        "states": dict(result.states),
        "lights": dict(result.lights),
        "variants": [_variant(variant) for variant in result.variants],
        "luminaires": [_luminaire(result, index) for index in range(len(result.luminaires))],
        "inputs": [{"file": one.file, "sha256": one.sha256} for one in result.inputs],
        "notes": list(result.notes),
        "cautions": list(result.cautions),
    }


def counts_document(verdicts: Iterable[VerdictRow | SignalVerdict]) -> dict[str, int]:
    """How many rules meet, miss and are not assessed."""
    return {word.replace(" ", "_"): count for word, count in count_verdicts(verdicts).items()}


def _variant(variant: VariantResult) -> dict[str, Any]:
    areas = {one.area_id for one in variant.areas}
    return {
        "name": variant.name,
        "say": variant.say,
        "counts": counts_document(variant.verdicts),
        "areas": [_area(area, entry) for area in variant.areas for entry in area.entries],
        "eyes": [_eye(eye, entry) for eye in variant.eyes for entry in eye.entries],
        "windows": [
            explained(
                {
                    "window": one.window_id,
                    "name": one.name,
                    "position_m": numbers(one.position_m),
                    "state": one.state,
                    "light": one.light,
                    "vertical_initial_lx": number(one.vertical_lx),
                    "flux_above_horizontal_percent": number(one.flux_above_horizontal_percent),
                },
                one.note or "no lamp is on, so there is no flux to take a share of",
            )
            for one in variant.windows
        ],
        **crew_documents(variant),
        "verdicts": [verdict_document(row, areas) for row in variant.verdicts],
    }


def _area(area: AreaResult, entry: AreaEntry) -> dict[str, Any]:
    return {
        "area": area.area_id,
        "name": area.name,
        "state": entry.state,
        "light": entry.light,
        "plane": area.plane,
        "facing": area.facing,
        "on": area.on,
        "height_m": number(area.height_m),
        "grid": list(area.grid_shape),
        "cell_m": numbers(area.cell_m),
        "maintained": _statistics(entry.maintained),
        "initial": _statistics(entry.initial),
        "share_meeting": {rule: number(share) for rule, share in entry.share_meeting.items()},
        "ambient_lx": number(entry.ambient_lx),
        "lamps_off": [
            explained(
                {
                    "lamp": one.lamp_id,
                    "min_lx": number(one.minimum_lx),
                    "average_lx": number(one.average_lx),
                    "worst_point_m": numbers(one.worst_point_m),
                },
                "no point of the area is valid",
            )
            for one in entry.lamps_off
        ],
    }


def _statistics(found: Statistics) -> dict[str, Any]:
    dark = "there is no light to take a ratio of" if found.valid_points else "no point of the area is valid"
    return explained(
        {
            "min_lx": number(found.minimum),
            "average_lx": number(found.average),
            "max_lx": number(found.maximum),
            "uniformity": number(found.uniformity),
            "worst_point_m": numbers(found.worst_point_m),
            "valid_points": found.valid_points,
            "all_points": found.all_points,
        },
        dark,
    )


def _eye(eye: EyeResult, entry: EyeEntry) -> dict[str, Any]:
    document = {
        "eye": eye.eye_id,
        "name": eye.name,
        "kind": eye.kind,
        "lane": eye.lane,
        "direction": eye.direction,
        "height_m": number(eye.height_m),
        "state": entry.state,
        "light": entry.light,
        "gaze": entry.gaze,
        "form": eye.headline_form,
        "age_years": number(eye.age_years),
        "pigmentation": number(eye.pigmentation),
        "road_luminance_cd_m2": number(entry.road_luminance_cd_m2),
        "worst": _worst(eye, entry),
        "veil_limit_cd_m2": number(entry.veil_limit_cd_m2),
        "veil_limit_from": entry.veil_limit_from,
        "seconds_above": number(entry.seconds_above),
        "dose_lx_s": number(entry.dose_lx_s),
        "speed_m_s": number(eye.speed_m_s),
        "valid_stations": entry.valid_stations,
        "notes": list(entry.notes),
        "stations": _stations(eye, entry),
    }
    why = "without a limit there are no seconds above it, and without a speed no seconds and no dose"
    return explained(document, why)


def _worst(eye: EyeResult, entry: EyeEntry) -> dict[str, Any]:
    """What the eye gets at its worst valid station."""
    index = entry.worst_station
    at = {name: number(float(values[index])) if index is not None else None for name, values in _series(eye, entry)}
    veils = {form: number(float(values[index])) if index is not None else None for form, values in _veils(entry)}
    document = {
        "station": index,
        **at,
        "veiling_luminance_cd_m2": number(worst_veil(eye, entry)),
        "veiling_luminance_by_form_cd_m2": veils,
        "top_lamp": entry.top_lamp,
    }
    return explained(document, "; ".join(entry.notes) or "no lamp sends light to this eye, or no station is valid")


def _stations(eye: EyeResult, entry: EyeEntry) -> dict[str, Any]:
    document = {
        "position_m": [numbers(point) for point in eye.points_m],
        **{name: numbers(values) for name, values in _series(eye, entry)},
        "veiling_luminance_by_form_cd_m2": {form: numbers(values) for form, values in _veils(entry)},
        "veiling_luminance_by_lamp_cd_m2": {
            lamp: numbers(values) for lamp, values in zip(eye.lamp_ids, entry.veil_by_lamp_cd_m2, strict=True)
        },
    }
    return explained(document, "; ".join(entry.notes) or "outside the range of the form, or no lamp sends light here")


def _series(eye: EyeResult, entry: EyeEntry) -> list[tuple[str, Any]]:
    air = entry.air_luminance_cd_m2
    return [
        *([] if air is None else [("air_luminance_cd_m2", air)]),
        ("distance_m", eye.distances_m),
        ("eye_illuminance_lx", entry.eye_illuminance_lx),
        ("glare_angle_deg", entry.glare_angle_deg),
        ("threshold_increment_percent", entry.threshold_increment_percent),
        ("discomfort_rating", entry.discomfort_rating),
    ]


def _veils(entry: EyeEntry) -> Iterable[tuple[str, Any]]:
    return entry.veil_cd_m2.items()


def verdict_document(row: VerdictRow, area_ids: Iterable[str]) -> dict[str, Any]:
    """One verdict; `area` holds its subject when that is an area, `eye` or other subjects stand in `subject` alone.

    Parameters
    ----------
    row : the verdict.
    area_ids : areas of its variant.
    """
    document = {
        "rule": row.rule,
        "clause": row.clause,
        "edition": row.edition,
        "source": row.source_title,
        "source_status": row.source_status,
        "quantity": row.quantity,
        "statistic": row.statistic,
        "plane": row.plane,
        "subject": row.subject,
        "area": row.subject if row.subject in set(area_ids) else "",
        "state": row.state,
        "light": row.light,
        "sense": row.sense,
        "limit": number(row.limit),
        "value": number(row.value),
        "unit": row.unit,
        "margin": number(row.margin),
        "worst_point_m": None if row.worst_point_m is None else numbers(row.worst_point_m),
        "verdict": row.verdict,
        "inside_data_uncertainty": row.inside_uncertainty,
        "because": row.because,
        "says": row.says,
    }
    no_point = "the statistic belongs to no single point"
    return explained(document, row.because if None in (document["value"], document["limit"]) else no_point)


def _luminaire(result: StudyResult, index: int) -> dict[str, Any]:
    one = result.luminaires[index]
    document = {
        "name": one.name,
        "title": one.title,
        "data_class": one.data_class,
        "source_status": one.source_status,
        "flux_lm": number(one.flux_lm),
        "peak_cd": number(one.peak_cd),
        "power_w": number(one.power_w),
        "lamps": list(one.lamps),
        "warnings": list(one.warnings),
    }
    return explained(document, "the luminaire card does not state it")
