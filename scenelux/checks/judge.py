"""Judges a rule on an area, an eye or a lamp value: meets, misses or not assessed, with one sentence why.

A rule decides only where its source was confirmed and where the plane, height and zone are its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scenelux.checks.criteria import Rule
from scenelux.checks.finding import Finding, verdict_row
from scenelux.checks.limits import beats, in_unit
from scenelux.checks.obstacles import (
    area_remarks,
    eye_remarks,
    first,
    no_points,
    undecided,
    wrong_plane,
    wrong_subject,
)
from scenelux.checks.zones import AreaPlace, not_behind, off_ground, too_small
from scenelux.geometry import Vector
from scenelux.study.results import Statistics, VerdictRow
from scenelux.units import figure

__all__ = ["GazeSeries", "VerdictCounts", "counts", "judge_area", "judge_eye", "judge_value"]


@dataclass(frozen=True)
class VerdictCounts:
    """How many verdicts there are of each kind."""

    meets: int
    misses: int
    not_assessed: int


@dataclass(frozen=True, eq=False)
class GazeSeries:
    """What an eye gets along its stations with one gaze, for the headline form of the veil.

    veil_cd_m2 and threshold_increment_percent are (stations,), nan where not valid; air_cd_m2 likewise, of the lit
    air along the gaze, which is in neither; None in clear air.
    """

    gaze: str
    veil_cd_m2: NDArray[np.float64]
    threshold_increment_percent: NDArray[np.float64]
    air_cd_m2: NDArray[np.float64] | None = None


def counts(verdicts: Iterable[VerdictRow]) -> VerdictCounts:
    """Counts verdicts of each kind.

    Example
    -------
    >>> counts([])
    VerdictCounts(meets=0, misses=0, not_assessed=0)
    """
    words = [row.verdict for row in verdicts]
    return VerdictCounts(words.count("meets"), words.count("misses"), words.count("not assessed"))


def judge_area(
    rule: Rule,
    *,
    area_id: str,
    plane: str,
    height_m: float,
    size_m: tuple[float, float] | None,
    place: AreaPlace,
    maintained: Statistics,
    initial: Statistics,
    state: str,
    light: str,
    data_uncertainty: float,
    not_counted: Sequence[str] = (),
) -> VerdictRow:
    """Judges a rule on illuminance or uniformity in an area.

    Parameters
    ----------
    rule : from a criteria document or the scene.
    area_id, state, light : names for the verdict.
    plane : of the area's points: horizontal, pavement, vertical, cylindrical, ...
    height_m : of the points above the ground [m]; a rule's height is met within 0.05 m.
    size_m : (along, left) extent of the area [m]; None when it is no rectangle.
    place : what the area lies on, and where relative to its vehicle.
    maintained, initial : statistics of the lamps that the rule counts, without natural light [lx].
    data_uncertainty : of the lamp data as a share, 0.1 for data-sheet and invented lamps.
    not_counted : lamps that are on and left out of the statistics, as the rule asks.
    """
    statistics = initial if rule.lighting == "initial" else maintained
    value = in_unit(_area_value(rule, statistics), rule.unit)
    obstacle = first(
        wrong_subject(rule, "area"),
        undecided(rule),
        no_points(statistics),
        "there is no light to take a ratio of" if math.isnan(value) else None,
        off_ground(rule, place),
        wrong_plane(rule, plane, height_m),
        too_small(rule, size_m),
        not_behind(rule, place),
    )
    remarks = area_remarks(rule, plane, height_m, size_m, statistics, not_counted)
    darkest = None if rule.statistic in ("average", "maximum") else statistics.worst_point_m
    finding = Finding(value, plane, darkest, obstacle, remarks)
    return verdict_row(rule, area_id, state, light, finding, data_uncertainty)


def judge_eye(
    rule: Rule,
    *,
    eye_id: str,
    state: str,
    light: str,
    gazes: Iterable[GazeSeries],
    form: str,
    road_luminance_cd_m2: float,
    points_m: NDArray[np.float64],
    data_uncertainty: float,
    beside: Iterable[GazeSeries] = (),
) -> VerdictRow:
    """Judges a rule on glare at an eye: the largest value over all stations and all gazes.

    The gaze alone can turn a verdict: every gaze that would is named with its value.

    A station that is not valid could hide the largest value, so a rule that would be met is then not assessed;
    a rule that a valid station already misses is missed.

    Parameters
    ----------
    rule : from a criteria document or the scene.
    eye_id, state, light : names for the verdict.
    gazes : one series for each gaze, all of this state and light. Lit air is told, and where it would turn a verdict.
    form : name of the veil's form, printed with the value.
    road_luminance_cd_m2 : for the veiling ratio [cd/m2].
    points_m : (stations, 3) eye positions, site frame [m].
    data_uncertainty : of the lamp data as a share.
    beside : gazes that the rule is not judged on, told where they would turn the verdict.
    """
    judged = list(gazes)
    series = {one.gaze: _eye_values(rule, one, road_luminance_cd_m2) for one in judged}
    worst = _worst(series)
    value, gaze, station = worst if worst is not None else (math.nan, "", 0)
    missing = sum(int(np.isnan(values).sum()) for values in series.values())
    whole = sum(values.size for values in series.values())
    meets = worst is not None and beats(value, rule.limit, rule.sense)
    obstacle = first(
        wrong_subject(rule, "eye"),
        undecided(rule),
        "no station is valid, for the reason in the notes of the eye" if worst is None else None,
        f"{missing} of {whole} values along the path are not valid, and one of them could be the largest"
        if missing and meets
        else None,
    )
    where = (f"with the gaze {gaze}",) if gaze else ()
    told = {**series, **{one.gaze: _eye_values(rule, one, road_luminance_cd_m2) for one in beside}}
    remarks = where + _turning(rule, told, meets) + eye_remarks(rule, form, road_luminance_cd_m2, missing, whole)
    remarks += _with_air(rule, judged, road_luminance_cd_m2, meets)
    point = _vector(points_m[station]) if worst is not None else None
    finding = Finding(value, "line of sight", point, obstacle, remarks)
    return verdict_row(rule, eye_id, state, light, finding, data_uncertainty)


def judge_value(
    rule: Rule, *, subject: str, state: str, light: str, value: float, why_absent: str = "", data_uncertainty: float
) -> VerdictRow:
    """Judges a rule on a single value, such as a luminous intensity or a mounting height.

    Parameters
    ----------
    rule : from a criteria document.
    subject : lamp, side or whatever the value belongs to.
    state, light : names for the verdict.
    value : [cd, m or deg]; nan when the study gives none.
    why_absent : what to say then.
    data_uncertainty : of the value as a share; 0 for a mounting height or an aim.
    """
    absent = why_absent or f"the study gives no {rule.quantity} to hold against it"
    obstacle = first(undecided(rule), absent if math.isnan(value) else None)
    return verdict_row(
        rule, subject, state, light, Finding(in_unit(value, rule.unit), rule.plane, None, obstacle), data_uncertainty
    )


def _area_value(rule: Rule, statistics: Statistics) -> float:
    by_name = {
        "minimum": statistics.minimum,
        "average": statistics.average,
        "maximum": statistics.maximum,
        "minimum over average": statistics.uniformity,
        "average over minimum": _ratio(statistics.average, statistics.minimum),
    }
    return by_name.get(rule.statistic, math.nan)


def _eye_values(rule: Rule, series: GazeSeries, road_luminance_cd_m2: float) -> NDArray[np.float64]:
    if rule.quantity == "veiling luminance":
        return series.veil_cd_m2
    if rule.quantity == "veiling ratio" and road_luminance_cd_m2 > 0.0:
        return series.veil_cd_m2 / road_luminance_cd_m2
    if rule.quantity == "threshold increment":
        return series.threshold_increment_percent
    return np.full_like(series.veil_cd_m2, np.nan)


def _with_air(rule: Rule, gazes: Sequence[GazeSeries], road_luminance_cd_m2: float, meets: bool) -> tuple[str, ...]:
    """What the lit air adds to a veil that is judged without it."""
    air = [one.air_cd_m2 for one in gazes if one.air_cd_m2 is not None and np.isfinite(one.air_cd_m2).any()]
    if not air or np.isnan(_eye_values(rule, gazes[0], road_luminance_cd_m2)).all():
        return ()
    told = f"the lit air, up to {max(float(np.nanmax(one)) for one in air):.3g} cd/m2, is not in it"
    if rule.quantity == "threshold increment":
        return (told,)
    both = [
        replace(one, veil_cd_m2=one.veil_cd_m2 + (0.0 if one.air_cd_m2 is None else one.air_cd_m2)) for one in gazes
    ]
    worst = _worst({one.gaze: _eye_values(rule, one, road_luminance_cd_m2) for one in both})
    turned = meets and worst is not None and not beats(worst[0], rule.limit, rule.sense)
    return (f"{told} and would make it miss ({figure(worst[0], rule.limit)})" if turned and worst else told,)


def _worst(series: Mapping[str, NDArray[np.float64]]) -> tuple[float, str, int] | None:
    """Largest valid value, its gaze and its station; the first of equal ones."""
    found = [
        (float(np.nanmax(values)), gaze, int(np.nanargmax(values)))
        for gaze, values in series.items()
        if not np.isnan(values).all()
    ]
    return max(found, key=lambda one: one[0]) if found else None


def _turning(rule: Rule, series: Mapping[str, NDArray[np.float64]], meets: bool) -> tuple[str, ...]:
    """Gazes whose own largest value would give the other verdict."""
    largest = {gaze: _worst({gaze: values}) for gaze, values in series.items()}
    turned = [
        f"{gaze} ({figure(found[0], rule.limit)})"
        for gaze, found in largest.items()
        if found is not None and beats(found[0], rule.limit, rule.sense) != meets
    ]
    return (f"the gaze {' or '.join(turned)} would {'miss' if meets else 'meet'} it",) if turned else ()


def _ratio(above: float, below: float) -> float:
    if below == 0.0:
        return math.inf if above > 0.0 else math.nan
    return above / below


def _vector(point: NDArray[np.float64]) -> Vector:
    along, left, up = point.tolist()
    return (along, left, up)
