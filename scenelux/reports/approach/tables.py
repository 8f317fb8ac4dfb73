"""Approaches as tables for a spreadsheet: glare by station, everybody by station, and from where on they stay seen."""

from __future__ import annotations

from collections.abc import Iterator

from scenelux.reports.tables import csv_bytes
from scenelux.study.results.approach import ApproachResult, ApproachStudy, TargetEntry, TargetPath

__all__ = ["approach_table_files"]

Row = list[str | float]

WHERE = ("variant", "approach", "state", "light")


def approach_table_files(study: ApproachStudy) -> Iterator[tuple[str, bytes]]:
    """Every table with its name.

    Parameters
    ----------
    study : all approaches.
    """
    yield (
        "seen.csv",
        csv_bytes(
            (
                *WHERE,
                "target",
                "age_years",
                "outcome",
                "stays_seen_from_m",
                "or_more",
                "to_target_m",
                "margin_m",
                "margin_s",
                "stays_seen_by",
                "seen_spans_m",
            ),
            (row for way in _ways(study) for row in _seen(*way)),
        ),
    )
    yield "glare.csv", csv_bytes(
        (
            *WHERE, "gaze", "age_years", "distance_m", "time_s", "eye_illuminance_lx", "veiling_luminance_cd_m2",
            "threshold_increment_percent", "discomfort_rating", "outdoor_discomfort_rating", "towards_eye_cd",
        ),
        (row for way in _ways(study) for row in _glare(*way)),
    )  # fmt: skip
    yield "targets.csv", csv_bytes(
        (
            *WHERE, "target", "age_years", "distance_m", "time_s", "target_luminance_cd_m2",
            "background_luminance_cd_m2", "veiling_luminance_cd_m2", "size_arcmin", "visibility_level",
            "seen_by", "whole_visibility_level",
        ),
        (row for way in _ways(study) for row in _targets(*way)),
    )  # fmt: skip


def _ways(study: ApproachStudy) -> Iterator[tuple[str, ApproachResult]]:
    for variant in study.variants:
        for approach in variant.approaches:
            yield variant.name, approach


def _cases(way: ApproachResult) -> Iterator[tuple[TargetPath, TargetEntry]]:
    for target in way.targets:
        for entry in target.entries:
            yield target, entry


def _seen(variant: str, way: ApproachResult) -> Iterator[Row]:
    for target, entry in _cases(way):
        for one in entry.seen:
            head: Row = [variant, way.approach_id, entry.state, entry.light, target.target_id, one.age_years]
            more = "yes" if one.at_least else "no"
            spans = "; ".join(f"{far:.1f} to {near:.1f}" for far, near in one.seen_spans_m)
            found = (one.distance_m, more, one.to_target_m, one.margin_m, one.margin_s, one.seen_by, spans)
            yield [*head, one.outcome, *found]


def _glare(variant: str, way: ApproachResult) -> Iterator[Row]:
    for eye in way.eyes:
        for one in eye.entries:
            met = next(entry for entry in way.entries if (entry.state, entry.light) == (one.state, one.light))
            head: Row = [variant, way.approach_id, one.state, one.light, one.gaze, eye.age_years]
            series = (
                way.distances_m, way.times_s, one.eye_illuminance_lx, one.veil_cd_m2[eye.headline_form],
                one.threshold_increment_percent, one.discomfort_rating, met.outdoor_rating, met.towards_eye_cd,
            )  # fmt: skip
            for values in zip(*(part.tolist() for part in series), strict=True):
                yield [*head, *values]


def _targets(variant: str, way: ApproachResult) -> Iterator[Row]:
    for target, entry in _cases(way):
        for at, age in enumerate(way.ages_years):
            head: Row = [variant, way.approach_id, entry.state, entry.light, target.target_id, age]
            series = (
                way.distances_m, way.times_s, entry.target_cd_m2, entry.background_cd_m2, entry.veil_cd_m2[at],
                target.size_arcmin, entry.level[at], entry.whole_level[at],
            )  # fmt: skip
            for part, *values, level, whole in zip(entry.seen_by[at], *(one.tolist() for one in series), strict=True):
                yield [*head, *values, level, part, whole]
