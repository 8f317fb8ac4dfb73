"""The state matrix on a sheet: circuits and their levels, least and average light, worst veil, current."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isinf, isnan

from scenelux.pictures.sheet import BODY, GREY, Box, Sheet, fill_box, new_sheet, put
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.study.results.dusk import DuskResult
from scenelux.study.results.matrix import MatrixRow
from scenelux.units import UnitSystem, figure, illuminance_unit, illuminance_value

__all__ = ["matrix_sheets"]

NAME_IN, LEAST_COLUMN_IN = 1.55, 0.4
HEAD_IN, LEGEND_IN = 0.62, 1.0
MOST_ROWS = 16
SUPPLY = ("current [A]", "left at idle [A]", "battery alone")
DARK = 0.01
"""Less light than this is told as less, in the unit of the sheet."""


@dataclass(frozen=True)
class _Column:
    """Head of a column and the lines of its cells; a level instead where it is a circuit."""

    group: str
    head: str
    level: bool = False


def matrix_sheets(result: DuskResult) -> Iterator[tuple[str, Sheet]]:
    """As many sheets as the rows need.

    Parameters
    ----------
    result : of the switching.
    """
    for start in range(0, len(result.matrix), MOST_ROWS):
        rows = result.matrix[start : start + MOST_ROWS]
        part = f"-{start // MOST_ROWS + 1}" if len(result.matrix) > MOST_ROWS else ""
        yield f"state-matrix{part}.png", _sheet(result, rows)


def _sheet(result: DuskResult, rows: Sequence[MatrixRow]) -> Sheet:
    unit = illuminance_unit(result.about.units)
    sheet = new_sheet(
        result.about,
        "State matrix",
        result.title,
        f"Least over average maintained light [{unit}]; worst initial veil of all gazes and stations [cd/m2]; "
        "current of all circuits and other loads [A]. Grey rows: the rules never make these levels",
        command="dusk",
    )
    columns = _columns(result)
    wide = (BODY.width - NAME_IN) / len(columns)
    tall = min(0.34, (BODY.height - HEAD_IN - LEGEND_IN) / len(rows))
    top = BODY.top - HEAD_IN
    _head(sheet, columns, wide)
    for number, row in enumerate(rows):
        _row(sheet, result, row, columns, Box(BODY.left, top - (number + 1) * tall, BODY.width, tall), wide)
    _legend(sheet, result, top - len(rows) * tall - 0.12)
    return sheet


def _columns(result: DuskResult) -> list[_Column]:
    """Circuits, areas, eyes and load, as many as fit; areas give way first."""
    first = result.matrix[0]
    circuits = [_Column("circuits", name, level=True) for name in first.levels]
    eyes = [_Column("worst veil", eye.eye_id) for eye in first.eyes]
    load = (
        [_Column("supply", name) for name in ("current [A]", "left at idle [A]", "battery alone")] if first.load else []
    )
    areas = [_Column("least / average light", area.area_id) for area in first.areas]
    room = int((BODY.width - NAME_IN) / LEAST_COLUMN_IN)
    areas = areas[: max(1, room - len(circuits) - len(eyes) - len(load))]
    return [*circuits, *areas, *eyes, *load][: max(room, 1)]


def _head(sheet: Sheet, columns: Sequence[_Column], wide: float) -> None:
    groups = list(dict.fromkeys(column.group for column in columns))
    put(sheet, BODY.left, BODY.top - 0.02, "Duty state, light level", 7, bold=True)
    for group in groups:
        mine = [at for at, column in enumerate(columns) if column.group == group]
        left = BODY.left + NAME_IN + mine[0] * wide
        put(sheet, left, BODY.top - 0.02, fit(group, len(mine) * wide, 7, True), 7, bold=True)
        fill_box(sheet, Box(left, BODY.top - 0.165, len(mine) * wide - 0.06, 0.008))
    for at, column in enumerate(columns):
        left = BODY.left + NAME_IN + at * wide
        for number, line in enumerate(_wrapped(column.head, wide - 0.04)[:4]):
            put(sheet, left, BODY.top - 0.2 - 0.095 * number, line, 6)
    fill_box(sheet, Box(BODY.left, BODY.top - HEAD_IN + 0.01, BODY.width, 0.01))


def _wrapped(text: str, width: float) -> list[str]:
    """Lines of a head; identifiers break at their hyphens, and words that are too long within."""
    words: list[str] = []
    for word in text.replace("-", "- ").split():
        rest = word
        while text_width_in(rest, 6) > width and len(rest) > 2:
            cut = next((at for at in range(len(rest) - 1, 1, -1) if text_width_in(f"{rest[:at]}-", 6) <= width), 1)
            words.append(f"{rest[:cut]}-")
            rest = rest[cut:]
        words.append(rest)
    return [line.replace("- ", "-") for line in wrap(" ".join(words), width, 6)]


def _row(sheet: Sheet, result: DuskResult, row: MatrixRow, columns: Sequence[_Column], box: Box, wide: float) -> None:
    if not row.reached:
        fill_box(sheet, box, facecolor="#e6e6e6", edgecolor="none", zorder=0.3)
    fill_box(sheet, Box(box.left, box.bottom, box.width, 0.009), facecolor=GREY, edgecolor="none")
    lines = wrap(row.name, NAME_IN - 0.08, 7, True)[:2]
    for number, line in enumerate(lines):
        put(sheet, box.left, box.top - 0.06 - 0.125 * number, line, 7, bold=True)
    cells = _cells(result, row)
    for at, column in enumerate(columns):
        left = box.left + NAME_IN + at * wide
        if column.level:
            _level(sheet, row.levels[column.head], Box(left, box.bottom, wide, box.height))
            continue
        for number, line in enumerate(cells[column.group, column.head]):
            put(sheet, left, box.top - 0.06 - 0.125 * number, fit(line, wide - 0.02, 7), 7, bold=number == 0)


def _level(sheet: Sheet, level: float, cell: Box) -> None:
    """A bar as long as the level, and its number."""
    room = cell.width - 0.1
    y = cell.bottom + 0.055
    fill_box(sheet, Box(cell.left, y, room, 0.07), facecolor="white", linewidth=0.4)
    if level > 0.0:
        fill_box(sheet, Box(cell.left, y, room * level, 0.07), facecolor="#3c3c3c", linewidth=0.4)
    words = f"{100.0 * level:.3g} %" if level > 0.0 else "off"
    put(sheet, cell.left, cell.top - 0.06, words, 7, color="black" if level > 0.0 else GREY)


def _cells(result: DuskResult, row: MatrixRow) -> dict[tuple[str, str], list[str]]:
    units = result.about.units
    found = {
        ("least / average light", area.area_id): [_lux(lux, units) for lux in (area.least_lx, area.average_lx)]
        for area in row.areas
    }
    found |= {("worst veil", eye.eye_id): [figure(eye.veil_cd_m2)] for eye in row.eyes}
    if row.load is not None:
        found["supply", "current [A]"] = [figure(row.load.current_a)]
        found["supply", "left at idle [A]"] = [f"{row.load.idle_spare_a:+.1f}"]
        found["supply", "battery alone"] = [_hours(row.load.battery_h)]
    return found


def _lux(lux: float, units: UnitSystem) -> str:
    value = illuminance_value(lux, units)
    return "none" if isnan(lux) else "<0.01" if 0.0 < value < DARK else figure(value)


def _hours(value: float) -> str:
    return "none" if isnan(value) else "endless" if isinf(value) else f"{value:.1f} h"


def _legend(sheet: Sheet, result: DuskResult, top: float) -> None:
    """Names behind the short heads, and how the rules shed load."""
    first = result.matrix[0]
    names = [f"{area.area_id}: {area.name}" for area in first.areas]
    names += [f"{eye.eye_id}: {eye.name}" for eye in first.eyes]
    shed = [f"{row.name} gives up {', '.join(row.load.shed)}" for row in result.matrix if row.load and row.load.shed]
    texts = ["; ".join(names) + "."]
    texts += [f"At idle the alternator does not carry all: {'; '.join(shed)}."] if shed else []
    texts += [f"Supply: {result.supply}."] if result.supply else []
    lines = [line for text in texts for line in wrap(text, BODY.width, 6.5)]
    room = max(1, int((top - BODY.bottom) / 0.12))
    for number, line in enumerate(lines[:room]):
        put(sheet, BODY.left, top - 0.12 * number, line, 6.5, color=GREY)
