"""`scenelux view` as a shell sees it: files, JSON, the same bytes again, and one sentence for what is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command import run

from tests.driver_scenes import APPROACH, driver_scene

PEOPLE = '{ id = "worker", name = "Worker", position = [-3, 0.5], heading = 180, vest = "class 2" }'
VARIANT = '[variants.flat]\nsay = "Level"\nchanges = [{ circuit = "tail", tilt = "0 deg" }]\n'
SHEETS = {"people.png", "seen-zoom.png", "seen-wide.png", "luminance-zoom.png", "luminance-wide.png"}


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    driver_scene(tmp_path, people=PEOPLE, more=APPROACH + VARIANT)
    return tmp_path / "scene.toml"


def test_two_variants_twice(scene: Path, tmp_path: Path) -> None:
    asked = ("view", scene, "--variants", "as written,flat", "--distance", "60 m", "--age", "70")
    first = run(*asked, "--out", tmp_path / "one", "--json")
    assert first.status == 0, first.err
    document = json.loads(first.out)
    assert set(document["files"]) == {path.name for path in (tmp_path / "one").iterdir()}
    assert set(document["files"]) > SHEETS
    assert sum(name.endswith(".hdr") for name in document["files"]) == 2 * 2 * 2
    assert document["eye"]["age_years"] == 70.0
    assert document["differences"][0]["sentences"][0].startswith("Veil: ")
    second = run(*asked, "--out", tmp_path / "two")
    assert second.status == 0
    assert "A visualisation, not evidence." in " ".join(second.out.split())
    assert "Worker: " in second.out
    for name in document["files"]:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes(), name


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (("--distance", "far"), "--distance"),
        (("--distance", "5 km"), "--distance"),
        (("--variants", "curved"), "curved"),
        (("--light", "dusk"), "--light"),
        (("--state", "off"), "--state"),
        (("--approach", "bus"), "--approach"),
        (("--eye", "bus"), "--eye"),
        (("--age", "99"), "--age"),
        (("--colours", "jet"), "colour map"),
    ],
)
def test_what_is_wrong_is_one_sentence(scene: Path, tmp_path: Path, asked: tuple[str, str], says: str) -> None:
    ran = run("view", scene, *asked, "--out", tmp_path / "out")
    assert ran.status == 2
    assert says in ran.err
    assert ran.err.strip().count("\n") == 0
    assert not (tmp_path / "out").exists()
