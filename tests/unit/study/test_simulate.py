"""From a document to results: superposition of levels, lamps off, variants, pairs, windows, and what a report needs."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Contributions
from scenelux.errors import UsageError
from scenelux.scene.read import read_scene
from scenelux.study.levels import lamp_levels
from scenelux.study.probe import probe
from scenelux.study.results import AreaEntry, EyeEntry, StudyResult, VariantResult
from scenelux.study.simulate import simulate, simulate_pair

FIXED_EYE = """
[[eyes]]
id = "at-lamp"
at = ["-10 m", "0.97 m", "2.36 m"]
gaze = ["road", {{ point = ["0 m", "-20 m", "2.36 m"] }}]
"""

CARD = Path(__file__).resolve().parents[2] / "data" / "check-case" / "bare-flood.toml"


def scene_text(*, extra: str = "", body: str = "") -> str:
    return f"""
format = "scenelux scene 1"
title = "Two lamps"
data = "invented"
units = "metric"
base = "as built"

[site]
posted_speed = "90 km/h"
[[site.lanes]]
id = "next"
centre_left = 3.5
width = 3.5

[circuits]
left = "Left lamp"
right = "Right lamp"

[[vehicles]]
id = "truck"
{body}
[[vehicles.lamps]]
id = "left-lamp"
luminaire = "bare-flood"
position = [0, 0.97, 2.36]
heading = 180
tilt = -20
circuit = "left"
light_loss_factor = 0.8

[[vehicles.lamps]]
id = "right-lamp"
luminaire = "bare-flood"
position = [0, -0.97, 2.36]
heading = 180
tilt = -20
circuit = "right"
light_loss_factor = 0.5

[states.both]
say = "Both"
circuits = {{ left = 1, right = "60 %" }}
[states.one]
say = "One"
circuits = {{ left = 1 }}
[states.none]
say = "None"
circuits = {{}}

[light.day]
say = "Day"
ambient = "1000 lx"
adaptation_luminance = "100 cd/m2"
[light.night]
say = "Night"
ambient = 0.1
adaptation_luminance = 0.1
road_luminance = 1
factors = {{ left = 0.25 }}

[[areas]]
id = "rear"
forward = [-4, 0]
left = [-2, 2]
plane = "horizontal"
grid = {{ counts = [8, 8] }}

[[eyes]]
id = "car"
lane = "next"
from = 100
to = 20
step = 20
height = 1.2
gaze = ["road", "vehicle"]
veil_limit = "0.5 cd/m2"

[[windows]]
id = "house"
position = [-20, 8, 2]
facing = "forward"

[variants.level]
say = "Level"
changes = [{{ lamps = ["left-lamp", "right-lamp"], tilt = 0 }}]
{extra}
"""


def read(tmp_path: Path, **parts: str):
    (tmp_path / "bare-flood.toml").write_text(CARD.read_text())
    file = tmp_path / "scene.toml"
    file.write_text(scene_text(**parts))
    return read_scene(str(file))


@pytest.fixture
def found(tmp_path: Path) -> StudyResult:
    return simulate(read(tmp_path))


def entry(variant: VariantResult, state: str, light: str) -> AreaEntry:
    return next(one for one in variant.areas[0].entries if (one.state, one.light) == (state, light))


def seen(variant: VariantResult, state: str, light: str, gaze: str) -> EyeEntry:
    return next(one for one in variant.eyes[0].entries if (one.state, one.light, one.gaze) == (state, light, gaze))


def test_levels_are_state_times_light_factor() -> None:
    state, factors = {"left": 1.0, "right": 0.6}, {"left": 0.25}
    assert lamp_levels(["left", "right", "other"], state, factors).tolist() == [0.25, 0.6, 0.0]


def test_every_state_and_light_is_a_weighted_sum_of_the_same_contributions(found: StudyResult) -> None:
    area = found.variants[0].areas[0]
    left, right = area.by_lamp_lx
    for (state, light), weights in {
        ("both", "day"): (0.8, 0.3), ("both", "night"): (0.2, 0.3), ("one", "day"): (0.8, 0.0), ("none", "day"): (0, 0)
    }.items():  # fmt: skip
        expected = weights[0] * left + weights[1] * right
        np.testing.assert_allclose(entry(found.variants[0], state, light).illuminance_lx, expected, rtol=1e-12)


def test_areas_are_maintained_and_initial_side_by_side(found: StudyResult) -> None:
    one = entry(found.variants[0], "one", "day")
    assert one.maintained.average == pytest.approx(0.8 * one.initial.average)
    assert (one.ambient_lx, one.maintained.valid_points) == (1000.0, 64)


def test_minimum_with_every_lamp_off_in_turn(found: StudyResult) -> None:
    both = entry(found.variants[0], "both", "day")
    left, right = found.variants[0].areas[0].by_lamp_lx
    assert [off.lamp_id for off in both.lamps_off] == ["left-lamp", "right-lamp"]
    assert both.lamps_off[0].minimum_lx == pytest.approx((0.3 * right).min())
    assert both.lamps_off[1].minimum_lx == pytest.approx((0.8 * left).min())
    assert [off.lamp_id for off in entry(found.variants[0], "one", "day").lamps_off] == ["left-lamp"]
    assert entry(found.variants[0], "none", "day").lamps_off == ()


def test_eyes_take_initial_light(found: StudyResult) -> None:
    one = seen(found.variants[0], "one", "day", "road")
    both = seen(found.variants[0], "both", "day", "road")
    by_lamp = both.veil_by_lamp_cd_m2
    np.testing.assert_allclose(one.veil_cd_m2["cie-general"], by_lamp[0])
    np.testing.assert_allclose(both.veil_cd_m2["cie-general"], by_lamp.sum(axis=0))
    assert both.top_lamp == "left-lamp" and both.valid_stations == 5
    assert both.road_luminance_cd_m2 == 100.0


def test_seconds_and_dose_follow_the_path(found: StudyResult) -> None:
    bright = seen(found.variants[0], "both", "day", "road")
    assert found.variants[0].eyes[0].speed_m_s == pytest.approx(25.0)
    lux, distances = bright.eye_illuminance_lx, found.variants[0].eyes[0].distances_m
    assert bright.dose_lx_s == pytest.approx(np.trapezoid(lux[::-1], distances[::-1]) / 25.0)
    dark = seen(found.variants[0], "none", "day", "road")
    assert (dark.seconds_above, dark.dose_lx_s, dark.top_lamp) == (0.0, 0.0, None)
    assert np.all(dark.discomfort_rating == 9.0) or np.isnan(dark.discomfort_rating).all()


def test_a_lamp_in_the_line_of_sight_gives_nan_and_is_named(tmp_path: Path) -> None:
    found = simulate(read(tmp_path, extra=FIXED_EYE.format()))
    fixed = found.variants[0].eyes[1]
    entry_ = next(e for e in fixed.entries if (e.state, e.light, e.gaze) == ("both", "day", "road"))
    assert fixed.kind == "fixed" and np.isnan(entry_.veil_cd_m2["cie-general"]).all()
    assert entry_.valid_stations == 0 and entry_.worst_station is None
    assert any("left-lamp" in note and "0.1" in note for note in entry_.notes)


def test_a_lamp_that_faces_away_or_is_hidden_gives_nothing_and_says_so(tmp_path: Path) -> None:
    wall = 'bodies = [{ id = "wall", forward = [-1.1, -1], left = [-0.5, 9], up = [0, 5] }]'
    hidden = simulate(read(tmp_path, body=wall))
    notes = seen(hidden.variants[0], "both", "day", "road").notes
    assert any(note.startswith("hidden by a body") and "left-lamp" in note for note in notes)
    turned = '[variants.turned]\nsay = "t"\nchanges = [{ circuit = "left", heading = 0 }]'
    away = simulate(read(tmp_path, extra=turned), ["turned"])
    notes = seen(away.variants[0], "both", "day", "road").notes
    assert any(note.startswith("faces away") and "left-lamp" in note for note in notes)
    assert seen(away.variants[0], "one", "day", "road").eye_illuminance_lx.tolist() == [0.0] * 5


def test_windows_and_the_light_above_the_horizontal(found: StudyResult, tmp_path: Path) -> None:
    by_case = {(one.state, one.light): one for one in found.variants[0].windows}
    assert by_case["both", "day"].vertical_lx > by_case["one", "night"].vertical_lx > 0.0
    assert 0.0 < by_case["both", "day"].flux_above_horizontal_percent < 50.0
    assert by_case["none", "day"].flux_above_horizontal_percent == 0.0
    level = simulate(read(tmp_path), ["level"]).variants[0].windows[0]
    assert level.flux_above_horizontal_percent == pytest.approx(50.0, abs=0.01)


def test_the_map_agrees_with_probes(tmp_path: Path) -> None:
    document = read(tmp_path)
    site = simulate(document).variants[0].map
    row, column = 20, 30
    lux = site.illuminance_lx("both", "night")[row, column]
    at = f"{site.along_m[row]!r},{site.left_m[column]!r},0".replace("np.float64(", "").replace(")", "")
    point = probe(document, [at], state="both", light="night").points[0]
    assert point.illuminance_lx == pytest.approx(lux, rel=1e-5)
    bare = probe(document, [at], state="both", light="night", initial=True).points[0]
    left, right = bare.by_lamp_lx.values()
    assert point.illuminance_lx == pytest.approx(0.8 * left + 0.5 * right)


def test_variants_come_in_the_order_asked_and_unknown_ones_are_refused(tmp_path: Path) -> None:
    document = read(tmp_path)
    assert [one.name for one in simulate(document, ["level", "as built"]).variants] == ["level", "as built"]
    with pytest.raises(UsageError, match="levle"):
        simulate(document, ["levle"])


def test_two_scenes_side_by_side(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    pair = simulate_pair(read(tmp_path / "a"), read(tmp_path / "b"))
    assert [one.name for one in pair.variants] == ["scene (1)", "scene (2)"]
    one, two = pair.variants
    np.testing.assert_array_equal(one.areas[0].by_lamp_lx, two.areas[0].by_lamp_lx)


def test_no_light_reaches_through_a_body_and_none_is_told_under_it(tmp_path: Path) -> None:
    bumper = 'bodies = [{ id = "bumper", forward = [-0.5, 0], left = [-2, 2], up = [0.4, 0.6] }]'
    found = simulate(read(tmp_path, body=bumper))
    area = found.variants[0].areas[0]
    under = area.points_m[:, 0] > -0.5
    assert np.isnan(area.by_lamp_lx[:, under]).all() and np.isfinite(area.by_lamp_lx[:, ~under]).all()
    assert entry(found.variants[0], "both", "day").maintained.valid_points == int((~under).sum())


def test_variants_compute_the_lamps_that_differ(tmp_path: Path) -> None:
    half = '[variants.half]\nsay = "Half"\nchanges = [{ lamps = ["left-lamp"], tilt = 0 }]'
    document, store, none = read(tmp_path, extra=half), Contributions(), Contributions(0)
    simulate(document, store=store)
    alone = store.state()
    assert alone.misses >= 10, "two lamps on the area, for the eye with two gazes, on the window and on the plan"
    shared = simulate(document, ["as built", "half"], store=Contributions()).variants
    simulate(document, ["half"], store=store)
    both = store.state()
    assert both.misses - alone.misses == alone.misses / 2, "the lamp that was turned"
    assert both.hits - alone.hits == alone.hits + alone.misses / 2, "the one that was not"
    for ours, apart in zip(shared, simulate(document, ["as built", "half"], store=none).variants, strict=True):
        assert ours.areas[0].by_lamp_lx.tobytes() == apart.areas[0].by_lamp_lx.tobytes()
        assert ours.map.by_lamp_lx.tobytes() == apart.map.by_lamp_lx.tobytes()
        assert (ours.windows, ours.verdicts) == (apart.windows, apart.verdicts)
        for one, other in zip(ours.eyes[0].entries, apart.eyes[0].entries, strict=True):
            assert one.veil_by_lamp_cd_m2.tobytes() == other.veil_by_lamp_cd_m2.tobytes()
    assert none.state().hits == 0


def test_a_pair_of_scenes_shares_what_is_the_same(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
    store = Contributions()
    one = Contributions()
    simulate(read(tmp_path / "a"), store=one)
    simulate_pair(read(tmp_path / "a"), read(tmp_path / "b"), store=store)
    assert store.state().misses == one.state().misses
    assert store.state().hits == 2 * one.state().hits + one.state().misses
