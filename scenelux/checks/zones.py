"""Whether an area is the zone that a rule speaks of: where it lies, how large it is, and what is not checked."""

from __future__ import annotations

from dataclasses import dataclass

from scenelux.checks.criteria import BEHIND, NOT_STATED, Rule
from scenelux.units import figure

__all__ = ["NEAREST_M", "SIZE_TOLERANCE_M", "AreaPlace", "not_behind", "off_ground", "too_small", "zone_remarks"]

SIZE_TOLERANCE_M = 0.01
NEAREST_M = 0.5
"""How far an area may lie from the rear face, and beside the centre line, and still be directly behind a vehicle."""


@dataclass(frozen=True)
class AreaPlace:
    """Where an area lies relative to its vehicle; None where that is not known.

    on is the body on whose top it lies, empty for the ground. gap_m runs from the rear face backwards to the area's
    nearest edge, negative when that edge lies ahead of the face; offset_m is how far its middle lies left of the centre
    line.
    """

    on: str = ""
    vehicle: str = ""
    gap_m: float | None = None
    offset_m: float | None = None


def off_ground(rule: Rule, place: AreaPlace) -> str | None:
    """An area on a body under a rule whose plane is the ground, or whose height counts from it."""
    if not place.on or (rule.plane not in ("ground", "pavement") and rule.height_m is None):
        return None
    return f"this area lies on the body {place.on}, not on the ground"


def not_behind(rule: Rule, place: AreaPlace) -> str | None:
    """An area that does not lie directly behind its vehicle where the rule asks for that."""
    if rule.zone.where != BEHIND:
        return None
    asked = f"the rule asks for an area {BEHIND}"
    if place.gap_m is None or place.offset_m is None:
        return f"{asked}; whether this area lies there is not known, as it belongs to no vehicle's frame"
    if abs(place.gap_m) > NEAREST_M:
        way = "behind" if place.gap_m > 0.0 else "ahead of"
        return f"{asked}; this area begins {_metres(abs(place.gap_m))} {way} the rear face of {place.vehicle}"
    if abs(place.offset_m) > NEAREST_M:
        side = "left" if place.offset_m > 0.0 else "right"
        return f"{asked}; its middle lies {_metres(abs(place.offset_m))} {side} of the middle of {place.vehicle}"
    return None


def too_small(rule: Rule, size_m: tuple[float, float] | None) -> str | None:
    """An area that does not cover the rectangle the rule speaks of."""
    zone = rule.zone
    if zone.along_m is None or zone.left_m is None:
        return None
    asked = f"the rule asks for {_metres(zone.along_m)} x {_metres(zone.left_m)} {zone.where}"
    if size_m is None:
        return f"{asked}; whether this area covers it is not known, as it is no rectangle"
    if size_m[0] < zone.along_m - SIZE_TOLERANCE_M or size_m[1] < zone.left_m - SIZE_TOLERANCE_M:
        return f"{asked}; this area is only {_metres(size_m[0])} x {_metres(size_m[1])}"
    return None


def zone_remarks(rule: Rule, size_m: tuple[float, float] | None) -> tuple[str, ...]:
    """What stands beside a verdict: that an area is larger than the rule's, or that nobody checked it is the zone."""
    zone, remarks = rule.zone, []
    if zone.along_m is not None and zone.left_m is not None and size_m is not None:
        asked = (zone.along_m, zone.left_m)
        if any(side > least + SIZE_TOLERANCE_M for side, least in zip(size_m, asked, strict=True)):
            remarks.append(f"over more than the rule's {zone.along_m:.4g} x {zone.left_m:.4g} m")
    if rule.source.status != "own" and zone.where not in (BEHIND, NOT_STATED):
        within = "" if zone.within_m is None else f"{_metres(zone.within_m)} "
        remarks.append(f'the zone ("{within}{zone.where}") is not checked')
    return tuple(remarks)


def _metres(length_m: float) -> str:
    return f"{figure(round(length_m, 2))} m"
