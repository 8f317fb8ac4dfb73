"""Switching as one JSON document: units in the names, null with a reason wherever a number is not valid."""

from __future__ import annotations

import math
from typing import Any

from scenelux.reports.documents import explained, number
from scenelux.reports.summary import study_document
from scenelux.study.results.dusk import DuskResult, PropertyVerdict, SensorFacts, Timeline
from scenelux.study.results.matrix import Load, MatrixRow

__all__ = ["dusk_document"]

FORMAT = "scenelux dusk 1"
HEAD = ("title", "scene", "units_of_output", "demonstration_data", "states", "lights")
FOOT = ("luminaires", "inputs")
NOT_STATED = "not stated in the documents"
NONE_STATED = {"reason": "the document has no sensor"}


def dusk_document(result: DuskResult) -> dict[str, Any]:
    """The whole result.

    Parameters
    ----------
    result : of the switching.
    """
    about = study_document(result.about)
    held, broken = (sum(one.verdict == word for one in result.check.verdicts) for word in ("holds", "broken"))
    return {
        "format": FORMAT,
        **{key: about[key] for key in HEAD},
        "switching": result.switching,
        "switching_title": result.title,
        "counts": {"properties": len(result.check.verdicts), "hold": held, "broken": broken,
                   "faults": len(result.check.findings), "flutters": result.flutters},
        "circuits": dict(result.circuits),
        "rules": dict(result.rules),
        "looked_at": {"says": result.check.says, "combinations": result.check.combinations,
                      "kinds": result.check.kinds, "failures": result.check.failures},
        "properties": [_property(one) for one in result.check.verdicts],
        "faults": [{"fault": one.kind, "says": one.says} for one in result.check.findings],
        "sensor": NONE_STATED if result.sensor is None else _sensor(result.sensor),
        "evenings": [_evening(one) for one in result.timelines],
        "state_matrix": [_row(row) for row in result.matrix],
        "supply": result.supply or "not stated",
        "yard_test": [
            {"about": one.about, "set": list(one.sets), "expect": list(one.expects), "measure": list(one.measures),
             "because": one.because}
            for one in result.yard
        ],
        **{key: about[key] for key in FOOT},
        "notes": list(result.notes),
        "cautions": list(result.about.cautions),
    }  # fmt: skip


def _property(one: PropertyVerdict) -> dict[str, Any]:
    found: dict[str, Any] = {
        "property": one.property_id,
        "states": one.states,
        "because": one.because,
        "verdict": one.verdict,
        "combinations": one.combinations,
        "broken": one.broken,
        "story": one.story,
    }
    if one.unit:
        found |= {"worst": number(one.worst), "unit": one.unit}
    return explained(found, "never applies, or no value is valid")


def _sensor(one: SensorFacts) -> dict[str, Any]:
    return {
        "says": one.says,
        "dark_below_lx": number(one.dark_below_lx),
        "bright_above_lx": number(one.bright_above_lx),
        "dark_delay_s": number(one.dark_delay_s),
        "bright_delay_s": number(one.bright_delay_s),
        "view_factor": number(one.view_factor),
        "own_light_lx": {name: number(lux) for name, lux in one.own_lx.items()},
    }


def _evening(one: Timeline) -> dict[str, Any]:
    energy = {"energy_wh": number(one.energy_wh)}
    return {
        "evening": one.name,
        "says": one.says,
        "start": one.start_utc,
        "duration_s": number(one.duration_s),
        "inputs": one.inputs,
        "turns": one.turns,
        "flutters": one.flutters,
        "flutter_within_s": number(one.within_s),
        **({} if one.endless_from_s is None else {"switches_without_end_from_s": number(one.endless_from_s)}),
        **explained(energy, "no lamp states its power"),
        "times": [
            explained(
                {"levels_of": part.name, "seconds": number(part.seconds), "energy_wh": number(part.energy_wh),
                 "least_maintained_lx": {name: number(lux) for name, lux in part.least_lx.items()},
                 "worst_veil_cd_m2": number(part.worst_veil_cd_m2)},
                NOT_STATED,
            )
            for part in one.times
        ],
        "events": [{"time_s": number(time), "says": says} for time, says in one.events],
        "levels": [
            {"time_s": float(f"{change.time_s:.9g}"), "ambient_lx": number(change.ambient_lx), "reads": change.reads,
             "levels_of": change.name, "circuits": {name: number(level) for name, level in change.levels.items()}}
            for change in one.changes
        ],
    }  # fmt: skip


def _row(row: MatrixRow) -> dict[str, Any]:
    return {
        "name": row.name,
        "state": row.state or None,
        "light": row.light or None,
        **({} if row.state else {"reason": "no duty state at no light level has these levels"}),
        "made_by_the_rules": row.reached,
        "story": row.story,
        "circuits": {name: number(level) for name, level in row.levels.items()},
        "settings": dict(row.settings),
        "areas": [
            explained(
                {"area": one.area_id, "min_maintained_lx": number(one.least_lx),
                 "average_maintained_lx": number(one.average_lx)},
                "no point is valid",
            )
            for one in row.areas
        ],
        "eyes": [
            explained(
                {"eye": one.eye_id, "gaze": one.gaze, "worst_veil_cd_m2": number(one.veil_cd_m2)},
                "no station is valid",
            )
            for one in row.eyes
        ],
        "load": {"reason": NOT_STATED} if row.load is None else _load(row.load),
    }  # fmt: skip


def _load(one: Load) -> dict[str, Any]:
    found = {
        "current_a": number(one.current_a),
        "left_at_idle_a": number(one.idle_spare_a),
        "left_driving_a": number(one.driving_spare_a),
        "battery_h": _hours(one.battery_h),
        "battery_at_idle_h": _hours(one.idle_battery_h),
        "goes_first_at_idle": list(one.shed),
        "notes": list(one.notes),
    }
    circuits = [
        explained(
            {"circuit": part.circuit, "level": number(part.level), "power_w": number(part.power_w),
             "current_a": number(part.current_a), "drop_v": number(part.drop_v), "at_lamps_v": number(part.lamp_v),
             "light_left": number(part.light_share), "peak_cd": number(part.peak_cd)},
            NOT_STATED,
        )
        for part in one.circuits
    ]  # fmt: skip
    return {**explained(found, "the supply cannot carry this load"), "circuits": circuits}


def _hours(value: float) -> float | str | None:
    return "without end" if math.isinf(value) else number(value)
