"""A study as tables of text, built once: terminal, page and PDF print the same words and the same rounding."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from scenelux.pictures.sentences import worst_veil
from scenelux.pictures.words import illuminance, limit_text, plane_text, unit_text, value_text, where
from scenelux.study.results import AreaEntry, AreaResult, EyeEntry, EyeResult, StudyResult, VariantResult, VerdictRow
from scenelux.units import UnitSystem, figure, format_distance, format_length

__all__ = [
    "STATE_AND_LIGHT",
    "Table",
    "area_table",
    "eye_table",
    "input_table",
    "luminaire_table",
    "margin_text",
    "merged",
    "subject_name",
    "variant_tables",
    "verdict_table",
    "window_table",
]

STATE_AND_LIGHT = "state and light"
_ORDER = {"misses": 0, "not assessed": 1, "meets": 2}


@dataclass(frozen=True)
class Table:
    """A table of text.

    Parameters
    ----------
    title : what it holds, with the kind of light.
    header : names of the columns, with units.
    rows : texts; the first cell of a verdict table is its verdict.
    note : one sentence below the table, or nothing.
    """

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    @property
    def is_verdicts(self) -> bool:
        """True when the first column holds verdicts."""
        return self.header[0] == "verdict"


def variant_tables(result: StudyResult, variant: VariantResult) -> list[Table]:
    """The tables of one variant that have rows, verdicts first."""
    tables = [
        verdict_table(result, variant),
        area_table(result, variant),
        eye_table(result, variant),
        window_table(result, variant),
    ]
    return [merged(table) for table in tables if table.rows]


def merged(table: Table) -> Table:
    """The table with rows that differ in nothing but state and light level drawn together."""
    column = table.header.index(STATE_AND_LIGHT)
    together: dict[tuple[str, ...], list[str]] = {}
    for row in table.rows:
        together.setdefault((*row[:column], *row[column + 1 :]), []).append(row[column])
    rows = [(*rest[:column], "; ".join(says), *rest[column:]) for rest, says in together.items()]
    return Table(table.title, table.header, tuple(rows), table.note)


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
        f"{row.rule} ({source}; {row.source_status})",
        f"{subject_name(variant, row.subject)}, {row.plane}{f'; worst at {place}' if place else ''}",
        say(result, row.state, row.light),
        f"{row.statistic} {value_text(row)}",
        limit_text(row),
        margin_text(row),
        row.because,
    )


def margin_text(row: VerdictRow) -> str:
    """The margin in the rule's unit, and whether it lies inside the uncertainty of the lamp data."""
    if not math.isfinite(row.margin) or row.verdict == "not assessed":
        return "none"
    text = f"{'+' if row.margin > 0 else ''}{figure(row.margin)}{unit_text(row.unit)}"
    return f"{text}; margin inside data uncertainty" if row.inside_uncertainty else text


def subject_name(variant: VariantResult, subject: str) -> str:
    """Name of an area or an eye by its id; the id itself for anything else."""
    names = {one.area_id: one.name for one in variant.areas} | {one.eye_id: one.name for one in variant.eyes}
    return names.get(subject, subject)


def say(result: StudyResult, state: str, light: str) -> str:
    """Duty state and light level in words."""
    return f"{result.states.get(state) or state} · {result.lights.get(light) or light}"


def area_table(result: StudyResult, variant: VariantResult) -> Table:
    """Statistics of every area in every duty state at every light level."""
    rows = [_area_cells(result, area, entry) for area in variant.areas for entry in area.entries]
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
    )


def _area_cells(result: StudyResult, area: AreaResult, entry: AreaEntry) -> tuple[str, ...]:
    units, found = result.units, entry.maintained
    return (
        f"{area.name} ({plane_text(area, units)})",
        say(result, entry.state, entry.light),
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


def eye_table(result: StudyResult, variant: VariantResult) -> Table:
    """Worst glare of every eye in every duty state at every light level with every gaze."""
    rows = [_eye_cells(result, eye, entry) for eye in variant.eyes for entry in eye.entries]
    forms = ", ".join(sorted({eye.headline_form for eye in variant.eyes}))
    return Table(
        f"Glare at the eyes, initial light, worst station ({forms or 'no eye'})",
        (
            "eye",
            STATE_AND_LIGHT,
            "gaze",
            "veil [cd/m²]",
            "where",
            "limit [cd/m²]",
            "threshold increment, equivalent [%]",
            "eye illuminance [lx]",
            "discomfort rating",
            "seconds above limit",
            "valid stations",
            "notes",
        ),
        tuple(rows),
        "Discomfort rating from 1 unbearable to 9 unnoticeable, formula unconfirmed.",
    )


def _eye_cells(result: StudyResult, eye: EyeResult, entry: EyeEntry) -> tuple[str, ...]:
    worst = entry.worst_station
    at = None if worst is None else float(eye.distances_m[worst])
    kind = eye.direction if eye.kind == "approach" else "fixed"
    limit = "none" if entry.veil_limit_cd_m2 is None else f"{figure(entry.veil_limit_cd_m2)} ({entry.veil_limit_from})"
    return (
        f"{eye.name} ({kind}, {format_length(eye.height_m, result.units)} up, age {eye.age_years:g})",
        say(result, entry.state, entry.light),
        entry.gaze,
        figure(worst_veil(eye, entry)),
        _at(at, entry, result.units),
        limit,
        _at_station(entry.threshold_increment_percent, worst),
        _at_station(entry.eye_illuminance_lx, worst),
        _at_station(entry.discomfort_rating, worst),
        "none set" if entry.seconds_above is None else f"{figure(entry.seconds_above)} s",
        f"{entry.valid_stations} of {eye.distances_m.size}",
        "; ".join(entry.notes),
    )


def _at(distance_m: float | None, entry: EyeEntry, units: UnitSystem) -> str:
    if distance_m is None:
        return "no light at the eye"
    place = format_distance(distance_m, units) if math.isfinite(distance_m) else "at the eye"
    return f"{place}, most from {entry.top_lamp}" if entry.top_lamp else place


def _at_station(values: Iterable[float], station: int | None) -> str:
    return "none" if station is None else figure(float(list(values)[station]))


def window_table(result: StudyResult, variant: VariantResult) -> Table:
    """Light on the windows of houses near by."""
    rows = [
        (
            one.name,
            say(result, one.state, one.light),
            illuminance(one.vertical_lx, result.units),
            f"{figure(one.flux_above_horizontal_percent)} %",
        )
        for one in variant.windows
    ]
    header = ("window", STATE_AND_LIGHT, "vertical illuminance", "flux above the horizontal")
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
