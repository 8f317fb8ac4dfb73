"""Approaches on paper: the JSON form, the tables, the page that never moves, and hostile text."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rich.console import Console

from scenelux.reports.approach.document import approach_document
from scenelux.reports.approach.write import show, write
from scenelux.study.approach.frames import drive_frames
from scenelux.study.approach.run import Asked, drive
from scenelux.study.results.approach import ApproachStudy
from tests.unit.study.approach.drives import WORKER, scene_with

HOSTILE = "<script>alert(1)</script>"


@pytest.fixture(scope="module")
def scene(tmp_path_factory: pytest.TempPathFactory) -> Any:
    people = WORKER.replace("position", f"name = '{HOSTILE}', position")
    return scene_with(tmp_path_factory.mktemp("scene"), "ages = [25, 80]", people=people, step=60)


@pytest.fixture(scope="module")
def study(scene: Any) -> ApproachStudy:
    return drive(scene, asked=Asked(light="night"))


@pytest.fixture(scope="module")
def written(scene: Any, study: ApproachStudy, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("out") / "drive"
    write(study, out, [drive_frames(scene, "as written", "car", "on", "night")])
    return out


def nulls(value: Any, above: dict[str, Any] | None = None) -> Iterator[dict[str, Any]]:
    """The documents in which something is null."""
    if isinstance(value, dict):
        for one in value.values():
            yield from nulls(one, value)
    elif isinstance(value, list):
        for one in value:
            yield from nulls(one, above)
    elif value is None and above is not None:
        yield above


def test_every_null_has_a_reason_beside_it_or_around_it(study: ApproachStudy) -> None:
    document = json.loads(json.dumps(approach_document(study), allow_nan=False))
    found = list(nulls(document))
    assert found
    assert all("reason" in one or set(one) <= {"25", "80"} for one in found)
    (way,) = document["variants"][0]["approaches"]
    assert way["targets"][0]["cases"][0]["by_age"][1]["outcome"] == "not valid"


def test_numbers_are_those_of_the_study(study: ApproachStudy) -> None:
    way, found = study.variants[0].approaches[0], approach_document(study)["variants"][0]["approaches"][0]
    assert found["distance_m"] == way.distances_m.tolist()
    assert found["stopping_sight_distance_m"] == pytest.approx(way.stopping_distance_m, rel=1e-5)
    level = found["targets"][0]["cases"][0]["by_age"][0]["visibility_level"]
    assert level == pytest.approx(way.targets[0].entries[0].level[0].tolist(), rel=1e-5)
    by_age = found["targets"][0]["cases"][0]["by_age"][0]
    entry = way.targets[0].entries[0]
    assert by_age["seen_by"] == list(entry.seen_by[0]) and "" not in entry.seen_by[0]
    assert by_age["whole_visibility_level"] == pytest.approx(entry.whole_level[0].tolist(), rel=1e-5)
    assert by_age["stays_seen_by"] == (entry.seen[0].seen_by or None)
    veil = found["glare"][0]["veiling_luminance_by_age_cd_m2"]["25"]
    assert veil == pytest.approx(way.eyes[0].entries[0].veil_cd_m2["cie-general"].tolist(), rel=1e-5)
    assert found["vehicle_met"][0]["towards_eye_cd"] == pytest.approx(way.entries[0].towards_eye_cd.tolist(), rel=1e-5)


def test_tables_parse_back(written: Path, study: ApproachStudy) -> None:
    way = study.variants[0].approaches[0]
    glare, targets, seen = (
        list(csv.DictReader(io.StringIO((written / name).read_text(encoding="utf-8"))))
        for name in ("glare.csv", "targets.csv", "seen.csv")
    )
    young = [row for row in glare if row["age_years"] == "25"]
    assert [float(row["eye_illuminance_lx"]) for row in young] == pytest.approx(
        way.eyes[0].entries[0].eye_illuminance_lx.tolist(), rel=1e-5
    )
    levels = [float(row["visibility_level"]) for row in targets if row["age_years"] == "25"]
    assert levels == pytest.approx(way.targets[0].entries[0].level[0].tolist(), rel=1e-5)
    whole = [float(row["whole_visibility_level"]) for row in targets if row["age_years"] == "25"]
    assert whole == pytest.approx(way.targets[0].entries[0].whole_level[0].tolist(), rel=1e-5)
    assert [row["seen_by"] for row in targets if row["age_years"] == "25"] == list(way.targets[0].entries[0].seen_by[0])
    assert [row["stays_seen_by"] for row in seen] == [one.seen_by for one in way.targets[0].entries[0].seen]
    assert [row["outcome"] for row in seen] == [one.outcome for one in way.targets[0].entries[0].seen]


def test_the_page_stands_still_and_links_to_the_animation(written: Path) -> None:
    page = (written / "approach.html").read_text(encoding="utf-8")
    (link,) = re.findall(r'<a href="([^"]+)"><img', page)
    assert link == "drive-car-as-written-on-night.webp" and (written / link).read_bytes()[8:12] == b"WEBP"
    assert not re.search(r"<video|autoplay|<script|image/webp|http-equiv|@keyframes|animation:", page)
    assert page.index("a warning stands first") < page.index(link)
    assert "Cautions" in page and "unconfirmed" in page and "not a certificate" in page


def test_hostile_text_stays_text(written: Path) -> None:
    page = (written / "approach.html").read_text(encoding="utf-8")
    assert HOSTILE not in page and "&lt;script&gt;" in page


def test_files_are_listed(written: Path) -> None:
    index = json.loads((written / "approach.json").read_text(encoding="utf-8"))
    assert sorted(index["files"]) == sorted(file.name for file in written.iterdir())
    assert index["format"] == "scenelux approach 1" and index["cautions"]


def test_without_animation_the_page_has_none(study: ApproachStudy, tmp_path: Path) -> None:
    files = write(study, tmp_path / "out")
    assert not [file for file in files if file.suffix == ".webp"]
    assert "<a href" not in (tmp_path / "out" / "approach.html").read_text(encoding="utf-8")


def test_the_terminal_says_who_is_seen_too_late(study: ApproachStudy) -> None:
    console = Console(file=io.StringIO(), width=100, no_color=True)
    show(study, console)
    text = console.file.getvalue()  # type: ignore[attr-defined]
    assert HOSTILE in text.split("\n")[0]
    for words in ("at worst", "Stopping sight distance", "worst veil", "towards the eye [cd]", "Caution:"):
        assert words in text


def test_no_value_is_said_to_be_seen_that_is_not(study: ApproachStudy) -> None:
    seen = study.variants[0].approaches[0].targets[0].entries[0].seen[1]
    assert seen.outcome == "not valid" and np.isnan(seen.margin_m)
