"""People and objects on a plan: where they are, how large, which way they face, and that no label hides another."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse, Polygon

from scenelux.pictures.facts import limits_drawn
from scenelux.pictures.figures import key_rows
from scenelux.pictures.levels import levels_drawn
from scenelux.pictures.plan import plan_map, plan_sheet
from scenelux.pictures.scale import lux_scale
from scenelux.pictures.sheet import Box, Sheet
from scenelux.study.results import StudyResult
from scenelux.study.simulate import simulate
from tests.driver_scenes import driver_scene

PEOPLE = (
    '{ id = "anna", position = [-5, 1], heading = 30 }, '
    '{ id = "ben", position = [-6, -2], heading = 180, pose = "crouching" }, '
    '{ id = "far", position = [-80, 0] }'
)
OBJECTS = (
    '{ id = "cone-1", kind = "cone", position = [-8, 2] }, '
    '{ id = "barrier", kind = "barricade", position = [-9, 0], heading = 200 }, '
    '{ id = "sign", kind = "panel", position = [-3, -2.5], heading = 120 }'
)
MORE = """
[[areas]]
id = "rear"
name = "Behind"
of = "truck"
forward = [-8, 0]
left = [-2, 2]
plane = "horizontal"
[[criteria]]
id = "own"
quantity = "illuminance"
statistic = "minimum"
sense = "at least"
limit = 20
unit = "lx"
because = "Agreed."
area = "rear"
"""


@cache
def study() -> StudyResult:
    with TemporaryDirectory() as folder:
        return simulate(driver_scene(Path(folder), people=PEOPLE, objects=OBJECTS, more=MORE))


def drawn(width_in: float = 7.0, *, small: bool = False) -> tuple[Axes, float, Sheet]:
    """The map alone in a box of some width, and its inches per metre."""
    result, sheet = study(), Sheet()
    (level, *_) = levels_drawn(result.variants)
    box = Box(1.0, 1.0, width_in, 6.0)
    _, per_m = plan_map(sheet, box, result, result.variants[0], level, lux_scale(result, "inferno"), small=small)
    return next(axes for axes in sheet.axes if axes.get_label() == "map"), per_m, sheet


def patch(axes: Axes, gid: str) -> Ellipse | Polygon:
    (found,) = (one for one in axes.patches if one.get_gid() == gid)
    assert isinstance(found, Ellipse | Polygon)
    return found


def test_a_person_is_to_scale_and_faces_its_heading() -> None:
    """Shoulders 0.26 and chest 0.14 of the height of 1.75 m."""
    axes, per_m, _ = drawn()
    assert per_m * 0.26 * 1.75 > 0.13  # large enough to be drawn true
    anna = patch(axes, "person anna")
    assert isinstance(anna, Ellipse)
    assert (anna.height, anna.width) == pytest.approx((0.26 * 1.75, 0.14 * 1.75))
    assert anna.center == pytest.approx((-5, 1)) and anna.angle == pytest.approx(30)
    ticks = [np.column_stack(line.get_data()) for line in axes.lines if len(line.get_xdata()) == 2]
    mine = [tick for tick in ticks if np.hypot(*(tick[0] - (-5, 1))) < 0.05]
    assert len(mine) == 1
    assert np.degrees(np.arctan2(*(mine[0][1] - mine[0][0])[::-1])) == pytest.approx(30)


def test_on_a_small_map_a_person_is_drawn_as_large_as_can_be_seen() -> None:
    axes, per_m, _ = drawn(2.0)
    assert per_m * 0.26 * 1.75 < 0.13
    anna = patch(axes, "person anna")
    assert isinstance(anna, Ellipse)
    assert anna.height * per_m == pytest.approx(0.13) and anna.center == pytest.approx((-5, 1))


def test_objects_are_the_outlines_of_their_boxes() -> None:
    axes, _, _ = drawn()
    figures = {figure.figure_id: figure for figure in study().variants[0].site.figures}
    cone = patch(axes, "cone cone-1").get_path().vertices
    foot = figures["cone-1"].boxes[0]
    assert np.ptp(cone, axis=0) == pytest.approx([2 * foot.half_m[0], 2 * foot.half_m[1]], rel=1e-6)
    barrier = next(one for one in axes.patches if one.get_gid() == "barricade barrier").get_path().vertices
    wide = max(2 * box.half_m[1] for box in figures["barrier"].boxes)
    assert np.linalg.norm(np.ptp(barrier, axis=0)) == pytest.approx(wide, rel=0.1)
    assert not any(one.get_gid() == "person far" for one in axes.patches)


def boxes(axes: Axes, sheet: Sheet) -> dict[str, np.ndarray]:
    renderer = sheet.canvas.get_renderer()  # type: ignore[attr-defined]
    return {text.get_text(): text.get_window_extent(renderer).extents for text in axes.texts}


def test_everything_on_the_map_has_its_name_and_no_label_hides_another() -> None:
    axes, _, sheet = drawn(7.0)
    found = boxes(axes, sheet)
    assert {"anna", "ben", "cone-1", "barrier", "sign"} <= set(found) and "far" not in found
    assert any(text.startswith("× ") for text in found)
    limits = [one.label for one in limits_drawn(study().variants[0], levels_drawn(study().variants)[0])]
    assert limits == ["20 lx"] and set(limits) <= set(found)
    names = list(found)
    for number, one in enumerate(names):
        for other in names[number + 1 :]:
            a, b = found[one], found[other]
            apart = a[2] <= b[0] + 1 or b[2] <= a[0] + 1 or a[3] <= b[1] + 1 or b[3] <= a[1] + 1
            assert apart, f"{one} lies on {other}"


def test_the_mark_stands_on_the_darkest_place() -> None:
    axes, _, _ = drawn()
    entry = next(one for one in study().variants[0].standing[0].entries if one.light == "night")
    marks = [line.get_xydata()[0] for line in axes.lines if line.get_marker() == "x"]
    assert len(marks) == 2 and np.allclose(marks, entry.place_m[:2])  # dark below light
    small, _, _ = drawn(3.0, small=True)
    assert len([line for line in small.lines if line.get_marker() == "x"]) == 2
    assert any(text.get_text() == "cone-1" for text in small.texts)


def test_the_key_names_what_is_drawn_and_what_lies_off_the_plan() -> None:
    result = study()
    variant, level = result.variants[0], levels_drawn(result.variants)[0]
    limits = (-12.0, -6.0, 10.0, 6.0)
    assert list(key_rows(variant, level, limits)) == [
        "White figures: person (tick ahead), cone (dot), panel or barricade (tick at its front)",
        "Off this plan: far",
        "× darkest place to stand in an area, with the mean light on the torso's sides",
    ]
    bare = replace(variant, site=replace(variant.site, figures=()), standing=())
    assert list(key_rows(bare, level, limits)) == []
    sheet = plan_sheet(result, variant, level, lux_scale(result, "inferno"))
    assert "Off this plan: far" in {line.text for line in sheet.writing.lines}
