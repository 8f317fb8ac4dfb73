"""Two variants on one sheet and one scale, with the map of their ratio and the difference in words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from scenelux.pictures.facts import limits_drawn, say_level
from scenelux.pictures.figures import draw_figures, key_rows
from scenelux.pictures.labels import FreeSpace, along_paths, paths_of
from scenelux.pictures.levels import Level
from scenelux.pictures.margins import draw_difference_bar, draw_lux_bar, draw_scale_bar, draw_travel, ratio_text
from scenelux.pictures.plan import QUANTITY, draw_ground, map_axes, map_box, map_extent, plan_map
from scenelux.pictures.scale import DifferenceScale, LuxScale, difference_scale
from scenelux.pictures.sheet import BODY, Box, Column, Sheet, new_sheet, put
from scenelux.pictures.site import draw_areas, draw_vehicles, halo, label
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.pictures.words import variant_title
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["pair_sheet", "same_grid"]

Array = NDArray[np.float64]

_KEY_ROW_IN = 0.12
_SMALLER = 0.68
"""Width of the map of the ratio against the maps above it, so that the sentences have room."""


def same_grid(first: VariantResult, second: VariantResult) -> bool:
    """True when two variants have their maps on the same points, so that a ratio can be drawn."""
    a, b = first.map, second.map
    return (
        a.along_m.shape == b.along_m.shape
        and a.left_m.shape == b.left_m.shape
        and bool(np.allclose(a.along_m, b.along_m) and np.allclose(a.left_m, b.left_m))
    )


def pair_sheet(
    result: StudyResult,
    first: VariantResult,
    second: VariantResult,
    level: Level,
    scale: LuxScale,
    sentences: Sequence[str],
) -> Sheet:
    """Two plans side by side, their ratio, and sentences on what differs.

    Parameters
    ----------
    result : the study.
    first, second : the variants; the ratio is second over first.
    level : what is drawn.
    scale : the lux scale of the whole study.
    sentences : what differs, in words.
    """
    sheet = new_sheet(
        result,
        f"Light on the ground · {first.name} and {second.name}",
        say_level(result, level),
        QUANTITY,
    )
    wide = Box(BODY.left + 0.42, BODY.bottom + 0.5, BODY.width - 0.42 - 0.75, BODY.height - 0.5)
    cells = wide.cells(2, 2, (0.55, 0.1))
    rooms = [Box(cell.left, cell.bottom + 0.36, cell.width, cell.height - 0.36 - 0.2) for cell in cells]
    for room, variant in zip(rooms[:2], (first, second), strict=True):
        drawn, _ = plan_map(sheet, room, result, variant, level, scale, small=True)
        title = fit(variant_title(result, variant), drawn.width, 8.5, True)
        put(sheet, drawn.left, drawn.top + 0.17, title, 8.5, bold=True)
    by_value = {one.value_lx: one for variant in (first, second) for one in limits_drawn(variant, level)}
    limits = [by_value[value] for value in sorted(by_value)]
    bar = Box(wide.right + 0.4, drawn.bottom, 0.16, drawn.height - 0.2)
    draw_lux_bar(sheet, bar, scale, result.units, limits)
    top = drawn.bottom - 0.38
    if same_grid(first, second):
        drawn = _draw_ratio(sheet, rooms[2], result, first, second, level)
        left = drawn.right + 0.66  # beside the bar of ratios
    else:
        put(sheet, rooms[2].left, rooms[2].top, "The maps cover different ground, so no ratio is drawn.", 8)
        left = rooms[2].right
    left += 0.2
    _write_sentences(sheet, Box(left, BODY.bottom - 0.06, BODY.right - left, top - BODY.bottom + 0.06), sentences)
    return sheet


def _key(first: VariantResult, second: VariantResult, level: Level, scale: DifferenceScale) -> list[str]:
    """What white and the lines of the map of the ratio mean, and the signs of all maps, each once."""
    white = f"White: both below {scale.floor_lx:g} lx; a value below that counts as {scale.floor_lx:g} lx."
    rows = [row for one in (first, second) for row in key_rows(one, level, map_extent(one.map))]
    return [white, "Solid lines: brighter, dashed: darker.", *dict.fromkeys(rows)]


def _draw_ratio(
    sheet: Sheet,
    room: Box,
    result: StudyResult,
    first: VariantResult,
    second: VariantResult,
    level: Level,
) -> Box:
    """The map of the ratio with what belongs to it; where it came to lie."""
    before, after = (one.map.illuminance_lx(level.state, level.light) for one in (first, second))
    scale = difference_scale(before, after)
    rows = [row for text in _key(first, second, level, scale) for row in wrap(text, _SMALLER * room.width + 0.6, 6)]
    foot = _KEY_ROW_IN * (len(rows) - 1)
    room = Box(room.left, room.bottom + foot, _SMALLER * room.width, room.height - foot)
    drawn, per_m = map_box(room, first.map)
    axes, space = map_axes(sheet, drawn, first.map, result.units)
    axes.set_facecolor("white")
    ratio = scale.ratio(before, after)
    draw_ground(axes, first.map, ratio, scale)
    draw_vehicles(axes, second, space)
    draw_figures(axes, second, per_m, space)
    draw_areas(axes, second, per_m, space, 6.0, letters=True)
    _draw_steps(axes, first, ratio, scale, per_m, space)
    title = f"{second.name} against {first.name}: how many times the light"
    put(sheet, drawn.left, drawn.top + 0.17, fit(title, drawn.width + 0.66, 8.5, True), 8.5, bold=True)
    for number, row in enumerate(rows):
        put(sheet, drawn.left, drawn.bottom - 0.38 - _KEY_ROW_IN * number, row, 6)
    draw_difference_bar(sheet, Box(drawn.right + 0.52, drawn.bottom, 0.14, drawn.height), scale)
    draw_scale_bar(sheet, drawn.left, drawn.bottom - foot - 0.62, per_m, 1.2)
    draw_travel(sheet, drawn.left + 1.9, drawn.bottom - foot - 0.72)
    return drawn


def _draw_steps(
    axes: Axes, variant: VariantResult, ratio: Array, scale: DifferenceScale, per_m: float, space: FreeSpace
) -> None:
    """Lines of equal ratio, told apart without colour."""
    height = np.log10(ratio.T)
    finite = height[np.isfinite(height)]
    for step in scale.steps:
        place = float(np.log10(step))
        if not finite.size or not finite.min() < place < finite.max():
            continue
        lines = axes.contour(
            variant.map.along_m,
            variant.map.left_m,
            height,
            levels=[place],
            colors=["black"],
            linewidths=0.8,
            linestyles="solid" if step > 1.0 else "dashed",
            zorder=3,
        )
        text = ratio_text(step)
        width, tall = text_width_in(text, 6.0) / per_m + 0.2, 1.45 * 6.0 / 72 / per_m
        found = space.place(along_paths(paths_of(lines)), width, tall)
        if found:
            label(axes, *found, text, 6.0, path_effects=halo(1.6, "white"), color="black")


def _write_sentences(sheet: Sheet, box: Box, sentences: Sequence[str]) -> None:
    """The sentences in the largest letters in which all of them fit."""
    for size in (7.5, 7.0, 6.5, 6.0):
        count = sum(len(wrap(sentence, box.width, size)) for sentence in sentences)
        if 0.2 + 0.025 * len(sentences) + (count + 1) * size * 1.35 / 72 < box.height:
            break
    column = Column(sheet, box)
    column.line("What differs", 9, bold=True)
    for sentence in sentences:
        column.space(0.025)
        column.line(sentence, size)
