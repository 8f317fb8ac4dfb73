"""`scenelux prove`: the shipped cases agree, and a user's own are answered in a table, Markdown and JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command import run

from scenelux.prove import QUANTITIES

MINE = """
[[cases]]
quantity = "veiling_luminance"
inputs = { form = "cie-general", angle_deg = 1, age_years = 25, pigmentation = 0.5 }
expected = 15.18
tolerance_percent = 0.01
source = "my own sheet"

[[cases]]
quantity = "de_boer"
inputs = { eye_illuminance_lx = 1, angle_deg = 0.5, adaptation_luminance_cd_m2 = 0.1 }
expected = nan
source = "outside the range"
"""
WRONG = """
[[cases]]
quantity = "threshold_increment"
inputs = { veil_cd_m2 = 0.15, road_luminance_cd_m2 = 1 }
expected = 9.85
tolerance_percent = 1
source = "a slip"
"""


def written(folder: Path, text: str, name: str = "mine.toml") -> Path:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def test_shipped_cases_agree() -> None:
    ran = run("prove", "--json")
    assert (ran.status, ran.err) == (0, "")
    found = json.loads(ran.out)
    assert found["counts"]["disagree"] == 0 and found["counts"]["agree"] == len(found["cases"]) > 200
    assert {case["quantity"] for case in found["cases"]} == set(QUANTITIES)
    for case in found["cases"]:
        assert case["source"] and case["status"] in ("published", "quoted", "unconfirmed", "calculated", "library")
        for value in case["values"]:
            assert (value["published"] is None) == (value["ours"] is None)


def test_table_says_what_is_asked_published_and_ours() -> None:
    ran = run("prove", "--only", "threshold_increment")
    assert ran.status == 0
    head = ran.out.splitlines()[1]
    assert head.startswith("threshold_increment | EN 13201-3") and "published" in ran.out and "digits agreed" in ran.out
    assert "9.7500" in ran.out and ran.out.rstrip().endswith("8 of 8 cases agree (12 values).")


def test_markdown_has_the_columns() -> None:
    lines = run("prove", "--only", "glare_rating", "--markdown").out.splitlines()
    assert lines[0] == "| quantity | published | ours | digits agreed | source | status |"
    assert lines[2].startswith(
        "| glare_rating: lamps_veil_cd_m2 1, environment_veil_cd_m2 1 | 27.000 | 27 | 15 | CIE 112"
    )


def test_own_cases(tmp_path: Path) -> None:
    ran = run("prove", "--cases", written(tmp_path, MINE), "--json")
    assert ran.status == 0
    first, second = json.loads(ran.out)["cases"]
    assert (
        first["values"][0]["published"] == 15.18 and first["digits_agreed"] == 4 and first["source"] == "my own sheet"
    )
    assert second["values"][0] == {
        "published": None, "ours": None, "within": 0.0, "digits_agreed": None, "agrees": True,
    }  # fmt: skip


def test_a_wrong_value_is_named_and_is_status_3(tmp_path: Path) -> None:
    file = written(tmp_path, MINE + WRONG)
    ran = run("prove", "--cases", file)
    assert ran.status == 3
    assert f"disagrees: {file}:15: threshold_increment" in ran.out and "expected 9.85, ours 9.75" in ran.out
    assert "2 of 3 cases agree" in ran.out
    assert run("prove", "--cases", file, "--quiet").out == "" and run("prove", "--cases", file, "-q").status == 3
    assert run("prove", "--cases", file, "--only", "de_boer").status == 0
    found = json.loads(run("prove", "--cases", file, "--json").out)
    assert [case["verdict"] for case in found["cases"]] == ["agrees", "agrees", "disagrees"]
    assert "DISAGREES, own" in run("prove", "--cases", file, "--markdown").out


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"de_boer"', '"de_bore"', "did you mean \"de_boer\"; known: ground_illuminance_of_aimed_lamp, "),
        ("angle_deg = 0.5", "theta = 0.5", "known: eye_illuminance_lx, angle_deg, adaptation_luminance_cd_m2."),
        ("angle_deg = 0.5", 'angle_deg = "30\'"', "is not a number or a list of numbers"),
        ("expected = nan", "expected = {x = 1}", "cases[1].expected.x is not what comes out; give one value."),
    ],
)  # fmt: skip
def test_bad_input_is_one_sentence_and_status_2(tmp_path: Path, old: str, new: str, says: str) -> None:
    ran = run("prove", "--cases", written(tmp_path, MINE.replace(old, new)))
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err and ran.err.startswith("scenelux: ") and ran.err.count("\n") == 1


def test_unknown_names_at_the_command_line(tmp_path: Path) -> None:
    ran = run("prove", "--only", "glare")
    assert ran.status == 2 and "glare_rating, " in ran.err
    assert run("prove", "--cases", tmp_path / "nowhere.toml").status == 2


def test_photometric_file_is_found_beside_the_cases(tmp_path: Path) -> None:
    lamp = Path(__file__).resolve().parents[2] / "shared" / "cases" / "files" / "three-angles.ies"
    (tmp_path / "lamp.ies").write_bytes(lamp.read_bytes())
    text = '[{"quantity": "luminous_flux", "inputs": {"file": "lamp.ies"}, "expected": 1483.55}]'
    assert run("prove", "--cases", written(tmp_path, text, "mine.json")).status == 0


def test_list_names_every_quantity_and_input() -> None:
    found = json.loads(run("prove", "--list", "--json").out)["quantities"]
    assert [one["quantity"] for one in found] == list(QUANTITIES)
    assert all(given["says"] and given["accepts"] for one in found for given in one["inputs"])
    text = run("prove", "--list").out
    assert all(name in text for name in QUANTITIES) and "table_vertical_deg" in text
    assert run("prove", "--list", "--only", "dose", "--markdown").out.count("\n") == 3
