"""Flashing lamps as one JSON document: units in the names, null with a reason wherever a number is not valid."""

from __future__ import annotations

from typing import Any

from scenelux.pictures.words import counts_sentence
from scenelux.reports.documents import explained, number, numbers
from scenelux.reports.summary import counts_document, study_document
from scenelux.study.results.signal import RingMeasures, SignalCase, SignalLamp, SignalRing, SignalStudy, SignalVariant
from scenelux.study.results.signal_facts import (
    ArrowFacts,
    PhaseSpread,
    SafetyFact,
    SignalColour,
    SignalVerdict,
    SyncFacts,
    ZonePower,
)

__all__ = ["signal_document"]

FORMAT = "scenelux signal 1"
HEAD = ("title", "scene", "units_of_output", "demonstration_data")
FOOT = ("luminaires", "inputs")
WORST = (
    "about a vehicle a direction has a heading, and an elevation far away or a height of eyes near by; about a lamp it "
    "has right and up from its axis; an average and a rate have none"
)
NO_RATE = "gaps are too short to part flashes"
NO_VALUE = f"{NO_RATE}, or the cycle has too many switchings for the model"


def signal_document(study: SignalStudy) -> dict[str, Any]:
    """All variants.

    Parameters
    ----------
    study : of `look_at_signals`.
    """
    about = study_document(study.about)
    rows = [row for variant in study.variants for row in variant.verdicts]
    return {
        "format": FORMAT,
        **{key: about[key] for key in HEAD},
        "verdict_line": counts_sentence(rows),
        "counts": counts_document(rows),
        "states": about["states"],
        "lights": about["lights"],
        "effective_intensity_models": list(study.models),
        "dark_below_share_of_mean": number(study.dark_fraction),
        "variants": [_variant(one) for one in study.variants],
        **{key: about[key] for key in FOOT},
        "notes": list(study.notes),
        "cautions": list(study.about.cautions),
    }


def _variant(variant: SignalVariant) -> dict[str, Any]:
    return {
        "name": variant.name,
        "say": variant.say,
        "vehicle": variant.vehicle_id,
        "middle_m": numbers(variant.centre_m),
        "heading_deg": number(variant.heading_deg),
        "counts": counts_document(variant.verdicts),
        "rings": [_ring(ring) for ring in variant.rings],
        "cases": [_case(case) for case in variant.cases],
        "colours": [_colour(one) for one in variant.colours],
        "verdicts": [_verdict(row) for row in variant.verdicts],
    }


def _colour(one: SignalColour) -> dict[str, Any]:
    document = {
        "luminaire": one.luminaire,
        "lamps": list(one.lamps),
        "region": one.region,
        "verdict": one.verdict,
        "distance_xy": number(one.distance),
        "says": one.says,
    }
    return explained(document, one.says)


def _ring(ring: SignalRing) -> dict[str, Any]:
    document = {
        "ring": ring.ring_id,
        "says": ring.says,
        "kind": ring.kind,
        "elevation_deg": number(ring.elevation_deg),
        "eye_height_m": number(ring.height_m),
        "distance_m": number(ring.distance_m),
        "heading_deg": numbers(ring.heading_deg),
        "lamps_hidden": ring.hidden.sum(axis=0).tolist(),
    }
    return explained(document, "a ring has an elevation far away, or a height of eyes near by")


def _case(case: SignalCase) -> dict[str, Any]:
    return {
        "state": case.state,
        "light": case.light,
        "cycle_s": number(float(case.times_s[-1])),
        "switching_instants_s": numbers(case.times_s),
        "notes": list(case.notes),
        "lamps": [_lamp(lamp) for lamp in case.lamps if lamp.level > 0.0],
        "directions": [_measures(one) for one in case.measures],
        "zones": [_zone(one) for one in case.zones],
        "synchronisation": [_sync(one) for one in case.synchrony],
        "arrow_boards": [_arrow(one) for one in case.arrows],
        "apparent_motion": [
            {
                "circuit": one.circuit,
                "order": list(one.order),
                "steps_s": numbers(one.steps_s),
                "direction": one.direction,
                "in_band": one.in_band,
                "says": one.says,
            }
            for one in case.motion
        ],
        "flash_safety": [_safety(one) for one in case.safety],
    }


def _lamp(lamp: SignalLamp) -> dict[str, Any]:
    return {
        "lamp": lamp.lamp_id,
        "kind": lamp.kind,
        "circuit": lamp.circuit,
        "vehicle": lamp.vehicle_id,
        "clock": lamp.clock,
        "level": number(lamp.level),
        "pattern": lamp.pattern,
        "flashing": lamp.flashing,
        "phase_s": number(lamp.phase_s),
        "step_ends_s": numbers(lamp.edges_s),
        "step_levels": numbers(lamp.levels),
    }


def _measures(one: RingMeasures) -> dict[str, Any]:
    document = {
        "ring": one.ring_id,
        "lamps": one.group,
        "peak_cd": numbers(one.peak_cd),
        "mean_cd": numbers(one.mean_cd),
        "darkest_cd": numbers(one.least_cd),
        "optical_power_cd_s_per_min": numbers(one.power_cd_s_per_min),
        "effective_cd": {model: numbers(values) for model, values in one.effective_cd.items()},
        "flash_rate_hz": numbers(one.flash_rate_hz),
        "longest_lit_s": numbers(one.longest_lit_s),
        "dark_share": numbers(one.dark_share),
        "longest_dark_s": numbers(one.longest_dark_s),
    }
    return explained(document, NO_VALUE)


def _zone(one: ZonePower) -> dict[str, Any]:
    return {
        "zone": one.zone,
        "name": one.name,
        "level_least_cd_s_per_min": number(one.least),
        "level_mean_cd_s_per_min": number(one.mean),
        "level_greatest_cd_s_per_min": number(one.greatest),
        "least_heading_deg": number(one.least_heading_deg),
        "sum_of_points_cd_s_per_min": number(one.sum_of_points),
        "points": one.points,
    }


def _spread(one: PhaseSpread) -> dict[str, Any]:
    ends = {"least": number(one.least), "mean": number(one.mean), "greatest": number(one.greatest)}
    return {**ends, "deciles": numbers(one.deciles)}


def _sync(one: SyncFacts) -> dict[str, Any]:
    document = {
        "first": one.first,
        "second": one.second,
        "same_clock": one.same_clock,
        "both_dark_share": _spread(one.both_dark),
        "both_lit_share": _spread(one.both_lit),
        "longest_dark_s": _spread(one.longest_dark_s),
        "flashes_per_s": _spread(one.flashes_per_s),
        "lag_s": number(one.lag_s),
        "says": one.says,
    }
    return explained(document, f"no one lag between clocks or different patterns; {NO_RATE}")


def _arrow(one: ArrowFacts) -> dict[str, Any]:
    return {
        "circuit": one.circuit,
        "mode": one.mode,
        "lamps": one.elements,
        "rate_per_min": number(one.rate_per_min),
        "on_shares": numbers(one.on_shares),
        "rate_as_stated": one.rate_holds,
        "on_shares_as_stated": one.shares_hold,
        "legibility": [
            {"type": name, "legibility_m": number(metres), "least_lamps": least, "use": use}
            for name, (metres, least, use) in one.legibility.items()
        ],
        "source": one.source_title,
        "source_status": one.source_status,
        "says": one.says,
    }


def _safety(one: SafetyFact) -> dict[str, Any]:
    document = {
        "screen": one.screen,
        "value": number(one.value),
        "limit": number(one.limit),
        "unit": one.unit,
        "above": one.above,
        "says": one.says,
        "source": one.source_title,
        "source_status": one.source_status,
    }
    return explained(document, one.says)


def _verdict(row: SignalVerdict) -> dict[str, Any]:
    document = {
        "rule": row.rule,
        "name": row.name,
        "source": row.source_title,
        "edition": row.edition,
        "clause": row.clause,
        "source_status": row.source_status,
        "quantity": row.quantity,
        "model": row.model,
        "lamps": row.subject,
        "where": row.where,
        "state": row.state,
        "light": row.light,
        "sense": row.sense,
        "limit": number(row.limit),
        "value": number(row.value),
        "unit": row.unit,
        "margin": number(row.margin),
        "worst_heading_deg": number(row.worst.heading_deg),
        "worst_elevation_deg": number(row.worst.elevation_deg),
        "worst_eye_height_m": number(row.worst.height_m),
        "worst_right_of_axis_deg": number(row.worst.right_deg),
        "worst_up_from_axis_deg": number(row.worst.up_deg),
        "verdict": row.verdict,
        "inside_data_uncertainty": row.inside_uncertainty,
        "because": row.because,
        "says": row.says,
    }
    return explained(document, row.because or WORST)
