"""`scenelux approach`: the shipped causeway in two aims of its tail floods, and what is said of bad input."""

from __future__ import annotations

import json
from importlib.util import find_spec
from math import isnan
from pathlib import Path

import numpy as np
import pytest
from command import run

from scenelux.scene.model import SceneDocument
from scenelux.scene.read import read_scene
from scenelux.study.approach.run import Asked, drive
from scenelux.study.results.approach import ApproachStudy
from tests.unit.study.approach.drives import scene_with


def causeway() -> SceneDocument:
    """The shipped scene with its worker alone, at every fourth station."""
    scene = read_scene("causeway-truck")
    (way,) = scene.approaches
    way = way.model_copy(update={"people": ("worker",), "objects": (), "step_m": 20.0, "gaze": way.gaze[:1]})
    return scene.model_copy(update={"approaches": (way,)})


@pytest.fixture(scope="module")
def pair() -> ApproachStudy:
    return drive(causeway(), ["flat", "tilted"], Asked(state="working", light="night"))


def test_tilted_floods_let_the_driver_see_the_worker_from_farther_away_with_less_glare(pair: ApproachStudy) -> None:
    flat, tilted = (one.approaches[0] for one in pair.variants)
    assert flat.stopping_distance_m == tilted.stopping_distance_m == pytest.approx(150.1, abs=0.1)
    for age in flat.ages_years:
        assert tilted.entries[0].worst_veil_cd_m2[age] < 0.7 * flat.entries[0].worst_veil_cd_m2[age]
    assert tilted.entries[0].dose_lx_s < flat.entries[0].dose_lx_s
    assert tilted.entries[0].towards_eye_cd.max() < flat.entries[0].towards_eye_cd.max()
    pairs = list(zip(flat.targets[0].entries[0].seen, tilted.targets[0].entries[0].seen, strict=True))
    ours = [
        (0.0 if isnan(a.to_target_m) else a.to_target_m, 0.0 if isnan(b.to_target_m) else b.to_target_m)
        for a, b in pairs
    ]
    assert all(after >= before for before, after in ours) and any(after > before + 5.0 for before, after in ours)


def test_a_worker_is_as_visible_as_the_part_that_stands_out(pair: ApproachStudy) -> None:
    """Vest and legs of the shipped worker weaken each other in the mean somewhere on the way."""
    for variant in pair.variants:
        entry = variant.approaches[0].targets[0].entries[0]
        assert (np.abs(entry.level) >= np.abs(entry.whole_level)).all()
        assert (np.abs(entry.level[1]) > 1.3 * np.abs(entry.whole_level[1])).any()
        assert {"legs", "whole"} <= set(entry.seen_by[1])


def test_numbers_are_plausible(pair: ApproachStudy) -> None:
    for variant in pair.variants:
        way = variant.approaches[0]
        target = way.targets[0]
        assert target.before_vehicle_m == pytest.approx(3.4, abs=0.3)
        assert 3.0 < target.size_arcmin[0] < 10.0 < target.size_arcmin[-1] < 150.0
        entry = target.entries[0]
        assert (entry.background_cd_m2 < 100.0).all() and (entry.target_cd_m2 < 50.0).all()
        veil = way.eyes[0].entries[0].veil_cd_m2["cie-general"]
        assert (veil > 0.3).all() and (veil < 20.0).all()
        young, _, old = entry.seen
        assert old.outcome == "never" or old.to_target_m <= young.to_target_m
        towards = way.entries[0].towards_eye_cd
        assert (towards > 1000.0).all() and (towards < 20_000.0).all()


def test_the_command_writes_prints_and_ends_with_0(tmp_path: Path) -> None:
    scene_with(tmp_path / "s", step=60)
    ran = run("approach", tmp_path / "s" / "scene.toml", "--light", "night", "--out", tmp_path / "out")
    assert ran.status == 0 and ran.err == ""
    assert "worker: at worst" in ran.out.split("\n")[0]
    names = {file.name for file in (tmp_path / "out").iterdir()}
    assert {"approach.json", "approach.html", "approach-car-on.png", "seen.csv", "glare.csv", "targets.csv"} <= names
    assert "drive-car-as-written-on-night.webp" in names


def test_json_is_the_whole_output(tmp_path: Path) -> None:
    scene_with(tmp_path / "s", step=60)
    file, out = tmp_path / "s" / "scene.toml", tmp_path / "out"
    ran = run("approach", file, "--light", "day", "--out", out, "--no-animation", "--json")
    assert (ran.status, ran.err) == (0, "")
    document = json.loads(ran.out)
    assert document["variants"][0]["approaches"][0]["approach"] == "car"
    assert not [name for name in document["files"] if name.endswith(".webp")]
    quiet = run("approach", file, "--light", "day", "--out", out, "--no-animation", "--quiet")
    assert (quiet.status, quiet.out, quiet.err) == (0, "", "")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--approach", "bus"), '--approach "bus"'),
        (("--state", "of"), '--state "of"'),
        (("--light", "nigth"), 'did you mean "night"'),
        (("--variants", "level"), "level"),
        (("--units", "feet"), "--units"),
        (("--quiet", "--verbose"), "--verbose"),
    ],
)
def test_bad_input_is_one_sentence_and_status_2(tmp_path: Path, options: tuple[str, ...], says: str) -> None:
    scene_with(tmp_path / "s", step=60)
    ran = run("approach", tmp_path / "s" / "scene.toml", "--out", tmp_path / "out", "--no-animation", *options)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err and ran.err.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_verbose_times_each_piece_of_work_once(tmp_path: Path) -> None:
    scene_with(tmp_path / "s", step=60)
    file = tmp_path / "s" / "scene.toml"
    ran = run("approach", file, "--light", "night", "--out", tmp_path / "out", "--verbose")
    lines = [line.split(" s  ")[-1] for line in ran.err.splitlines() if " s  " in line]
    assert lines.count("as written: car: people and objects") == 1
    assert lines.count("as written: car: pictures") == 1
    assert not [line for line in lines if "station" in line]


def test_a_video_needs_its_library_and_an_animation_before_anything_is_computed(tmp_path: Path) -> None:
    """One sentence and status 2; where the library is there, the file stands beside the animation."""
    scene_with(tmp_path / "s", step=60)
    file, out = tmp_path / "s" / "scene.toml", tmp_path / "out"
    ran = run("approach", file, "--light", "night", "--out", out, "--video", "--no-animation")
    assert (ran.status, ran.out) == (2, "") and ran.err.count("\n") == 1 and "--no-animation" in ran.err
    ran = run("approach", file, "--light", "night", "--out", out, "--video")
    if find_spec("av") is None:
        assert (ran.status, ran.out) == (2, "") and "scenelux[video]" in ran.err and not out.exists()
        return
    assert (ran.status, ran.err) == (0, "")
    assert (out / "drive-car-as-written-on-night.mp4").read_bytes()[4:8] == b"ftyp"
    page = (out / "approach.html").read_text(encoding="utf-8")
    assert 'href="drive-car-as-written-on-night.mp4"' in page and "<video" not in page
