"""`scenelux dusk`: counts lead, a planted fault is a story with status 3, what cannot be used one sentence with 2."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from command import run

from scenelux.reports.documents import json_text
from scenelux.reports.dusk.document import dusk_document
from scenelux.shipped import shipped
from tests.unit.reports.test_summary import nulls_without_reason
from tests.unit.study.dusk.dusk_runs import shipped_run

SWITCHING = shipped("scenes") / "switching" / "causeway-truck.toml"


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dusk") / "out"
    ran = run("dusk", "causeway-truck", "--out", folder)
    assert ran.status == 0, ran.err
    (folder / "screen.txt").write_text(ran.out, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def document(out: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((out / "dusk.json").read_text(encoding="utf-8"))
    return found


def planted(folder: Path, old: str, new: str) -> Path:
    text = SWITCHING.read_text(encoding="utf-8")
    assert text.count(old) == 1
    file = folder / "planted.toml"
    file.write_text(text[: text.index("[dusk]")].replace(old, new), encoding="utf-8")
    return file


def test_one_line_leads_the_screen(out: Path) -> None:
    lines = (out / "screen.txt").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "6 of 6 properties held, 0 faults of the rules, 0 flutters in 8 evenings."
    assert any("Caution" in line for line in lines)


def test_the_folder_holds_what_the_index_lists(out: Path, document: dict[str, Any]) -> None:
    there = {file.name for file in out.iterdir()} - {"screen.txt"}
    assert there == {*document["files"], "dusk.json"}
    assert {"dusk.html", "yard.html", "state-matrix.png", "timeline.csv", "light.csv", "matrix.csv"} <= there
    assert sum(name.startswith("evening-") for name in there) == 8


def test_json_has_a_reason_for_every_null(document: dict[str, Any]) -> None:
    assert nulls_without_reason(document) == []
    assert document["counts"] == {"properties": 6, "hold": 6, "broken": 0, "faults": 0, "flutters": 0}
    assert len(document["state_matrix"]) == 13


def test_tables_say_the_same_as_json(out: Path, document: dict[str, Any]) -> None:
    with (out / "timeline.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    levels = [(one["evening"], change) for one in document["evenings"] for change in one["levels"]]
    assert len(rows) == len(levels)
    for row, (name, change) in zip(rows, levels, strict=True):
        assert row["evening"] == name and float(row["time_s"]) == pytest.approx(change["time_s"], abs=1e-3)
        assert float(row["warning [level]"]) == change["circuits"]["warning"]


def test_the_pages_stand_alone_and_have_boxes(out: Path, document: dict[str, Any]) -> None:
    page, yard = ((out / name).read_text(encoding="utf-8") for name in ("dusk.html", "yard.html"))
    for text in (page, yard):
        assert "Cautions" in text and "Invented demonstration data" in text
        assert not re.search(r'(src|href)="(?!data:|yard\.html)', text)
    assert yard.count('<section class="step">') == len(document["yard_test"])
    boxes = sum(len(step["expect"]) + len(step["measure"]) for step in document["yard_test"])
    assert yard.count('type="checkbox"') == boxes


def test_a_planted_fault_is_a_story_with_status_3(tmp_path: Path) -> None:
    """The low beam stays on in the state for a truck that stands."""
    file = planted(tmp_path, 'state = "blocking"\n', 'state = "blocking"\nset = { headlamps = 1 }\n')
    ran = run("dusk", "causeway-truck", "--switching", file, "--out", tmp_path / "out")
    assert ran.status == 3
    first, story = ran.out.splitlines()[:2]
    assert first == "5 of 6 properties held, 1 broken, 0 faults of the rules."
    assert story.startswith("Broken: no white to the front while parked: park brake set, gear park, work lights off")
    assert 'rule "blocking" sets headlamps 1' in story and "stated at most 50 cd" in story
    assert story.endswith("whoever comes towards it takes white light for a vehicle that drives.")
    assert run("validate", file).status == 0


@pytest.mark.parametrize(("strict", "status"), [([], 0), (["--strict"], 3)])
def test_a_rule_without_its_override_is_a_conflict(tmp_path: Path, strict: list[str], status: int) -> None:
    file = planted(tmp_path, 'state = "working"\noverrides = ["blocking"]\n', 'state = "working"\n')
    ran = run("dusk", "causeway-truck", "--switching", file, "--out", tmp_path / "out", "--json", *strict)
    faults = {one["fault"] for one in json.loads(ran.out)["faults"]}
    assert (ran.status, faults) == (status, {"conflict"})


def test_a_document_of_rules_alone(tmp_path: Path) -> None:
    """No sensor, no supply, no evening: rules and properties are checked all the same."""
    text = SWITCHING.read_text(encoding="utf-8")
    head, rules = text[: text.index("[[rules]]")], text[text.index("[[rules]]") : text.index('[[rules]]\nid = "night')]
    stated = text[text.index("[[properties]]") : text.index('[[properties]]\nid = "rear lit')]
    file = tmp_path / "rules.toml"
    file.write_text(head + rules + stated, encoding="utf-8")
    ran = run("dusk", "causeway-truck", "--switching", file, "--out", tmp_path / "out", "--units", "metric")
    assert (ran.status, ran.out.splitlines()[0]) == (0, "1 of 1 property held, 0 faults of the rules.")
    found = json.loads((tmp_path / "out" / "dusk.json").read_text(encoding="utf-8"))
    assert nulls_without_reason(found) == [] and found["evenings"] == []


def test_a_sensor_without_delay_that_switches_without_end(tmp_path: Path) -> None:
    bad = SWITCHING.with_name("causeway-truck-fluttering.toml").read_text(encoding="utf-8")
    file = tmp_path / "endless.toml"
    file.write_text(re.sub(r'_delay = "0.4 s"', '_delay = "0 s"', bad), encoding="utf-8")
    ran = run("dusk", "causeway-truck", "--switching", file, "--out", tmp_path / "out")
    assert ran.status == 3 and "levels switch without end in 5 of them" in ran.out.splitlines()[0]
    found = json.loads((tmp_path / "out" / "dusk.json").read_text(encoding="utf-8"))["evenings"][0]
    assert found["switches_without_end_from_s"] == pytest.approx(3018.0, abs=2.0)


def test_documents_that_cannot_be_used(tmp_path: Path) -> None:
    file = planted(tmp_path, 'light = "night"\n', 'light = "nigth"\n')
    for words, says in (
        (("causeway-truck", "--switching", file), 'rules[4].light "nigth" is not a light level of the scene'),
        (("causeway-truck", "--switching", "none.toml"), "is not a file"),
        (("mountain-pass-truck",), "names no switching document"),
        (("causeway-truck", "--units", "imperial"), "give metric or us"),
    ):
        ran = run("dusk", *words, "--out", tmp_path / "out")
        assert (ran.status, ran.out) == (2, "") and says in ran.err and ran.err.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_computed_again_it_is_the_same(out: Path, document: dict[str, Any]) -> None:
    files = {"files": document["files"]}
    assert json_text(dusk_document(shipped_run()) | files) == json_text(document)
    assert "time" not in document and (out / "dusk.json").read_text(encoding="utf-8") == json_text(document)


def test_help_shows_an_example_and_loads_nothing_heavy() -> None:
    code = "import sys; from scenelux.cli import main\ntry: main()\nexcept SystemExit: print(*sys.modules)"
    words = [sys.executable, "-c", code, "dusk", "--help"]
    ran = subprocess.run(words, check=True, capture_output=True, text=True)
    assert "Example: scenelux dusk causeway-truck" in ran.stdout
    assert not {"numpy", "numba", "matplotlib"} & set(ran.stdout.splitlines()[-1].split())
