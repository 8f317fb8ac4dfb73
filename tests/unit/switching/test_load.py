"""Electrical load: hand calculations, balances that must close, and the order of shedding."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.errors import DocumentError, UsageError
from scenelux.switching.harness import CircuitLoad, Wire, current_a, lamp_voltage_v, light_share, power_share
from scenelux.switching.load import Supply, battery_time_h, load_of, shed

WIRE = Wire(6.0, 1.5, contact_ohm=0.01, fuse_ohm=0.005)
SCENE = CircuitLoad("scene", 120.0, 12.0, lowest_v=9.0, wire=WIRE)
WARNING = CircuitLoad("warning", 55.0, 12.0, "filament", wire=WIRE)
HEATER = CircuitLoad("heater", 100.0, 12.0, "resistive", wire=WIRE)
DRIVEN = CircuitLoad("driven", 24.0, 12.0, "constant current", lowest_v=10.0, wire=WIRE)
ALL = (SCENE, WARNING, HEATER, DRIVEN)
LEVELS = np.array([[1.0, 1.0, 1.0, 1.0], [0.5, 1.0, 0.0, 1.0], [0.0, 0.0, 0.0, 0.0], [0.2, 0.42, 1.0, 0.3]])


def test_wire_resistance_by_hand() -> None:
    """Calculated: 0.017241 * 2 * 6 / 1.5 = 0.13793 ohm and 0.015 of contacts and fuse; 0.393 % more a kelvin."""
    assert WIRE.resistance_ohm == pytest.approx(0.017241 * 8.0 + 0.015)
    assert Wire(6.0, 1.5, temperature_c=60.0).resistance_ohm == pytest.approx(0.017241 * 8.0 * (1.0 + 0.00393 * 40.0))


@pytest.mark.parametrize("load", ALL, ids=lambda load: load.behaviour)
@pytest.mark.parametrize("volts", [10.5, 12.0, 14.4])
def test_each_lamp_obeys_its_own_law_at_its_own_voltage(load: CircuitLoad, volts: float) -> None:
    levels = np.array([0.3, 1.0])
    amps, lamp = current_a(load, levels, volts), lamp_voltage_v(load, levels, volts)
    assert np.allclose(volts - lamp, amps * load.wire.resistance_ohm)
    nominal = load.power_w * levels / 12.0
    law = {
        "constant power": load.power_w * levels / lamp,
        "constant current": nominal,
        "resistive": nominal * lamp / 12.0,
        "filament": nominal * (lamp / 12.0) ** 0.55,
    }[load.behaviour]
    assert np.allclose(amps, law, rtol=1e-9)


def test_a_regulated_lamp_with_too_long_a_wire_has_no_solution() -> None:
    """It asks for P R <= S^2 / 4."""
    most_ohm = 12.0**2 / 4.0 / 120.0
    for ohm, solved in ((most_ohm * 0.999, True), (most_ohm * 1.001, False)):
        load = CircuitLoad("scene", 120.0, 12.0, wire=Wire(0.0, 1.0, contact_ohm=ohm))
        assert bool(np.isfinite(current_a(load, 1.0, 12.0))) is solved
    result = load_of((CircuitLoad("scene", 120.0, 12.0, wire=Wire(0.0, 1.0, 0.4)),), Supply(12.6, 0.0, 90.0), [[1.0]])
    assert np.isnan(result.demand_a).all()
    assert result.reasons == ("the supply cannot carry this load: no voltage gives every lamp its power",)


@pytest.mark.parametrize("alternator_a", [0.0, 5.0, 21.0, 24.0, 90.0])
def test_power_balance_closes(alternator_a: float) -> None:
    supply = Supply(12.6, 0.02, 90.0, alternator_a, 14.2 if alternator_a else 0.0, other_a=2.0)
    result = load_of(ALL, supply, LEVELS)
    demand = result.demand_a + supply.other_a
    rest = demand - alternator_a
    drawn = rest > 1e-6
    assert np.allclose(result.supply_v[drawn], 12.6 - 0.02 * rest[drawn], atol=1e-5)
    if alternator_a:
        assert np.all((result.supply_v[~drawn] >= 12.6 - 1e-6) & (result.supply_v[~drawn] <= 14.2))
        slack = rest < -1e-3
        assert np.allclose(result.supply_v[slack], 14.2)
    ohm = np.array([load.wire.resistance_ohm for load in ALL])
    assert np.allclose(result.supply_v[:, None] - result.lamp_v, result.current_a * ohm)
    assert np.allclose(result.battery_a, rest)


def test_the_supply_voltage_of_constant_power_is_the_root_of_a_square() -> None:
    """V = (E + sqrt(E^2 - 4 P R)) / 2, and none where P R > E^2 / 4."""
    lamp, supply = CircuitLoad("scene", 600.0, 12.0), Supply(12.6, 0.05, 90.0)
    assert load_of((lamp,), supply, [[1.0]]).supply_v[0] == pytest.approx((12.6 + np.sqrt(12.6**2 - 120.0)) / 2.0)
    weak = load_of((lamp,), Supply(12.6, 0.07, 90.0), [[1.0]])
    assert np.isnan(weak.supply_v[0])
    assert weak.reasons[0]


def test_light_follows_the_voltage_by_type() -> None:
    """Calculated: (11/12)^3.4 = 0.744."""
    assert float(light_share(WARNING, 11.0)) == pytest.approx((11.0 / 12.0) ** 3.4)
    assert float(light_share(WARNING, 11.0)) == pytest.approx(0.744, abs=5e-4)
    assert light_share(SCENE, [9.0, 14.0]).tolist() == [1.0, 1.0]
    assert np.isnan(light_share(SCENE, 8.99))
    low = load_of((SCENE,), Supply(10.4, 0.05, 90.0), [[1.0]])
    assert low.reasons[0].startswith("scene has no stated light at ")


def test_power_by_level_is_a_stated_curve() -> None:
    load = CircuitLoad("scene", 100.0, 12.0, power_points=((0.0, 0.06), (0.5, 0.44), (1.0, 1.0)))
    assert power_share(load, [0.0, 0.25, 0.5, 1.0]).tolist() == pytest.approx([0.0, 0.25, 0.44, 1.0])
    with pytest.raises(DocumentError):
        CircuitLoad("scene", 100.0, 12.0, power_points=((0.1, 0.0), (1.0, 1.0)))


def test_battery_time() -> None:
    supply = Supply(12.6, 0.02, 90.0)
    assert battery_time_h(supply, [30.0, 0.0, -5.0], 0.9, 0.5).tolist() == [pytest.approx(1.2), np.inf, np.inf]
    assert np.isnan(battery_time_h(supply, np.nan))


def test_shedding_ends_with_the_warning_lamps() -> None:
    supply = Supply(12.6, 0.01, 90.0, 8.0, 14.2)
    steps = shed(ALL, supply, [1.0] * 4, ("heater",), ("warning",))
    assert [step.circuit for step in steps] == [None, "heater", "scene"]
    demands = [step.demand_a for step in steps]
    assert demands == sorted(demands, reverse=True)
    assert demands[-1] <= 8.0 < demands[-2]
    tight = shed(ALL, supply, [1.0] * 4, ("heater",), ("warning",), limit_a=0.0)
    assert [step.circuit for step in tight][-1] == "warning"
    assert [step.circuit for step in shed(ALL, supply, [0.0, 0.3, 0.0, 0.0], ("heater",), ("warning",))] == [None]
    with pytest.raises(UsageError, match="take warning lamps out"):
        shed(ALL, supply, [1.0] * 4, ("warning",), ("warning",))


def test_a_load_that_the_supply_cannot_carry_is_shed() -> None:
    heavy = CircuitLoad("heavy", 3000.0, 12.0)
    steps = shed((heavy, WARNING), Supply(12.6, 0.05, 90.0, 20.0, 14.2), [1.0, 1.0], ("heavy",), ("warning",))
    assert np.isnan(steps[0].demand_a)
    assert [step.circuit for step in steps] == [None, "heavy"]


def test_an_alternator_at_its_limit_leaves_the_battery_alone() -> None:
    """Between both voltages the current is that of the alternator: V = I (R + V0^2 / P), calculated."""
    result = load_of((HEATER,), Supply(12.6, 0.02, 90.0, 8.4, 14.2), [[1.0]])
    assert result.supply_v[0] == pytest.approx(8.4 * (WIRE.resistance_ohm + 144.0 / 100.0))
    assert 12.6 < result.supply_v[0] < 14.2
    assert result.battery_a[0] == pytest.approx(0.0, abs=1e-9)


def test_a_stated_curve_of_light_over_voltage_counts() -> None:
    lamp = CircuitLoad("beacon", 24.0, 12.0, light_points=((10.0, 0.5), (12.0, 1.0), (14.0, 1.1)))
    assert light_share(lamp, [11.0, 12.0, 13.0]) == pytest.approx([0.75, 1.0, 1.05])
    assert np.isnan(light_share(lamp, [9.9, 14.1])).all()
