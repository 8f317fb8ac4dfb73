"""Holds the criteria of a scene against what was found."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.checks import (
    GazeSeries,
    RatedGaze,
    Rule,
    find_rule,
    in_unit,
    judge_area,
    judge_eye,
    judge_rating,
    judge_value,
    own_rule,
    shipped_rules,
)
from scenelux.errors import DocumentError
from scenelux.placement import AreaPoints, LuminaireData, PlacedScene
from scenelux.scene.model import Criterion, SceneDocument
from scenelux.study.areas import LeastLight, statistics
from scenelux.study.levels import light_of
from scenelux.study.places import area_place
from scenelux.study.results import AreaResult, CrewEntry, CrewEye, EyeResult, Statistics, VerdictRow

__all__ = ["DATA_UNCERTAINTY", "asked_of", "rules_of", "uncertainty_of", "verdicts"]

Array = NDArray[np.float64]
Levels = Mapping[tuple[str, str], Array]

DATA_UNCERTAINTY = {"measured file": 0.04, "fitted from several figures": 0.10, "fitted from one figure": 0.10}
"""Share by which lamp data may be off: 4 % is a laboratory's expanded uncertainty (from memory, unconfirmed); 10 % for
data sheets and invented lamps is common practice, no source. A card may state its own, as those of fitted lamps do."""


def rules_of(scene: SceneDocument) -> tuple[Rule, ...]:
    """The rule behind each criterion of the scene, in its order."""
    return tuple(_rule(scene, index, criterion) for index, criterion in enumerate(scene.criteria))


def _rule(scene: SceneDocument, index: int, criterion: Criterion) -> Rule:
    try:
        if criterion.rule:
            return find_rule(criterion.rule, shipped_rules())
        return own_rule(
            rule_id=criterion.id or "",
            quantity=criterion.quantity or "",
            statistic=criterion.statistic or "",
            sense=criterion.sense or "",
            limit=criterion.limit or 0.0,
            unit=criterion.unit or "",
            because=criterion.because or "",
            name=criterion.name,
        )
    except DocumentError as error:
        key = f"criteria[{index}].{error.key or ('rule' if criterion.rule else 'quantity')}"
        raise scene.locate(error, key) from None


def asked_of(placed: PlacedScene, rules: Sequence[Rule], area_id: str) -> Mapping[str, LeastLight]:
    """Least illuminance that each rule with a figure asks for on an area, for the share of points that meet it.

    Parameters
    ----------
    placed : the scene with its criteria, and the kinds of its lamps.
    rules : the rule behind each criterion, as from `rules_of`.
    area_id : the area.
    """
    return {
        rule.id: LeastLight(rule.limit / in_unit(1.0, rule.unit), _counted(placed, rule))
        for rule, criterion in zip(rules, placed.scene.criteria, strict=True)
        if criterion.area == area_id
        and rule.quantity == "illuminance"
        and rule.sense == "at least"
        and not math.isnan(rule.limit)
    }


def _counted(placed: PlacedScene, rule: Rule) -> NDArray[np.bool_]:
    """Lamps whose light counts for a rule, (lamps,)."""
    return np.array([lamp.luminaire.kind not in rule.not_counted for lamp in placed.placed_lamps])


def uncertainty_of(placed: PlacedScene, level: Array | None = None, *, at_eyes: bool = False) -> float:
    """The largest uncertainty among the luminaires that are on, as a share; no bound where data are a lower limit.

    Parameters
    ----------
    placed : the scene.
    level : (lamps,) level of each lamp; without it, or where none is on, all count.
    at_eyes : outside the beams, where the light of glare leaves the lamps; else in them.
    """
    on = [lamp for lamp, one in zip(placed.placed_lamps, _levels(placed, level), strict=True) if one > 0.0]
    return max(_uncertainty(lamp.luminaire, at_eyes) for lamp in on or placed.placed_lamps)


def _levels(placed: PlacedScene, level: Array | None) -> Array:
    return np.ones(len(placed.placed_lamps)) if level is None else level


def _uncertainty(luminaire: LuminaireData, at_eyes: bool) -> float:
    """What the card states, or else what its data class stands for; no bound at eyes where light may be unknown."""
    if at_eyes and luminaire.bright_where_unknown:
        return math.inf
    if luminaire.uncertainty is not None:
        return luminaire.uncertainty[1 if at_eyes else 0]
    return DATA_UNCERTAINTY["fitted from one figure" if luminaire.status == "invented" else luminaire.data_class]


def verdicts(
    placed: PlacedScene,
    rules: Sequence[Rule],
    areas: Sequence[tuple[AreaPoints, AreaResult]],
    eyes: Sequence[EyeResult],
    levels: Levels,
    crew: Sequence[CrewEye] = (),
) -> tuple[VerdictRow, ...]:
    """One verdict for each criterion, state and light level that it names.

    Parameters
    ----------
    placed : the scene with its criteria, and the data class of its lamps.
    rules : the rule behind each criterion, as from `rules_of`.
    areas, eyes : what was found for them.
    levels : (state, light) -> (lamps,) level of each lamp.
    crew : eyes that have a glare rating.
    """
    scene = placed.scene
    shares = {case: uncertainty_of(placed, level, at_eyes=True) for case, level in levels.items()}
    by_area = {points.area.id: (points, result) for points, result in areas}
    by_eye = {eye.eye_id: eye for eye in eyes}
    rated = {eye.eye_id: eye for eye in crew if eye.eye_id in by_eye}
    rows: list[VerdictRow] = []
    for rule, criterion in zip(rules, scene.criteria, strict=True):
        cases = [(s, w) for s in criterion.states or scene.states for w in criterion.light or scene.light]
        if criterion.area:
            rows += _on_area(placed, rule, by_area[criterion.area], cases, levels)
        elif criterion.eye and rule.quantity == "glare rating":
            rows += _on_crew(rule, criterion.eye, rated.get(criterion.eye), criterion.gaze, cases, shares)
        elif criterion.eye:
            rows += _on_eye(rule, by_eye[criterion.eye], criterion.gaze, cases, shares)
        else:
            rows += [
                judge_value(rule, subject="lamps", state=s, light=w, value=float("nan"), data_uncertainty=0.0)
                for s, w in cases
            ]
    return tuple(rows)


def _on_area(
    placed: PlacedScene, rule: Rule, area: tuple[AreaPoints, AreaResult], cases: Iterable[tuple[str, str]],
    levels: Levels,
) -> list[VerdictRow]:  # fmt: skip
    points, result = area
    place, counted = area_place(placed, points), _counted(placed, rule)
    rows = []
    for case in cases:
        maintained, initial = _statistics(placed, result, case, levels[case], counted)
        left_out = [lamp for lamp, off in zip(placed.lamp_ids, ~counted & (levels[case] > 0.0), strict=True) if off]
        rows.append(
            judge_area(
                rule,
                area_id=result.area_id,
                plane=result.plane,
                height_m=result.height_m,
                size_m=points.size_m,
                place=place,
                maintained=maintained,
                initial=initial,
                state=case[0],
                light=case[1],
                data_uncertainty=uncertainty_of(placed, levels[case]),
                not_counted=left_out,
            )
        )
    return rows


def _statistics(
    placed: PlacedScene, result: AreaResult, case: tuple[str, str], level: Array, counted: NDArray[np.bool_]
) -> tuple[Statistics, Statistics]:
    """Maintained and initial statistics of the lamps that count."""
    if counted.all():
        entry = next(entry for entry in result.entries if (entry.state, entry.light) == case)
        return entry.maintained, entry.initial
    rest = np.where(counted, level, 0.0)
    maintained = light_of(rest * placed.loss_factors, result.by_lamp_lx)
    initial = light_of(rest, result.by_lamp_lx)
    return statistics(maintained, result.points_m), statistics(initial, result.points_m)


def _on_eye(
    rule: Rule,
    eye: EyeResult,
    judged: Sequence[str] | None,
    cases: Iterable[tuple[str, str]],
    shares: Mapping[tuple[str, str], float],
) -> list[VerdictRow]:
    """Verdicts on an eye by the gazes that the criterion names, or by all; the others are told beside."""
    rows = []
    for case in cases:
        entries = [entry for entry in eye.entries if (entry.state, entry.light) == case]
        gazes = [
            GazeSeries(
                entry.gaze,
                entry.veil_cd_m2[eye.headline_form],
                entry.threshold_increment_percent,
                entry.air_luminance_cd_m2,
            )
            for entry in entries
        ]
        rows.append(
            judge_eye(
                rule,
                eye_id=eye.eye_id,
                state=case[0],
                light=case[1],
                gazes=[gaze for gaze in gazes if judged is None or gaze.gaze in judged],
                beside=[gaze for gaze in gazes if judged is not None and gaze.gaze not in judged],
                form=eye.headline_form,
                road_luminance_cd_m2=entries[0].road_luminance_cd_m2,
                points_m=eye.points_m,
                data_uncertainty=shares[case],
            )
        )
    return rows


def _on_crew(
    rule: Rule,
    eye_id: str,
    eye: CrewEye | None,
    judged: Sequence[str] | None,
    cases: Iterable[tuple[str, str]],
    shares: Mapping[tuple[str, str], float],
) -> list[VerdictRow]:
    """Verdicts on the glare rating by the views all around, or by the gazes that the criterion names."""
    rows = []
    for case in cases:
        entry = next((one for one in eye.entries if (one.state, one.light) == case), None) if eye else None
        around, own = _rated(eye, entry) if eye and entry else ([], [])
        named = [one for one in own if judged is not None and one.gaze in judged]
        rows.append(
            judge_rating(
                rule,
                eye_id=eye_id,
                state=case[0],
                light=case[1],
                gazes=around if judged is None else named,
                beside=[] if judged is None else around,
                surroundings=_stands_on(eye, entry) if eye and entry else "",
                point_m=eye.position_m if eye else (math.nan, math.nan, math.nan),
                data_uncertainty=shares[case],
            )
        )
    return rows


def _rated(eye: CrewEye, entry: CrewEntry) -> tuple[list[RatedGaze], list[RatedGaze]]:
    """The views all around, and the eye's own lines of sight."""
    around = [
        RatedGaze(f"heading {heading:g} deg", rating)
        for heading, rating in zip(eye.headings_deg.tolist(), entry.rating_by_view.tolist(), strict=True)
    ]
    return around, [RatedGaze(one.gaze, one.glare_rating) for one in entry.gazes]


def _stands_on(eye: CrewEye, entry: CrewEntry) -> str:
    return (
        f"{entry.surroundings_lx:.3g} lx on {eye.surroundings}, reflectance {eye.reflectance:g} "
        f"of {eye.reflectance_from} ({eye.reflectance_status})"
    )
