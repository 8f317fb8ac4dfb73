"""Why a rule cannot be judged on something, and what a reader must know where it can."""

from __future__ import annotations

import math
from collections.abc import Sequence

from scenelux.checks.criteria import NOT_STATED, Rule
from scenelux.checks.zones import zone_remarks
from scenelux.study.results import Statistics

__all__ = [
    "HEIGHT_TOLERANCE_M",
    "area_remarks",
    "eye_remarks",
    "first",
    "no_points",
    "undecided",
    "wrong_plane",
    "wrong_subject",
]

HEIGHT_TOLERANCE_M = 0.05

_ANY_PLANE = ("task plane", NOT_STATED)
_SAME_PLANE = {"ground": ("horizontal", "pavement")}

FEWEST_POINTS = 4
"""Fewer points than this say little of an area; a reader is told."""


def first(*obstacles: str | None) -> str | None:
    """The first obstacle there is."""
    return next((obstacle for obstacle in obstacles if obstacle), None)


def wrong_subject(rule: Rule, subject: str) -> str | None:
    """A rule on an area cannot be judged on an eye, and the other way."""
    if rule.subject == subject:
        return None
    return f"{rule.quantity} belongs to {_article(rule.subject)} and is not evaluable for {_article(subject)}"


def undecided(rule: Rule) -> str | None:
    """A rule whose source does not decide: unconfirmed, or without a figure."""
    if rule.source.status == "unconfirmed":
        return "the source is unconfirmed, so its limit decides nothing"
    if math.isnan(rule.limit):
        return "the document states no figure"
    return None


def no_points(statistics: Statistics) -> str | None:
    """An area none of whose points is valid."""
    if statistics.valid_points or not math.isnan(statistics.minimum):
        return None
    return "the area has no valid point, all lie under or inside a body"


def wrong_plane(rule: Rule, plane: str, height_m: float) -> str | None:
    """An area in another plane or at another height than the rule asks for."""
    here = f"this area is {plane} at {_metres(height_m)}"
    if rule.plane not in _ANY_PLANE and plane not in _SAME_PLANE.get(rule.plane, (rule.plane,)):
        return f"the rule asks for the {rule.plane} plane{_at(rule.height_m)}; {here}"
    if rule.height_m is not None and abs(height_m - rule.height_m) > HEIGHT_TOLERANCE_M:
        return f"the rule asks for {_plane_words(rule)}{_at(rule.height_m)}; {here}"
    return None


def area_remarks(
    rule: Rule,
    plane: str,
    height_m: float,
    size_m: tuple[float, float] | None,
    statistics: Statistics,
    not_counted: Sequence[str],
) -> tuple[str, ...]:
    """What stands beside a verdict on an area: the plane where the rule names none, the zone, what is left out."""
    remarks = []
    if rule.plane in _ANY_PLANE or rule.height_m is None:
        remarks.append(f"on the {plane} plane at {_metres(height_m)}{_unnamed(rule)}")
    remarks += zone_remarks(rule, size_m)
    if not_counted:
        remarks.append(f"without {', '.join(not_counted)}, which the rule does not count")
    if rule.lighting == "reading":
        remarks.append("to be confirmed by a meter reading")
    if statistics.valid_points < statistics.all_points:
        remarks.append(f"on {statistics.valid_points} valid points of {statistics.all_points}")
    if statistics.valid_points < FEWEST_POINTS:
        remarks.append(f"on {statistics.valid_points} points only: choose a finer grid")
    return tuple(remarks)


def eye_remarks(rule: Rule, form: str, road_luminance_cd_m2: float, missing: int, whole: int) -> tuple[str, ...]:
    """What stands beside a verdict on an eye: the form, the luminance a ratio is taken of, stations left out."""
    remarks = [] if rule.quantity == "threshold increment" else [f"form {form}"]
    if rule.quantity != "veiling luminance":
        remarks.append(f"road luminance {road_luminance_cd_m2:.3g} cd/m2")
    if missing:
        remarks.append(f"{missing} of {whole} values along the path not valid and left out")
    return tuple(remarks)


def _unnamed(rule: Rule) -> str:
    """Tells that a document leaves plane or height open; the user's own rule needs no such remark."""
    if rule.source.status == "own":
        return ""
    if rule.plane == NOT_STATED:
        return " (the rule names no plane)"
    return " (the rule names no height)" if rule.height_m is None else ""


def _plane_words(rule: Rule) -> str:
    return "a height" if rule.plane == NOT_STATED else f"the {rule.plane} plane"


def _at(height_m: float | None) -> str:
    return "" if height_m is None else f" at {_metres(height_m)}"


def _metres(length_m: float) -> str:
    return f"{round(length_m, 2) + 0.0:g} m"


def _article(word: str) -> str:
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"
