"""Curves along an approach: which sheets there are, what they say, and that lines differ without colour."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.lines import Line2D

from scenelux.pictures.curves import SignedAxis
from scenelux.pictures.drive.sheets import _level_curve, approach_study_sheets, seen_sentence
from scenelux.pictures.sheet import Sheet, png_bytes
from scenelux.study.approach.run import Asked, drive
from scenelux.study.results.approach import ApproachStudy, SeenFrom
from tests.unit.study.approach.drives import CONE, WORKER, scene_with

FLAT = '[variants.flat]\nsay = "Level"\nchanges = [{ circuit = "tail", tilt = "0 deg" }]\n'


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> ApproachStudy:
    people = WORKER.replace("position", 'name = "Worker", position')
    scene = scene_with(tmp_path_factory.mktemp("scene"), f"\n{FLAT}", people=people, objects=CONE)
    return drive(scene, ["as written", "flat"])


@pytest.fixture(scope="module")
def sheets(study: ApproachStudy) -> dict[str, Sheet]:
    return dict(approach_study_sheets(study))


def words(sheet: Sheet) -> str:
    return " ".join(line.text for line in sheet.writing.lines)


def test_variants_stand_side_by_side(sheets: dict[str, Sheet]) -> None:
    assert list(sheets) == ["approach-car-on-night.png", "approach-car-on-day.png"]
    said = words(sheets["approach-car-on-night.png"])
    assert "flat: Level" in said and "as written: Before a driver" in said


def test_light_levels_stand_side_by_side(tmp_path: Path) -> None:
    found = dict(approach_study_sheets(drive(scene_with(tmp_path))))
    assert list(found) == ["approach-car-on.png"]
    said = words(found["approach-car-on.png"])
    assert "Night" in said and "Day" in said and "adaptation luminance 400 cd/m²" in said


def test_everything_that_a_reader_needs_is_said(sheets: dict[str, Sheet]) -> None:
    said = words(sheets["approach-car-on-night.png"])
    for text in ("stopping sight distance", "Worker", "cone", "1 to 7: marginal, below not visible",
                 "25 years", "unconfirmed",
                 "INVENTED DEMONSTRATION DATA", "CAUTION", "cie-general", "distance to the vehicle [m]",
                 "eye of 70 years", "towards", "scenelux approach of scene"):  # fmt: skip
        assert text in said, text


def test_lines_of_a_panel_differ_in_their_dashes_alone(sheets: dict[str, Sheet]) -> None:
    sheet = sheets["approach-car-on-night.png"]
    curves = [one for one in sheet.artists if isinstance(one, Line2D) and len(one.get_xdata()) > 5]
    dashes = {str(one.get_linestyle()) + str(one._unscaled_dash_pattern) for one in curves}
    assert len(dashes) >= 3


def test_the_same_study_gives_the_same_bytes(study: ApproachStudy, sheets: dict[str, Sheet]) -> None:
    name = "approach-car-on-day.png"
    assert png_bytes(dict(approach_study_sheets(study))[name]) == png_bytes(sheets[name])


def test_an_approach_without_anybody_still_has_its_glare(tmp_path: Path) -> None:
    study = drive(scene_with(tmp_path, people=""), asked=Asked(light="night"))
    (sheet,) = dict(approach_study_sheets(study)).values()
    assert png_bytes(sheet)[:4] == b"\x89PNG"


def test_a_line_is_cut_where_another_part_takes_over_and_nowhere_else(study: ApproachStudy) -> None:
    """From darker legs to a brighter torso no part passes through nothing; a torso that turns brighter does."""
    worker = study.variants[0].approaches[0].targets[0].entries[0]
    level = np.array([[-9.0, -12.0, 15.0, 20.0, -3.0]])
    entry = replace(worker, level=level, seen_by=(("legs", "legs", "torso", "torso", "torso"),))
    curve = _level_curve("Worker", np.array([100.0, 80.0, 60.0, 40.0, 20.0]), entry, 0)
    assert curve.values.tolist() == pytest.approx([-9.0, -12.0, np.nan, 15.0, 20.0, -3.0], nan_ok=True)
    assert curve.distances_m.tolist() == [100.0, 80.0, 60.0, 60.0, 40.0, 20.0]


def test_the_signed_axis_keeps_order_and_sign() -> None:
    axis = SignedAxis(100.0)
    shares = axis.shares(np.array([-100.0, -7.0, 0.0, 7.0, 100.0]))
    assert shares == pytest.approx([0.0, 1.0 - shares[3], 0.5, shares[3], 1.0])
    assert [text for _, text in axis.ticks()][:3] == ["0", "1", "−1"]


@pytest.mark.parametrize(
    ("seen", "sentence"),
    [
        (SeenFrom(70, "seen", 80, False, 77, -73, -2.9), "cone: seen from 77 m on, 73 m (2.9 s) too late"),
        (
            SeenFrom(70, "seen", 80, False, 77, -73, -2.9, "", "legs"),
            "cone: seen by the legs from 77 m on, 73 m (2.9 s) too late",
        ),
        (SeenFrom(70, "seen", 300, True, 297, 147, 5.9), "cone: seen from 297 m or more on, 147 m (5.9 s) to spare"),
        (
            SeenFrom(70, "never", *[float("nan")] * 1, False, *[float("nan")] * 3),
            "cone: not seen at the last station",
        ),
    ],
)
def test_sentences(study: ApproachStudy, seen: SeenFrom, sentence: str) -> None:
    cone = study.variants[0].approaches[0].targets[1]
    assert seen_sentence(cone, seen, "metric") == sentence
