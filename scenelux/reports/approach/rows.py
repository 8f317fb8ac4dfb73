"""Approaches as tables of text: from where on everybody stays seen, and glare beside conspicuity."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.drive.spans import lost_words
from scenelux.pictures.view.facts import by_part
from scenelux.reports.states import say
from scenelux.reports.tabling import STATE_AND_LIGHT, Table
from scenelux.study.results import StudyResult
from scenelux.study.results.approach import ApproachEntry, ApproachResult, ApproachStudy, SeenFrom, TargetPath
from scenelux.units import UnitSystem, figure, format_distance, format_length, format_speed

__all__ = ["approach_tables", "driver_line", "opening_lines", "short_tables", "stopping_line", "title_of"]

Array = NDArray[np.float64]

NOT_A_VERDICT = (
    "From where on it stays seen until the driver is there: the way to it, and what that leaves over the stopping "
    "sight distance. Somebody is seen as soon as the whole or a part, such as the legs, stands out enough; the part is "
    "named. Constants of the model are unconfirmed: it decides no verdict."
)
GLARE_NOTE = (
    "Largest values along the way, the worst gaze; ratings are the least, from 1 unbearable to 9 unnoticeable, "
    "formulas unconfirmed. Intensity towards the eye is conspicuity: the same light glares and warns."
)


def title_of(study: ApproachStudy, variant: str, approach: ApproachResult) -> str:
    """Name of an approach, with its variant where there are several.

    Parameters
    ----------
    study : all of them.
    variant : its name.
    approach : one of that variant.
    """
    return f"{variant}: {approach.name}" if len(study.variants) > 1 else approach.name


def driver_line(approach: ApproachResult, units: UnitSystem) -> str:
    """Who comes, how fast, and by what light.

    Parameters
    ----------
    approach : one of a variant.
    units : "metric" or "us".
    """
    first, last = (format_distance(float(approach.distances_m[at]), units) for at in (0, -1))
    return (
        f"{approach.lane}, {approach.direction}, {format_speed(approach.speed_m_s, units)}, "
        f"{first} to {last} before the vehicle; eye {format_length(approach.eye_height_m, units)} up; "
        f"own headlamps: {approach.headlamps}; {approach.weather}"
    )


def stopping_line(approach: ApproachResult, units: UnitSystem) -> str:
    """The distance in which the driver can stop.

    Parameters
    ----------
    approach : one of a variant.
    units : "metric" or "us".
    """
    if math.isnan(approach.stopping_distance_m):
        return "No stopping sight distance: brakes would not hold on this road"
    distance = format_distance(approach.stopping_distance_m, units)
    return f"Stopping sight distance {distance}, with {approach.reaction_s:g} s until the brakes are on"


def opening_lines(study: ApproachStudy) -> list[str]:
    """The worst margin of every person in each variant, in a sentence each.

    Parameters
    ----------
    study : all approaches.
    """
    lines = []
    for variant in study.variants:
        for approach in variant.approaches:
            for target in approach.targets:
                if target.kind == "person":
                    words = _worst(study.about, approach, target)
                    lines.append(f"{title_of(study, variant.name, approach)}: {target.name}: {words}.")
    return lines


def _worst(about: StudyResult, approach: ApproachResult, target: TargetPath) -> str:
    """The case in which a person is seen latest."""
    found = [(one, entry) for entry in target.entries for one in entry.seen]
    late = {"not valid": 2, "never": 1, "seen": 0}

    def lateness(seen: SeenFrom) -> tuple[int, float, float]:
        return late[seen.outcome], -seen.margin_m if seen.outcome == "seen" else 0.0, seen.age_years

    worst, entry = max(found, key=lambda pair: lateness(pair[0]))
    where = say(about, entry.state, entry.light)
    return f"at worst {_seen_words(worst, about.units)} ({where}, {worst.age_years:g} years)"


def _seen_words(seen: SeenFrom, units: UnitSystem) -> str:
    if seen.outcome == "never":
        return lost_words(seen, units) or "not seen at the last station"
    if seen.outcome == "not valid":
        return f"no answer: {seen.why}"
    more, doubt = (" or more" if seen.at_least else ""), (" (in doubt)" if seen.in_doubt else "")
    to_target = (
        f"stays seen{by_part(seen.seen_by)} from {format_distance(seen.to_target_m, units)}{more}{doubt} before it"
    )
    if math.isnan(seen.margin_m):
        return to_target
    late = "too late" if seen.margin_m < 0.0 else "in time"
    return f"{to_target}, {late} by {_margin(abs(seen.margin_m), abs(seen.margin_s), units)}{more}"


def _margin(metres: float, seconds: float, units: UnitSystem) -> str:
    return f"{format_distance(metres, units)} ({seconds:.1f} s)"


def approach_tables(study: ApproachStudy, approach: ApproachResult) -> list[Table]:
    """The tables of one approach.

    Parameters
    ----------
    study : for words and units.
    approach : one of a variant.
    """
    return [table for table in (_seen_table(study, approach), _glare_table(study, approach)) if table.rows]


def short_tables(study: ApproachStudy, approach: ApproachResult) -> list[Table]:
    """The same for a narrow window, without parts and notes.

    Parameters
    ----------
    study : for words and units.
    approach : one of a variant.
    """
    units, about = study.about.units, study.about
    ages = [f"{age:g} years" for age in approach.ages_years]
    seen = tuple(
        (target.name, say(about, entry.state, entry.light), *(_short_cell(one, units) for one in entry.seen))
        for target in approach.targets
        for entry in target.entries
    )
    glare = tuple(
        (
            say(about, entry.state, entry.light),
            "; ".join(figure(entry.worst_veil_cd_m2[age]) for age in approach.ages_years),
            f"{figure(max(entry.seconds_above_adaptation.values()))} s",
            figure(_extreme([entry.brightest_lux], largest=True)),
            figure(_extreme([entry.towards_eye_cd], largest=True)),
        )
        for entry in approach.entries
    )
    header = (
        STATE_AND_LIGHT,
        f"worst veil [cd/m²], {'; '.join(ages)}",
        "above adaptation",
        "brightest lamp [lx]",
        "towards the eye [cd]",
    )
    level = figure(approach.visibility_level)
    title = f"From where on everybody stays seen, level {level} or more. {stopping_line(approach, units)}"
    tables = [Table(title, ("", STATE_AND_LIGHT, *ages), seen), Table("Glare and conspicuity", header, glare)]
    return [table for table in tables if table.rows]


def _seen_table(study: ApproachStudy, approach: ApproachResult) -> Table:
    units = study.about.units
    notes: dict[str, int] = {}
    rows = []
    for target in approach.targets:
        numbers = _numbered(notes, (f"{target.name} {note}" for note in target.notes))
        for entry in target.entries:
            cells = [_seen_cell(one, units) for one in entry.seen]
            rows.append((f"{target.name} ({target.says}){numbers}", say(study.about, entry.state, entry.light), *cells))
    ages = [f"{age:g} years: stays seen" for age in approach.ages_years]
    level = figure(approach.visibility_level)
    title = f"From where on everybody stays seen, visibility level {level} or more ({stopping_line(approach, units)})"
    return Table(title, ("who or what", STATE_AND_LIGHT, *ages), tuple(rows), NOT_A_VERDICT, tuple(notes))


def _seen_cell(seen: SeenFrom, units: UnitSystem) -> str:
    if seen.outcome != "seen":
        return (
            (lost_words(seen, units) or "not at the last station")
            if seen.outcome == "never"
            else f"no answer: {seen.why}"
        )
    more, doubt = (" or more" if seen.at_least else ""), (" (in doubt)" if seen.in_doubt else "")
    words = f"from {format_distance(seen.to_target_m, units)}{more}{doubt}{by_part(seen.seen_by)}"
    if math.isnan(seen.margin_m):
        return words
    late = "too late" if seen.margin_m < 0.0 else f"to spare{more}"
    return f"{words}: {_margin(abs(seen.margin_m), abs(seen.margin_s), units)} {late}"


def _short_cell(seen: SeenFrom, units: UnitSystem) -> str:
    if seen.outcome != "seen" or math.isnan(seen.margin_m):
        return _seen_cell(seen, units)
    late = "too late" if seen.margin_m < 0.0 else "to spare"
    more, doubt = (" or more" if seen.at_least else ""), (" (in doubt)" if seen.in_doubt else "")
    return f"{format_distance(seen.to_target_m, units)}{more}{doubt}, {abs(seen.margin_s):.1f} s {late}"


def _numbered(notes: dict[str, int], said: Iterable[str]) -> str:
    """Numbers of notes, each new one taken up."""
    numbers = dict.fromkeys(notes.setdefault(note, len(notes) + 1) for note in said)
    return f" [{', '.join(str(number) for number in numbers)}]" if numbers else ""


def _glare_table(study: ApproachStudy, approach: ApproachResult) -> Table:
    ages = [f"{age:g} years: worst veil [cd/m²]; s above adaptation" for age in approach.ages_years]
    header = (
        "driver",
        STATE_AND_LIGHT,
        *ages,
        "eye illuminance [lx]",
        "dose [lx s]",
        "threshold increment, equivalent [%]",
        "discomfort rating",
        "rating outdoors",
        "intensity towards the eye [cd]",
        "notes",
    )
    notes: dict[str, int] = {}
    rows = tuple(_glare_cells(study, approach, entry, notes) for entry in approach.entries)
    form = approach.eyes[0].headline_form
    return Table(f"Glare and conspicuity, initial light ({form})", header, rows, GLARE_NOTE, tuple(notes))


def _glare_cells(
    study: ApproachStudy, approach: ApproachResult, entry: ApproachEntry, notes: dict[str, int]
) -> tuple[str, ...]:
    case = (entry.state, entry.light)
    glare = [one for one in approach.eyes[0].entries if (one.state, one.light) == case]
    ages = [
        f"{figure(entry.worst_veil_cd_m2[age])}; {figure(entry.seconds_above_adaptation[age])} s"
        for age in approach.ages_years
    ]
    numbers = _numbered(notes, (*entry.notes, *(note for one in glare for note in one.notes)))
    return (
        approach.name,
        say(study.about, *case),
        *ages,
        figure(_extreme([one.eye_illuminance_lx for one in glare], largest=True)),
        figure(entry.dose_lx_s),
        figure(_extreme([one.threshold_increment_percent for one in glare], largest=True)),
        figure(_extreme([one.discomfort_rating for one in glare], largest=False)),
        figure(_extreme([entry.outdoor_rating], largest=False)),
        figure(_extreme([entry.towards_eye_cd], largest=True)),
        numbers.strip(),
    )


def _extreme(series: Iterable[Array], *, largest: bool) -> float:
    """The largest or least valid value of several series; nan when none is valid."""
    values = np.concatenate([np.ravel(one) for one in series])
    values = values[np.isfinite(values)]
    if not values.size:
        return math.nan
    return float(values.max() if largest else values.min())
