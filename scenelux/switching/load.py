"""Electrical load of levels: currents, supply voltage, light that is left, battery time and order of shedding."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import DocumentError, UsageError
from scenelux.switching.harness import CircuitLoad, current_a, lamp_voltage_v, light_share

__all__ = ["LoadResult", "ShedStep", "Supply", "battery_time_h", "load_of", "shed"]

Floats = NDArray[np.float64]

_HALVINGS = 60
_NEWTON_STEPS = 60
_STEP_V = 1e-5
_SAME_V = 1e-6


@dataclass(frozen=True)
class Supply:
    """Battery, and the alternator at the stated speed of the engine.

    Parameters
    ----------
    battery_v : open circuit, at its state of charge [V].
    battery_ohm : inside the battery and its cables [ohm].
    capacity_ah : usable from full to empty at this current [Ah].
    alternator_a : what the alternator gives at idle beside the rest of the vehicle; 0 with the engine off [A].
    regulated_v : while the alternator carries all, at least the battery's voltage [V].
    other_a : current of the rest of the vehicle [A].
    """

    battery_v: float
    battery_ohm: float
    capacity_ah: float
    alternator_a: float = 0.0
    regulated_v: float = 0.0
    other_a: float = 0.0

    def __post_init__(self) -> None:
        if min(self.battery_v, self.capacity_ah) <= 0.0 or min(self.battery_ohm, self.alternator_a, self.other_a) < 0.0:
            raise DocumentError("is no supply", key="supply", accepted="give a battery above 0 V and 0 Ah")
        if self.alternator_a > 0.0 and self.regulated_v < self.battery_v:
            accepted = f"give at least the voltage of the battery, {self.battery_v:g} V"
            raise DocumentError("charges nothing", key="supply.regulated", value=self.regulated_v, accepted=accepted)


@dataclass(frozen=True, eq=False)
class LoadResult:
    """Currents and light for rows of levels.

    Parameters
    ----------
    supply_v : (n,) before the wires; nan where the supply cannot carry the load.
    current_a : (n, circuits).
    lamp_v : (n, circuits) after the wires.
    light : (n, circuits) share of the light at the nominal voltage; times level times candela is what shines.
    battery_a : (n,) out of the battery, below 0 while it can be charged.
    reasons : (n,) why a row has no solution or a lamp no stated light, else empty.
    """

    supply_v: Floats
    current_a: Floats
    lamp_v: Floats
    light: Floats
    battery_a: Floats
    reasons: tuple[str, ...]

    @property
    def demand_a(self) -> Floats:
        """Current of all circuits together."""
        return np.asarray(self.current_a.sum(axis=1))


@dataclass(frozen=True)
class ShedStep:
    """A circuit switched off to save current, and the demand after that; none is the start [A]."""

    circuit: str | None
    demand_a: float


def load_of(loads: tuple[CircuitLoad, ...], supply: Supply, levels: ArrayLike) -> LoadResult:
    """Solves voltage and currents together.

    Parameters
    ----------
    loads : circuits in the order of the levels.
    supply : battery and alternator.
    levels : (n, circuits).

    While the alternator carries all, its regulated voltage holds. Where it carries all at a voltage between that and
    the battery's, that voltage. Else the battery gives the rest and its voltage falls by its resistance.

    Example
    -------
    >>> lamp = CircuitLoad("scene", 120.0, 12.0)
    >>> round(float(load_of((lamp,), Supply(12.6, 0.02, 100.0), [[1.0]]).supply_v[0]), 4)
    12.4066
    """
    rows = np.atleast_2d(np.asarray(levels, np.float64))
    if rows.shape[1] != len(loads):
        raise UsageError(
            f"has {rows.shape[1]} columns", key="levels", accepted=f"give one for each of {len(loads)} circuits"
        )
    volts = _supply_voltage(loads, supply, rows)
    currents = np.stack([current_a(load, rows[:, at], volts) for at, load in enumerate(loads)], axis=1)
    lamps = np.stack([lamp_voltage_v(load, rows[:, at], volts) for at, load in enumerate(loads)], axis=1)
    light = np.stack([light_share(load, lamps[:, at]) for at, load in enumerate(loads)], axis=1)
    battery = currents.sum(axis=1) + supply.other_a - supply.alternator_a
    reasons = tuple(_reason(loads, rows[at], lamps[at], light[at]) for at in range(len(rows)))
    return LoadResult(volts, currents, lamps, light, battery, reasons)


def _total(loads: tuple[CircuitLoad, ...], supply: Supply, rows: Floats, volts: Floats) -> Floats:
    total = np.full(len(rows), supply.other_a)
    for at, load in enumerate(loads):
        total = total + current_a(load, rows[:, at], volts)
    return total


def _supply_voltage(loads: tuple[CircuitLoad, ...], supply: Supply, rows: Floats) -> Floats:
    at_battery = _total(loads, supply, rows, np.full(len(rows), supply.battery_v))
    volts = _battery_voltage(loads, supply, rows)
    if supply.alternator_a == 0.0:
        return volts
    at_regulated = _total(loads, supply, rows, np.full(len(rows), supply.regulated_v))
    between = (at_regulated > supply.alternator_a) & (at_battery <= supply.alternator_a)
    low, high = np.full(len(rows), supply.battery_v), np.full(len(rows), supply.regulated_v)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        too_much = _total(loads, supply, rows, middle) > supply.alternator_a
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    volts = np.where(between, low, volts)
    return np.where(at_regulated <= supply.alternator_a, supply.regulated_v, volts)


def _battery_voltage(loads: tuple[CircuitLoad, ...], supply: Supply, rows: Floats) -> Floats:
    """The higher solution of V = E - R (I(V) - alternator), by Newton's steps down from E."""

    def excess(volts: Floats) -> Floats:
        drop = supply.battery_ohm * (_total(loads, supply, rows, volts) - supply.alternator_a)
        return np.asarray(volts - supply.battery_v + drop)

    volts = np.full(len(rows), supply.battery_v)
    for _ in range(_NEWTON_STEPS):
        here = excess(volts)
        slope = (here - excess(volts - _STEP_V)) / _STEP_V
        volts = volts - np.where(slope > 0.0, here / np.where(slope > 0.0, slope, 1.0), np.nan)
    solved = np.abs(excess(volts)) < _SAME_V
    return np.where(solved & (volts > 0.0), volts, np.nan)


def _reason(loads: tuple[CircuitLoad, ...], levels: Floats, lamps: Floats, light: Floats) -> str:
    if np.isnan(lamps).any():
        return "the supply cannot carry this load: no voltage gives every lamp its power"
    dark = [at for at in range(len(loads)) if levels[at] > 0.0 and np.isnan(light[at])]
    return "; ".join(f"{loads[at].circuit} has no stated light at {lamps[at]:.3g} V" for at in dark)


def battery_time_h(supply: Supply, battery_a: ArrayLike, from_charge: float = 1.0, to_charge: float = 0.5) -> Floats:
    """Hours until the battery falls from one state of charge to another; infinite while it is not drawn on.

    Parameters
    ----------
    supply : with its capacity.
    battery_a : (...) current out of the battery, from `load_of` [A].
    from_charge, to_charge : 1 is full.

    The capacity is taken to be that at this current, and the voltage to stay.

    Example
    -------
    >>> float(battery_time_h(Supply(12.6, 0.02, 100.0), 10.0))
    5.0
    """
    current = np.asarray(battery_a, np.float64)
    charge = supply.capacity_ah * max(0.0, from_charge - to_charge)
    hours = charge / np.where(current > 0.0, current, 1.0)
    return np.where(current > 0.0, hours, np.where(np.isnan(current), np.nan, np.inf))


def shed(
    loads: tuple[CircuitLoad, ...],
    supply: Supply,
    levels: ArrayLike,
    order: tuple[str, ...],
    last: tuple[str, ...] = (),
    *,
    limit_a: float | None = None,
) -> tuple[ShedStep, ...]:
    """Circuits off one after another until the alternator carries the rest.

    Parameters
    ----------
    loads, supply : as in `load_of`.
    levels : (circuits,) of one state.
    order : circuits to switch off, first to last.
    last : warning lamps, never before any other; after `order` and all circuits that neither names.
    limit_a : current to come down to, instead of that of the alternator [A].

    Returns
    -------
    The demand at the start and after each step. The last one is above the limit where all off is not enough.
    """
    names = [load.circuit for load in loads]
    unknown = [name for name in (*order, *last) if name not in names]
    if unknown:
        accepted = f"give one of {', '.join(names)}"
        raise UsageError("is not a circuit", key="shedding", value=unknown[0], accepted=accepted)
    if set(order) & set(last):
        accepted = "take warning lamps out of the order"
        raise UsageError(
            "would go before it is last", key="shedding", value=sorted(set(order) & set(last))[0], accepted=accepted
        )
    others = [name for name in names if name not in order and name not in last]
    now, limit = np.array(levels, np.float64), supply.alternator_a if limit_a is None else limit_a
    steps = [ShedStep(None, _demand(loads, supply, now))]
    for name in (*order, *others, *last):
        # nan: the supply cannot carry this at all, so more must go.
        if steps[-1].demand_a <= limit:
            break
        if now[names.index(name)] > 0.0:
            now[names.index(name)] = 0.0
            steps.append(ShedStep(name, _demand(loads, supply, now)))
    return tuple(steps)


def _demand(loads: tuple[CircuitLoad, ...], supply: Supply, levels: Floats) -> float:
    return float(load_of(loads, supply, levels).demand_a[0]) + supply.other_a
