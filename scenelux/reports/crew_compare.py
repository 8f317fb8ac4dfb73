"""The crew of two variants side by side: tables and JSON of glare, light on people and darkest places to stand."""

from __future__ import annotations

import math
from typing import Any

from scenelux.pictures.crew import eye_pairs, part_lx, person_pairs, place_pairs, rating_text, worst_rating
from scenelux.pictures.words import illuminance_cell, illuminance_units
from scenelux.reports.documents import explained, number, numbers
from scenelux.reports.states import say
from scenelux.reports.tabling import STATE_AND_LIGHT, Table
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["crew_difference_documents", "crew_difference_tables"]

_NO_RATING = (
    "no lamp is seen within the range of the glare rating, or the rating is not valid: see the notes of the eye"
)
_NO_LIGHT = "inside a body, or too near a lamp for its opening: see the notes of the person"
_NOBODY = "nobody can stand anywhere in the area"
_PARTS = ("face", "torso", "feet")


def crew_difference_tables(result: StudyResult, first: VariantResult, second: VariantResult) -> list[Table]:
    """What differs in the eyes of the crew, on people and at the darkest places; a table without rows is left out.

    Parameters
    ----------
    result : the study, for words and units.
    first, second : the variants.
    """
    a, b, lx = first.name, second.name, illuminance_units(result.units)
    ratings = [
        (
            eye.name,
            say(result, after.state, after.light),
            *map(rating_text, (worst_rating(before), worst_rating(after))),
        )
        for eye, before, after in eye_pairs(first, second)
    ]
    people = [
        (
            f"{other.name}, {part}",
            say(result, after.state, after.light),
            illuminance_cell(part_lx(one, before, part), result.units),
            illuminance_cell(part_lx(other, after, part), result.units),
        )
        for one, other, before, after in person_pairs(first, second)
        for part in _PARTS
    ]
    places = [
        (
            area.name,
            say(result, after.state, after.light),
            illuminance_cell(before.torso_lx, result.units),
            illuminance_cell(after.torso_lx, result.units),
        )
        for area, before, after in place_pairs(first, second)
    ]
    tables = (
        ("Glare rating for the crew, worst view, lower is better, initial light", "eye", ratings),
        (f"Light on people, mean of the sides, maintained, {lx}", "person", people),
        (f"Torso at the darkest place to stand, maintained, {lx}", "area", places),
    )
    told = [(title, subject, tuple(row for row in rows if row[2] != row[3])) for title, subject, rows in tables]
    return [Table(title, (subject, STATE_AND_LIGHT, a, b), rows) for title, subject, rows in told if rows]


def crew_difference_documents(first: VariantResult, second: VariantResult) -> dict[str, list[dict[str, Any]]]:
    """The lists `crew_differences`, `people_differences` and `standing_differences` of a comparison."""
    return {
        "crew_differences": [
            explained(
                {
                    "eye": eye.eye_id,
                    "state": after.state,
                    "light": after.light,
                    "first_worst_glare_rating": number(worst_rating(before)),
                    "second_worst_glare_rating": number(worst_rating(after)),
                    "second_less_first": number(_less(worst_rating(before), worst_rating(after))),
                },
                _NO_RATING,
            )
            for eye, before, after in eye_pairs(first, second)
        ],
        "people_differences": [
            explained(
                {
                    "person": other.person_id,
                    "state": after.state,
                    "light": after.light,
                    **{f"first_{part}_mean_lx": number(part_lx(one, before, part)) for part in _PARTS},
                    **{f"second_{part}_mean_lx": number(part_lx(other, after, part)) for part in _PARTS},
                },
                _NO_LIGHT,
            )
            for one, other, before, after in person_pairs(first, second)
        ],
        "standing_differences": [
            explained(
                {
                    "area": area.area_id,
                    "state": after.state,
                    "light": after.light,
                    "first_worst_place_m": numbers(before.place_m),
                    "second_worst_place_m": numbers(after.place_m),
                    "first_torso_mean_lx": number(before.torso_lx),
                    "second_torso_mean_lx": number(after.torso_lx),
                },
                _NOBODY,
            )
            for area, before, after in place_pairs(first, second)
        ],
    }


def _less(before: float, after: float) -> float:
    return after - before if math.isfinite(before) and math.isfinite(after) else math.nan
