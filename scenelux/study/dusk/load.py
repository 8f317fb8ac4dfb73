"""What levels take from the supply: currents, drops, what the alternator has left, battery time, what goes first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import NDArray

from scenelux.placement import PlacedScene
from scenelux.scene.cards import Card
from scenelux.scene.switching_supply import PowerSupply
from scenelux.study.results.matrix import CircuitLoad, Load
from scenelux.switching.harness import Behaviour, Wire
from scenelux.switching.harness import CircuitLoad as Taken
from scenelux.switching.load import LoadResult, Supply, battery_time_h, load_of, shed

__all__ = ["Loads", "loads_of", "mean_power_w", "supply_words"]

Array = NDArray[np.float64]

_BEHAVIOURS: Mapping[str, Behaviour] = {
    "constant power": "constant power",
    "constant current": "constant current",
    "resistive": "resistive",
    "stated curve": "constant power",
}


@dataclass(frozen=True, eq=False)
class Loads:
    """Circuits whose lamps state their power, and the supply.

    Parameters
    ----------
    circuits : of the scene, in the order of levels.
    taken : what the check takes of those that are known.
    peaks_cd : circuit -> greatest intensity of its brightest lamp at full output [cd].
    last : circuits of warning lamps, which go last of all.
    supply : of the document; none where it has none.
    notes : what is not known, and what is assumed.
    """

    circuits: tuple[str, ...]
    taken: tuple[Taken, ...]
    peaks_cd: Mapping[str, float]
    last: tuple[str, ...]
    supply: PowerSupply | None
    notes: tuple[str, ...]

    def columns(self, levels: tuple[float, ...]) -> Array:
        """Levels of the known circuits."""
        return np.array([levels[self.circuits.index(one.circuit)] for one in self.taken])

    def of(self, levels: tuple[float, ...]) -> Load | None:
        """The load of levels; none without a supply.

        Parameters
        ----------
        levels : (circuits,).
        """
        return None if self.supply is None or not self.taken else _load(self, self.supply, levels)


def loads_of(placed: PlacedScene, supply: PowerSupply | None) -> Loads:
    """Power of the circuits from the cards of their lamps.

    Parameters
    ----------
    placed : the scene on its site.
    supply : of the document.
    """
    circuits, taken, notes = tuple(placed.scene.circuits), [], list[str]()
    for circuit in circuits:
        names = [lamp.luminaire.name for lamp in placed.placed_lamps if lamp.circuit == circuit]
        cards = [placed.scene.luminaires[name].card for name in names]
        unknown = sorted({name for name, card in zip(names, cards, strict=True) if card.power_w is None})
        if unknown:
            notes.append(f"{circuit} is not in the load: {', '.join(unknown)} states no power")
        elif cards:
            taken.append(_taken(circuit, cards, supply, notes))
    kinds = {lamp.circuit: lamp.luminaire.kind for lamp in placed.placed_lamps}
    shedding = supply.shedding if supply else ()
    last = tuple(
        one.circuit for one in taken if kinds[one.circuit] in ("warning", "arrow") and one.circuit not in shedding
    )
    if supply is not None:
        notes.append("the power of a lamp goes with its level; no other curve is stated")
        notes.append("constants of copper are unconfirmed; drops are without contacts and fuses, at 20 deg C")
    peaks = dict.fromkeys(circuits, 0.0)
    for lamp in placed.placed_lamps:
        peaks[lamp.circuit] = max(peaks[lamp.circuit], lamp.luminaire.peak_cd)
    return Loads(circuits, tuple(taken), peaks, last, supply, tuple(notes))


def _taken(circuit: str, cards: list[Card], supply: PowerSupply | None, notes: list[str]) -> Taken:
    """One circuit; lamps that behave in different ways are taken as the first."""
    stated = [card.supply for card in cards if card.supply is not None]
    volts = {one.voltage_v for one in stated}
    ways = {_BEHAVIOURS[one.behaviour] for one in stated if one.behaviour is not None}
    if len(volts) > 1 or len(ways) > 1:
        notes.append(f"lamps of {circuit} differ in voltage or behaviour: all are taken as the first")
    if not stated or not ways:
        notes.append(f"{circuit} states no behaviour over voltage: taken as constant power")
    nominal = stated[0].voltage_v if stated else supply.voltage_v if supply else 12.0
    lowest = max((one.range_v[0] for one in stated if one.range_v), default=0.0)
    power = sum(card.power_w or 0.0 for card in cards)
    way: Behaviour = next((_BEHAVIOURS[one.behaviour] for one in stated if one.behaviour is not None), "constant power")
    curve = next((one.curve for one in stated if one.curve is not None), None) or ()
    wire = Wire(0.0, 1.0)
    if supply is not None and circuit in supply.harness:
        copper = supply.harness[circuit]
        wire = Wire(copper.length_m, copper.cross_section_mm2)
    return Taken(circuit, power, nominal, way, lowest, wire=wire, light_points=curve)


def _load(loads: Loads, stated: PowerSupply, levels: tuple[float, ...]) -> Load:
    row = loads.columns(levels)
    idle, driving, off = (_supply(stated, alternator) for alternator in _alternators(stated))
    at_idle, at_off = load_of(loads.taken, idle, row), load_of(loads.taken, off, row)
    demand = float(at_idle.demand_a[0]) + stated.other_loads_a
    drive = float(load_of(loads.taken, driving, row).demand_a[0]) + stated.other_loads_a
    order = tuple(name for name in stated.shedding if name in {one.circuit for one in loads.taken})
    steps = shed(loads.taken, idle, row, order, loads.last)
    left = 1.0 - stated.usable_share
    notes = [reason for reason in at_idle.reasons if reason]
    if steps[-1].demand_a > stated.alternator_idle_a:
        notes.append("at idle the alternator does not even carry the other loads")
    return Load(
        circuits=_circuits(loads, at_idle, levels),
        current_a=demand,
        idle_spare_a=stated.alternator_idle_a - demand,
        driving_spare_a=stated.alternator_driving_a - drive,
        battery_h=float(battery_time_h(off, at_off.battery_a, 1.0, left)[0]),
        idle_battery_h=float(battery_time_h(idle, at_idle.battery_a, 1.0, left)[0]),
        shed=tuple(step.circuit for step in steps if step.circuit is not None),
        notes=tuple(notes),
    )


def _alternators(stated: PowerSupply) -> tuple[float, float, float]:
    return stated.alternator_idle_a, stated.alternator_driving_a, 0.0


def _supply(stated: PowerSupply, alternator_a: float) -> Supply:
    battery = stated.battery_voltage_v or stated.voltage_v
    regulated = stated.voltage_v if alternator_a > 0.0 else 0.0
    return Supply(
        battery, stated.battery_resistance_ohm, stated.battery_ah, alternator_a, regulated, stated.other_loads_a
    )


def _circuits(loads: Loads, result: LoadResult, levels: tuple[float, ...]) -> tuple[CircuitLoad, ...]:
    assert loads.supply is not None
    found = []
    places = {one.circuit: at for at, one in enumerate(loads.taken)}
    for circuit, level in zip(loads.circuits, levels, strict=True):
        if level <= 0.0:
            continue
        if circuit not in places:
            found.append(CircuitLoad(circuit, level, nan, nan, nan, nan, nan, nan))
            continue
        at = places[circuit]
        current, lamp, light = (float(array[0, at]) for array in (result.current_a, result.lamp_v, result.light))
        known = circuit in loads.supply.harness
        drop, volt = (float(result.supply_v[0]) - lamp, lamp) if known else (nan, nan)
        left = light if known else nan
        peak = loads.peaks_cd[circuit] * level * left
        found.append(CircuitLoad(circuit, level, current * lamp, current, drop, volt, left, peak))
    return tuple(found)


def mean_power_w(loads: Loads, levels: tuple[float, ...], shares: Mapping[str, float]) -> float:
    """Mean power of levels, out of the supply at idle; at the lamps alone without one.

    Parameters
    ----------
    loads : circuits and supply.
    levels : (circuits,).
    shares : circuit -> share of time that its lamps burn.
    """
    if not loads.taken:
        return nan
    row, share = loads.columns(levels), np.array([shares.get(one.circuit, 1.0) for one in loads.taken])
    if loads.supply is None:
        return float(sum(one.power_w * level * part for one, level, part in zip(loads.taken, row, share, strict=True)))
    result = load_of(loads.taken, _supply(loads.supply, loads.supply.alternator_idle_a), row)
    return float(result.supply_v[0] * (result.current_a[0] @ share))


def supply_words(stated: PowerSupply | None) -> str:
    """The supply in one sentence; empty without one.

    Parameters
    ----------
    stated : of the document.
    """
    if stated is None:
        return ""
    battery = stated.battery_voltage_v or stated.voltage_v
    return (
        f"{stated.voltage_v:g} V with the engine on, {battery:g} V with it off; alternator "
        f"{stated.alternator_idle_a:g} A at idle and {stated.alternator_driving_a:g} A driving; other loads "
        f"{stated.other_loads_a:g} A; battery {stated.battery_ah:g} Ah, of which {100.0 * stated.usable_share:g} % may "
        "be taken"
    )
