"""Pictures among the files of `scenelux signal`: every one is written, and nothing on the page plays by itself."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from scenelux.reports.signal.write import write_signals
from tests.unit.pictures.signal.flashing import signal_study

STUDY = signal_study()
ONE = replace(STUDY, variants=(replace(STUDY.variants[0], cases=STUDY.variants[0].cases[:1]),))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("signal") / "out"
    write_signals(ONE, out)
    return out


def test_sheets_and_an_animation_with_its_still_are_written(folder: Path) -> None:
    pictures = {path.name for path in folder.iterdir() if path.suffix in (".png", ".webp", ".mp4")}
    assert pictures == {
        "polar-blocking.png", "polar-eyes-blocking.png", "strip-blocking-day.png", "flash-blocking-day.png",
        "flash-blocking-day.webp",
    }  # fmt: skip


def test_a_still_links_to_the_animation_after_a_warning_and_nothing_moves(folder: Path) -> None:
    page = (folder / "signal.html").read_text(encoding="utf-8")
    assert re.search(
        r'Warning: the animation shows flashing lights.*<a href="flash-blocking-day\.webp"><img', page, re.S
    )
    assert not re.search(r"<video|<img[^>]*\.webp|image/webp|autoplay|@keyframes|<script|http-equiv", page)
    assert page.count("<figure>") == 4


def test_without_animations_there_is_neither_a_still_nor_a_warning(tmp_path: Path) -> None:
    write_signals(ONE, tmp_path / "out", animation=False)
    assert not list((tmp_path / "out").glob("flash*"))
    assert "Warning: the animation" not in (tmp_path / "out" / "signal.html").read_text(encoding="utf-8")
