"""The job: which approaches, duty states and light levels are driven, and what is said when a name is unknown."""

from __future__ import annotations

from pathlib import Path

import pytest

from scenelux.errors import LimitError, UsageError
from scenelux.study.approach import run
from scenelux.study.approach.run import Asked, drive
from tests.unit.study.approach.drives import scene_with


def test_all_that_the_approach_names(tmp_path: Path) -> None:
    scene = scene_with(tmp_path, step=90)
    found = drive(scene).variants[0].approaches[0]
    assert [(one.state, one.light) for one in found.entries] == [("on", "night"), ("on", "day")]
    assert [(one.state, one.light) for one in found.targets[0].entries] == [("on", "night"), ("on", "day")]
    assert [eye.age_years for eye in found.eyes] == [25.0, 50.0, 70.0]
    only = drive(scene, asked=Asked(approach="car", light="day")).variants[0].approaches[0]
    assert [(one.state, one.light) for one in only.entries] == [("on", "day")]


@pytest.mark.parametrize(
    ("asked", "key"),
    [(Asked(approach="bus"), "--approach"), (Asked(state="off"), "--state"), (Asked(light="dusk"), "--light")],
)
def test_unknown_names_are_told_with_those_known(tmp_path: Path, asked: Asked, key: str) -> None:
    with pytest.raises(UsageError, match=key):
        drive(scene_with(tmp_path, step=90), asked=asked)


def test_a_scene_without_approach(tmp_path: Path) -> None:
    scene = scene_with(tmp_path, step=90).model_copy(update={"approaches": ()})
    with pytest.raises(UsageError, match="has no approach"):
        drive(scene)


def test_too_fine_a_step_is_told_before_anything_is_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run, "MEMORY_LIMIT_BYTES", 10_000)
    told: list[str] = []
    with pytest.raises(LimitError, match=r"approaches\[0\].step .*larger step"):
        drive(scene_with(tmp_path, step=1), progress=told.append)
    assert told == ["as written: car: glare"]


def test_progress_names_what_is_at_work(tmp_path: Path) -> None:
    told: list[str] = []
    drive(scene_with(tmp_path, step=90), progress=told.append)
    assert told[0] == "as written: car: glare"
    assert told[1:] == [f"as written: car: people and objects · station {number} of 3" for number in (1, 2, 3)]


def test_sources_of_all_formulas_are_named(tmp_path: Path) -> None:
    notes = " ".join(drive(scene_with(tmp_path, step=90)).notes)
    for words in ("adrian-1989", "unconfirmed", "cie-general", "Bullough", "stopping sight distance", "conspicuity"):
        assert words in notes
