"""Tables of the people around the vehicle: glare in their eyes, light on them, and where it is worst to stand."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scenelux.pictures.crew import rating_text
from scenelux.pictures.levels import Level
from scenelux.pictures.words import illuminance_cell, illuminance_units, where
from scenelux.reports.states import lit_levels, say_level
from scenelux.reports.tabling import STATE_AND_LIGHT, Table
from scenelux.study.results import CrewEntry, CrewEye, CrewGaze, StandingEntry, StudyResult, VariantResult
from scenelux.units import UnitSystem, figure

__all__ = ["crew_tables", "glare_table", "people_table", "standing_table", "tables_at"]

_DARK_LX = 0.1

_RATING_NOTE = (
    "Rating of CIE 112, lower is better (no lamp: none is seen within its range), beside its surroundings: mean "
    "horizontal illuminance by lamps alone, and how it is reflected. Headings in the frame of the vehicle: 0° forward, "
    "90° left, 180° rear. The words of the scale stand in the notes."
)
_PEOPLE_NOTE = (
    "Mean over each side, in the shadow of bodies, objects, others and the person. Front is where the person faces; "
    "feet are the lowest 0.2 m."
)
_STANDING_NOTE = (
    "A standing person is tried at every point of an area. The place with the least mean over the four sides of the "
    "torso is the worst; its darkest side, and what a driver who comes along the nearest lane sees lit, stand beside."
)


def crew_tables(result: StudyResult, variant: VariantResult) -> list[Table]:
    """The three tables of a variant; one without rows is left out.

    Parameters
    ----------
    result : the study, for words and units.
    variant : whose people are listed.
    """
    tables = (glare_table(result, variant), people_table(result, variant), standing_table(result, variant))
    return [table for table in tables if table.rows]


def tables_at(result: StudyResult, variant: VariantResult) -> list[Table]:
    """The same for a window, at the lamp levels that most rules judge: a row for each eye, person and lit area.

    Parameters
    ----------
    result, variant : as in `crew_tables`.
    """
    levels = lit_levels(variant)[:1]
    people, standing = people_table(result, variant, levels), standing_table(result, variant, levels)
    sides = tuple((row[0].split(" (")[0], *row[1:7]) for row in people.rows)
    tables = (
        _ratings(result, variant, levels),
        Table(people.title, people.header[:7], sides),
        Table(standing.title, standing.header[:4], tuple(row[:4] for row in standing.rows if row[3])),
    )
    return [table for table in tables if table.rows]


def _ratings(result: StudyResult, variant: VariantResult, levels: list[Level]) -> Table:
    """Rating of each eye of the crew: its worst view, and the veil and the rating of each line of sight of its own."""
    rows = []
    for level in levels:
        for eye in variant.crew:
            entry = next((one for one in eye.entries if (one.state, one.light) in level.keys), None)
            if entry is None:
                continue
            worst = f"{rating_text(entry.worst.glare_rating)}, {entry.worst.gaze}" if entry.worst else "none"
            own = "; ".join(f"{one.gaze} {rating_text(one.glare_rating)}" for one in entry.gazes)
            veils = "; ".join(f"{one.gaze} {figure(one.veil_cd_m2)}" for one in entry.gazes)
            rows.append((eye.name, say_level(result, level), worst, own, veils))
    header = ("eye", STATE_AND_LIGHT, "worst view", "rating by gaze", "veil by gaze [cd/m²]")
    return Table("Glare rating for the crew, lower is better, initial light", header, tuple(rows))


def glare_table(result: StudyResult, variant: VariantResult, levels: list[Level] | None = None) -> Table:
    """Glare of every eye of the crew, a row for each line of sight; the worst view of the rating first.

    Parameters
    ----------
    result, variant : as in `crew_tables`.
    levels : which are listed; all that are lit when not given.
    """
    notes: dict[str, int] = {}
    rows: list[tuple[str, ...]] = []
    shown = 0
    for number, level in enumerate(lit_levels(variant) if levels is None else levels):
        for eye in variant.crew:
            entries = [entry for entry in eye.entries if (entry.state, entry.light) in level.keys]
            if entries:
                rows += _eye_rows(eye, entries, say_level(result, level), notes)
        shown = shown if number else len(rows)
    hazy = any(gaze.air_luminance_cd_m2 is not None for eye in variant.crew for e in eye.entries for gaze in e.gazes)
    veil = f"veil{', lit air not in it' if hazy else ''} [cd/m²]"
    header = (
        "eye", STATE_AND_LIGHT, "gaze", "glare rating", veil, "eye illuminance [lx]",
        "brightest opening", "surroundings", "notes",
    )  # fmt: skip
    title = "Glare for the crew, initial light"
    return Table(title, header, tuple(rows), _RATING_NOTE, tuple(notes), shown)


def _eye_rows(eye: CrewEye, entries: list[CrewEntry], says: str, notes: dict[str, int]) -> Iterator[tuple[str, ...]]:
    own = list(dict.fromkeys(note for entry in entries for note in entry.notes))
    numbers = ", ".join(str(number) for number in sorted(notes.setdefault(note, len(notes) + 1) for note in own))
    entry = entries[0]
    around = (
        f"{figure(entry.surroundings_lx)} lx on {eye.surroundings}, reflectance {eye.reflectance:g} "
        f"({eye.reflectance_from}, {eye.reflectance_status})"
    )
    worst = [(f"worst of {eye.headings_deg.size} views: {entry.worst.gaze}", entry.worst)] if entry.worst else []
    for words, gaze in [*worst, *((gaze.gaze, gaze) for gaze in entry.gazes)]:
        yield (
            f"{eye.name} (age {eye.age_years:g})",
            says,
            words,
            rating_text(gaze.glare_rating),
            _veil(gaze),
            figure(gaze.eye_illuminance_lx),
            _opening(gaze),
            around,
            numbers,
        )


def _veil(gaze: CrewGaze) -> str:
    """The veil, and beside it the lit air where there is any."""
    air = gaze.air_luminance_cd_m2
    return figure(gaze.veil_cd_m2) if air is None else f"{figure(gaze.veil_cd_m2)}, air {figure(air)}"


def _opening(gaze: CrewGaze) -> str:
    one = gaze.brightest
    if one is None:
        return "none seen"
    return f"{one.lamp}: {_large(one.luminance_cd_m2)} cd/m², {figure(one.angle_deg)}° off"


def _large(value: float) -> str:
    """Three figures of a large number, its thousands apart."""
    digits = max(0, math.floor(math.log10(value)) - 2) if value > 0.0 else 0
    return f"{round(value, -digits):,.0f}" if digits else figure(value)


def people_table(result: StudyResult, variant: VariantResult, levels: list[Level] | None = None) -> Table:
    """Light on every side of every person.

    Parameters
    ----------
    result, variant, levels : as in `glare_table`.
    """
    sides = [f"{side.part}, {side.side}" for person in variant.people[:1] for side in person.sides]
    rows: list[tuple[str, ...]] = []
    shown = 0
    for number, level in enumerate(lit_levels(variant) if levels is None else levels):
        for person in variant.people:
            entry = next((one for one in person.entries if (one.state, one.light) in level.keys), None)
            if entry is not None:
                lux = (illuminance_cell(value, result.units) for value in entry.illuminance_lx)
                rows.append((f"{person.name} ({person.says})", say_level(result, level), *lux))
        shown = shown if number else len(rows)
    title = f"Light on people, vertical, maintained, {illuminance_units(result.units)}"
    return Table(title, ("person", STATE_AND_LIGHT, *sides), tuple(rows), _PEOPLE_NOTE, shown=shown)


def standing_table(result: StudyResult, variant: VariantResult, levels: list[Level] | None = None) -> Table:
    """The worst place to stand in every area.

    Parameters
    ----------
    result, variant, levels : as in `glare_table`.
    """
    rows: list[tuple[str, ...]] = []
    shown = 0
    for number, level in enumerate(lit_levels(variant) if levels is None else levels):
        for area in variant.standing:
            entry = next((one for one in area.entries if (one.state, one.light) in level.keys), None)
            if entry is not None:
                places = f"{area.valid_places} of {area.all_places}"
                cells = _standing_cells(entry, result.units)
                rows.append((area.name, say_level(result, level), *cells, area.lane or "no lane", places))
        shown = shown if number else len(rows)
    header = (
        "area", STATE_AND_LIGHT, "torso there, mean of sides", "where", "darkest side", "towards the driver",
        "torso at the best place", "driver's lane", "places",
    )  # fmt: skip
    title = f"Worst place to stand, maintained, {illuminance_units(result.units)}"
    return Table(title, header, tuple(rows), _STANDING_NOTE, shown=shown)


def _standing_cells(entry: StandingEntry, units: UnitSystem) -> tuple[str, ...]:
    if math.isnan(entry.torso_lx):
        return ("nobody can stand here", "", "", "", "")
    if entry.best_torso_lx < _DARK_LX:
        return (f"below {_DARK_LX:g} everywhere", "", "", "", "")
    driver = "" if math.isnan(entry.towards_driver_lx) else illuminance_cell(entry.towards_driver_lx, units)
    return (
        illuminance_cell(entry.torso_lx, units),
        where((*entry.place_m[:2], 0.0), units),
        f"{illuminance_cell(entry.least_side_lx, units)}, {entry.least_side}",
        driver,
        illuminance_cell(entry.best_torso_lx, units),
    )
