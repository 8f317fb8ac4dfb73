"""The values of every area of a variant, printed cell by cell, with the weakest point ringed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.facts import area_tags, entry_of, say_level
from scenelux.pictures.frames import Ticks, bare_axes, draw_ticks, signed
from scenelux.pictures.levels import Level
from scenelux.pictures.scale import LuxScale
from scenelux.pictures.sheet import BODY, Box, Sheet, new_sheet, put
from scenelux.pictures.text import fit, text_width_in
from scenelux.pictures.words import illuminance, lux_figure, plane_text, variant_title
from scenelux.study.results import AreaResult, StudyResult, VariantResult
from scenelux.units import FOOT_M, UnitSystem, figure

__all__ = ["area_sheets"]

Array = NDArray[np.float64]

_PER_SHEET = 4


def _judged_first(variant: VariantResult, areas: list[AreaResult]) -> list[AreaResult]:
    """Areas that rules judge, then the others, each in the order of the scene."""
    judged = {row.subject for row in variant.verdicts}
    return sorted(areas, key=lambda area: area.area_id not in judged)


def area_sheets(
    result: StudyResult, variant: VariantResult, level: Level, scale: LuxScale, *, every_area: bool = False
) -> Iterator[Sheet]:
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
            "ring: weakest point; of many rows or columns every second is printed; area forward to the right, left up",
            variant,
        )
        chosen = areas[start : start + _PER_SHEET]
        rows, columns = (1 if len(chosen) < 3 else 2), min(len(chosen), 2)
        room = Box(BODY.left + 0.35, BODY.bottom, BODY.width - 0.35, BODY.height)
        for box, area in zip(room.cells(rows, columns, (0.6, 0.15)), chosen, strict=False):
            _draw_area(sheet, box, area, area_tags(variant)[area.area_id], level, scale, result.units)
        yield sheet


def _draw_area(
    sheet: Sheet, box: Box, area: AreaResult, tag: str, level: Level, scale: LuxScale, units: UnitSystem
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


def _draw_cells(sheet: Sheet, room: Box, area: AreaResult, lux: Array, scale: LuxScale, units: UnitSystem) -> None:
    (rows, columns), (step_a, step_b) = area.grid_shape, area.cell_m
    per_m = min(room.width / (rows * step_a), room.height / (columns * step_b))
    box = Box(room.left, room.top - per_m * columns * step_b, per_m * rows * step_a, per_m * columns * step_b)
    axes = bare_axes(sheet, box)
    axes.imshow(
        lux.reshape(rows, columns).T,
        origin="lower",
        extent=(0, rows, 0, columns),
        norm=scale.norm,
        cmap=scale.colour_map,
        interpolation="nearest",
        aspect="auto",
    )
    axes.set_facecolor("#c8c8c8")
    axes.set(xlim=(0, rows), ylim=(0, columns), label="cells")
    draw_ticks(sheet, box, *_sides(area, units))
    # A number may reach into the cells beside it that print none, but not out of the grid.
    wide = (1.3 if _step(rows) > 1 else 1.0) * per_m * step_a / text_width_in("8888", 1.0)
    size = min(7.0, 72 * 0.55 * _step(columns) * per_m * step_b, 0.9 * wide)
    if size >= 3.2:
        _print_values(sheet, box, area, lux, scale, size)
    worst = int(np.nanargmin(lux)) if np.isfinite(lux).any() else None
    if worst is not None:
        row, column = divmod(worst, columns)
        ring = min(step_a, step_b) * per_m * 72 * 1.15
        for colour, width in (("black", 2.6), ("white", 1.2)):
            axes.plot(row + 0.5, column + 0.5, "o", ms=ring, mfc="none", mec=colour, mew=width, clip_on=False)


def _step(count: int) -> int:
    """Print every cell of up to fourteen, every second of more: smaller letters could not be read."""
    return 1 if count <= 14 else 2


def _print_values(sheet: Sheet, box: Box, area: AreaResult, lux: Array, scale: LuxScale, size: float) -> None:
    """The value of each cell at its centre; the first cell lies at the lower left."""
    rows, columns = area.grid_shape
    for number, value in enumerate(lux.tolist()):
        row, column = divmod(number, columns)
        if row % _step(rows) == 0 and column % _step(columns) == 0 and np.isfinite(value):
            text = figure(value) if value >= 10.0 else f"{value:.2g}"
            x, y = box.left + (row + 0.5) * box.width / rows, box.bottom + (column + 0.5) * box.height / columns
            put(sheet, x, y, text, size, ha="center", va="center", color=scale.text_colour(value))


def _sides(area: AreaResult, units: UnitSystem) -> tuple[Ticks, Ticks]:
    """Places on the site where rows lie along it; distances from the first corner for an area on a turned vehicle."""
    sizes = [count * step for count, step in zip(area.grid_shape, area.cell_m, strict=True)]
    if _is_turned(area):
        return _side((0.0, sizes[0]), "forward, from the corner", units), _side((0.0, sizes[1]), "left", units)
    low_a, low_b = (float(at - step / 2) for at, step in zip(area.points_m[0, :2], area.cell_m, strict=True))
    return _side((low_a, low_a + sizes[0]), "along", units), _side((low_b, low_b + sizes[1]), "left", units)


def _is_turned(area: AreaResult) -> bool:
    """True when the rows do not run along the site, or when a single cell cannot tell."""
    first, (rows, columns) = area.points_m[0], area.grid_shape
    forward = area.points_m[-columns] - first if rows > 1 else np.zeros(3)
    left = area.points_m[columns - 1] - first if columns > 1 else np.zeros(3)
    straight = abs(forward[1]) < 1e-6 and abs(left[0]) < 1e-6 and forward[0] >= 0.0 and left[1] >= 0.0
    return rows * columns == 1 or not straight


def _side(ends_m: tuple[float, float], name: str, units: UnitSystem) -> Ticks:
    """Both ends of a side, and the origin when it lies between them."""
    unit_m, unit = (FOOT_M, "ft") if units == "us" else (1.0, "m")
    low, high = ends_m
    places = sorted({low, high, *([0.0] if low < 0.0 < high else [])})
    marks = tuple(((place - low) / (high - low), signed(round(place / unit_m, 2) + 0.0)) for place in places)
    return Ticks(marks, f"{name} [{unit}]")
