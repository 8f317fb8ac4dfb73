"""Holds the flashing lamps of a scene against what its criteria ask; an unconfirmed document decides nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import InputError
from scenelux.placement import PlacedScene, PlacedVehicle
from scenelux.placement.signals import colour_word
from scenelux.scene.model import SceneDocument, SignalCriterion
from scenelux.study.results.signal_facts import SignalDirection, SignalVerdict
from scenelux.study.signal.asked import Limit, limits_of
from scenelux.study.signal.case import Burning
from scenelux.study.signal.directions import Seen, about_each_lamp, about_vehicle, at_eyes, by_direction
from scenelux.study.verdicts import uncertainty_of
from scenelux.units import UnitSystem

__all__ = ["signal_limits", "signal_verdicts"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

OF_LIGHT = ("cd", "cd s/min")
_SLACK = 1e-6  # cycles are whole microseconds
NO_VALUE = "there is no value: gaps are too short to part flashes, or the cycle is too long for the model"
NOTHING = "no lamp that it speaks of flashes here"


def signal_limits(scene: SceneDocument, distance_m: float, units: UnitSystem) -> tuple[tuple[Limit, ...], ...]:
    """Limits of every criterion; what is not known is told with its place in the document.

    Parameters
    ----------
    scene : as read.
    distance_m : of eyes near by, where no document states one.
    units : of words.
    """
    found = []
    for index, row in enumerate(scene.signal_criteria):
        try:
            found.append(tuple(replace(limit, units=units) for limit in limits_of(row, distance_m)))
        except InputError as error:
            raise scene.locate(error.at(), f"signal_criteria[{index}].{error.key}") from None
    return tuple(found)


def signal_verdicts(
    placed: PlacedScene,
    vehicle: PlacedVehicle,
    cases: Sequence[Burning],
    limits: Sequence[Sequence[Limit]],
) -> tuple[SignalVerdict, ...]:
    """Every limit of every criterion in every case that it speaks of.

    Parameters
    ----------
    placed : the scene on its site.
    vehicle : in the middle.
    cases : all that are computed.
    limits : of `signal_limits`.
    """
    return tuple(
        verdict
        for row, asked in zip(placed.scene.signal_criteria, limits, strict=True)
        for verdict in _of_row(placed, vehicle, cases, row, asked)
    )


def _of_row(
    placed: PlacedScene, vehicle: PlacedVehicle, cases: Sequence[Burning], row: SignalCriterion, asked: Sequence[Limit]
) -> Iterator[SignalVerdict]:
    met = False
    for one in cases:
        if one.state not in (row.states or (one.state,)) or one.light not in (row.light or (one.light,)):
            continue
        lamps = _chosen(placed, row, one)
        if not lamps.any() and row.states is None:
            continue
        met = True
        yield from (_verdict(placed, vehicle, one, lamps, row, limit) for limit in asked)
    if not met and not (row.states or row.light):
        yield from (_without(row, limit, "", "", NOTHING) for limit in asked)


def _chosen(placed: PlacedScene, row: SignalCriterion, one: Burning) -> Flags:
    """Lamps that count: those named that are on, or all that flash."""
    named = np.array([row.counts(lamp.id, lamp.circuit) for lamp in placed.placed_lamps])
    counts = one.flashing if row.lamps is None and row.circuit is None else one.level > 0.0
    return np.asarray(named & counts)


def _verdict(
    placed: PlacedScene, vehicle: PlacedVehicle, one: Burning, lamps: Flags, row: SignalCriterion, limit: Limit
) -> SignalVerdict:
    if not lamps.any():
        return _without(row, limit, one.state, one.light, NOTHING)
    seen, values = _found(placed, vehicle, one, lamps, limit)
    asked = np.ones(len(values), np.bool_) if limit.place == "lamp" else limit.holds(seen.heading_deg)
    if not asked.any() or np.isnan(values[asked]).any():
        return _without(row, limit, one.state, one.light, NO_VALUE)
    values = np.where(asked, values, np.nan)
    at = int(np.nanargmin(values) if limit.statistic == "minimum" else np.nanargmax(values))
    average = limit.statistic == "average"
    value = float(np.nanmean(values)) if average else float(values[at])
    margin = value - limit.limit if limit.sense == "at least" else limit.limit - value
    verdict, because = _decided(placed, limit, value, margin, lamps)
    spread = uncertainty_of(placed, lamps.astype(np.float64)) if limit.unit in OF_LIGHT else 0.0
    worst = SignalDirection() if average or limit.on_axis else seen.where[at]
    subject = _subject(row) + (f", worst {seen.lamp[at]}" if seen.lamp else "")
    inside = verdict != "not assessed" and abs(margin) < spread * value
    return _row(limit, subject, one.state, one.light, value, margin, worst, verdict, inside, because)


def _found(placed: PlacedScene, vehicle: PlacedVehicle, one: Burning, lamps: Flags, limit: Limit) -> tuple[Seen, Array]:
    """Light in directions of which some or all are asked for, and the value in each."""
    if limit.place == "lamp":
        seen = about_each_lamp(placed, one, lamps, limit.right_deg or (0.0,), limit.elevations_deg)
        if limit.quantity == "on-time share":
            rate, lit = (by_direction(seen, name, limit.model) for name in ("flash rate", "on-time"))
            return seen, np.where(rate > 0.0, lit * rate / 60.0, np.nan)
        return seen, by_direction(seen, limit.quantity, limit.model)
    if limit.place == "eyes":
        seen = at_eyes(placed, vehicle, one, lamps, limit.height_m, limit.distance_m)
    else:
        seen = about_vehicle(placed, vehicle, one, lamps, limit.elevations_deg)
    return seen, by_direction(seen, limit.quantity, limit.model)


def _decided(placed: PlacedScene, limit: Limit, value: float, margin: float, lamps: Flags) -> tuple[str, str]:
    """The verdict, and why there is none."""
    good = margin >= -_SLACK * abs(limit.limit)
    unit = {"1": "", "1/min": " a minute"}.get(limit.unit, f" {limit.unit}")
    would = f"would {'meet' if good else 'miss'} it with {value:.4g}{unit}"
    if limit.source.status == "unconfirmed":
        return "not assessed", f"the requirement is unconfirmed; it {would}"
    words = {colour_word(placed, placed.placed_lamps[at].luminaire.name) for at in np.flatnonzero(lamps).tolist()}
    if limit.colour and not all(_fits(word, limit.colour) for word in words):
        stated = ", ".join(sorted(word or "of no stated colour" for word in words))
        return "not assessed", f"it is for {limit.colour} lamps, and these are {stated}; it {would}"
    if limit.only_light and not good and value > 0.0:
        return "not assessed", f"{value:.3g} cd is some light, and the document does not say how much is enough"
    return ("meets" if good else "misses"), ""


def _fits(word: str, colours: str) -> bool:
    """Amber and yellow are one colour."""
    same = {"yellow", "amber"} if word in ("yellow", "amber") else {word}
    return bool(same & set(colours.split(" or ")))


def _subject(row: SignalCriterion) -> str:
    if row.lamps is not None:
        return ", ".join(row.lamps)
    return row.circuit or "all lamps that flash"


def _without(row: SignalCriterion, limit: Limit, state: str, light: str, because: str) -> SignalVerdict:
    nothing = SignalDirection()
    return _row(limit, _subject(row), state, light, math.nan, math.nan, nothing, "not assessed", False, because)


def _row(
    limit: Limit,
    subject: str,
    state: str,
    light: str,
    value: float,
    margin: float,
    worst: SignalDirection,
    verdict: str,
    inside: bool,
    because: str,
) -> SignalVerdict:
    return SignalVerdict(
        rule=limit.rule,
        name=limit.name,
        source_title=limit.source.title,
        edition=limit.source.edition,
        clause=limit.source.clause,
        source_status=limit.source.status,
        quantity=limit.quantity,
        model=limit.model if limit.quantity == "effective intensity" else "",
        subject=subject,
        where=limit.where,
        state=state,
        light=light,
        sense=limit.sense,
        limit=limit.limit,
        value=value,
        unit=limit.unit,
        margin=margin,
        worst=worst,
        verdict=verdict,  # type: ignore[arg-type]
        inside_uncertainty=inside,
        because=because,
        says=limit.says,
        headings_deg=limit.drawn_deg[0],
        elevations_deg=limit.drawn_deg[1],
    )
