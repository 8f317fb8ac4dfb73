"""Judges a rule on the glare rating of an eye that stays in the lit area."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scenelux.checks.criteria import Rule
from scenelux.checks.finding import Finding, verdict_row
from scenelux.checks.limits import beats
from scenelux.checks.obstacles import first, undecided, wrong_subject
from scenelux.geometry import Vector
from scenelux.study.results import VerdictRow
from scenelux.units import figure

__all__ = ["RatedGaze", "judge_rating"]

PASSES_BY = "the glare rating is for people who stay in the lit area, not for a driver who comes by"


@dataclass(frozen=True)
class RatedGaze:
    """A line of sight in words and its glare rating: nan where not valid, minus infinity where no lamp is seen."""

    gaze: str
    rating: float


def judge_rating(
    rule: Rule,
    *,
    eye_id: str,
    state: str,
    light: str,
    gazes: Sequence[RatedGaze],
    surroundings: str,
    point_m: Vector,
    data_uncertainty: float,
    beside: Sequence[RatedGaze] = (),
) -> VerdictRow:
    """Judges a rule on the largest glare rating over lines of sight.

    Parameters
    ----------
    rule : from a criteria document or the scene.
    eye_id, state, light : names for the verdict.
    gazes : lines of sight that are judged; none of an eye that has no rating, such as a driver's.
    surroundings : what the rating stands on, in words.
    point_m : the eye, site frame [m].
    data_uncertainty : of the lamp data as a share.
    beside : other lines of sight, told where the largest of them would turn the verdict.

    One that is not valid could be the largest, so a rule that would be met is then not assessed.
    """
    valid = [one for one in gazes if not math.isnan(one.rating)]
    worst = max(valid, key=lambda one: one.rating, default=None)
    value = worst.rating if worst else math.nan
    missing, meets = len(gazes) - len(valid), beats(value, rule.limit, rule.sense)
    obstacle = first(
        wrong_subject(rule, "eye"),
        undecided(rule),
        PASSES_BY if not gazes else None,
        "no line of sight has a rating, for the reason in the notes of the eye" if worst is None else None,
        f"{missing} of {len(gazes)} lines of sight have no rating, and one of them could have the largest"
        if missing and meets
        else None,
    )
    where = (f"with the gaze {worst.gaze}",) if worst and math.isfinite(value) else ()
    left_out = (f"{missing} of {len(gazes)} lines of sight left out",) if missing else ()
    remarks = (*where, *_turning(rule, beside, meets), surroundings, *left_out)
    finding = Finding(value, "line of sight", point_m if worst else None, obstacle, remarks)
    return verdict_row(rule, eye_id, state, light, finding, data_uncertainty)


def _turning(rule: Rule, beside: Sequence[RatedGaze], meets: bool) -> tuple[str, ...]:
    """The largest of the other lines of sight, where it would give the other verdict."""
    valid = [one for one in beside if not math.isnan(one.rating)]
    most = max(valid, key=lambda one: one.rating, default=None)
    if most is None or beats(most.rating, rule.limit, rule.sense) == meets:
        return ()
    turned = "miss" if meets else "meet"
    return (f"the gaze {most.gaze} ({figure(most.rating, rule.limit)}) would {turned} it",)
