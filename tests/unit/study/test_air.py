"""The lit air of fog before an eye: by literal integration, in every report, and nothing of it in clear air."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Blockers, sight
from scenelux.placement import place
from scenelux.reports.crew import glare_table
from scenelux.reports.glare import eye_table
from scenelux.reports.pdf import study_text_pages
from scenelux.reports.summary import study_document
from scenelux.reports.tables import table_files
from scenelux.scene.model import SceneDocument
from scenelux.study.results import StudyResult
from scenelux.study.simulate import simulate
from scenelux.vision import backscatter_luminance
from tests.driver_scenes import driver_scene

MORE = """
[[eyes]]
id = "car"
lane = "next"
from = "80 m"
to = "20 m"
step = "20 m"
height = 1.2
gaze = ["road", "1 deg down"]
[[criteria]]
id = "veil"
quantity = "veiling luminance"
statistic = "maximum"
sense = "at most"
limit = {limit}
unit = "cd/m2"
because = "Chosen for a test."
eye = "car"
light = ["night"]
"""
WORKER = '{ id = "worker", position = [-5, 0.5], heading = 0 }'
VISIBILITY_M = 150.0
FOG = 'weather = { kind = "fog", visibility = "150 m" }'


def scene(folder: Path, weather: str, limit: float = 1.0) -> SceneDocument:
    folder.mkdir(exist_ok=True)
    return driver_scene(folder, weather=weather, people=WORKER, more=MORE.format(limit=limit), tilt=-8)


def files(result: StudyResult) -> bytes:
    """Everything that a study writes in numbers, but the digest of the scene itself."""
    document = study_document(result)
    del document["inputs"]
    return json.dumps(document).encode() + b"".join(data for _, data in table_files(result))


def test_clear_air_gives_the_very_bytes_of_a_scene_without_weather(tmp_path: Path) -> None:
    none, clear = (simulate(scene(tmp_path / "a", one)) for one in ("", 'weather = { kind = "clear" }'))
    assert files(none) == files(clear)
    assert b"air_luminance" not in files(none)
    assert all(entry.air_luminance_cd_m2 is None for eye in none.variants[0].eyes for entry in eye.entries)


def test_the_lit_air_is_the_integral_along_the_line_of_sight(tmp_path: Path) -> None:
    document = scene(tmp_path, FOG)
    placed = place(document)
    eye = simulate(document).variants[0].eyes[0]
    entry = next(one for one in eye.entries if one.gaze == "1 deg down" and one.light == "night")
    assert entry.air_luminance_cd_m2 is not None
    way, station = np.array([np.cos(np.radians(1.0)), 0.0, -np.sin(np.radians(1.0))]), 2
    along = np.linspace(0.0, 1.2 / np.sin(np.radians(1.0)), 40001)
    points = eye.points_m[station] + along[:, None] * way
    seen = sight(placed.lamps, Blockers.none(), points)
    on = np.degrees(np.arccos(np.clip(seen.direction @ way, -1.0, 1.0)))
    air = {"visibility_m": VISIBILITY_M, "asymmetry": 0.85}
    literal = backscatter_luminance(along, seen.candela / seen.distance_m**2, seen.distance_m, on, **air)
    total = float(literal.sum())
    assert entry.air_luminance_cd_m2[station] == pytest.approx(total, rel=0.01)


def test_a_verdict_says_that_the_air_is_not_in_it_and_where_it_would_turn_it(tmp_path: Path) -> None:
    entries = simulate(scene(tmp_path, FOG)).variants[0].eyes[0].entries
    night = [one for one in entries if one.light == "night"]
    veil = max(float(one.veil_cd_m2["cie-general"].max()) for one in night)
    for limit, turned in ((1.0001 * veil, True), (1000.0 * veil + 1000.0, False)):
        row = simulate(scene(tmp_path, FOG, limit)).variants[0].verdicts[0]
        assert row.verdict == "meets"
        assert "lit air" in row.because and "is not in it" in row.because
        assert ("would make it miss" in row.because) is turned
    assert any("lit air along the line of sight" in note for note in night[0].notes)


def test_the_crew_look_into_lit_air_too(tmp_path: Path) -> None:
    fog, clear = (simulate(scene(tmp_path, one)).variants[0].crew[0] for one in (FOG, ""))
    lit = {gaze.gaze: gaze.air_luminance_cd_m2 for gaze in fog.entries[0].gazes}
    assert all(gaze.air_luminance_cd_m2 is None for gaze in clear.entries[0].gazes)
    assert lit["towards truck"] and lit["towards truck"] > 0.0


def test_reports_show_the_lit_air_beside_the_veil(tmp_path: Path) -> None:
    result = simulate(scene(tmp_path, FOG))
    assert len(list(study_text_pages(result))) > 1
    glare, crew = eye_table(result, result.variants[0]), glare_table(result, result.variants[0])
    assert "lit air, not in the veil [cd/m²]" in glare.header
    assert all(len(row) == len(glare.header) for row in glare.rows)
    assert any(", air " in row[crew.header.index("veil, lit air not in it [cd/m²]")] for row in crew.rows)
    stations = dict(table_files(result))["approach-as-written.csv"].decode()
    assert stations.splitlines()[0].endswith(",air_luminance_cd_m2")
