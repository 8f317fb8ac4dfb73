"""The supply of a luminaire: the voltage at which its figures are stated, and what its light does at another one."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from scenelux.scene.fields import Quantity, Table, problem, range_is_rising

__all__ = ["Behaviour", "Current", "CurvePoint", "Supply", "Voltage", "watts_disagree"]

Behaviour = Literal["constant power", "constant current", "resistive", "stated curve"]
"""How the luminaire takes its power when the voltage changes."""

Voltage = Annotated[float, Quantity("voltage", 0.0, 1000.0, above=True)]
Current = Annotated[float, Quantity("current", 0.0, 1000.0, above=True)]
Output = Annotated[float, Quantity("ratio", 0.0, 3.0)]  # filament lamps give far more than 100 % above their voltage
CurvePoint = tuple[Voltage, Output]

_TOLERANCE = 0.05  # of a power that is stated beside voltage and current
_AT_NOMINAL = 0.02  # of the light that a stated curve gives at the nominal voltage


class Supply(Table):
    """Nominal voltage, the range that the luminaire takes, and how it behaves over it."""

    voltage_v: Voltage = Field(alias="voltage")  # at which power, current and light are stated
    range_v: Annotated[tuple[Voltage, Voltage], AfterValidator(range_is_rising)] | None = Field(
        default=None, alias="range"
    )
    behaviour: Behaviour | None = None  # none: not stated
    curve: tuple[CurvePoint, ...] | None = None  # voltage, and light as a share of that at the nominal voltage

    @model_validator(mode="after")
    def _range_and_curve_fit(self) -> Supply:
        if self.range_v is not None and not self.range_v[0] <= self.voltage_v <= self.range_v[1]:
            raise problem("lies outside the range", f"give a voltage of {_span(self.range_v)}", "voltage")
        if (self.behaviour == "stated curve") != (self.curve is not None):
            accepted = 'give both behaviour = "stated curve" and curve, or neither'
            raise problem("has only one of a curve and its behaviour", accepted)
        if self.curve is not None:
            _check_curve(self.curve, self.voltage_v)
        return self


def _check_curve(curve: tuple[CurvePoint, ...], nominal_v: float) -> None:
    volts = [point[0] for point in curve]
    if len(curve) < 2 or any(later <= earlier for earlier, later in pairwise(volts)):
        raise problem("is no curve", "give two or more points with rising voltages", "curve")
    if not volts[0] <= nominal_v <= volts[-1]:
        raise problem("does not reach the nominal voltage", f"give points on both sides of {nominal_v:g} V", "curve")
    share = _between(curve, nominal_v)
    if abs(share - 1.0) > _AT_NOMINAL:
        accepted = "give shares of the light at the nominal voltage, which is 100 % there"
        raise problem(f"gives {share * 100.0:.3g} % at the nominal voltage", accepted, "curve")


def _between(curve: tuple[CurvePoint, ...], volt: float) -> float:
    for (low, first), (high, second) in pairwise(curve):
        if low <= volt <= high:
            return first + (second - first) * (volt - low) / (high - low)
    return math.nan


def _span(ends: tuple[float, float]) -> str:
    return f"{ends[0]:g} to {ends[1]:g} V"


def watts_disagree(power_w: float | None, supply: Supply | None, current_a: float | None) -> str | None:
    """What is wrong with a power that is stated beside voltage and current, or nothing.

    Parameters
    ----------
    power_w : at the nominal voltage [W].
    supply : with the nominal voltage.
    current_a : at the nominal voltage [A].
    """
    if power_w is None or supply is None or current_a is None:
        return None
    product = supply.voltage_v * current_a
    if abs(product - power_w) <= _TOLERANCE * power_w:
        return None
    return f"at {supply.voltage_v:g} V is {product:.4g} W, more than 5 % from the power of {power_w:.4g} W"
