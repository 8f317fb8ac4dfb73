"""What a study tells of eyes and windows that have no valid value, or only part of one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.scene.read import read_scene
from scenelux.study.eye_notes import dark_road, left_out, other_ranges, outside_headline, too_near
from scenelux.study.results import EyeEntry, EyeResult, StudyResult
from scenelux.study.simulate import simulate
from scenelux.vision.approach import Dose, TimeAbove

CARD = (Path(__file__).resolve().parents[2] / "data" / "check-case" / "bare-flood.toml").read_text()

SCENE = """
format = "scenelux scene 1"
title = "One truck"
data = "invented"
units = "metric"
eyes = [{eyes}]
windows = [{windows}]
criteria = [{criteria}]
[site]
posted_speed = "90 km/h"
[[site.lanes]]
id = "next"
centre_left = 3.5
width = 3.5
[circuits]
one = "One lamp"
two = "Another"
[[vehicles]]
id = "truck"
light_loss_factor = 0.8
bodies = [{bodies}]
lamps = [
  {{ id = "left", luminaire = "bare-flood", position = [0, 1, 2.3], heading = 180, circuit = "one" }},
  {{ id = "right", luminaire = "bare-flood", position = [0, -1, 2.3], heading = 180, circuit = "two" }},
]
{extra}
[states.both]
say = "b"
circuits = {{ one = 1, two = 1 }}
[states.single]
say = "s"
circuits = {{ one = 1 }}
[states.none]
say = "n"
circuits = {{}}
[light.night]
say = "n"
ambient = 0
adaptation_luminance = 0.02
"""

CAR = '{ id = "car", lane = "next", from = 100, to = 20, step = 20, height = 1.2, veil_limit = "0.5 cd/m2", gaze = ["road"] }'  # noqa: E501


def van(along: str) -> str:
    """Another vehicle that fills the lane."""
    return f"""
[[vehicles]]
id = "van"
bodies = [{{ id = "hull", forward = {along}, left = [2, 5], up = [0, 3] }}]
"""


def study(tmp_path: Path, **parts: str) -> StudyResult:
    return simulate(read(tmp_path, **parts))


def read(tmp_path: Path, **parts: str):
    (tmp_path / "bare-flood.toml").write_text(CARD)
    file = tmp_path / "scene.toml"
    given = {"eyes": "", "windows": "", "criteria": "", "bodies": "", "extra": "", **parts}
    file.write_text(SCENE.format(**given))
    return read_scene(str(file))


def entry(eye: EyeResult, state: str) -> EyeEntry:
    return next(one for one in eye.entries if one.state == state)


def test_an_eye_inside_a_body_is_not_valid_and_its_rule_is_not_assessed(tmp_path: Path) -> None:
    inside = '{ id = "cab", at = [3, 0, 1.2], gaze = ["road"] }'
    rule = (
        '{ id = "calm", quantity = "veiling luminance", statistic = "maximum", sense = "at most", limit = 5, '
        'unit = "cd/m2", because = "Agreed.", eye = "cab" }'
    )
    body = '{ id = "box", forward = [0.5, 6], left = [-1, 1], up = [0.5, 2.2] }'
    variant = study(tmp_path, eyes=inside, criteria=rule, bodies=body).variants[0]
    for state in ("both", "none"):
        found = entry(variant.eyes[0], state)
        assert np.isnan(found.eye_illuminance_lx).all() and np.isnan(found.glare_angle_deg).all()
        assert np.isnan(found.veil_cd_m2["cie-general"]).all() and np.isnan(found.discomfort_rating).all()
        assert (found.valid_stations, found.worst_station, found.top_lamp) == (0, None, None)
        assert found.notes[0] == "the eye lies inside a body: no value there"
        assert not any("line of sight" in note or "fortieth" in note for note in found.notes)
    assert {row.verdict for row in variant.verdicts} == {"not assessed"}


def test_stations_inside_a_body_are_left_out_of_seconds_and_dose_and_that_is_said(tmp_path: Path) -> None:
    eye = study(tmp_path, eyes=CAR, extra=van("[-50, -30]")).variants[0].eyes[0]
    inside = (eye.points_m[:, 0] > -50.0) & (eye.points_m[:, 0] < -30.0)
    assert inside.any() and not inside.all()
    found = entry(eye, "both")
    np.testing.assert_array_equal(np.isnan(found.eye_illuminance_lx), inside)
    where = ", ".join(f"{distance:g} m" for distance in eye.distances_m[inside])
    assert found.notes[0] == f"the eye lies inside a body at {where}: no value there"
    gaps = np.convolve(inside, [1, 1])[1:-1] > 0
    seconds = 20.0 / 25.0 * gaps.sum()
    assert f"seconds and dose leave out {seconds:.1f} s of the path (1 station not valid)" in found.notes
    assert found.dose_lx_s is not None and found.dose_lx_s > 0.0


def test_no_valid_stretch_gives_no_seconds_and_no_dose(tmp_path: Path) -> None:
    eye = study(tmp_path, eyes=CAR, extra=van("[-95, -10]")).variants[0].eyes[0]
    found = entry(eye, "both")
    assert (found.valid_stations, found.seconds_above, found.dose_lx_s) == (1, None, None)
    assert "seconds and dose leave out 3.2 s of the path (4 stations not valid)" in found.notes


def test_a_lamp_that_is_off_at_the_eye_itself_counts_for_nothing(tmp_path: Path) -> None:
    at_right = '{ id = "near", at = [0, -1, 2.3], gaze = ["90 deg"] }'
    eye = study(tmp_path, eyes=at_right).variants[0].eyes[0]
    assert np.isfinite(entry(eye, "single").eye_illuminance_lx).all()
    assert np.isnan(entry(eye, "both").eye_illuminance_lx).all()
    assert any(note.startswith("right is nearer than a fortieth") for note in entry(eye, "both").notes)


def test_windows_inside_a_body_or_at_a_lamp_say_so(tmp_path: Path) -> None:
    windows = (
        '{ id = "in", position = [3, 0, 1], facing = "rear" }, '
        '{ id = "at-right", position = [0, -1, 2.3], facing = "forward" }'
    )
    body = '{ id = "box", forward = [0.5, 6], left = [-1, 1], up = [0.5, 2.2] }'
    found = {(w.window_id, w.state): w for w in study(tmp_path, windows=windows, bodies=body).variants[0].windows}
    for state in ("both", "none"):
        assert np.isnan(found["in", state].vertical_lx)
        assert found["in", state].note == "the window lies inside a body"
    assert np.isfinite(found["at-right", "single"].vertical_lx) and found["at-right", "single"].note == ""
    assert np.isnan(found["at-right", "both"].vertical_lx)
    assert "fortieth" in found["at-right", "both"].note


def test_the_headline_note_says_on_which_side_of_the_range_a_lamp_is() -> None:
    lux, distances = np.array([[1.0, 1.0], [1.0, 0.0]]), np.array([40.0, 20.0])
    angle = np.array([[0.05, 101.0], [5.0, 0.01]])
    assert outside_headline(["a", "b"], distances, lux, angle) == (
        "a is nearer than 0.1 deg to the line of sight at 40 m: no cie-general veil there",
        "a is farther than 100 deg from the line of sight at 20 m: no cie-general veil there",
    )


def test_the_other_forms_name_the_lamps_that_are_outside() -> None:
    lux = np.array([[1.0, 1.0], [1.0, 1.0], [0.0, 0.0]])
    angle = np.array([[5.0, 0.5], [45.0, 5.0], [80.0, 80.0]])
    notes = list(other_ranges(["a", "b", "dark"], lux, angle, np.array([np.nan, np.nan])))
    assert "stiles-holladay holds from 1 to 30 deg, outside which lie at some stations: a, b" in notes
    assert "cie-small-angle holds from 0.1 to 30 deg, outside which lie at some stations: b" in notes
    assert not any("en13201" in note or "dark" in note for note in notes)
    assert notes[-1].startswith("the discomfort rating") and notes[-1].endswith("some stations: a, b")


def test_a_gap_of_the_dose_alone_is_said_alone() -> None:
    above, dose = TimeAbove(1.0, 0.0, 0), Dose(2.0, 0.8, 1)
    assert left_out(above, dose) == ("dose leaves out 0.8 s of the path (1 station not valid)",)
    assert left_out(TimeAbove(1.0, 3.2, 8), Dose(2.0, 3.2, 8)) == (
        "seconds and dose leave out 3.2 s of the path (8 stations not valid)",
    )
    assert left_out(None, None) == () == too_near(["a"], np.zeros(1), np.ones((1, 1)), np.array([False]))


def test_a_road_too_dark_for_the_threshold_increment_is_said(tmp_path: Path) -> None:
    assert dark_road(0.05) == ()
    found = study(tmp_path, eyes=CAR).variants[0].eyes[0].entries[0]
    assert "no threshold increment below a road luminance of 0.05 cd/m2, here 0.02 cd/m2" in found.notes


def test_the_notes_of_a_study_give_every_formula_its_address(tmp_path: Path) -> None:
    notes = study(tmp_path, eyes=CAR).notes
    assert (
        "threshold increment is an equivalent: EN 13201-3 asks for a fixed installation and a gaze 1 deg down" in notes
    )
    headline = next(note for note in notes if "cie-general" in note)
    for part in ("Lv = E", "0.1 to 100 deg", "CIE 135/1", "(quoted)", "CIE 146:2002", "(published)"):
        assert part in headline
    assert any(note.startswith("threshold increment: EN 13201-3") and "(quoted)" in note for note in notes)
    assert any(note.startswith("discomfort rating:") and "(unconfirmed)" in note for note in notes)
    assert len(set(notes)) == len(notes)
    assert study(tmp_path).notes == ()


@pytest.mark.parametrize("form", ["age-stiles-holladay", "stiles-holladay", "cie-small-angle", "en13201"])
def test_the_forms_beside_have_an_address_too(tmp_path: Path, form: str) -> None:
    beside = next(note for note in study(tmp_path, eyes=CAR).notes if note.startswith("other forms"))
    assert f"{form}, " in beside


def test_fog_weakens_glare_by_what_it_lets_through_and_clear_air_changes_nothing(tmp_path: Path) -> None:
    """exp(-3 d / V) for each lamp, here with the lamps' distance nearly that of the eye from the truck."""
    one = {"eyes": CAR.replace("to = 20, step = 20", "to = 20, step = 80")}
    clear = entry(study(tmp_path, **one).variants[0].eyes[0], "single")
    same = entry(study(tmp_path, **one, extra='[weather]\nkind = "clear"\n').variants[0].eyes[0], "single")
    eye = study(tmp_path, **one, extra='[weather]\nkind = "fog"\nvisibility = "150 m"\n').variants[0].eyes[0]
    fog = entry(eye, "single")
    far = np.linalg.norm(eye.points_m - [0.0, 1.0, 2.3], axis=1)
    np.testing.assert_array_equal(same.eye_illuminance_lx, clear.eye_illuminance_lx)
    left = np.exp(-3.0 * far / 150.0)
    np.testing.assert_allclose(fog.eye_illuminance_lx, clear.eye_illuminance_lx * left, rtol=1e-9)
    veils = [found.veil_cd_m2["cie-general"] for found in (fog, clear)]
    np.testing.assert_allclose(veils[0], veils[1] * left, rtol=1e-9)
    assert any("fog, visibility 150 m" in note for note in fog.notes)
    assert not any("visibility" in note for note in clear.notes)
