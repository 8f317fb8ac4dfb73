"""`scenelux signal`: the shipped causeway by night, what a missed requirement does, and what is said of bad input."""

from __future__ import annotations

import csv
import json
import math
from pathlib import Path
from typing import Any

import pytest
from command import run

from scenelux.shipped import shipped

AT_NIGHT = ("--state", "working", "--light", "night")
STILL = "--no-animation"
RULE = """
[[signal_criteria]]
id = "seen"
quantity = "effective intensity"
statistic = "minimum"
sense = "at least"
limit = 100
because = "Seen from all sides."
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("signal") / "out"
    ran = run("signal", "causeway-truck", *AT_NIGHT, "--out", out, "--quiet")
    assert (ran.status, ran.out, ran.err) == (0, "", "")
    return out


@pytest.fixture(scope="module")
def document(folder: Path) -> dict[str, Any]:
    return json.loads((folder / "signal.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def test_the_document_leads_with_the_verdicts_and_holds_every_direction(document: dict[str, Any]) -> None:
    assert document["format"] == "scenelux signal 1" and document["counts"]["misses"] == 0
    assert document["verdict_line"].startswith("5 verdicts meet, 0 miss, 1 not assessed")
    (variant,) = document["variants"]
    (case,) = variant["cases"]
    assert [ring["ring"] for ring in variant["rings"]][:3] == ["far-8", "far-5", "far-4"]
    assert len(case["directions"]) == 2 * len(variant["rings"]) == 26
    for row in case["directions"]:
        assert {len(row[key]) for key in ("peak_cd", "mean_cd", "darkest_cd", "longest_dark_s")} == {72}
        assert set(row["effective_cd"]) == set(document["effective_intensity_models"])
    assert case["cycle_s"] == 4.0 and case["switching_instants_s"][1] == 0.06
    (scene,) = (entry for entry in document["inputs"] if entry["file"].endswith("causeway-truck.toml"))
    assert len(scene["sha256"]) == 64
    assert all(board["rate_per_min"] == 30.0 for board in case["arrow_boards"])


def test_every_null_has_a_reason_and_no_number_is_without_bound(document: dict[str, Any]) -> None:
    def check(part: Any) -> None:
        if isinstance(part, dict):
            assert None not in part.values() or "reason" in part, part
            for value in part.values():
                check(value)
        if isinstance(part, list):
            for value in part:
                check(value)
        assert not isinstance(part, float) or math.isfinite(part)

    check(document)


def test_tables_say_the_same_as_the_document(folder: Path, document: dict[str, Any]) -> None:
    with (folder / "directions.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 26 * 72
    row = next(row for row in rows if (row["ring"], row["heading_deg"], row["lamps"]) == ("far0", "180", "flashing"))
    found = next(
        one
        for one in document["variants"][0]["cases"][0]["directions"]
        if (one["ring"], one["lamps"]) == ("far0", "flashing")
    )
    assert float(row["peak_cd"]) == found["peak_cd"][36]
    assert float(row["effective_form_factor_cd"]) == found["effective_cd"]["form-factor"][36]
    with (folder / "levels.csv").open(newline="", encoding="utf-8") as file:
        levels = [row for row in csv.DictReader(file) if row["lamp"] == "warning-rear-left"]
    assert levels[0] == {**levels[0], "from_s": "0", "to_s": "0.06", "level": "0.42"}
    assert sum(float(row["to_s"]) - float(row["from_s"]) for row in levels) == pytest.approx(4.0)


def test_the_page_is_complete_and_still(folder: Path, document: dict[str, Any]) -> None:
    text = (folder / "signal.html").read_text(encoding="utf-8")
    assert document["verdict_line"] in text and "Invented demonstration data" in text
    for word in ("Synchronisation", "Flash safety", "Optical power by zone", "Patterns", "Colours", "never-long-dark"):
        assert word in text
    for caution in document["cautions"]:
        assert caution in text
    assert "<script" not in text and "autoplay" not in text
    assert "/work" not in text and str(folder) not in text


def test_the_terminal_says_what_is_met_and_what_is_not_judged(tmp_path: Path) -> None:
    ran = run("signal", "mountain-pass-truck", "--light", "day", "--state", "working", STILL, "--out", tmp_path / "o")
    assert ran.status == 0 and ran.err == ""
    first = ran.out.splitlines()[0]
    assert first == "1 verdict meets, 0 miss, 0 not assessed (1 rule): every rule applied is met"
    assert "photosensitivity screen" in ran.out or "not above the screen" in ran.out
    assert "Caution: Flashing light can harm photosensitive people" in ran.out


def test_a_missed_requirement_gives_status_3_and_strict_counts_what_is_not_assessed(tmp_path: Path) -> None:
    text = (shipped("scenes") / "causeway-truck.toml").read_text(encoding="utf-8")
    start, end = text.index("signal_criteria = [\n"), text.index("[site]")
    scene = tmp_path / "dark.toml"
    scene.write_text(text[:start] + text[end:] + RULE, encoding="utf-8")
    ran = run("signal", scene, *AT_NIGHT, STILL, "--json", "--out", tmp_path / "one")
    document = json.loads(ran.out)
    (row,) = document["variants"][0]["verdicts"]
    assert (ran.status, row["verdict"], row["value"], row["worst_heading_deg"]) == (3, "misses", 0.0, 90.0)
    assert "files" in document
    unconfirmed = 'requirement = "r65_t_amber_0_night"\ncircuit = "warning"\n'
    scene.write_text(f"{text[:start]}{text[end:]}\n[[signal_criteria]]\n{unconfirmed}", encoding="utf-8")
    assert run("signal", scene, *AT_NIGHT, STILL, "--quiet", "--out", tmp_path / "two").status == 0
    assert run("signal", scene, *AT_NIGHT, STILL, "--quiet", "--strict", "--out", tmp_path / "two").status == 3


def test_a_variant_with_slower_flashes_misses_the_rate(tmp_path: Path) -> None:
    text = (shipped("scenes") / "mountain-pass-truck.toml").read_text(encoding="utf-8")
    slow = '[variants.slow]\nsay = "Slow"\nsignals = [{ circuit = "warning", pattern = "on 1 s, off 1 s" }]\n'
    scene = tmp_path / "slow.toml"
    scene.write_text(
        text.replace("signal_criteria = [\n", 'signal_criteria = [\n  { requirement = "indicator" },\n') + slow
    )
    ran = run("signal", scene, "--state", "plowing", "--light", "day", STILL, "--json", "--variants", "as built,slow",
              "--out", tmp_path / "out")  # fmt: skip
    first, second = json.loads(ran.out)["variants"]
    assert (first["counts"]["misses"], second["counts"]["misses"], ran.status) == (0, 1, 3)
    assert {row["value"] for row in second["verdicts"] if row["rule"] == "indicator"} == {30.0}


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--state", "x"), '--state "x" is not a duty state of this scene; known: working, blocking, moving'),
        (("--light", "dusk"), '--light "dusk" is not a light level of this scene'),
        (("--vehicle", "van"), '--vehicle "van" is not a vehicle of this scene; known: truck'),
        (("--distance", "far"), '--distance "far" is not a length'),
        (("--distance", "1 m"), '--distance "1 m" is out of range; give 5 to 5000 m'),
        (("--distance", "nan"), "--distance nan is not a finite number"),
        (("--variants", "tiltd"), 'did you mean "tilted"'),
        (("--units", "imperial"), '--units "imperial" is not a system of units'),
    ],
)
def test_refused_before_anything_is_written(tmp_path: Path, options: tuple[str, str], says: str) -> None:
    ran = run("signal", "causeway-truck", *options, "--out", tmp_path / "out")
    assert ran.status == 2 and says in ran.err and ran.err.count("\n") == 1
    assert not (tmp_path / "out").exists()
