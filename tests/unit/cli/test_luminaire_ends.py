"""What `luminaire show` says where the data of a lamp end, of its card and of its figures as a whole."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from scenelux.cli.luminaire import app

RUN = CliRunner()

BRIGHT_END = """# basis: measured
point,cd
H-20L,20
H-V,400
H-20R,160
10U-20L,4
10U-V,90
10U-20R,30
10D-20L,0
10D-V,4
10D-20R,1
"""

TILTED = """IESNA:LM-63-2002
[TEST] t
[TESTLAB] l
[ISSUEDATE] d
[MANUFAC] m
TILT=INCLUDE
1
3
0 90 180
1 0.8 0.6
1 -1 1 2 1 1 2 0 0 0
1 1 10
0 90
0
1000 0
"""

CARD = """format = "scenelux luminaire 1"
name = "Bench lamp"
kind = "work"
file = "lamp.ies"
power = "6 W"
apply_tilt_table = true
data_class = "measured file"
[source]
title = "Invented for this test"
status = "own"
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "amber.csv").write_text(BRIGHT_END)
    (tmp_path / "lamp.ies").write_text(TILTED)
    (tmp_path / "bench.toml").write_text(CARD)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ask(*words: str) -> str:
    result = RUN.invoke(app, list(words))
    assert result.exit_code == 0, result.output or result.exception
    return result.stdout


def row(text: str, name: str) -> str:
    return next(line[14:] for line in text.splitlines() if line.startswith(f"{name} "))


def test_an_intensity_beyond_a_bright_end_is_not_known(folder: Path) -> None:
    known, unknown, dark = json.loads(ask("show", "amber.csv", "--json", "--at", "90,9", "--at", "90,11",
                                          "--at", "270,11"))["intensity"]  # fmt: skip
    assert known["cd"] == pytest.approx(121)
    assert unknown["cd"] is None and "still bright" in unknown["reason"]
    assert dark["cd"] == 0 and "reason" not in dark  # 4 of 400 cd at the lower end
    said = row(ask("show", "amber.csv", "--at", "90,11"), "intensity")
    assert said.startswith("not known at C 90, gamma 11 deg, H 0, V 11: the data end")


def test_no_angle_is_minus_0(folder: Path) -> None:
    text = ask("show", "amber.csv", "--at", "H-V", "--at", "0,0", "--at", "H-10R")
    assert "H 0, V 0" in text and "-0," not in text and not any(line.endswith("-0") for line in text.splitlines())
    assert "-0.0," not in ask("show", "amber.csv", "--at", "H-V", "--json")


def test_a_card_s_wish_for_the_tilt_table_and_its_watts_are_told(folder: Path) -> None:
    text = ask("show", "bench.toml", "--tilt", "-45 deg")
    assert row(text, "tilt table").endswith("with the beam tilted 45 deg down its factor is 0.9")
    assert row(text, "data") == "measured file; Invented for this test (own)"
    assert "[121]" in text and "common practice, no source" in text  # 2283 lm of 6 W; the file states 10
    bare = ask("show", "lamp.ies")
    assert row(bare, "tilt table").endswith("not applied, as no card asks for it")
    assert row(bare, "data") == "taken as measured, no card says otherwise; Photometric file lamp.ies"
