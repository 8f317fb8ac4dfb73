"""Wires between the supply and a lamp, and how a circuit takes its current when the voltage falls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import DocumentError
from scenelux.switching.tables import constant

__all__ = ["Behaviour", "CircuitLoad", "Wire", "current_a", "lamp_voltage_v", "light_share", "power_share"]

Floats = NDArray[np.float64]
Behaviour = Literal["constant power", "constant current", "resistive", "filament"]

_REFERENCE_C = 20.0
_HALVINGS = 60


@dataclass(frozen=True)
class Wire:
    """Copper to a lamp and back, with contacts and fuse.

    Parameters
    ----------
    length_m : one way [m].
    cross_section_mm2 : of each of both conductors [mm2].
    contact_ohm, fuse_ohm : in series [ohm].
    temperature_c : of the copper [deg C].

    Source
    ------
    Resistivity and its temperature coefficient from memory, unconfirmed: see shared/dimming.toml.

    Example
    -------
    >>> round(Wire(5.0, 1.5).resistance_ohm, 4)
    0.1149
    """

    length_m: float
    cross_section_mm2: float
    contact_ohm: float = 0.0
    fuse_ohm: float = 0.0
    temperature_c: float = _REFERENCE_C

    def __post_init__(self) -> None:
        if self.cross_section_mm2 <= 0.0 or min(self.length_m, self.contact_ohm, self.fuse_ohm) < 0.0:
            accepted = "give a cross-section above 0, lengths and resistances of 0 or more"
            raise DocumentError("is no wire", key="harness", accepted=accepted)

    @property
    def resistance_ohm(self) -> float:
        """Both conductors, contacts and fuse."""
        cold, _ = constant("copper_resistivity_ohm_mm2_per_m")
        rise, _ = constant("copper_temperature_coefficient_per_k")
        copper = cold * (1.0 + rise * (self.temperature_c - _REFERENCE_C))
        return copper * 2.0 * self.length_m / self.cross_section_mm2 + self.contact_ohm + self.fuse_ohm


@dataclass(frozen=True)
class CircuitLoad:
    """What a circuit takes, and what its light does with the voltage.

    Parameters
    ----------
    circuit : its name.
    power_w : at level 1 and the nominal voltage [W].
    nominal_v : at which power and light are stated [V].
    behaviour : "constant power" is a regulated LED lamp.
    lowest_v : below it a regulated lamp has no stated light [V].
    power_points : (level, share of the power), levels rising from 0 to 1; the share is the level unless given.
    wire : between supply and lamp.
    light_points : (voltage at the lamp [V], share of the light at the nominal voltage) where such a curve is stated.
    """

    circuit: str
    power_w: float
    nominal_v: float
    behaviour: Behaviour = "constant power"
    lowest_v: float = 0.0
    power_points: tuple[tuple[float, float], ...] = ((0.0, 0.0), (1.0, 1.0))
    wire: Wire = Wire(0.0, 1.0)
    light_points: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        levels = [level for level, _ in self.power_points]
        if levels != sorted(set(levels)) or levels[0] != 0.0 or levels[-1] != 1.0:
            accepted = "give levels that rise from 0 to 1"
            raise DocumentError("is no curve", key=f'circuits."{self.circuit}".power', accepted=accepted)
        if self.power_w < 0.0 or self.nominal_v <= 0.0:
            accepted = "give a power of 0 or more and a voltage above 0"
            raise DocumentError("is no load", key=f'circuits."{self.circuit}"', accepted=accepted)


def power_share(load: CircuitLoad, level: ArrayLike) -> Floats:
    """Share of the full power at a level; nothing at level 0.

    Parameters
    ----------
    load : with its curve.
    level : (...) 0 to 1.
    """
    value = np.asarray(level, np.float64)
    return np.where(value > 0.0, np.interp(value, *np.array(load.power_points).T), 0.0)


def current_a(load: CircuitLoad, level: ArrayLike, supply_v: ArrayLike) -> Floats:
    """Current of a circuit at the voltage of the supply; nan where no current can bring a regulated lamp its power.

    Parameters
    ----------
    load : the circuit and its wire.
    level : (...) 0 to 1.
    supply_v : (...) before the wire [V].

    A lamp of constant power draws I = P / V at its own terminals: V = (S + sqrt(S^2 - 4 P R)) / 2.

    Example
    -------
    >>> round(float(current_a(CircuitLoad("scene", 60.0, 12.0, wire=Wire(5.0, 1.5)), 1.0, 12.0)), 3)
    5.266
    """
    share, supply = np.broadcast_arrays(power_share(load, level), np.asarray(supply_v, np.float64))
    power, ohm = load.power_w * share, load.wire.resistance_ohm
    if load.behaviour == "constant power":
        under = supply**2 - 4.0 * power * ohm
        lamp = 0.5 * (supply + np.sqrt(np.where(under >= 0.0, under, np.nan)))
        return np.where(power > 0.0, power / np.where(lamp > 0.0, lamp, np.nan), 0.0)
    nominal = power / load.nominal_v
    if load.behaviour == "constant current":
        return np.where(nominal * ohm <= supply, nominal, np.nan)
    if load.behaviour == "resistive":
        return np.asarray(nominal * supply / (load.nominal_v + nominal * ohm))
    return _filament_current(nominal, load.nominal_v, supply, ohm)


def _filament_current(nominal: Floats, nominal_v: float, supply: Floats, ohm: float) -> Floats:
    """Halves the interval of the lamp's voltage: current I0 (V/V0)^0.55 against (S - V) / R."""
    exponent, _ = constant("filament_current_exponent")
    supply = np.where(supply < 0.0, 0.0, supply)  # a search for the supply's voltage may try anything
    low, high = np.zeros_like(supply), np.array(supply)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        too_high = middle + ohm * nominal * (middle / nominal_v) ** exponent > supply
        low, high = np.where(too_high, low, middle), np.where(too_high, middle, high)
    return np.asarray(nominal * (high / nominal_v) ** exponent)


def lamp_voltage_v(load: CircuitLoad, level: ArrayLike, supply_v: ArrayLike) -> Floats:
    """Voltage at the lamp, after the drop along its wire [V].

    Parameters
    ----------
    load, level, supply_v : as in `current_a`.
    """
    return np.asarray(np.asarray(supply_v, np.float64) - current_a(load, level, supply_v) * load.wire.resistance_ohm)


def light_share(load: CircuitLoad, lamp_v: ArrayLike) -> Floats:
    """Light at a voltage at the lamp, as a share of that at the nominal voltage; candela go with it.

    Parameters
    ----------
    load : the circuit.
    lamp_v : (...) [V].

    A stated curve counts, straight between its points and nan outside. A regulated lamp keeps its light down to its
    lowest voltage and is nan below. A filament follows (V/V0)^3.4. A resistive load that is no filament has no stated
    light: nan unless at its nominal voltage.
    """
    volt = np.asarray(lamp_v, np.float64)
    if load.light_points:
        stated, shares = np.array(load.light_points).T
        return np.asarray(np.interp(volt, stated, shares, left=np.nan, right=np.nan))
    if load.behaviour == "filament":
        exponent, _ = constant("filament_light_exponent")
        return np.asarray((np.maximum(volt, 0.0) / load.nominal_v) ** exponent)
    if load.behaviour == "resistive":
        return np.where(np.isclose(volt, load.nominal_v), 1.0, np.nan)
    return np.where(volt >= load.lowest_v, 1.0, np.nan)
