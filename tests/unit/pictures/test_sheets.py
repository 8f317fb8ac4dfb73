"""Sheets: drawn to scale, the right way round, on one scale, and the same bytes every time."""

from __future__ import annotations

import io
from dataclasses import replace

import matplotlib.image
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.quiver import Quiver

from scenelux.errors import UsageError
from scenelux.geometry import attitude_axes
from scenelux.pictures import comparison_sheets, study_sheets
from scenelux.pictures.approach import approach_sheets
from scenelux.pictures.area import area_sheets
from scenelux.pictures.facts import lamps_on, limits_drawn
from scenelux.pictures.levels import approach_lights, judged_lights, levels_drawn
from scenelux.pictures.plan import plan_sheet
from scenelux.pictures.scale import DifferenceScale, difference_scale, lux_scale
from scenelux.pictures.sheet import DPI, HEIGHT_IN, WIDTH_IN, Sheet, png_bytes, put
from scenelux.pictures.site import body_outline
from scenelux.pictures.text import text_width_in, wrap
from scenelux.units import FOOT_M, LUX_PER_FOOT_CANDLE
from tests.unit.pictures.example import study_example

RESULT = study_example(spacing_m=0.5)
TILTED = RESULT.variants[0]
NIGHT = next(level for level in levels_drawn([TILTED]) if (level.state, level.light) == ("working", "night"))


@pytest.fixture(scope="module")
def plan() -> Figure:
    return plan_sheet(RESULT, TILTED, NIGHT, lux_scale(RESULT))


def map_of(sheet: Figure) -> Axes:
    return next(axes for axes in sheet.axes if axes.get_label() == "map")


def test_the_truck_is_drawn_to_scale_and_lies_ahead_of_its_origin(plan: Figure) -> None:
    outlines = {p.get_gid(): p.get_xy() for p in map_of(plan).patches if isinstance(p, Polygon) and p.get_gid()}
    box, cab = outlines["body truck box"], outlines["body truck cab"]
    assert (box[:, 0].min(), cab[:, 0].max()) == pytest.approx((0.0, 24 * FOOT_M))
    assert (box[:, 1].min(), box[:, 1].max()) == pytest.approx((-4 * FOOT_M, 4 * FOOT_M))
    assert outlines["body truck bumper"][:, 0].min() == pytest.approx(-FOOT_M)


def test_forward_goes_right_and_left_goes_up_at_true_aspect(plan: Figure) -> None:
    axes = map_of(plan)
    origin, forward, left = axes.transData.transform([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)])
    assert forward[0] - origin[0] == pytest.approx(left[1] - origin[1], rel=1e-6)
    assert forward[0] > origin[0] and left[1] > origin[1]


def test_light_is_drawn_where_it_falls(plan: Figure) -> None:
    image = map_of(plan).images[0]
    values, (x0, x1, y0, y1) = np.asarray(image.get_array()), image.get_extent()
    rows, columns = values.shape
    row, column = np.unravel_index(np.nanargmax(values), values.shape)
    along = x0 + (column + 0.5) * (x1 - x0) / columns
    left = y0 + (row + 0.5) * (y1 - y0) / rows
    lux = TILTED.map.illuminance_lx("working", "night")
    i, j = np.unravel_index(np.nanargmax(lux), lux.shape)
    assert along == pytest.approx(TILTED.map.along_m[i]) and left == pytest.approx(TILTED.map.left_m[j])
    assert along < 0.0  # behind the truck


def test_a_lamp_on_the_left_alone_lights_the_upper_half() -> None:
    levels = {key: value * np.array([1.0, 0.0, 0.0, 0.0]) for key, value in TILTED.map.levels.items()}
    variant = replace(TILTED, map=replace(TILTED.map, levels=levels))
    sheet = plan_sheet(RESULT, variant, NIGHT, lux_scale(RESULT))
    values = np.asarray(map_of(sheet).images[0].get_array())
    assert np.nansum(values[values.shape[0] // 2 :]) > 1.2 * np.nansum(values[: values.shape[0] // 2])
    arrows = next(one for one in map_of(sheet).collections if isinstance(one, Quiver))
    assert arrows.N == 1 and arrows.XY[0, 1] == pytest.approx(0.97)


def test_isolux_lines_stand_at_the_limits(plan: Figure) -> None:
    lines = [one for one in map_of(plan).collections if isinstance(one, ContourSet)]
    drawn = {round(10.0 ** float(one.levels[0]), 6) for one in lines}
    assert {30.0, round(5.0 * LUX_PER_FOOT_CANDLE, 6)} <= drawn
    for one in lines:
        value = 10.0 ** float(one.levels[0])
        for path in one.get_paths():
            for x, y in path.vertices[:: max(len(path.vertices) // 5, 1)]:
                i, j = np.abs(TILTED.map.along_m - x).argmin(), np.abs(TILTED.map.left_m - y).argmin()
                near = TILTED.map.illuminance_lx("working", "night")[max(i - 1, 0) : i + 2, max(j - 1, 0) : j + 2]
                assert np.nanmin(near) <= value * 1.0001 and np.nanmax(near) >= value * 0.9999


def test_limits_keep_their_printed_unit_and_unconfirmed_ones_draw_no_line() -> None:
    found = {one.label: one.value_lx for one in limits_drawn(TILTED, NIGHT)}
    assert found == {"30 lx": 30.0, "5 fc = 53.8 lx": pytest.approx(5.0 * LUX_PER_FOOT_CANDLE)}


@pytest.mark.parametrize("change", [{"height_m": 0.9}, {"on": "deck"}, {"plane": "cylindrical"}])
def test_a_limit_of_an_area_off_the_ground_draws_no_line(change: dict[str, object]) -> None:
    areas = (replace(TILTED.areas[0], **change), *TILTED.areas[1:])  # type: ignore[arg-type]
    assert [one.label for one in limits_drawn(replace(TILTED, areas=areas), NIGHT)] == ["5 fc = 53.8 lx"]


@pytest.mark.parametrize("heading_deg", [0.0, 30.0, 90.0])
def test_values_of_an_area_stand_in_its_own_rows_and_columns(heading_deg: float) -> None:
    turn = attitude_axes(heading_deg, 0.0, 0.0)
    rear = TILTED.areas[0]
    lux = np.arange(100.0, 149.0)
    lux[9] = 7.0  # second row, third column
    entries = tuple(replace(entry, illuminance_lx=lux) for entry in rear.entries)
    turned = replace(rear, points_m=rear.points_m @ turn, outline_m=rear.outline_m @ turn, entries=entries)
    (sheet,) = area_sheets(RESULT, replace(TILTED, areas=(turned,)), NIGHT, lux_scale(RESULT))
    axes = next(one for one in sheet.axes if one.get_label() == "cells")
    left, right, bottom, top = axes.images[0].get_extent()
    assert (left, right, bottom, top) == (0, 7, 0, 7) and axes.images[0].get_array()[2, 1] == 7.0
    assert all(line.get_xydata().tolist() == [[1.5, 2.5]] for line in axes.lines)
    words = {line.text: (line.x_in, line.y_in) for line in sheet.writing.lines}
    assert words["148"][0] > words["100"][0] and words["148"][1] > words["100"][1]
    assert ("forward, from the corner [ft]" in words) == (heading_deg != 0.0) and ("along [ft]" in words) != (
        heading_deg != 0.0
    )
    assert ("−11" in words) == (heading_deg == 0.0) and ("10" in words) == (heading_deg != 0.0)
    assert png_bytes(sheet).startswith(b"\x89PNG")


def test_the_bar_of_ratios_says_when_the_map_goes_beyond_it() -> None:
    first, second = np.full(200, 10.0), np.full(200, 15.0)
    assert difference_scale(first, second).beyond == (False, False)
    second[0] = 500.0
    assert difference_scale(first, second) == DifferenceScale(2.0, beyond=(False, True))
    assert difference_scale(second, first).beyond == (True, False)


def test_one_scale_for_all_sheets() -> None:
    scale = lux_scale(RESULT)
    assert (scale.low_lx, scale.high_lx) == (0.1, 1000.0)
    limits = {
        axes.images[0].norm.vmax
        for _, sheet in comparison_sheets(RESULT, "flat", "tilted")
        for axes in sheet.axes
        if axes.get_label() == "map" and axes.images[0].cmap.name == "inferno"
    }
    assert limits == {1000.0}


@pytest.mark.parametrize("colours", ["inferno", "cividis"])
def test_the_scale_rises_in_grey_and_its_letters_stand_out(colours: str) -> None:
    scale = lux_scale(RESULT, colours)
    grey = [np.dot(scale.colour(value), (0.299, 0.587, 0.114)) for value in np.geomspace(0.1, 1000.0, 60)]
    assert np.all(np.diff(grey) > -1e-3) and grey[-1] - grey[0] > 0.6
    assert scale.text_colour(0.1) == "white" and scale.text_colour(1000.0) == "black"


def test_the_difference_scale_rises_in_grey_and_is_centred_at_equal() -> None:
    scale = DifferenceScale(10.0)
    grey = scale.colour_map(scale.norm(np.geomspace(0.1, 10.0, 41)))[:, :3] @ (0.299, 0.587, 0.114)
    assert np.all(np.diff(grey) > 0.0)
    assert scale.norm(1.0) == pytest.approx(0.5)
    ratio = scale.ratio(np.array([0.01, 0.01, 10.0, np.nan]), np.array([0.02, 10.0, 5.0, 1.0]))
    assert ratio == pytest.approx([np.nan, 100.0, 0.5, np.nan], nan_ok=True)


def test_unknown_colours_and_variants_are_refused() -> None:
    with pytest.raises(UsageError, match="inferno"):
        lux_scale(RESULT, "jet")
    with pytest.raises(UsageError, match="flat"):
        list(comparison_sheets(RESULT, "flat", "steep"))


def test_every_sheet_is_named_drawn_and_says_what_it_must() -> None:
    names = []
    for name, sheet in study_sheets(study_example(only="tilted", spacing_m=0.5)):
        names.append(name)
        text = "\n".join(one.text for one in sheet.writing.lines)
        assert RESULT.title in text and "INVENTED DEMONSTRATION DATA" in text and "Lamp data:" in text
        assert "Source: scenelux study of causeway-truck" in text
        assert all(word in text.replace("\n", " ") for word in " ".join(RESULT.cautions).split())
    assert len(names) == len(set(names))
    assert {"plan-tilted-working-night.png", "approach-tilted-night.png", "areas-tilted-working-night-1.png"} <= set(
        names
    )


def test_texts_of_a_sheet_do_not_overlap() -> None:
    for _, sheet in study_sheets(study_example(only="tilted", spacing_m=0.5)):
        lines = [one for one in sheet.writing.lines if one.text.strip()]
        for number, line in enumerate(lines):
            left, bottom, right, top = line.extent_in
            assert left >= 0.25 and right <= WIDTH_IN - 0.25 and bottom >= 0.2 and top <= HEIGHT_IN - 0.2, line
            for other in lines[number + 1 :]:
                near, low, far, high = other.extent_in
                over = min(right, far) - max(left, near), min(top, high) - max(bottom, low)
                assert not (over[0] > 0.01 and over[1] > 0.025), (sheet.get_label(), line, other)


def test_lines_are_drawn_where_they_are_said_to_stand() -> None:
    sheet = Sheet()
    put(sheet, 5.0, 4.0, "Hxg", 20.0, ha="center")
    put(sheet, 9.0, 4.0, "Hxg", 20.0, va="center", angle_deg=90.0)
    grey = matplotlib.image.imread(io.BytesIO(png_bytes(sheet))).sum(axis=2)
    for line in sheet.writing.lines:
        left, bottom, right, top = line.extent_in
        rows, columns = np.nonzero(grey[:, round((left - 0.5) * DPI) : round((right + 0.5) * DPI)] < 2.9)
        seen = (columns.min() / DPI + left - 0.5, HEIGHT_IN - rows.max() / DPI, columns.max() / DPI + left - 0.5)
        assert seen == pytest.approx((left, bottom, right), abs=0.05)
        assert HEIGHT_IN - rows.min() / DPI == pytest.approx(top, abs=0.05)


def test_labels_on_the_map_do_not_overlap(plan: Figure) -> None:
    png_bytes(plan)
    renderer = plan.canvas.get_renderer()  # type: ignore[attr-defined]
    boxes = [one.get_window_extent(renderer) for one in map_of(plan).texts]
    names = [one.get_text() for one in map_of(plan).texts]
    assert {"A Rear work area", "B, C Cone-drop strip", "30 lx", "truck", "Next lane →"} <= set(names)
    for number, box in enumerate(boxes):
        for other in boxes[number + 1 :]:
            assert not (min(box.x1, other.x1) > max(box.x0, other.x0) and min(box.y1, other.y1) > max(box.y0, other.y0))


def test_the_same_sheet_gives_the_same_bytes_without_a_date() -> None:
    def first() -> bytes:
        return png_bytes(plan_sheet(RESULT, TILTED, NIGHT, lux_scale(RESULT)))

    data = first()
    assert data == first()
    assert b"Software" not in data and b"matplotlib" not in data.lower()
    assert matplotlib.image.imread(io.BytesIO(data)).shape[:2] == (990, 1320)


def test_dollar_signs_and_long_titles_stay_letters() -> None:
    hostile = replace(RESULT, title="$5 lamp $x^2$ " + "very long " * 60)
    sheet = plan_sheet(hostile, TILTED, NIGHT, lux_scale(RESULT))
    png_bytes(sheet)
    title = sheet.writing.lines[0].text
    assert title.startswith("$5 lamp $x^2$") and title.endswith("…")


@pytest.mark.filterwarnings("error")
def test_letters_that_the_font_lacks_become_boxes_without_a_warning() -> None:
    odd = "工事車 \U0001f69b\ufe0f Straße"
    area = replace(TILTED.areas[0], name=odd)
    result = replace(RESULT, title=odd, variants=(replace(TILTED, say=odd, areas=(area,), eyes=()),))
    for _, sheet in study_sheets(result):
        assert any(line.text == "□□□ □ Straße" for line in sheet.writing.lines)
        sheet.savefig(io.BytesIO(), format="pdf")
        assert png_bytes(sheet)


def test_a_turned_body_is_drawn_turned() -> None:
    body = replace(TILTED.site.bodies[0], axes=attitude_axes(90.0), centre_m=(0.0, 0.0, 1.0), half_m=(3.0, 1.0, 1.0))
    outline = body_outline(body)
    assert outline.min(axis=0) == pytest.approx((-1.0, -3.0)) and outline.max(axis=0) == pytest.approx((1.0, 3.0))
    assert len(outline) == 4


def test_wrapped_lines_fit_and_keep_every_word() -> None:
    text = " ".join(RESULT.cautions)
    lines = wrap(text, 2.0, 7.0)
    assert " ".join(lines) == text
    assert max(text_width_in(line, 7.0) for line in lines) <= 2.0 + 1e-9


def test_nothing_lit_draws_no_plan_and_equal_levels_share_one() -> None:
    dark = replace(TILTED, map=replace(TILTED.map, levels={("off", "day"): np.zeros(4)}))
    assert levels_drawn([dark]) == []
    same = replace(TILTED, map=replace(TILTED.map, levels={key: np.ones(4) for key in TILTED.map.levels}))
    assert len(levels_drawn([same])) == 1 and len(levels_drawn([same])[0].same) == 3


def test_every_state_is_drawn_and_every_level_at_which_a_rule_is_judged() -> None:
    assert judged_lights([TILTED]) == ["night", "day"]
    drawn = [("working", "night"), ("working", "day"), ("blocking", "night")]
    assert [(one.state, one.light) for one in levels_drawn([TILTED])] == drawn
    night_only = replace(TILTED, verdicts=tuple(row for row in TILTED.verdicts if row.light == "night"))
    assert [one.light for one in levels_drawn([night_only]) if one.state == "working"] == ["night"]
    assert len(levels_drawn([TILTED], every_light=True)) == 4
    by_day = replace(TILTED, verdicts=tuple(row for row in TILTED.verdicts if row.light == "day"))
    assert judged_lights([by_day]) == ["day", "night"]
    unjudged = replace(TILTED, verdicts=())
    assert judged_lights([unjudged])[0] == "night"  # the darkest surroundings


def test_curves_are_drawn_for_the_judged_light_and_for_the_worst() -> None:
    assert approach_lights([TILTED]) == ["night", "day"]
    assert approach_lights([replace(TILTED, eyes=())]) == ["night"]


def test_limits_and_names_of_eyes_are_told_in_full() -> None:
    long_name = "Driver of a very long articulated lorry in the lane next to the vehicle, coming from behind"
    source = "veiling ratio 0.3 of the road luminance 0.1 cd/m2, as the scene's own criteria ask"
    eyes = tuple(
        replace(
            eye,
            name=long_name,
            entries=tuple(replace(one, veil_limit_cd_m2=0.5, veil_limit_from=source) for one in eye.entries),
        )
        for eye in TILTED.eyes
    )
    for _, sheet in approach_sheets(RESULT, replace(TILTED, eyes=eyes)):
        text = " ".join(line.text for line in sheet.writing.lines)
        assert f"limit 0.5 cd/m² ({source.replace('cd/m2', 'cd/m²')})" in text
        assert long_name in text and "…" not in text
        assert "threshold increment, equivalent [%]" in text


def test_lamps_that_are_on_stand_in_full_below_the_key(plan: Figure) -> None:
    text = [line.text for line in plan.writing.lines]  # type: ignore[attr-defined]
    assert "Lamps on: level, and aim on the vehicle" in text
    assert lamps_on(TILTED, NIGHT) and set(lamps_on(TILTED, NIGHT)) <= set(text)
    assert not any("continued" in line for line in text)


def test_a_comparison_leaves_out_what_is_the_same_in_both() -> None:
    names = [name for name, _ in comparison_sheets(RESULT, "flat", "tilted")]
    assert [name for name in names if name.startswith("pair")] == [
        "pair-flat-tilted-working-night.png",
        "pair-flat-tilted-working-day.png",
    ]
    alike = [name for name, _ in comparison_sheets(RESULT, "flat", "flat")]
    assert len(alike) == 1
