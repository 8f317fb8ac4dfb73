"""The same input gives the same bytes from whatever folder, and however the scene is named."""

from __future__ import annotations

from pathlib import Path

import pytest
from broken_scenes import BASE
from command import run


def study(here: Path, scene: str, out: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, bytes]:
    monkeypatch.chdir(here)
    ran = run("study", scene, "--out", out, "-q")
    assert ran.status in (0, 3), ran.err
    files = {path.name: path.read_bytes() for path in out.iterdir()}
    assert {"summary.json", "report.html", "report.pdf"} <= set(files)
    return files


def test_a_shipped_scene_from_two_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = Path(__file__).resolve().parents[2]
    first = study(root / "scenes", "causeway-truck.toml", tmp_path / "one", monkeypatch)
    assert first == study(tmp_path, "causeway-truck", tmp_path / "two", monkeypatch)


def test_a_users_scene_by_relative_and_absolute_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job = tmp_path / "job"
    job.mkdir()
    (job / "scene.toml").write_text(BASE)
    first = study(job, "scene.toml", tmp_path / "one", monkeypatch)
    assert first == study(tmp_path, "job/scene.toml", tmp_path / "two", monkeypatch)
    assert first == study(tmp_path / "one", str(job / "scene.toml"), tmp_path / "three", monkeypatch)
    assert str(tmp_path).encode() not in first["summary.json"] + first["report.html"]
