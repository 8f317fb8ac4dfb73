"""Bad input at the command line: status 2, one sentence, nothing written; nor does an interruption leave anything."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from broken_scenes import BROKEN, Broken
from command import run

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("broken", BROKEN, ids=lambda broken: broken.name)
def test_a_broken_scene_is_refused_and_nothing_is_written(
    broken: Broken, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("scene.toml").write_text(broken.text)
    ran = run("study", "scene.toml", "--out", "out")
    assert ran.status == 2, ran.out
    assert ran.out == "" and ran.err.startswith("scenelux: scene.toml:") and ran.err.count("\n") == 1
    assert ran.err.endswith(".\n") and "Traceback" not in ran.err
    assert all(piece in ran.err for piece in broken.pieces), ran.err
    assert [path.name for path in tmp_path.iterdir()] == ["scene.toml"]


def test_bad_input_loses_nothing_of_an_earlier_study(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("study", "line-repair-truck", "--out", out, "-q").status == 0
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    (tmp_path / "scene.toml").write_text(BROKEN[0].text)
    assert run("study", tmp_path / "scene.toml", "--out", out, "-q").status == 2
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


@pytest.mark.skipif(os.name == "nt", reason="signals of a POSIX terminal")
@pytest.mark.parametrize("after_s", [0.4, 1.5, 2.5])
def test_an_interruption_answers_130_and_leaves_nothing(tmp_path: Path, after_s: float) -> None:
    out = tmp_path / "out"
    command = [sys.executable, "-m", "scenelux", "study", "causeway-truck", "--out", str(out), "-q"]
    process = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    time.sleep(after_s)
    os.killpg(process.pid, signal.SIGINT)
    out_text, err_text = process.communicate(timeout=30)
    if process.returncode != 0:  # a fast machine may have finished before the last signal
        assert process.returncode == 130, err_text
        assert "Traceback" not in err_text and out_text == ""
        assert list(tmp_path.iterdir()) == []
