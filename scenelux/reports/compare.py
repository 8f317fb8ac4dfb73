"""Two variants of a study side by side: sentences, areas, veils and the verdicts that flip."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from scenelux.errors import UsageError
from scenelux.pictures.sentences import comparison_sentences, flips, worst_veils
from scenelux.pictures.words import (
    comparison,
    counts_sentence,
    illuminance_cell,
    illuminance_units,
    value_text,
)
from scenelux.reports.crew_compare import crew_difference_documents, crew_difference_tables
from scenelux.reports.documents import explained, number
from scenelux.reports.rows import subject_name
from scenelux.reports.states import say
from scenelux.reports.summary import counts_document, study_document
from scenelux.reports.tabling import STATE_AND_LIGHT, Table, merged
from scenelux.study.results import AreaEntry, AreaResult, StudyResult, VariantResult, VerdictRow
from scenelux.units import figure

__all__ = ["chosen_pair", "comparison_tables", "difference_document", "opening_lines"]


_SAME = "Rows with the same values in both are left out; the JSON document has them all."


def chosen_pair(result: StudyResult, first: str | None, second: str | None) -> tuple[VariantResult, VariantResult]:
    """The two variants to compare.

    Parameters
    ----------
    result : the study.
    first, second : their names; without them the first two of the study.
    """
    if len(result.variants) < 2:
        raise UsageError("has one variant, and a comparison needs two", value=result.scene_name)
    known = {variant.name: variant for variant in result.variants}
    names = (first or result.variants[0].name, second or result.variants[1].name)
    for name in names:
        if name not in known:
            raise UsageError("is not a variant of this study", value=name, accepted=f"give one of {', '.join(known)}")
    return known[names[0]], known[names[1]]


def opening_lines(result: StudyResult, first: VariantResult, second: VariantResult) -> list[str]:
    """The counts of both variants, then what differs in words."""
    counts = [f"{one.name}: {counts_sentence(one.verdicts)}" for one in (first, second)]
    return [*counts, *comparison_sentences(result, first, second)]


def comparison_tables(result: StudyResult, first: VariantResult, second: VariantResult) -> list[Table]:
    """Flipped verdicts, areas, glare and the crew side by side; tables without rows are left out."""
    tables = [
        _flip_table(result, first, second),
        _area_table(result, first, second),
        _veil_table(result, first, second),
        *crew_difference_tables(result, first, second),
    ]
    return [merged(table) for table in tables if table.rows]


def _flip_table(result: StudyResult, first: VariantResult, second: VariantResult) -> Table:
    rows = [
        (
            after.verdict,
            after.rule,
            subject_name(second, after.subject),
            say(result, after.state, after.light),
            f"{before.verdict}: {before.statistic} {value_text(before)}{_close(before)}",
            f"{after.verdict}: {after.statistic} {value_text(after)}{_close(after)}",
        )
        for before, after in flips(first, second)
    ]
    header = ("verdict", "rule", "where", STATE_AND_LIGHT, first.name, second.name)
    return Table("Verdicts that flip", header, tuple(rows))


def _close(row: VerdictRow) -> str:
    return "; margin inside data uncertainty" if row.inside_uncertainty and row.verdict != "not assessed" else ""


def _area_pairs(first: VariantResult, second: VariantResult) -> list[tuple[AreaResult, AreaEntry, AreaEntry]]:
    """Areas and entries that both variants have."""
    before = {(one.area_id, entry.state, entry.light): entry for one in first.areas for entry in one.entries}
    return [
        (area, before[area.area_id, entry.state, entry.light], entry)
        for area in second.areas
        for entry in area.entries
        if (area.area_id, entry.state, entry.light) in before
    ]


def _area_table(result: StudyResult, first: VariantResult, second: VariantResult) -> Table:
    rows = [
        (
            f"{area.name} ({' '.join(part for part in (area.plane, area.facing) if part)})",
            say(result, after.state, after.light),
            illuminance_cell(before.maintained.average, result.units),
            illuminance_cell(after.maintained.average, result.units),
            comparison(before.maintained.average, after.maintained.average),
            illuminance_cell(before.maintained.minimum, result.units),
            illuminance_cell(after.maintained.minimum, result.units),
        )
        for area, before, after in _area_pairs(first, second)
    ]
    a, b = first.name, second.name
    averages = (f"average, {a}", f"average, {b}", f"{b} / {a}")
    header = ("area", STATE_AND_LIGHT, *averages, f"minimum, {a}", f"minimum, {b}")
    title = f"Light on the areas, maintained (with light loss factors), {illuminance_units(result.units)}"
    told = tuple(row for row in rows if (row[2], row[5]) != (row[3], row[6]))
    return Table(title, header, told, _SAME)


def _veil_table(result: StudyResult, first: VariantResult, second: VariantResult) -> Table:
    rows = [
        (
            eye.name,
            say(result, entry.state, entry.light),
            entry.gaze,
            figure(before),
            figure(after),
            comparison(before, after),
        )
        for eye, entry, before, after in worst_veils(first, second)
    ]
    veils = (f"{first.name} [cd/m²]", f"{second.name} [cd/m²]", f"{second.name} / {first.name}")
    header = ("eye", STATE_AND_LIGHT, "gaze", *veils)
    told = tuple(row for row in rows if row[3] != row[4])
    return Table("Veil at the worst station, initial light", header, told, _SAME)


def difference_document(result: StudyResult, first: str | None, second: str | None) -> dict[str, Any]:
    """The comparison as a JSON document.

    Parameters
    ----------
    result : the study.
    first, second : names of the variants; without them the first two of the study.
    """
    one, other = chosen_pair(result, first, second)
    return {
        **study_document(replace(result, variants=(one, other))),
        "format": "scenelux comparison 1",
        "first": one.name,
        "second": other.name,
        "counts": {variant.name: counts_document(variant.verdicts) for variant in (one, other)},
        "sentences": comparison_sentences(result, one, other),
        "flips": [
            {
                "rule": after.rule,
                "subject": after.subject,
                "state": after.state,
                "light": after.light,
                "first": before.verdict,
                "second": after.verdict,
            }
            for before, after in flips(one, other)
        ],
        "area_differences": [_area_document(*pair) for pair in _area_pairs(one, other)],
        "eye_differences": [
            explained(
                {
                    "eye": eye.eye_id,
                    "state": entry.state,
                    "light": entry.light,
                    "gaze": entry.gaze,
                    "form": eye.headline_form,
                    "first_worst_veil_cd_m2": number(before),
                    "second_worst_veil_cd_m2": number(after),
                    "second_over_first": number(after / before if before else None),
                },
                "a veil of nothing has no ratio, and a veil outside its form's range is not valid",
            )
            for eye, entry, before, after in worst_veils(one, other)
        ],
        **crew_difference_documents(one, other),
    }


def _area_document(area: AreaResult, before: AreaEntry, after: AreaEntry) -> dict[str, Any]:
    least, average = before.maintained.minimum, before.maintained.average
    return explained(
        {
            "area": area.area_id,
            "state": after.state,
            "light": after.light,
            "first_min_lx": number(least),
            "second_min_lx": number(after.maintained.minimum),
            "first_average_lx": number(average),
            "second_average_lx": number(after.maintained.average),
            "second_over_first_average": number(after.maintained.average / average if average else None),
        },
        "no light to take a ratio of, or no valid point",
    )
