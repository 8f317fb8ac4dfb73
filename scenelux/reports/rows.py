"""A study as tables of text, built once: terminal, page and PDF print the same words and the same rounding."""

from __future__ import annotations

import math

from scenelux.pictures.words import illuminance, limit_text, plane_text, unit_text, value_text, where
from scenelux.reports.crew import crew_tables
from scenelux.reports.glare import eye_table
from scenelux.reports.lamps import lamp_table
from scenelux.reports.states import lit_levels, say, say_level
from scenelux.reports.tabling import STATE_AND_LIGHT, Table, merged
from scenelux.study.results import AreaEntry, AreaResult, StudyResult, VariantResult, VerdictRow
from scenelux.study.results.signal_facts import SignalVerdict
from scenelux.units import UnitSystem, figure

__all__ = [
    "area_table",
    "input_table",
    "luminaire_table",
    "margin_text",
    "subject_name",
    "variant_tables",
    "verdict_table",
    "window_table",
]

_ORDER = {"misses": 0, "not assessed": 1, "meets": 2}


def variant_tables(result: StudyResult, variant: VariantResult) -> list[Table]:
    """The tables of one variant that have rows, verdicts first."""
    tables = [
        merged(verdict_table(result, variant)),
        area_table(result, variant),
        eye_table(result, variant),
        *crew_tables(result, variant),
        merged(window_table(result, variant)),
        lamp_table(result, variant),
    ]
    return [table for table in tables if table.rows]


def verdict_table(result: StudyResult, variant: VariantResult) -> Table:
    """Every verdict with its clause, value, limit and margin; what is missed comes first."""
    ordered = sorted(variant.verdicts, key=lambda row: _ORDER[row.verdict])
    return Table(
        "Verdicts",
        ("verdict", "rule", "where", STATE_AND_LIGHT, "found", "limit", "margin", "why"),
        tuple(_verdict_cells(result, variant, row) for row in ordered),
        "A limit is compared in the unit in which its source prints it.",
    )


def _verdict_cells(result: StudyResult, variant: VariantResult, row: VerdictRow) -> tuple[str, ...]:
    source = ", ".join(part for part in (row.source_title, row.edition, row.clause) if part)
    place = where(row.worst_point_m, result.units)
    return (
        row.verdict,
        f"{row.rule} ({source}; {row.source_status}){f': {row.says}' if row.source_status == 'own' else ''}",
        f"{subject_name(variant, row.subject)}, {row.plane}{f'; worst at {place}' if place else ''}",
        say(result, row.state, row.light),
        f"{row.statistic} {value_text(row)}",
        limit_text(row),
        margin_text(row),
        row.because,
    )


def margin_text(row: VerdictRow | SignalVerdict) -> str:
    """The margin in the rule's unit, and whether it lies inside the uncertainty of the lamp data."""
    if not math.isfinite(row.margin) or row.verdict == "not assessed":
        return "none"
    text = f"{'+' if row.margin > 0 else ''}{figure(row.margin)}{unit_text(row.unit)}"
    return f"{text}; margin inside data uncertainty" if row.inside_uncertainty else text


def subject_name(variant: VariantResult, subject: str) -> str:
    """Name of an area or an eye by its id; the id itself for anything else."""
    names = {one.area_id: one.name for one in variant.areas} | {one.eye_id: one.name for one in variant.eyes}
    return names.get(subject, subject)


def area_table(result: StudyResult, variant: VariantResult) -> Table:
    """Statistics of every area at every set of lamp levels; those that most rules judge are shown first."""
    rows, shown = [], 0
    for number, level in enumerate(lit_levels(variant)):
        for area in variant.areas:
            entry = next((one for one in area.entries if (one.state, one.light) in level.keys), None)
            if entry is not None:
                rows.append(_area_cells(result, area, entry, say_level(result, level)))
        shown = shown if number else len(rows)
    return Table(
        "Light on the areas, maintained (with light loss factors)",
        (
            "area",
            STATE_AND_LIGHT,
            "minimum",
            "average",
            "maximum",
            "min/average",
            "initial average",
            "weakest with one lamp dead",
            "valid points",
        ),
        tuple(rows),
        "Lamps of the scene only; natural light is never added to a verdict.",
        shown=shown,
    )


def _area_cells(result: StudyResult, area: AreaResult, entry: AreaEntry, says: str) -> tuple[str, ...]:
    units, found = result.units, entry.maintained
    return (
        f"{area.name} ({plane_text(area, units)})",
        says,
        illuminance(found.minimum, units),
        illuminance(found.average, units),
        illuminance(found.maximum, units),
        figure(found.uniformity),
        illuminance(entry.initial.average, units),
        _weakest_lamp(entry, units),
        f"{found.valid_points} of {found.all_points}",
    )


def _weakest_lamp(entry: AreaEntry, units: UnitSystem) -> str:
    """The lamp whose loss leaves the least minimum."""
    lamps = [one for one in entry.lamps_off if math.isfinite(one.minimum_lx)]
    if not lamps:
        return "not valid"
    worst = min(lamps, key=lambda one: one.minimum_lx)
    return f"{illuminance(worst.minimum_lx, units)} without {worst.lamp_id}"


def window_table(result: StudyResult, variant: VariantResult) -> Table:
    """Light on the windows of houses near by."""
    rows = [
        (
            one.name,
            say(result, one.state, one.light),
            illuminance(one.vertical_lx, result.units),
            f"{figure(one.flux_above_horizontal_percent)} %",
            one.note,
        )
        for one in variant.windows
        if variant.map.levels[one.state, one.light].any()
    ]
    header = ("window", STATE_AND_LIGHT, "vertical illuminance", "flux above the horizontal", "note")
    return Table("Windows near by, initial light", header, tuple(rows))


def luminaire_table(result: StudyResult) -> Table:
    """The luminaires of a study, and how far their data go."""
    rows = [
        (
            f"{one.name}: {one.title}",
            one.data_class,
            one.source_status,
            f"{figure(one.flux_lm)} lm",
            f"{figure(one.peak_cd)} cd",
            "not stated" if one.power_w is None else f"{figure(one.power_w)} W",
            ", ".join(one.lamps),
            "; ".join(one.warnings),
        )
        for one in result.luminaires
    ]
    header = ("luminaire", "data class", "status", "flux", "peak", "power", "lamps", "warnings")
    return Table("Luminaires", header, tuple(rows))


def input_table(result: StudyResult) -> Table:
    """The files that went in."""
    return Table("Input files", ("file", "sha256"), tuple((one.file, one.sha256) for one in result.inputs))
