"""The values of every area of a variant, printed cell by cell, with the weakest point ringed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, NullLocator
from numpy.typing import NDArray

from scenelux.pictures.facts import area_tags, entry_of, plane_text, say_level
from scenelux.pictures.levels import Level
from scenelux.pictures.scale import LuxScale
from scenelux.pictures.sheet import BODY, FAMILY, Box, add_axes, fit, new_sheet, put, text_width_in
from scenelux.pictures.words import figure, illuminance, lux_figure, variant_title
from scenelux.study.results import AreaResult, StudyResult, VariantResult
from scenelux.units import FOOT_M, UnitSystem

__all__ = ["area_sheets"]

Array = NDArray[np.float64]

_PER_SHEET = 4


def _judged_first(variant: VariantResult, areas: list[AreaResult]) -> list[AreaResult]:
    """Areas that rules judge, then the others, each in the order of the scene."""
    judged = {row.subject for row in variant.verdicts}
    return sorted(areas, key=lambda area: area.area_id not in judged)


def area_sheets(
    result: StudyResult, variant: VariantResult, level: Level, scale: LuxScale, *, every_area: bool = False
) -> Iterator[Figure]:
    """Sheets with the values of up to four areas each.

    Parameters
    ----------
    result : the study.
    variant, level : what is drawn.
    scale : the lux scale of the whole study.
    every_area : as many sheets as needed, not one with the areas that rules judge first.
    """
    areas = [one for one in variant.areas if entry_of(one, (level.state, level.light)) is not None]
    areas = areas if every_area else _judged_first(variant, areas)[:_PER_SHEET]
    for start in range(0, len(areas), _PER_SHEET):
        sheet = new_sheet(
            result,
            f"Values in the areas · {variant_title(result, variant)}",
            say_level(result, level),
            "Illuminance in lux on the plane named at each area, maintained (with light loss factors); "
            "ring: weakest point; of many rows or columns every second is printed; forward to the right, left up",
            variant,
        )
        chosen = areas[start : start + _PER_SHEET]
        rows, columns = (1 if len(chosen) < 3 else 2), min(len(chosen), 2)
        room = Box(BODY.left + 0.35, BODY.bottom, BODY.width - 0.35, BODY.height)
        for box, area in zip(room.cells(rows, columns, (0.6, 0.15)), chosen, strict=False):
            _draw_area(sheet, box, area, area_tags(variant)[area.area_id], level, scale, result.units)
        yield sheet


def _draw_area(
    sheet: Figure, box: Box, area: AreaResult, tag: str, level: Level, scale: LuxScale, units: UnitSystem
) -> None:
    index = entry_of(area, (level.state, level.light))
    entry = area.entries[0 if index is None else index]
    head = f"{tag}  {area.name}"
    put(sheet, box.left, box.top, fit(head, box.width, 8.5, True), 8.5, bold=True)
    put(sheet, box.left, box.top - 0.17, fit(plane_text(area, units), box.width, 7), 7)
    found = entry.maintained
    words = (
        f"min {lux_figure(found.minimum)}, average {lux_figure(found.average)}, "
        f"max {illuminance(found.maximum, units)}, "
        f"min/average {figure(found.uniformity)}, {found.valid_points} of {found.all_points} points"
    )
    put(sheet, box.left, box.top - 0.31, fit(words, box.width, 7), 7)
    _draw_cells(
        sheet,
        Box(box.left, box.bottom + 0.36, box.width, box.height - 0.5 - 0.36),
        area,
        entry.illuminance_lx,
        scale,
        units,
    )


def _draw_cells(sheet: Figure, room: Box, area: AreaResult, lux: Array, scale: LuxScale, units: UnitSystem) -> None:
    (rows, columns), (step_a, step_b) = area.grid_shape, area.cell_m
    per_m = min(room.width / (rows * step_a), room.height / (columns * step_b))
    box = Box(room.left, room.top - per_m * columns * step_b, per_m * rows * step_a, per_m * columns * step_b)
    axes = add_axes(sheet, box)
    grid = lux.reshape(rows, columns)
    corner = area.points_m[0, :2] - np.array(area.cell_m) / 2
    low_a, low_b = (float(value) for value in corner)
    extent = (low_a, low_a + rows * step_a, low_b, low_b + columns * step_b)
    axes.imshow(
        grid.T,
        origin="lower",
        extent=extent,
        norm=scale.norm,
        cmap=scale.colour_map,
        interpolation="nearest",
        aspect="auto",
    )
    axes.set_facecolor("#c8c8c8")
    _set_ticks(axes, extent, units)
    # A number may reach into the cells beside it that print none, but not out of the grid.
    wide = (1.3 if _step(rows) > 1 else 1.0) * per_m * step_a / text_width_in("8888", 1.0)
    size = min(7.0, 72 * 0.55 * _step(columns) * per_m * step_b, 0.9 * wide)
    if size >= 3.2:
        _print_values(axes, area, lux, scale, size)
    worst = int(np.nanargmin(lux)) if np.isfinite(lux).any() else None
    if worst is not None:
        ring = min(step_a, step_b) * per_m * 72 * 1.15
        for colour, width in (("black", 2.6), ("white", 1.2)):
            axes.plot(*area.points_m[worst, :2], "o", ms=ring, mfc="none", mec=colour, mew=width, clip_on=False)


def _step(count: int) -> int:
    """Print every cell of up to fourteen, every second of more: smaller letters could not be read."""
    return 1 if count <= 14 else 2


def _print_values(axes: Axes, area: AreaResult, lux: Array, scale: LuxScale, size: float) -> None:
    rows, columns = area.grid_shape
    for number, ((along, left, _), value) in enumerate(zip(area.points_m.tolist(), lux.tolist(), strict=True)):
        shown = (number // columns) % _step(rows) == 0 and (number % columns) % _step(columns) == 0
        if shown and np.isfinite(value):
            text = figure(value) if value >= 10.0 else f"{value:.2g}"
            axes.text(
                along,
                left,
                text,
                fontsize=size,
                family=FAMILY,
                ha="center",
                va="center",
                color=scale.text_colour(value),
            )


def _set_ticks(axes: Axes, extent: tuple[float, float, float, float], units: UnitSystem) -> None:
    unit_m, unit = (FOOT_M, "ft") if units == "us" else (1.0, "m")
    for axis, low, high, name in (
        (axes.xaxis, extent[0], extent[1], "along"),
        (axes.yaxis, extent[2], extent[3], "left"),
    ):
        ends = sorted({low, high, *([0.0] if low < 0.0 < high else [])})
        axis.set_major_locator(FixedLocator(ends))
        axis.set_ticklabels([f"{round(end / unit_m, 2) + 0.0:g}".replace("-", "−") for end in ends])
        axis.set_minor_locator(NullLocator())
        axis.set_label_text(f"{name} [{unit}]", fontsize=7, family=FAMILY)
        axis.labelpad = 1.0
