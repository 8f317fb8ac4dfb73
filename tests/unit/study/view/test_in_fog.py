"""What a view, an approach and a study say of targets in fog, of rain, and of lamps that flash."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.placement import place
from scenelux.reports.approach.document import approach_document
from scenelux.reports.view import document
from scenelux.study.approach.run import Asked, drive
from scenelux.study.flashing import flash_notes
from scenelux.study.results import ViewResult
from scenelux.study.simulate import about
from scenelux.study.view.view import view
from tests.driver_scenes import APPROACH, driver_scene

FLUSH = '{ id = "sheet", kind = "panel", position = [0, 0, 0.8], width = 1.2, height = 0.9, colours = ["white"] }'
WORKER = '{ id = "worker", position = [-3, 0.5], heading = 180, clothing = 0.5 }'
FLASHES = '[[signals]]\ncircuit = "tail"\npattern = "75 per minute: on 100 ms, off"\n'
UNLIT = APPROACH.replace("step = 5", 'step = 20\nheadlamps = "none"')


def weather(kind: str, visibility_m: float) -> str:
    return f'weather = {{ kind = "{kind}", visibility = {visibility_m} }}'


def seen(folder: Path, more: str = UNLIT, air: str = "", distance_m: float = 100.0) -> ViewResult:
    scene = driver_scene(folder, people=WORKER, objects=FLUSH, weather=air, tilt=0, more=more)
    return view(scene, distance_m=distance_m, frame_px=(64, 36))


def test_a_sheet_that_is_not_seen_in_clear_air_is_not_seen_in_fog(tmp_path: Path) -> None:
    """Matt and white on the rear, floods level above it, no headlamps: their glow lies over it and around it alike."""
    levels = []
    for air in ("", weather("fog", 150), weather("fog", 100), weather("fog", 60)):
        sheet = next(one for one in seen(tmp_path, air=air).cases[0].targets if one.target_id == "sheet")
        assert sheet.sighting == "not visible"
        levels.append(abs(sheet.level))
    assert max(levels) < 0.1


@pytest.mark.parametrize(
    ("visibility_m", "sighting", "word"), [(400.0, "", ""), (100.0, "", "in doubt"), (45.0, "not valid", "not valid")]
)
def test_how_far_the_model_goes_is_said(tmp_path: Path, visibility_m: float, sighting: str, word: str) -> None:
    found = seen(tmp_path, air=weather("fog", visibility_m))
    worker = found.cases[0].targets[0]
    end = {"": "", "in doubt": f"beyond {2 * visibility_m / 3:.3g} m", "not valid": f"beyond {2 * visibility_m:.3g} m"}
    assert worker.caution.startswith(word) and end[word] in worker.caution
    assert bool(worker.caution) == bool(word)
    assert (worker.sighting == "not valid") == bool(sighting) == bool(np.isnan(worker.level))
    assert ("(in doubt)" in worker.said) == (word == "in doubt")
    assert found.notes[0].startswith("Air: single scatter")
    target = document(found)["cases"][0]["targets"][0]
    assert target.get("caution", "") == worker.caution
    assert "difference_cd_m2" in target["parts"][0]
    if sighting:
        assert target["visibility_level"] is None and target["reason"] == worker.caution


def test_rain_on_the_windscreen_is_left_out_and_clear_air_says_nothing(tmp_path: Path) -> None:
    rain, fog, clear = (seen(tmp_path, air=air).notes for air in (weather("rain", 800), weather("fog", 800), ""))
    assert "windscreen" in rain[0] and "wipers" in rain[0]
    assert "windscreen" not in fog[0]
    assert not any("Air:" in note for note in clear)


def test_stations_behind_too_much_air_are_no_answer_and_do_not_spoil_the_others(tmp_path: Path) -> None:
    vest = WORKER.replace("clothing = 0.5", 'clothing = 0.5, vest = "class 3"')
    more = APPROACH.replace("step = 5", "step = 20")
    scene = driver_scene(tmp_path, people=vest, weather=weather("fog", 60), tilt=-40, more=more)
    study = drive(scene, asked=Asked(light="night"))
    worker = study.variants[0].approaches[0].targets[0]
    entry, away = worker.entries[0], study.variants[0].approaches[0].distances_m - 3.0
    assert np.isnan(entry.level[:, away > 121.0]).all() and np.isfinite(entry.level[:, away < 117.0]).all()
    assert [one.outcome for one in entry.seen] == ["seen", "seen", "never"]
    assert [one.in_doubt for one in entry.seen] == [one.to_target_m > 40.0 for one in entry.seen]
    assert any(note.startswith("is not valid: beyond 120 m") for note in worker.notes)
    assert any(note.startswith("is in doubt: beyond 40 m") for note in worker.notes)
    told = approach_document(study)
    assert told["notes"][0].startswith("air: single scatter")
    assert "in_doubt" in told["variants"][0]["approaches"][0]["targets"][0]["cases"][0]["by_age"][0]


def test_lamps_that_flash_are_said_to_count_as_lit(tmp_path: Path) -> None:
    flashing = driver_scene(tmp_path, people=WORKER, more=UNLIT + FLASHES)
    words = "amps that flash count as lit"
    assert words in view(flashing, frame_px=(64, 36)).notes[0]
    way = drive(flashing, asked=Asked(light="night")).variants[0].approaches[0]
    assert words in way.notes[0] and "left, right" in way.notes[0]
    eyes = '[[eyes]]\nid = "car"\nlane = "next"\nfrom = 100\nto = 20\nstep = 20\nheight = 1.1\nveil_ratio = 0.3\n'
    (tmp_path / "eyes").mkdir()
    with_eyes = driver_scene(tmp_path / "eyes", more=eyes + FLASHES)
    assert words in about(with_eyes, [place(with_eyes)]).notes[0]


def test_lamps_that_do_not_flash_or_are_off_are_not_told(tmp_path: Path) -> None:
    assert flash_notes(place(driver_scene(tmp_path))) == ()
    day = FLASHES + 'light = ["day"]\n'
    placed = place(driver_scene(tmp_path, more=UNLIT + day))
    assert flash_notes(placed, [("on", "night")]) == () != flash_notes(placed)
    steady = FLASHES.replace("75 per minute: on 100 ms, off", "steady")
    assert flash_notes(place(driver_scene(tmp_path, more=UNLIT + steady))) == ()
