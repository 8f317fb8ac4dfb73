"""Sheets of switching: one for each evening and the matrix, with nothing written over the edge."""

from __future__ import annotations

from functools import cache

import numpy as np

from scenelux.pictures.dusk.sheets import dusk_sheets
from scenelux.pictures.dusk.strip import window_of
from scenelux.pictures.sheet import HEIGHT_IN, WIDTH_IN, Sheet
from tests.unit.study.dusk.dusk_runs import FLUTTERING, shipped_run


@cache
def sheets() -> tuple[tuple[str, Sheet], ...]:
    return tuple((f"{kind or 'shipped'} {name}", sheet) for kind in ("", FLUTTERING)
                 for name, sheet in dusk_sheets(shipped_run(kind)))  # fmt: skip


def test_there_is_a_matrix_and_a_chart_for_each_evening() -> None:
    assert len(sheets()) == 2 + 8 + 9


def test_no_words_leave_the_sheet() -> None:
    for name, sheet in sheets():
        for line in sheet.writing.lines:
            left, bottom, right, top = line.extent_in
            assert left >= 0.0 and bottom >= 0.0 and right <= WIDTH_IN and top <= HEIGHT_IN, (name, line.text)


def test_no_words_lie_over_others() -> None:
    for name, sheet in sheets():
        lines = [line for line in sheet.writing.lines if line.text]
        boxes = np.array([line.extent_in for line in lines]) + np.array([0.01, 0.015, -0.01, -0.015])
        for number, (left, bottom, right, top) in enumerate(boxes):
            rest = boxes[number + 1 :]
            over = (rest[:, 0] < right) & (rest[:, 2] > left) & (rest[:, 1] < top) & (rest[:, 3] > bottom)
            assert not over.any(), (name, lines[number].text, lines[number + 1 + int(np.argmax(over))].text)


def test_labels_tell_flutters() -> None:
    labels = [str(sheet.get_label()) for name, sheet in sheets() if "street" in name]
    assert labels[0].endswith("1 turn of the sensor, no flutter")
    assert labels[1].endswith("121 turns of the sensor, 119 flutters")


def test_the_window_shows_the_disturbance_or_the_first_flutters() -> None:
    quiet, street, *_ = shipped_run().timelines
    assert window_of(quiet) == (0.0, quiet.duration_s)
    begin, end = window_of(street)
    assert begin < street.window_s[0] < street.window_s[1] < end < street.duration_s
    fluttering = shipped_run(FLUTTERING).timelines[1]
    begin, end = window_of(fluttering)
    assert sum(begin < change.time_s < end for change in fluttering.changes) > 10
