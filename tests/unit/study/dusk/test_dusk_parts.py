"""The sensor at its place, light of the evening, white light, and properties from document to check."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Contributions
from scenelux.errors import InputError
from scenelux.placement import place
from scenelux.scene.switching import WhiteLight
from scenelux.scene.switching_read import switching_of
from scenelux.shipped import shipped
from scenelux.study.dusk.bridge import rules_of
from scenelux.study.dusk.light import RowLight, white_candela
from scenelux.study.dusk.natural import evenings
from scenelux.study.dusk.sensor import Facing, own_light_lx, passing_lx, sensor_place, sky_share
from scenelux.study.probe import probe
from scenelux.switching.properties import FailsTo, NeverDimmed, NotLoweredByFailure, QuantityAtLeast, QuantityAtMost
from tests.unit.study.dusk.dusk_runs import FLUTTERING, document, scene, shipped_run

PLACED = place(scene())
CIRCUITS = tuple(scene().circuits)


@pytest.mark.parametrize("facing", ["up", "forward", "left"])
@pytest.mark.parametrize("view", [30.0, 90.0, 180.0])
def test_the_share_of_the_sky_by_a_sum_over_it(facing: Facing, view: float) -> None:
    up, around = (np.arange(400) + 0.5) / 400 * np.pi / 2, (np.arange(1600) + 0.5) / 1600 * 2 * np.pi
    up, around = np.meshgrid(up, around, indexing="ij")
    ways = np.stack((np.cos(up) * np.cos(around), np.cos(up) * np.sin(around), np.sin(up)))
    normal = {"up": (0, 0, 1), "forward": (1, 0, 0), "left": (0, 1, 0)}[facing]
    cosine = np.tensordot(normal, ways, 1)
    seen = np.where(cosine >= np.cos(np.radians(view / 2)), cosine, 0.0)
    weight = np.cos(up)
    assert sky_share(facing, view) == pytest.approx((seen * weight).sum() / (ways[2] * weight).sum(), abs=3e-3)


def test_own_light_at_the_sensor_is_what_a_probe_shows() -> None:
    at = sensor_place(PLACED, document(FLUTTERING))
    own = own_light_lx(PLACED, at, CIRCUITS, Contributions())
    along, left, up = at.position_m.tolist()
    shown = probe(scene(), [f"{along} m, {left} m, {up} m"], "up", "working", "undimmed", initial=True)
    by_circuit = dict.fromkeys(CIRCUITS, 0.0)
    for lamp in PLACED.placed_lamps:
        by_circuit[lamp.circuit] += shown.points[0].by_lamp_lx.get(lamp.id, 0.0)
    # The probe looks straight up, the sensor with the truck, which stands on a crossfall of 2 %.
    assert own == pytest.approx([by_circuit[name] for name in CIRCUITS], rel=5e-4, abs=1e-6)
    assert own.sum() > 100.0
    assert not own_light_lx(PLACED, replace(at, half_view_deg=0.5), CIRCUITS, Contributions()).any()


def test_a_sensor_inside_a_body_is_refused_with_its_place(tmp_path: Path) -> None:
    text = (shipped("scenes") / "switching" / "causeway-truck.toml").read_text(encoding="utf-8")
    file = tmp_path / "inside.toml"
    file.write_text(text.replace('position = [15, 0, "7 ft 7 in"]', "position = [15, 0, 5]"), encoding="utf-8")
    with pytest.raises(InputError, match=r"inside.toml:\d+:12: sensor.position .* is inside a body"):
        sensor_place(PLACED, switching_of(scene(), file))


def test_headlamps_that_pass_light_the_sensor_that_faces_them() -> None:
    times, lux = passing_lx(PLACED, sensor_place(PLACED, document(FLUTTERING)), "drive-next", Contributions())
    assert (np.diff(times) > 0.0).all() and 0.0 < lux.max() < 1.0
    rear = replace(sensor_place(PLACED, document(FLUTTERING)), normal=np.array([-1.0, 0.0, 0.0]))
    assert passing_lx(PLACED, rear, "drive-next", Contributions())[1].max() > 10.0 * lux.max()


def test_disturbances_change_the_light_while_they_last() -> None:
    found = {one.name: one for one in evenings(document(), [(np.array([0.0, 10.0]), np.array([5.0, 5.0]))])}
    quiet = found["undisturbed"].light
    assert found["tunnel"].light.at([320.0]) == pytest.approx(80.0)
    assert found["cloud"].light.at([2800.0]) == pytest.approx(quiet.at([2800.0]) / 8.0, rel=1e-3)
    assert found["lightning"].light.at([4800.1]) == pytest.approx(2000.0 + quiet.at([4800.1]))
    street = found["street lamps"].light.at(3180.0) - quiet.at(3180.0)
    assert float(street) == pytest.approx(30.0, rel=0.02)
    assert float(found["cars from behind"].light.at(3305.0) - quiet.at(3305.0)) == pytest.approx(10.0)  # two at once
    for one in found.values():
        assert one.light.at([30.0]) == pytest.approx(quiet.at([30.0]))


def test_white_light_leaves_amber_out_and_sees_past_bodies() -> None:
    light = RowLight(PLACED, CIRCUITS, Contributions())
    asked = WhiteLight.model_validate({"heading": [-45, 45]}, context={"units": "metric"})
    candela = white_candela(light, asked)
    by_circuit = dict.fromkeys(CIRCUITS, 0.0)
    for lamp, row in zip(PLACED.placed_lamps, candela, strict=True):
        by_circuit[lamp.circuit] = max(by_circuit[lamp.circuit], float(row.max()))
    assert by_circuit["headlamps"] > 5000.0
    assert by_circuit["warning"] == by_circuit["arrow board"] == by_circuit["tail scene"] == 0.0


def test_properties_reach_the_check_in_si_units() -> None:
    rules = rules_of(scene(), document(), 1.0)
    white, rear, veil, dimmed, failed, kept = rules.properties
    assert isinstance(white, QuantityAtMost) and (white.limit, white.unit) == (50.0, "cd")
    assert isinstance(rear, QuantityAtLeast) and rear.quantity == "least light on rear" and rear.failures == 0
    assert isinstance(veil, QuantityAtMost) and veil.quantity == "worst veil of car-next (1 deg down)"
    assert isinstance(dimmed, NeverDimmed) and isinstance(failed, FailsTo) and failed.as_if == "day"
    assert isinstance(kept, NotLoweredByFailure) and kept.confirmed_minimum == 0.42
    blocking = rules.switching.rules[3]
    assert dict(blocking.set) == dict.fromkeys(CIRCUITS, 0.0) | {"warning": 1.0, "arrow board": 1.0}
    assert dict(rules.switching.rules[4].factor)["side scene"] == 0.6


def test_worst_values_are_those_of_the_matrix() -> None:
    result = shipped_run()
    worst = {one.property_id: one.worst for one in result.check.verdicts}
    night = next(row for row in result.matrix if row.name == "working, night")
    assert worst["rear lit while working by night"] == pytest.approx(night.areas[0].least_lx)
    assert np.isnan(worst["dimming never by day"])
