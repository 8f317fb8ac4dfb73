"""Zones, arrow boards and apparent motion of one duty state at one light level."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.placement import PlacedScene, PlacedVehicle
from scenelux.signals import ZONES, apparent_motion, arrow_boards, arrow_times, azimuth_of_heading, zone_index
from scenelux.study.results.signal import RingMeasures, SignalRing
from scenelux.study.results.signal_facts import ArrowFacts, MotionFacts, ZonePower
from scenelux.study.signal.case import Burning
from scenelux.study.signal.sync import Unit

__all__ = ["arrows_of", "motion_of", "zones_of"]

Array = NDArray[np.float64]

ZONE_NAMES = {"A": "front", "B": "right", "C": "rear", "D": "left"}
ARROW = "arrow"
LEAST_STEPS = 2
"""Steps from lamp to lamp in a sequence: two groups in turn are a pair, not a row."""


def zones_of(rings: Sequence[SignalRing], measures: Sequence[RingMeasures]) -> tuple[ZonePower, ...]:
    """Optical power of the lamps that flash, by quarter.

    Parameters
    ----------
    rings : of one variant.
    measures : of one case.
    """
    power = {one.ring_id: one.power_cd_s_per_min for one in measures if one.group == "flashing"}
    far = [ring for ring in rings if ring.kind == "far"]
    level = next(ring for ring in far if ring.elevation_deg == 0.0)
    zone = zone_index(azimuth_of_heading(level.heading_deg))
    return tuple(_zone(name, zone == at, level, power, far) for at, name in enumerate(ZONES))


def _zone(
    name: str, inside: NDArray[np.bool_], level: SignalRing, power: dict[str, Array], far: Sequence[SignalRing]
) -> ZonePower:
    here = power[level.ring_id][inside]
    return ZonePower(
        zone=name,
        name=ZONE_NAMES[name],
        least=float(here.min()),
        mean=float(here.mean()),
        greatest=float(here.max()),
        least_heading_deg=float(level.heading_deg[inside][here.argmin()]),
        sum_of_points=float(sum(power[ring.ring_id][inside].sum() for ring in far)),
        points=int(inside.sum()) * len(far),
    )


def arrows_of(placed: PlacedScene, one: Burning) -> tuple[ArrowFacts, ...]:
    """Every circuit that has lamps of an arrow board on.

    Parameters
    ----------
    placed : the scene on its site.
    one : of a state and light level.
    """
    circuits: dict[str, list[int]] = {}
    for at, lamp in enumerate(placed.placed_lamps):
        if lamp.luminaire.kind == ARROW and one.level[at] > 0.0:
            circuits.setdefault(lamp.circuit, []).append(at)
    return tuple(_arrow(circuit, lamps, one) for circuit, lamps in circuits.items())


def _arrow(circuit: str, lamps: Sequence[int], one: Burning) -> ArrowFacts:
    patterns = list(dict.fromkeys(one.patterns[at].pattern for at in lamps))
    mode = "sequential" if len(patterns) > 1 else "flashing" if one.flashing[lamps[0]] else "steady"
    found = arrow_times(patterns, "sequential" if mode == "sequential" else "flashing")
    boards = {board.type: (board.legibility_m, board.elements, board.use) for board in arrow_boards()}
    enough = [name for name, (_, elements, _) in boards.items() if elements <= len(lamps)]
    least = min(elements for _, elements, _ in boards.values())
    rate = found.rate_per_min if mode != "steady" else 0.0
    fits = "as stated" if found.rate_holds and found.shares_hold else "not as stated"
    of_type = f"enough lamps for type {', '.join(enough)}" if enough else f"fewer lamps than any type has ({least})"
    shares = ", ".join(f"{100.0 * share:.3g} %" for share in sorted(set(found.on_shares)))
    said = (
        f"{circuit}: {mode}, {rate:.4g} a minute, on for {shares} of the cycle ({fits}); {len(lamps)} lamps, {of_type}."
    )
    return ArrowFacts(
        circuit=circuit,
        mode=mode,
        elements=len(lamps),
        rate_per_min=rate,
        on_shares=found.on_shares,
        rate_holds=found.rate_holds,
        shares_hold=found.shares_hold,
        legibility=boards,
        source_title=str(found.source),
        source_status=found.source.status,
        says=said,
    )


def motion_of(placed: PlacedScene, vehicle: PlacedVehicle, units: Sequence[Unit]) -> tuple[MotionFacts, ...]:
    """Circuits whose lamps light up in a row of three places or more.

    Parameters
    ----------
    placed : the scene on its site.
    vehicle : whose left counts.
    units : of a state and light level.
    """
    rows = []
    for circuit in dict.fromkeys(unit.circuit for unit in units):
        mine = [unit for unit in units if unit.circuit == circuit]
        if len({unit.clock for unit in mine}) == 1:
            rows += list(_motion(placed, vehicle, circuit, mine))
    return tuple(rows)


def _motion(placed: PlacedScene, vehicle: PlacedVehicle, circuit: str, units: Sequence[Unit]) -> Iterator[MotionFacts]:
    lamps = [(at, unit.pattern) for unit in units for at in unit.lamps]
    places = vehicle.plan_m(np.array([placed.placed_lamps[at].position_m for at, _ in lamps]))[:, 1]
    try:
        found = apparent_motion([pattern for _, pattern in lamps], places.tolist())
    except UsageError:  # lamps that light up more than once in a cycle make no row
        return
    if len(found.steps_s) < LEAST_STEPS:
        return
    way = {"rising": "to the left", "falling": "to the right"}.get(found.direction, "in no one direction")
    steps = ", ".join(f"{1000.0 * step:.4g}" for step in found.steps_s)
    band = "inside" if found.in_band else "outside"
    said = f"{circuit}: lights up {way} of the vehicle, steps of {steps} ms, {band} the band of motion (unconfirmed)."
    names = tuple(placed.placed_lamps[lamps[at][0]].id for at in found.order)
    yield MotionFacts(circuit, names, found.steps_s, way, found.in_band, said)
