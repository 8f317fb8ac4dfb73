"""Every command on the shipped scenes: what it prints, writes and answers."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from command import run

ROOT = Path(__file__).resolve().parents[2]
SCENES = sorted(path.stem for path in (ROOT / "scenes").glob("*.toml"))
STUDY_FILES = {"summary.json", "report.html", "report.pdf", "grids.npz"}


@pytest.fixture(scope="module")
def studies(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Every shipped scene studied once; where each wrote its results."""
    folders = {}
    for scene in SCENES:
        folders[scene] = tmp_path_factory.mktemp(scene) / "out"
        ran = run("study", scene, "--out", folders[scene])
        assert ran.status in (0, 3), ran.err
    return folders


def summary(folder: Path) -> dict:
    return json.loads((folder / "summary.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("scene", SCENES)
def test_study_writes_everything(studies: dict[str, Path], scene: str) -> None:
    names = {path.name for path in studies[scene].iterdir()}
    assert names >= STUDY_FILES
    assert [name for name in names if name.endswith(".png")] and [name for name in names if name.endswith(".csv")]
    assert not [name for name in names if name.startswith(".") or "tmp" in name]


@pytest.mark.parametrize("scene", SCENES)
def test_summary_is_whole(studies: dict[str, Path], scene: str) -> None:
    found = summary(studies[scene])
    assert found["cautions"] and found["luminaires"] and found["inputs"]
    variant = found["variants"][0]
    assert variant["areas"] and variant["verdicts"]
    counted = found["counts"]
    assert counted["meets"] + counted["misses"] + counted["not_assessed"] == len(variant["verdicts"])
    for area in variant["areas"]:
        for kind in ("maintained", "initial"):
            assert set(area[kind]) >= {"min_lx", "average_lx", "max_lx", "uniformity"}
    for row in variant["verdicts"]:
        assert row["verdict"] in ("meets", "misses", "not assessed")
        assert row["because"].endswith(".")


def no_nan(value: object) -> bool:
    if isinstance(value, dict):
        return all(no_nan(item) for item in value.values())
    if isinstance(value, list):
        return all(no_nan(item) for item in value)
    return not (isinstance(value, float) and not math.isfinite(value))


@pytest.mark.parametrize("scene", SCENES)
def test_json_holds_no_nan(studies: dict[str, Path], scene: str) -> None:
    assert no_nan(summary(studies[scene]))


def test_same_input_same_bytes(studies: dict[str, Path], tmp_path: Path) -> None:
    again = tmp_path / "again"
    run("study", "causeway-truck", "--out", again, "--quiet")
    for path in sorted(studies["causeway-truck"].iterdir()):
        assert path.read_bytes() == (again / path.name).read_bytes(), path.name


def test_exit_status_of_the_causeway_truck(tmp_path: Path) -> None:
    base = run("study", "causeway-truck", "--out", tmp_path / "base", "--quiet")
    assert (base.status, base.out) == (0, "")
    assert run("study", "causeway-truck", "--variant", "flat", "--out", tmp_path / "flat", "--quiet").status == 3
    assert run("study", "causeway-truck", "--strict", "--out", tmp_path / "strict", "--quiet").status == 3


def test_compare_speaks_of_both_and_judges_the_last(tmp_path: Path) -> None:
    ran = run("compare", "causeway-truck", "--variants", "flat,tilted", "--out", tmp_path / "pair")
    assert ran.status == 0, ran.err
    assert "flat" in ran.out and "tilted" in ran.out
    assert run("compare", "causeway-truck", "--variants", "tilted,flat", "--out", tmp_path / "b", "-q").status == 3
    assert (tmp_path / "pair" / "comparison.html").is_file()


def test_compare_two_scenes(tmp_path: Path) -> None:
    ran = run("compare", "causeway-truck", "mountain-pass-truck", "--out", tmp_path / "two", "--json")
    assert ran.status in (0, 3), ran.err
    assert len(json.loads(ran.out)["variants"]) == 2


def test_json_prints_one_document_and_nothing_else(tmp_path: Path) -> None:
    ran = run("study", "causeway-truck", "--out", tmp_path / "out", "--json")
    assert json.loads(ran.out) == summary(tmp_path / "out")
    assert ran.err == ""


def test_probe_agrees_with_the_grid(studies: dict[str, Path]) -> None:
    with np.load(studies["causeway-truck"] / "grids.npz") as grids:
        point = grids["tilted/area/rear/points_m"][10]
        expected = grids["tilted/area/rear/working/night/maintained_lx"][10]
    at = ",".join(f"{part!r} m" for part in point.tolist())
    ran = run("probe", "causeway-truck", "--at", at, "--at", "1 m,0,1 m", "--json")
    assert ran.status == 0, ran.err
    document = json.loads(ran.out)
    lit, inside = document["points"]
    assert lit["position_m"] == point.tolist() and lit["facing"] == [0.0, 0.0, 1.0]
    assert lit["illuminance_lx"] == pytest.approx(expected, rel=1e-9)
    assert lit["illuminance_lx"] == pytest.approx(sum(lit["by_lamp_lx"].values()))
    assert inside["illuminance_lx"] is None and "inside a body" in inside["reason"]
    assert document["light"] == "night" and document["state"]


@pytest.mark.parametrize(
    "facing", ["down", "rear", "0,-1,1", "cylindrical", "semi-cylindrical", "semi-cylindrical:rear", "hemispherical"]
)
def test_probe_takes_every_receiver(facing: str) -> None:
    ran = run("probe", "causeway-truck", "--at", "-2 m,0,1.5 m", "--facing", facing, "--json")
    assert ran.status == 0, ran.err
    assert json.loads(ran.out)["points"][0]["illuminance_lx"] >= 0.0


@pytest.mark.parametrize(
    ("words", "pieces"),
    [
        (["study", "no-such-scene"], ["no-such-scene"]),
        (["study", "causeway-truck", "--variant", "tilte"], ["tilte", "tilted"]),
        (["study", "causeway-truck", "--units", "leagues"], ["leagues", "metric"]),
        (["study", "causeway-truck", "--colours", "rainbow"], ["rainbow", "inferno"]),
        (["compare", "causeway-truck", "--variants", "flat"], ["flat", "--variants"]),
        (["compare", "causeway-truck", "--variants", "flat,round"], ["round"]),
    ],
)
def test_bad_words_on_the_command_line(words: list[str], pieces: list[str], tmp_path: Path) -> None:
    ran = run(*words, "--out", tmp_path / "out")
    assert ran.status == 2, ran.out
    assert ran.err.startswith("scenelux: ") and ran.err.count("\n") == 1 and ran.err.endswith(".\n")
    assert all(piece in ran.err for piece in pieces), ran.err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("words", "piece"),
    [
        (["--at", "1,2"], "ALONG,LEFT,UP"),
        (["--at", "1,2,three"], "three"),
        (["--at", "1,2,3", "--facing", "sideways"], "sideways"),
        (["--at", "1,2,3", "--state", "sleeping"], "sleeping"),
        (["--at", "1,2,3", "--light", "dawn"], "dawn"),
    ],
)
def test_bad_probes(words: list[str], piece: str) -> None:
    ran = run("probe", "causeway-truck", *words)
    assert ran.status == 2 and piece in ran.err and ran.err.count("\n") == 1


def test_out_must_not_be_a_file(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("mine")
    ran = run("study", "causeway-truck", "--out", taken)
    assert ran.status == 2 and str(taken) in ran.err
    assert taken.read_text() == "mine"


def test_new_scene_validates_and_studies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("new", "first-truck").status == 0
    assert run("new", "first-truck").status == 2
    assert run("validate", "first-truck.toml").status == 0
    ran = run("study", "first-truck.toml", "--out", "out", "--quiet")
    assert ran.status in (0, 3), ran.err


@pytest.mark.parametrize("command", [[], ["study"], ["compare"], ["probe"], ["validate"], ["new"], ["luminaire"],
                                     ["luminaire", "show"], ["luminaire", "make"]])  # fmt: skip
def test_help_shows_a_real_example(command: list[str]) -> None:
    ran = run(*command, "--help")
    assert ran.status == 0
    assert re.search(r"scenelux \w+", ran.out), ran.out


@pytest.mark.parametrize("words", [["--help"], ["study", "--help"], ["validate", "causeway-truck"]])
def test_quick_commands_load_nothing_heavy(words: list[str]) -> None:
    code = (
        "import sys; sys.argv = ['scenelux', *sys.argv[1:]]\n"
        "from scenelux.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print('loaded:', *sorted({name.split('.')[0] for name in sys.modules}))"
    )
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True, cwd=ROOT)
    loaded = set(done.stdout.splitlines()[-1].removeprefix("loaded: ").split())
    assert not loaded & {"numba", "scipy", "matplotlib", "imageio", "numpy"}


@pytest.mark.parametrize("words", [["--help"], ["validate", "causeway-truck"]])
def test_quick_commands_are_quick(words: list[str]) -> None:
    """Median of ten warm runs, as tests/speed/bench_start.py prints it; 0.3 s is meant, the rest is room for noise."""
    times = []
    for _ in range(10):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", "scenelux", *words], check=True, capture_output=True, cwd=ROOT)
        times.append(time.perf_counter() - start)
    assert sorted(times)[5] < 1.0
