"""The shipped policy holds and never flutters, the shipped bad one does; the state matrix is that of a study."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from scenelux.pictures.sentences import worst_veil
from scenelux.study.dusk.bridge import rules_of
from scenelux.study.dusk.natural import evening
from scenelux.study.dusk.reach import key_of, reach
from scenelux.study.simulate import simulate
from scenelux.switching.inputs import input_states
from scenelux.switching.rules import levels_of
from tests.unit.study.dusk.dusk_runs import FLUTTERING, document, scene, shipped_run


def test_the_shipped_policy_holds_and_never_flutters() -> None:
    result = shipped_run()
    assert {one.verdict for one in result.check.verdicts} == {"holds"}
    assert result.check.findings == () and result.flutters == 0
    assert [one.turns for one in result.timelines] == [1] * 8
    assert result.check.combinations > 2000


def test_the_bad_policy_flutters_by_its_own_light_and_by_street_lamps() -> None:
    result = shipped_run(FLUTTERING)
    assert [one.kind for one in result.check.findings] == ["oscillation"]
    assert {one.property_id for one in result.broken} == {
        "rear lit while working by night", "dimming never by day", "sensor failed gives full light",
    }  # fmt: skip
    by_name = {one.name: one for one in result.timelines}
    assert by_name["undisturbed"].flutters > 1000
    assert 100 < by_name["street lamps"].flutters < 121
    assert by_name["dark tunnel"].flutters == 1
    stuck = by_name["sensor stuck low"]
    assert [change.reads for change in stuck.changes] == ["day", "night"]
    assert stuck.changes[1].time_s == pytest.approx(600.4, abs=1e-6)  # 10 min, and the delay
    assert stuck.changes[1].ambient_lx > 1000.0


def test_a_story_names_inputs_rules_and_the_limit() -> None:
    rear = next(one for one in shipped_run(FLUTTERING).broken if one.property_id.startswith("rear"))
    for piece in ("park brake set", "turning night (reads day)", 'rule "blocking"', "0 lx, stated at least 54 lx"):
        assert piece in rear.story


def test_the_state_matrix_is_that_of_a_study() -> None:
    study = simulate(scene()).variants[0]
    rows = {(row.state, row.light): row for row in shipped_run().matrix if row.state}
    assert len(rows) == 9
    for area in study.areas:
        for entry in area.entries:
            found = next(one for one in rows[entry.state, entry.light].areas if one.area_id == area.area_id)
            assert (found.least_lx, found.average_lx) == (entry.maintained.minimum, entry.maintained.average)
    for eye in study.eyes:
        for (state, light), row in rows.items():
            here = [one for one in eye.entries if (one.state, one.light) == (state, light)]
            found_veil = next(one for one in row.eyes if one.eye_id == eye.eye_id).veil_cd_m2
            assert found_veil == max(worst_veil(eye, one) for one in here)


def test_levels_that_occur_are_those_of_every_combination_by_hand() -> None:
    rules = rules_of(scene(), document(), 1.0)
    found = reach(rules.switching, rules.properties, rules.failures)
    names = [one.name for one in rules.switching.inputs]
    states = [input_states(one, [], rules.switching.sensor) for one in rules.switching.inputs]
    by_hand = set()
    for combination in itertools.product(*states):
        if sum(state.failed for state in combination) <= rules.failures:
            readings = {name: state.reads for name, state in zip(names, combination, strict=True)}
            by_hand.add(key_of(levels_of(rules.switching, readings)))
    assert set(found.made) == by_hand
    assert {row.name for row in shipped_run().matrix if not row.state} >= {"blocking + board stowed"}


def test_night_begins_when_a_small_step_of_time_says_so() -> None:
    """A first-order lag and a delay, stepped through at 20 ms."""
    text = document().text
    assert text.dusk is not None and text.sensor is not None
    light, step, tau = evening(text.dusk).light, 0.02, text.sensor.averaging_time_s
    times = np.arange(2900.0, 3200.0, step)
    ambient = light.at(times)
    reading, below_since, turned = float(ambient[0]), np.inf, np.nan
    for time, lux in zip(times, ambient, strict=True):
        reading += (float(lux) - reading) * step / tau
        below_since = min(below_since, float(time)) if reading < text.sensor.dark_below_lx else np.inf
        if time - below_since >= text.sensor.dark_delay_s:
            turned = float(time)
            break
    change = shipped_run().timelines[0].changes[1]
    assert change.time_s == pytest.approx(turned, abs=0.3)
    assert (change.reads, change.name) == ("night", "working, night")


def test_time_and_energy_add_up() -> None:
    result = shipped_run()
    one = result.timelines[0]
    assert sum(part.seconds for part in one.times) == pytest.approx(one.duration_s)
    shares = {"warning": 2 * 60 / 800, "arrow board": 0.5}  # two pulses of 60 ms at 75 per minute; half of the time
    for part in one.times:
        row = next(row for row in result.matrix if row.name == part.name)
        assert row.load is not None
        watts = sum(c.current_a * (c.lamp_v + c.drop_v) * shares.get(c.circuit, 1.0) for c in row.load.circuits)
        assert part.energy_wh == pytest.approx(watts * part.seconds / 3600.0, rel=1e-9)
        assert part.least_lx["rear"] == next(area.least_lx for area in row.areas if area.area_id == "rear")


def test_the_load_follows_ohm_and_the_stated_power() -> None:
    row = next(row for row in shipped_run().matrix if row.name == "working, night")
    assert row.load is not None
    stated = {"tail scene": 2 * 38 * 0.8, "side scene": 4 * 48 * 0.6, "warning": 4 * 12 * 0.42}  # W, constant power
    for one in row.load.circuits:
        assert one.power_w == pytest.approx(one.current_a * one.lamp_v, rel=1e-12)
        if one.circuit in stated:
            assert one.power_w == pytest.approx(stated[one.circuit], rel=1e-9)
    tail = next(one for one in row.load.circuits if one.circuit == "tail scene")
    ohm = 0.017241 * 2 * 30 * 0.3048 / 2.5
    assert tail.drop_v == pytest.approx(tail.current_a * ohm, rel=1e-9)
    assert row.load.current_a == pytest.approx(14.0 + sum(one.current_a for one in row.load.circuits))
    assert row.load.idle_spare_a == pytest.approx(34.0 - row.load.current_a)
    day = next(row for row in shipped_run().matrix if row.name == "working, day").load
    assert day is not None and day.idle_spare_a < 0.0 and day.shed == ("side scene",)
    assert day.idle_battery_h == pytest.approx(0.5 * 95.0 / -day.idle_spare_a, rel=1e-3)


def test_the_yard_test_has_a_step_for_each_rule_property_and_failing_input() -> None:
    result = shipped_run()
    text = document().text
    about = [one.about for one in result.yard]
    wanted = [f'Rule "{rule.id}"' for rule in text.rules] + [f'Property "{one.id}"' for one in text.properties]
    wanted += [f"{name} fails" for name, one in text.inputs.items() if one.fails_to]
    wanted += ["ambient light fails", "Sensor turns to night", "Sensor turns to day", "Sensor does not flutter"]
    assert set(wanted) == set(about)
    night = next(one for one in result.yard if one.about == 'Rule "night dimming"')
    assert night.sets[-1] == "cover the sensor (below 16 lx) and wait 30 s and more"
    assert "warning at 42 % (current 256 mA)" in night.expects and "off: headlamps" in night.expects
    assert night.measures == (
        "Behind the bumper, 10 x 10 ft: at least 113 lx (10.5 fc) at every point, 190 lx (17.7 fc) on average",
    )
    gear = [one.sets[-1] for one in result.yard if one.about == "gear fails"]
    assert "unplug gear at gear drive, then set it back to gear park" in gear
