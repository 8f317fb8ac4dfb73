"""Published requirements of warning lamps as data, and what an intensity makes of one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, TypeAlias

from scenelux.errors import UsageError
from scenelux.signals.stretches import TICK_S
from scenelux.signals.tables import signal_table
from scenelux.sources import Source

__all__ = [
    "Kept",
    "OnTimeRule",
    "RequiredSpan",
    "RequirementQuantity",
    "WarningRequirement",
    "kept",
    "on_time_kept",
    "on_time_rules",
    "required_spans",
    "warning_requirements",
]

RequirementQuantity: TypeAlias = Literal[
    "effective intensity", "mean intensity", "on-state intensity", "optical power"
]  # fmt: skip
Kept: TypeAlias = Literal["meets", "misses", "not assessed"]


@dataclass(frozen=True)
class WarningRequirement:
    """A limit of a document in some directions.

    Parameters
    ----------
    id, document : its name, and whose it is.
    quantity : what is limited; never another one.
    kind, colour : of the lamp, in words of the document.
    light : "day", "night" or "any".
    elevations_deg : above the horizontal; none for every direction [deg].
    azimuths_deg : clockwise from the axis of the lamp; none for all round [deg].
    at_least, at_most : limits in the unit; nan where there is none.
    unit : cd, or cd s/min of optical power.
    note : what to know.
    """

    id: str
    document: str
    quantity: RequirementQuantity
    kind: str
    colour: str
    light: str
    elevations_deg: tuple[float, ...]
    azimuths_deg: tuple[float, ...]
    at_least: float
    at_most: float
    unit: str
    note: str
    source: Source


@dataclass(frozen=True)
class OnTimeRule:
    """How long a flash may shine: a share of the time from flash to flash, and a least dark time (nan without one)."""

    id: str
    kind: str
    most_share: float
    least_dark_s: float
    note: str
    source: Source


@dataclass(frozen=True)
class RequiredSpan:
    """Angles, or a distance all round, within which lamps must be seen; nan or none where not stated.

    Parameters
    ----------
    id, say : its name, and the rule in words.
    azimuths_deg, elevations_deg : first and last; about the axis of the lamp [deg].
    distance_m, eye_height_m : of a walk round the vehicle [m].
    """

    id: str
    say: str
    azimuths_deg: tuple[float, ...]
    elevations_deg: tuple[float, ...]
    distance_m: float
    eye_height_m: float
    source: Source


@cache
def warning_requirements() -> tuple[WarningRequirement, ...]:
    """All shipped requirements in the order of their table.

    Example
    -------
    >>> first = warning_requirements()[0]
    >>> first.id, first.quantity, first.at_least, first.source.status
    ('r65_t_blue_0_night', 'effective intensity', 50.0, 'unconfirmed')
    """
    sets = signal_table("warning-requirements")["sets"]
    return tuple(_requirement({**shared, **row}) for shared in sets for row in shared["rows"])


def _requirement(row: dict[str, Any]) -> WarningRequirement:
    power = row["quantity"] == "optical power"
    unit = "cd_s_per_min" if power else "cd"
    return WarningRequirement(
        id=row["id"],
        document=row["document"],
        quantity=row["quantity"],
        kind=row["kind"],
        colour=row["colour"],
        light=row["light"],
        elevations_deg=_angles(row, "elevations_deg"),
        azimuths_deg=_angles(row, "azimuths_deg"),
        at_least=float(row.get(f"at_least_{unit}", math.nan)),
        at_most=float(row.get(f"at_most_{unit}", math.nan)),
        unit="cd s/min" if power else "cd",
        note=row.get("note", ""),
        source=_source(row),
    )


@cache
def on_time_rules() -> tuple[OnTimeRule, ...]:
    """Rules on how long a flash may shine.

    Example
    -------
    >>> [(rule.id, rule.most_share) for rule in on_time_rules()][:2]
    [('french_rotating_on', 0.6), ('french_filament_on', 0.8)]
    """
    return tuple(
        OnTimeRule(
            row["id"], row["kind"], float(row["most_share"]), float(row.get("least_dark_s", math.nan)),
            row.get("note", ""), _source(row),
        )
        for row in signal_table("warning-requirements")["on_times"]
    )  # fmt: skip


@cache
def required_spans() -> tuple[RequiredSpan, ...]:
    """Angles and distances within which lamps must be seen.

    Example
    -------
    >>> required_spans()[0].azimuths_deg
    (-45.0, 45.0)
    """
    return tuple(
        RequiredSpan(
            row["id"], row["say"], _angles(row, "azimuths_deg"), _angles(row, "elevations_deg"),
            float(row.get("distance_m", math.nan)), float(row.get("eye_height_m", math.nan)), _source(row),
        )
        for row in signal_table("warning-requirements")["spans"]
    )  # fmt: skip


def kept(requirement: WarningRequirement, least: float, most: float | None = None) -> Kept:
    """What an intensity makes of a requirement; an unconfirmed one is never decided.

    Parameters
    ----------
    requirement : one of `warning_requirements()`.
    least : smallest value over its directions, of its own quantity and in its unit.
    most : largest value over them; the same unless stated.

    Example
    -------
    >>> liol = next(row for row in warning_requirements() if row.id == "liol_c")
    >>> kept(liol, 40.0, 400.0), kept(liol, 39.0, 400.0), kept(liol, 40.0, 400.1)
    ('meets', 'misses', 'misses')
    """
    largest = least if most is None else most
    if requirement.source.status == "unconfirmed" or math.isnan(least) or math.isnan(largest):
        return "not assessed"
    return "misses" if least < requirement.at_least or largest > requirement.at_most else "meets"


def on_time_kept(rule: OnTimeRule, flash_rate_hz: float, longest_lit_s: float, longest_dark_s: float) -> Kept:
    """What the times of a flash make of a rule; an unconfirmed one is never decided.

    Parameters
    ----------
    rule : one of `on_time_rules()`.
    flash_rate_hz, longest_lit_s, longest_dark_s : as `measured` has them.

    Example
    -------
    >>> on_time_kept(on_time_rules()[0], 2.0, 0.3, 0.2), on_time_kept(on_time_rules()[0], 2.0, 0.301, 0.199)
    ('meets', 'misses')
    """
    if min(longest_lit_s, longest_dark_s) < 0.0:
        raise UsageError("needs times of 0 or more", key="longest_lit_s")
    if rule.source.status == "unconfirmed" or not flash_rate_hz > 0.0:
        return "not assessed"
    too_long = longest_lit_s > rule.most_share / flash_rate_hz + TICK_S
    return "misses" if too_long or longest_dark_s < rule.least_dark_s - TICK_S else "meets"


def _angles(row: dict[str, Any], key: str) -> tuple[float, ...]:
    return tuple(float(angle) for angle in row.get(key, ()))


def _source(row: dict[str, Any]) -> Source:
    return Source(row["source"], clause=row.get("clause", ""), status=row["status"])
