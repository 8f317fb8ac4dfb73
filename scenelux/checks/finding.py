"""What was found for a rule, and the verdict on it with one sentence why."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from scenelux.checks.criteria import Rule
from scenelux.checks.limits import beats, in_unit, margin
from scenelux.geometry import Vector
from scenelux.study.results import VerdictRow
from scenelux.units import figure

__all__ = ["Finding", "verdict_row"]

LEAST_LIGHT = "the data of a lamp are a lower limit there: more light may go to the eye"
"""Why no upper limit can be met by lamps of which only the least light is known."""

RATING_PER_DECADE = 24.0
"""Of the glare rating, for ten times the veil of the lamps: CIE 112:1994, as quoted by public code."""

_SHOWN_UNIT = {"cd/m2": " cd/m2", "1": "", "%": " %"}


@dataclass(frozen=True)
class Finding:
    """The value found for a rule and what must be said beside it."""

    value: float  # in the rule's unit
    plane: str
    worst_point_m: Vector | None = None
    obstacle: str | None = None  # why the rule cannot be judged
    remarks: tuple[str, ...] = ()  # what a reader must know although it is judged


def verdict_row(
    rule: Rule, subject: str, state: str, light: str, finding: Finding, data_uncertainty: float
) -> VerdictRow:
    """The verdict on what was found.

    Parameters
    ----------
    rule : from a criteria document or the scene.
    subject, state, light : names for the verdict.
    finding : the value and what must be said beside it.
    data_uncertainty : of the light that the value comes from, as a share.
    """
    better = margin(finding.value, rule.limit, rule.sense)
    if math.isinf(data_uncertainty) and rule.sense == "at most" and better >= 0.0 and not finding.obstacle:
        finding = replace(finding, obstacle=LEAST_LIGHT)
    inside = abs(better) < _spread(rule, finding.value, data_uncertainty)  # False for nan
    verdict: Literal["meets", "misses", "not assessed"] = (
        "not assessed" if finding.obstacle else "meets" if beats(finding.value, rule.limit, rule.sense) else "misses"
    )
    return VerdictRow(
        rule=rule.id,
        clause=rule.source.clause,
        edition=rule.source.edition,
        source_title=rule.source.title,
        source_status=rule.source.status,
        quantity=rule.quantity,
        statistic=rule.statistic,
        plane=finding.plane,
        subject=subject,
        state=state,
        light=light,
        sense=rule.sense,
        limit=rule.limit,
        value=finding.value,
        unit=rule.unit,
        margin=better,
        worst_point_m=finding.worst_point_m,
        verdict=verdict,
        inside_uncertainty=inside and verdict != "not assessed",
        because=_because(rule, finding, inside, data_uncertainty),
        says=rule.says,
    )


def _spread(rule: Rule, value: float, data_uncertainty: float) -> float:
    """How far a value may be off when its light is: a rating goes by the logarithm of the light."""
    if rule.quantity == "glare rating":
        return RATING_PER_DECADE * math.log10(1.0 + data_uncertainty)
    return data_uncertainty * abs(value)


def _because(rule: Rule, finding: Finding, inside: bool, data_uncertainty: float) -> str:
    if finding.obstacle:
        known = (rule.source.status == "unconfirmed" or finding.obstacle == LEAST_LIGHT) and not math.isnan(
            finding.value + rule.limit
        )
        figures = f" ({_compared(rule, finding.value)})" if known else ""
        return f"Not assessed: {finding.obstacle}{figures}."
    parts = (_compared(rule, finding.value), *_beside(rule, finding.value), *finding.remarks)
    close = f"; margin inside data uncertainty ({100 * data_uncertainty:.0f} %)" if inside else ""
    sentence = ", ".join(parts) + close
    return f"{sentence[0].upper()}{sentence[1:]}."


def _beside(rule: Rule, value: float) -> tuple[str, ...]:
    """Says it where the figure printed beside the limit in another unit would turn the verdict."""
    if rule.beside is None:
        return ()
    limit, unit = rule.beside
    meets = beats(value, rule.limit, rule.sense)
    other = in_unit(value / in_unit(1.0, rule.unit), unit)
    if beats(other, limit, rule.sense) == meets:
        return ()
    would = "miss" if meets else "meet"
    return (f"though {figure(other, limit)} {unit} would {would} the {limit:g} {unit} printed beside it",)


def _compared(rule: Rule, value: float) -> str:
    unit = _SHOWN_UNIT.get(rule.unit, f" {rule.unit}")
    name = rule.statistic if rule.quantity in ("illuminance", "uniformity") else _eye_name(rule)
    found = "none" if value == -math.inf else f"{figure(value, rule.limit)}{unit}"
    return f"{name} {found} against {rule.sense} {rule.limit:g}{unit}"


def _eye_name(rule: Rule) -> str:
    return f"largest {rule.quantity}" if rule.subject == "eye" else rule.quantity
