"""Laws of directions about a vehicle: headings run counter-clockwise from its front, and go with it when it turns."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.errors import DocumentError
from scenelux.reports.signal.document import signal_document
from scenelux.scene.read import read_scene
from scenelux.study.results.signal import SignalVariant
from scenelux.study.signal.run import look_at_signals

SCENE = """
format = "scenelux scene 1"
title = "One warning lamp on the left side"
data = "invented"
units = "metric"
circuits = { warning = "The lamp" }
signals = [{ circuit = "warning", pattern = "on 100 ms, off 900 ms" }]
[[vehicles]]
id = "truck"
heading = TURN
light_loss_factor = 1
position = [12, -7]
bodies = [{ id = "box", forward = [0, 8], left = [-1.2, 1.2], up = [0.5, 3] }]
lamps = [{ id = "side", luminaire = "warning-amber", position = [4, 1.25, 2], heading = 90, circuit = "warning" }]
[states]
warn = { say = "Warning", circuits = { warning = 1 } }
[light]
night = { say = "Night", ambient = "0 lx", adaptation_luminance = "0.1 cd/m2" }
[[signal_criteria]]
id = "left"
quantity = "peak intensity"
statistic = "minimum"
sense = "at least"
limit = 1
because = "A law."
heading = [80, 100]
[[signal_criteria]]
id = "right"
quantity = "peak intensity"
statistic = "minimum"
sense = "at least"
limit = 1
because = "A law."
heading = [260, 280]
[[signal_criteria]]
id = "zone-d"
quantity = "peak intensity"
statistic = "maximum"
sense = "at least"
limit = 1
because = "A law."
zone = "D"
[[signal_criteria]]
requirement = "kkk_span"
"""
TURNS = [0.0, 37.0, 90.0, -120.0]


def written(folder: Path, text: str) -> Path:
    file = folder / "side.toml"
    file.write_text(text, encoding="utf-8")
    return file


def variant_of(folder: Path, turn: float) -> SignalVariant:
    return look_at_signals(read_scene(written(folder, SCENE.replace("TURN", f"{turn}")))).variants[0]


@pytest.mark.parametrize("turn", TURNS)
def test_a_lamp_on_the_left_side_is_seen_at_heading_90_and_not_at_270(tmp_path: Path, turn: float) -> None:
    variant = variant_of(tmp_path, turn)
    for ring in variant.rings:
        assert ring.heading_deg.tolist() == [5.0 * step for step in range(72)]
    peak = variant.cases[0].measures_of("far0").peak_cd
    assert peak[18] == pytest.approx(peak.max()) and peak[18] > 100.0
    assert not peak[37:72].any()  # 185 to 355: the truck is between
    zones = {zone.name: zone.greatest for zone in variant.cases[0].zones}
    assert max(zones, key=lambda name: zones[name]) == "left" and zones["right"] == 0.0


@pytest.mark.parametrize("turn", TURNS[1:])
def test_turning_the_truck_leaves_its_own_headings(tmp_path: Path, turn: float) -> None:
    still, turned = variant_of(tmp_path, 0.0), variant_of(tmp_path, turn)
    for ring in still.rings:
        one, other = (part.cases[0].measures_of(ring.ring_id, "flashing") for part in (still, turned))
        assert other.peak_cd == pytest.approx(one.peak_cd, rel=1e-9, abs=1e-9)
    for mine, theirs in zip(still.verdicts, turned.verdicts, strict=True):
        assert theirs.verdict == mine.verdict and theirs.value == pytest.approx(mine.value, rel=1e-9)
    assert {row.worst.heading_deg for row in turned.verdicts if row.rule == "zone-d"} == {90.0}
    # The eye at heading 90 stands where the left of the turned truck is on the site.
    eye = np.array(turned.ring("near1.2").points_m[18][:2]) - np.array(turned.centre_m[:2])
    assert np.degrees(np.arctan2(eye[1], eye[0])) % 360.0 == pytest.approx((turn + 90.0) % 360.0)


def test_rows_and_zones_of_documents_mean_the_same_left(tmp_path: Path) -> None:
    verdicts = {row.rule: row for row in variant_of(tmp_path, 0.0).verdicts}
    left, right = verdicts["left"], verdicts["right"]
    assert {rule: row.verdict for rule, row in verdicts.items()} == {
        "left": "meets", "right": "misses", "zone-d": "meets", "kkk_span": "meets",
    }  # fmt: skip
    assert 80.0 <= left.worst.heading_deg <= 100.0 and left.where.startswith("heading 80 to 100 deg")
    assert 260.0 <= right.worst.heading_deg <= 280.0
    assert verdicts["zone-d"].worst.heading_deg == 90.0


def test_about_the_axis_of_a_lamp_there_is_no_heading(tmp_path: Path) -> None:
    study = look_at_signals(read_scene(written(tmp_path, SCENE.replace("TURN", "0"))))
    rows = {row["rule"]: row for row in signal_document(study)["variants"][0]["verdicts"]}
    span, left = rows["kkk_span"], rows["left"]
    assert span["worst_heading_deg"] is None and abs(span["worst_right_of_axis_deg"]) == 45.0
    assert left["worst_right_of_axis_deg"] is None and left["worst_elevation_deg"] == 0.0
    assert "reason" in span and "reason" in left


def test_the_clockwise_word_is_not_known(tmp_path: Path) -> None:
    text = SCENE.replace("TURN", "0").replace("heading = [80, 100]", "azimuth = [80, 100]")
    with pytest.raises(DocumentError, match="azimuth"):
        read_scene(written(tmp_path, text))
