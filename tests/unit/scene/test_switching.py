"""Switching documents: what is read, and one sentence with its place for what is wrong."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from scenelux.errors import DocumentError, InputError, UsageError
from scenelux.scene.read import check_document, read_scene
from scenelux.scene.switching import SwitchingText
from scenelux.scene.switching_read import switching_of
from scenelux.shipped import shipped

BASE = """\
format = "scenelux switching 1"
title = "A policy to be broken"
data = "invented"
units = "metric"
[inputs]
brake = { normal = true, fails_to = false }
gear = { normal = "park", values = ["park", "drive"], fails_to = "last" }
speed = { normal = 0, unit = "km/h", highest = 120 }
[[rules]]
id = "moving"
when = { brake = false, gear = "drive" }
state = "moving"
overrides = ["rest"]
[[rules]]
id = "rest"
set = { warning = 0.5 }
[[rules]]
id = "dim"
when = { "ambient light" = "night", speed = { below = 30 } }
light = "night"
[[properties]]
id = "seen"
must = "be at least"
circuits = ["warning"]
level = 0.2
because = "Whoever stands is seen."
[[properties]]
id = "lit"
must = "be at least"
area = "rear"
limit = "5 fc"
when = { brake = true, "ambient light" = "turning night" }
because = "The crew sees its feet."
[[properties]]
id = "default"
must = "fail to"
input = "ambient light"
as_if = "day"
because = "Glare is the lesser harm."
[sensor]
position = [4, 0, 2.4]
dark_below = "16 lx"
bright_above = "64 lx"
averaging = "first order"
averaging_time = "5 s"
fails_to = ["failed", "stuck low"]
[supply]
voltage = "13.6 V"
alternator_idle = "34 A"
alternator_driving = "120 A"
battery = "95 Ah"
harness = { warning = { length = "8 m", cross_section = "1.5 mm2" } }
shedding = ["side scene"]
[dusk]
latitude = 40
longitude = -60
start = 2026-10-15T20:50:00+02:00
duration = "90 min"
disturbances = [
 { id = "lamps", kind = "street lamps", at = "5 min", speed = "50 km/h", count = 9, inputs = { gear = "drive" } }
]
"""


def read(folder: Path, text: str) -> SwitchingText:
    file = folder / "policy.toml"
    file.write_text(text, encoding="utf-8")
    return switching_of(read_scene("causeway-truck"), file).text


def test_quantities_are_read_in_their_units(tmp_path: Path) -> None:
    text = read(tmp_path, BASE)
    assert text.sensor and text.supply and text.dusk
    assert text.properties[1].limit_in("metric") == pytest.approx(53.8196, rel=1e-5)
    assert text.sensor.dark_below_lx == 16.0
    assert text.supply.harness["warning"].cross_section_mm2 == 1.5
    assert text.dusk.start == datetime(2026, 10, 15, 18, 50, tzinfo=UTC)
    assert text.dusk.disturbances[0].speed_m_s == pytest.approx(50.0 / 3.6)
    assert text.inputs["speed"].kind == "number" and text.inputs["brake"].kind == "yes or no"
    assert text.rules[2].when == {"ambient light": "night", "speed": {"below": 30.0}}


BROKEN = [
    ("[dusk]\n", '[dimming]\nwarnings = { basis = "duty" }\n[dusk]\n', "55:1", "is not a circuit of the scene"),
    ("[dusk]\n", '[dimming]\nwarning = { basis = "current" }\n[dusk]\n', "55:11", "is dimmed by current and has"),
    ("[dusk]\n", '[dimming]\nwarning = { basis = "duty", filament = "12 V" }\n[dusk]\n', "55:40", "does not belong to"),
    ("[dusk]\n", '[dimming]\nwarning = { basis = "voltage", points = [[9, 1], [6, 0]] }\n[dusk]\n', "55:41", "rising"),
    ("switching 1", "switching 2", "1:10", 'format "scenelux switching 2" is not the format of a switching document'),
    ('normal = "park", values', 'normal = "neutral", values', "7:19", "is not one of the values"),
    ("highest = 120", "highest = -1", "8:48", "is out of range"),
    ("{ normal = true, fails_to", "{ normal = true, unit = 'm', fails_to", "6:9", "has a unit or a highest value"),
    ('fails_to = "last"', 'fails_to = "lost"', "7:66", 'holds what cannot be read; give "park", "drive", "last"'),
    ("brake = false, gear", "brakes = false, gear", "11:10", "is not an input; did you mean"),
    ('gear = "drive" }\nstate', 'gear = "revers" }\nstate', "11:32", "is not a value of gear"),
    ('brake = false, gear = "drive"', "brake = 0", "11:18", "is not a value of brake; give true, false"),
    ("{ below = 30 }", "{ under = 30 }", "19:45", "is no band; give { below = 8 }"),
    ("{ below = 30 }", "{ below = 200 }", "19:45", "divides nothing"),
    ('state = "moving"', 'state = "movin"', "12:9", 'is not a duty state of the scene; did you mean "moving"'),
    ('overrides = ["rest"]', 'overrides = ["resst"]', "13:14", 'is no rule below; did you mean "rest"'),
    ("set = { warning = 0.5 }", "set = { warnings = 0.5 }", "16:9", "is not a circuit of the scene"),
    ("set = { warning = 0.5 }", "set = { warning = 50 }", "16:19", 'did you mean "50 %"'),
    ("set = { warning = 0.5 }\n", "", "14:1", "does nothing; give state, set, light or factor"),
    ('light = "night"', 'light = "nigth"', "20:9", "is not a light level of the scene"),
    ("level = 0.2\n", "", "21:1", "has no level or also a limit; give level for circuits"),
    ('must = "be at least"\ncircuits', 'must = "be as least"\ncircuits', "23:8", "is not a word that is known here"),
    ('area = "rear"', 'area = "reer"', "30:8", "is not an area of the scene"),
    ('limit = "5 fc"', 'limit = "5 cd"', "31:9", "is a luminous intensity, not an illuminance"),
    ('"turning night"', '"twilight"', "32:42", "is not a value of ambient light"),
    ('input = "ambient light"', 'input = "speed"', "37:9", "never fails here; give speed a fails_to"),
    ('as_if = "day"\n', 'as_if = "day"\narea = "rear"\n', "39:8", "does not belong to a property that must"),
    ('area = "rear"\n', 'area = "rear"\ngaze = ["road"]\n', "31:8", "belongs to a property of an eye"),
    ('as_if = "day"\n', "", "34:1", "does not say to what it fails"),
    ("because = \"Glare is the lesser harm.\"\n", "", "34:1", "properties[2].because is missing"),
    ('dark_below = "16 lx"', 'dark_below = "160 lx"', "42:14", "is not above 0 and at most bright_above"),
    ('averaging_time = "5 s"\n', "", "40:1", "has only one of averaging and averaging_time"),
    ('fails_to = ["failed", "stuck low"]', 'fails_to = "stuck"', "46:12", "holds what cannot be read"),
    ('cross_section = "1.5 mm2"', 'cross_section = "1.5 m"', "52:57", "is a length, not a cross-section"),
    ('shedding = ["side scene"]', 'shedding = ["sides"]', "53:13", "is not a circuit of the scene"),
    ('alternator_driving = "120 A"', 'alternator_driving = "12 A"', "50:22", "is less than at idle"),
    ("start = 2026-10-15T20:50:00+02:00", "start = 2026-10-15T20:50:00", "57:9", "has no offset from UTC"),
    ('speed = "50 km/h", ', "", "60:2", "has no speed; street lamps needs speed and count"),
    ('at = "5 min"', 'at = "5 h"', "60:46", "is after the end"),
    ("[sensor]", "[sensors]", "40:1", "sensors is not a key that is known here"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "place", "says"), BROKEN, ids=[f"{new[:30]}" for _, new, _, _ in BROKEN])
def test_a_fault_is_one_sentence_with_its_place(tmp_path: Path, old: str, new: str, place: str, says: str) -> None:
    assert BASE.count(old) == 1
    with pytest.raises(DocumentError) as fault:
        read(tmp_path, BASE.replace(old, new))
    told = str(fault.value)
    assert "\n" not in told and says in told, told
    assert f"policy.toml:{place}:" in told, told


def test_a_scene_finds_its_document_beside_it_or_shipped(tmp_path: Path) -> None:
    copy = tmp_path / "causeway-truck.toml"
    shutil.copy(shipped("scenes") / "causeway-truck.toml", copy)
    assert switching_of(read_scene(copy)).text.title == "Causeway truck: duty states and night dimming"
    (tmp_path / "switching").mkdir()
    (tmp_path / "switching" / "causeway-truck.toml").write_text(BASE, encoding="utf-8")
    assert switching_of(read_scene(copy)).text.title == "A policy to be broken"
    copy.write_text(
        copy.read_text(encoding="utf-8").replace("switching/causeway", "switching/cosway"), encoding="utf-8"
    )
    with pytest.raises(InputError, match=r"causeway-truck.toml:52:13: switching .* is not a file"):
        switching_of(read_scene(copy))


def test_a_scene_without_one_says_how_to_name_it() -> None:
    with pytest.raises(UsageError, match="names no switching document"):
        switching_of(read_scene("mountain-pass-truck"))


def test_validate_checks_the_document_with_its_scene(tmp_path: Path) -> None:
    assert check_document("causeway-truck").holds.endswith("switching with 5 inputs, 5 rules, 6 properties")
    alone = tmp_path / "policy.toml"
    alone.write_text(BASE, encoding="utf-8")
    assert check_document(str(alone)).kind == "switching"
