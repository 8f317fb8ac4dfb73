"""The scene that `new` writes is good, explains its keys, and never overwrites anything."""

from __future__ import annotations

from pathlib import Path

import pytest

from scenelux.errors import UsageError
from scenelux.scene.read import read_scene
from scenelux.scene.template import template_text, write_template


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_it_is_a_good_scene() -> None:
    scene = read_scene(write_template("my-truck"))
    assert scene.vehicles[0].lamps and scene.areas and scene.eyes and scene.criteria and scene.variants
    assert scene.data == "project"
    assert scene.demonstration  # its luminaires are still invented ones


def test_it_is_commented() -> None:
    lines = template_text().splitlines()
    assert sum("#" in line for line in lines) > 25
    assert max(len(line) for line in lines) <= 120


@pytest.mark.parametrize("name", ["my-truck", "my-truck.toml"])
def test_it_never_overwrites(name: str) -> None:
    Path("my-truck.toml").write_text("mine")
    with pytest.raises(UsageError, match="already there"):
        write_template(name)
    assert Path("my-truck.toml").read_text() == "mine"


@pytest.mark.parametrize("name", ["", "  ", "a\0b", ".toml", "no-such-folder/x"])
def test_names_of_no_file(name: str) -> None:
    with pytest.raises(UsageError):
        write_template(name)
    assert list(Path().iterdir()) == []
