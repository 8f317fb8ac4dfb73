"""Requirements of a scene on its flashing lamps as plain limits: published rows found by name, and own rows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.scene.model import SignalCriterion
from scenelux.scene.signals import SIGNAL_QUANTITIES
from scenelux.scene.words import near
from scenelux.signals import (
    COVERAGE_ELEVATIONS_DEG,
    Model,
    OnTimeRule,
    RequiredSpan,
    WarningRequirement,
    azimuth_of_heading,
    on_time_rules,
    required_spans,
    warning_requirements,
    zone_index,
)
from scenelux.signals.zones import ZONES
from scenelux.sources import Source
from scenelux.study.signal.measures import HEADLINE_MODEL
from scenelux.study.signal.rings import HEADINGS_DEG, eyes_words
from scenelux.timing import PublishedRate, published_rates
from scenelux.units import UnitSystem

__all__ = ["Limit", "limits_of", "requirement_ids"]

Array = NDArray[np.float64]
Statistic = Literal["minimum", "average", "maximum"]
Place = Literal["vehicle", "eyes", "lamp"]

STEP_DEG = 5.0
UNSTATED_EYE_M = 1.2
"""Height of eyes on a walk round the vehicle whose document states none."""

SHINES_CD = 1.0
"""What counts as shining where a document states angles and no intensity: a choice."""

R65_MODEL: Model = "form-factor"


@dataclass(frozen=True)
class Limit:
    """One limit on one quantity in some directions.

    Parameters
    ----------
    rule, name, source, says : whose it is.
    quantity, model, statistic, sense, limit, unit : what is limited; a limit above 0 that only asks for light is 0.
    place : all lamps together about the vehicle or at eyes near by, or each lamp about its own axis.
    right_deg : from the axis of each lamp; none where no direction matters.
    elevations_deg, height_m, distance_m : as the place needs; nan or none else. Of a lamp, up from its axis.
    arc_deg, zone : of directions about the vehicle: from, to; or a letter.
    colour : that the lamps must have; empty for any.
    units : of words.
    """

    rule: str
    name: str
    source: Source
    says: str
    quantity: str
    statistic: Statistic
    sense: Literal["at least", "at most"]
    limit: float
    unit: str
    place: Place
    model: Model = HEADLINE_MODEL
    right_deg: tuple[float, ...] = ()
    elevations_deg: tuple[float, ...] = (0.0,)
    height_m: float = math.nan
    distance_m: float = math.nan
    arc_deg: tuple[float, float] | None = None
    zone: str = ""
    colour: str = ""
    only_light: bool = False
    units: UnitSystem = "metric"

    @property
    def on_axis(self) -> bool:
        """Whether no direction matters: rates and times are those of the lamp."""
        return self.place == "lamp" and not self.right_deg

    @property
    def where(self) -> str:
        """The directions in words."""
        heights = ", ".join(f"{one:g}" for one in self.elevations_deg)
        if self.on_axis:
            return "each lamp by itself"
        if self.place == "lamp":
            sides, up = _span(self.right_deg), _span(self.elevations_deg)
            return f"each lamp about its own axis, {sides} deg right, {up} deg up"
        turn = "all round"
        if self.zone:
            turn = f"zone {self.zone}"
        elif self.arc_deg is not None:
            turn = f"heading {self.arc_deg[0]:g} to {self.arc_deg[1]:g} deg"
        if self.place == "eyes":
            return f"{turn}, {eyes_words(self.height_m, self.distance_m, self.units)}"
        return f"{turn}, far away, {heights} deg up"

    @property
    def drawn_deg(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Headings and elevations about the vehicle; of limits on each lamp there are none."""
        if self.place == "lamp":
            return (), ()
        headings = HEADINGS_DEG[self.holds(HEADINGS_DEG)]
        return tuple(headings.tolist()), self.elevations_deg if self.place == "vehicle" else ()

    def holds(self, heading_deg: Array) -> NDArray[np.bool_]:
        """Which headings about the vehicle are asked for."""
        if self.zone:
            return np.asarray(zone_index(azimuth_of_heading(heading_deg)) == ZONES.index(self.zone))
        if self.arc_deg is None:
            return np.ones(heading_deg.shape, np.bool_)
        start, end = self.arc_deg
        width = 360.0 if end - start >= 360.0 else (end - start) % 360.0
        return np.asarray((heading_deg - start) % 360.0 <= width)


def _span(angles: tuple[float, ...]) -> str:
    return ", ".join(f"{one:g}" for one in angles) if len(angles) <= 4 else f"{angles[0]:g} to {angles[-1]:g}"


def requirement_ids() -> tuple[str, ...]:
    """Names that a scene may require: limits of intensity, on-times, spans, then rates.

    Example
    -------
    >>> "kkk_span" in requirement_ids()
    True
    """
    return (*_rows(), *published_rates())


def _rows() -> dict[str, WarningRequirement | OnTimeRule | RequiredSpan]:
    found: dict[str, WarningRequirement | OnTimeRule | RequiredSpan] = {row.id: row for row in warning_requirements()}
    found |= {row.id: row for row in on_time_rules()}
    return found | {row.id: row for row in required_spans()}


def limits_of(row: SignalCriterion, distance_m: float) -> tuple[Limit, ...]:
    """Limits of one criterion; a UsageError tells a name that is not known.

    Parameters
    ----------
    row : of the scene.
    distance_m : of eyes near by, where no document states one.
    """
    if row.requirement is None:
        return (_own(row, distance_m),)
    name = row.requirement
    if name in _rows():
        return tuple(_published(_rows()[name], row, distance_m))
    if name in published_rates():
        return tuple(_rates(published_rates()[name]))
    raise UsageError("is not a requirement that is known", key="requirement", value=name,
                     accepted=near(name, requirement_ids()))  # fmt: skip


def _own(row: SignalCriterion, distance_m: float) -> Limit:
    assert row.quantity is not None and row.sense is not None and row.limit is not None
    eyes = row.height_m is not None
    return Limit(
        rule=row.id or "",
        name=row.name,
        source=Source("the user's own rule", status="own"),
        says=row.because or "",
        quantity=row.quantity,
        statistic=row.statistic or "minimum",
        sense=row.sense,
        limit=row.limit,
        unit=SIGNAL_QUANTITIES[row.quantity],
        place="eyes" if eyes else "vehicle",
        model=_model(row, HEADLINE_MODEL),
        elevations_deg=() if eyes else _between(row.elevation_deg or (0.0, 0.0)),
        height_m=math.nan if row.height_m is None else row.height_m,
        distance_m=distance_m,
        arc_deg=row.heading_deg,
        zone=row.zone or "",
    )


def _model(row: SignalCriterion, default: Model) -> Model:
    return row.model or default


def _between(ends: tuple[float, float]) -> tuple[float, ...]:
    """The elevations of the coverage grid between two, and the two."""
    inside = [one for one in COVERAGE_ELEVATIONS_DEG.tolist() if ends[0] < one < ends[1]]
    return tuple(sorted({*ends, *inside}))


def _published(
    found: WarningRequirement | OnTimeRule | RequiredSpan, row: SignalCriterion, distance_m: float
) -> Iterator[Limit]:
    if isinstance(found, WarningRequirement):
        yield from _intensities(found, row)
    elif isinstance(found, OnTimeRule):
        yield from _on_times(found)
    else:
        yield _reaches(found, distance_m)


def _intensities(found: WarningRequirement, row: SignalCriterion) -> Iterator[Limit]:
    level = "" if found.light == "any" else f"; stated for {found.light}"
    note = f". {found.note}" if found.note else ""
    sides: tuple[tuple[Literal["at least", "at most"], float], ...] = (
        ("at least", found.at_least),
        ("at most", found.at_most),
    )
    for sense, limit in sides:
        if not math.isnan(limit):
            yield Limit(
                rule=found.id,
                name=f"{found.document}, {found.kind}",
                source=found.source,
                says=f"{found.document}, {found.kind}, {found.colour}{level}{note}",
                quantity=found.quantity,
                statistic="minimum" if sense == "at least" else "maximum",
                sense=sense,
                limit=limit,
                unit=found.unit,
                place="lamp" if found.azimuths_deg else "vehicle",
                model=_model(row, R65_MODEL if found.document == "UN R65" else HEADLINE_MODEL),
                right_deg=found.azimuths_deg,
                elevations_deg=found.elevations_deg or tuple(COVERAGE_ELEVATIONS_DEG.tolist()),
                colour="" if found.colour == "any" else found.colour,
            )


def _on_times(found: OnTimeRule) -> Iterator[Limit]:
    name, says = f"on-time, {found.kind}", f"on-time, {found.kind}. {found.note}".rstrip(". ") + "."
    yield Limit(
        found.id, name, found.source, says, "on-time share", "maximum", "at most", found.most_share, "1", "lamp"
    )
    if not math.isnan(found.least_dark_s):
        least = found.least_dark_s
        yield Limit(found.id, name, found.source, says, "longest dark", "minimum", "at least", least, "s", "lamp")


def _reaches(found: RequiredSpan, distance_m: float) -> Limit:
    walk = not math.isnan(found.distance_m)
    return Limit(
        rule=found.id,
        name=found.say,
        source=found.source,
        says=f"{found.say}. It states no intensity: {SHINES_CD:g} cd counts as shining, a choice.",
        quantity="peak intensity",
        statistic="minimum",
        sense="at least",
        limit=SHINES_CD,
        unit="cd",
        place="eyes" if walk else "lamp",
        right_deg=_every(found.azimuths_deg),
        elevations_deg=_every(found.elevations_deg) or tuple(COVERAGE_ELEVATIONS_DEG.tolist()),
        height_m=UNSTATED_EYE_M if math.isnan(found.eye_height_m) else found.eye_height_m,
        distance_m=found.distance_m if walk else distance_m,
        only_light=True,
    )


def _every(ends: tuple[float, ...]) -> tuple[float, ...]:
    if not ends:
        return ()
    return tuple(np.linspace(ends[0], ends[-1], round((ends[-1] - ends[0]) / STEP_DEG) + 1).tolist())


def _rates(found: PublishedRate) -> Iterator[Limit]:
    least, most = found.low_per_min, found.high_per_min
    head = (found.id, found.say, found.source, found.say, "flash rate")
    yield Limit(*head, "minimum", "at least", least, "1/min", "lamp")
    yield Limit(*head, "maximum", "at most", most, "1/min", "lamp")
