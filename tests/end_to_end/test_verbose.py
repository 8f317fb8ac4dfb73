"""What --verbose tells, where, and that results do not know of it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from command import run
from one_lamp import one_lamp

STORE = re.compile(r"^store: (\d+) entries, [\d.]+ of 256 MB, (\d+) hits, (\d+) misses, 0 evicted, 0 too large$")


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    file = tmp_path / "scene.toml"
    file.write_text(
        one_lamp("tail-flood-round", tilt=-35)
        + '[variants.flat]\nsay = "Flat"\nchanges = [{ lamps = ["lamp"], light_loss_factor = 0.5 }]\n'
    )
    return file


def told(text: str) -> tuple[list[str], tuple[int, ...]]:
    """Names of the steps, and entries, hits and misses of the store."""
    *steps, last = text.splitlines()
    counts = STORE.match(last)
    assert counts, last
    names = [re.fullmatch(r" *\d+\.\d\d s  (.+)", step) for step in steps]
    assert all(names), steps
    return [name[1] for name in names if name], tuple(int(part) for part in counts.groups())


def test_a_study_is_the_same_with_and_without(scene: Path, tmp_path: Path) -> None:
    plain = run("study", scene, "--out", tmp_path / "plain")
    verbose = run("study", scene, "--out", tmp_path / "verbose", "--verbose")
    assert (plain.status, plain.err) == (verbose.status, "")
    assert verbose.out == plain.out.replace(str(tmp_path / "plain"), str(tmp_path / "verbose"))
    for file in (tmp_path / "plain").iterdir():
        assert file.read_bytes() == (tmp_path / "verbose" / file.name).read_bytes(), file.name
    names, counts = told(verbose.err)
    assert (names[0], names[1], names[-1]) == ("reading", "as written: areas", "files")
    assert "as written: plan" in names and counts == (1, 0, 1)


def test_with_json_standard_output_is_one_document(scene: Path, tmp_path: Path) -> None:
    ran = run("study", scene, "--out", tmp_path / "out", "--json", "--verbose")
    assert json.loads(ran.out)["title"] == "One lamp"
    assert told(ran.err)[1] == (1, 0, 1)
    plain = run("probe", scene, "--at", "-3,0,0", "--json")
    verbose = run("probe", scene, "--at", "-3,0,0", "--json", "--verbose")
    assert (plain.out, plain.err) == (verbose.out, "")
    assert told(verbose.err) == (["reading", "points"], (1, 0, 1))


def test_the_second_of_two_equal_variants_computes_nothing(scene: Path, tmp_path: Path) -> None:
    ran = run("compare", scene, "--variants", "as written,flat", "--out", tmp_path / "pair", "--verbose")
    names, counts = told(ran.err)
    assert names.index("as written: plan") < names.index("flat: areas")
    assert counts == (1, 1, 1)


@pytest.mark.parametrize("command", [("study",), ("compare", "--variants", "as written,flat")])
def test_not_together_with_quiet(scene: Path, tmp_path: Path, command: tuple[str, ...]) -> None:
    name, *options = command
    ran = run(name, scene, *options, "--out", tmp_path / "out", "--quiet", "--verbose")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == "scenelux: --verbose cannot be used together with --quiet.\n"
    assert not (tmp_path / "out").exists()
