"""The sheets of a driver's view: as it is seen, in false colour, and people by visibility with what it costs."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.frames import Ticks, bare_axes, draw_ticks
from scenelux.pictures.sheet import BODY, GREY, Box, Column, Sheet, new_sheet, put
from scenelux.pictures.text import fit, wrap
from scenelux.pictures.view.exposure import FALSE_COLOUR, Exposure, exposure_of, false_colour
from scenelux.pictures.view.facts import (
    caption,
    case_title,
    crew_line,
    difference_lines,
    eye_words,
    glare_line,
    level_lines,
    model_line,
    person_line,
)
from scenelux.pictures.view.panel import Part, draw_people, draw_picture, part_with_people, reduced, room_for
from scenelux.study.results import ViewCase, ViewFrame, ViewResult
from scenelux.units import figure

__all__ = ["sheets_of_view"]

Pixels = NDArray[np.uint8]
Picture = tuple[ViewCase, ViewFrame]
Show = Callable[[ViewFrame], Pixels]

TITLE_IN, GAP_IN, BAR_IN, FACTS_IN, LINE_IN = 0.26, 0.16, 0.75, 2.6, 0.13

FEW = 2
"""So many pictures are drawn twice on the sheet of people, without and with outlines."""

ROOM = Box(BODY.left, BODY.bottom + 0.2, BODY.width, BODY.height - 0.14)
"""For pictures and facts, above two lines of caption."""


def sheets_of_view(result: ViewResult, colours: str) -> Iterator[tuple[str, Sheet]]:
    """Every sheet with its file name; a picture of each case is on each of them.

    Parameters
    ----------
    result : the pictures.
    colours : "inferno" or "cividis".
    """
    exposure = exposure_of(result)
    for name in ("zoom", "wide"):
        pictures = [(case, frame) for case in result.cases for frame in case.frames if frame.name == name]
        if name == "zoom":
            yield "people.png", _people(result, pictures, exposure)
        yield f"seen-{name}.png", _seen(result, pictures, exposure, name)
        yield f"luminance-{name}.png", _luminance(result, pictures, colours, name)


def _people(result: ViewResult, pictures: list[Picture], exposure: Exposure) -> Sheet:
    """The sheet that a customer reads: people outlined by how well they are seen, and what a change costs."""
    sheet = _new(result, "People by visibility", pictures, exposure.words)
    left, facts = ROOM.cut_right(FACTS_IN, 0.25)
    frames = [frame for _, frame in pictures]
    people = {one.target_id for case, _ in pictures for one in case.targets if one.kind == "person"}
    part = part_with_people(frames, people)
    cells = _cells(left, pictures)
    if people and len(pictures) <= FEW:  # There is room to show them first without lines over them.
        above = left.cells(2, len(pictures), (GAP_IN, 0.0))
        cells = above[len(pictures) :]
        for cell, (case, frame) in zip(above, pictures, strict=False):
            box = _titled(sheet, cell, result, case, frame, _across(frame, part))
            draw_picture(sheet, box, frame, _grey(frame, exposure), part)
    for cell, (case, frame) in zip(cells, pictures, strict=True):
        lines = [person_line(one) for one in case.targets if one.kind == "person"]
        lines.append(glare_line(case, result.gaze))
        box = _titled(sheet, cell, result, case, frame, _across(frame, part), len(lines))
        draw_people(draw_picture(sheet, box, frame, _grey(frame, exposure), part), case, frame)
        for number, line in enumerate(lines):
            put(sheet, box.left, box.bottom - 0.06 - LINE_IN * number, fit(line, box.width, 7), 7)
    column, strip = facts.cut_bottom(0.45, 0.0)
    _write_facts(Column(sheet, column), result)
    _draw_strip(sheet, strip, exposure)
    return sheet


def _across(frame: ViewFrame, part: Part) -> str:
    share = part.width / frame.luminance_cd_m2.shape[1]
    if share == 1.0:
        return f"{frame.field_deg:g}° across"
    return f"{figure(share * frame.field_deg)}° of {frame.field_deg:g}° across"


def _seen(result: ViewResult, pictures: list[Picture], exposure: Exposure, name: str) -> Sheet:
    sheet = _new(result, f"As it is seen, {name}", pictures, exposure.words)
    room, bar = ROOM.cut_right(BAR_IN, 0.15)
    for cell, (case, frame) in zip(_cells(room, pictures), pictures, strict=True):
        box = _titled(sheet, cell, result, case, frame, f"{frame.field_deg:g}° across")
        draw_picture(sheet, box, frame, _grey(frame, exposure))
    _draw_bar(sheet, bar, exposure, exposure.grey)
    return sheet


def _luminance(result: ViewResult, pictures: list[Picture], colours: str, name: str) -> Sheet:
    scale = "false colour of luminance, one scale for every driver's view, log from 0.01 to 10 000 cd/m²"
    sheet = _new(result, f"Luminance, {name}", pictures, scale)
    room, bar = ROOM.cut_right(BAR_IN, 0.15)
    for cell, (case, frame) in zip(_cells(room, pictures), pictures, strict=True):
        box = _titled(sheet, cell, result, case, frame, f"{frame.field_deg:g}° across")
        draw_picture(sheet, box, frame, false_colour(_coarse(frame), colours))
    _draw_bar(sheet, bar, FALSE_COLOUR, lambda light: false_colour(light, colours))
    return sheet


def _new(result: ViewResult, what: str, pictures: list[Picture], quantity: str) -> Sheet:
    about = result.about
    lights = dict.fromkeys(about.lights.get(case.light) or case.light for case, _ in pictures)
    state = about.states.get(result.state) or result.state
    line = f"{state} · {' / '.join(lights)} · {eye_words(result)}"
    sheet = new_sheet(
        about, f"Driver's view · {what}", line, f"{quantity}; a visualisation, not evidence", None, "view"
    )
    for number, text in enumerate(wrap(caption(result), BODY.width, 6.5)[:2]):
        put(sheet, BODY.left, BODY.bottom + 0.1 - 0.12 * number, text, 6.5, color=GREY)
    return sheet


def _cells(room: Box, pictures: list[Picture]) -> list[Box]:
    """A column for each variant and a row for each light level; of one of them only, as large as they can be."""
    variants = list(dict.fromkeys(case.variant for case, _ in pictures))
    lights = list(dict.fromkeys(case.light for case, _ in pictures))
    count, shape = len(pictures), pictures[0][1].luminance_cd_m2.shape
    if len(variants) > 1 and len(lights) > 1:
        columns = len(variants)
    else:
        grids = {columns: room.cells(-(-count // columns), columns, (GAP_IN, 0.0)) for columns in range(1, count + 1)}
        wide = {one: min(grid[0].width, (grid[0].height - 0.8) * shape[1] / shape[0]) for one, grid in grids.items()}
        columns = max(wide, key=lambda one: wide[one])
    cells = room.cells(-(-count // columns), columns, (GAP_IN, 0.0))
    places = [lights.index(case.light) * len(variants) + variants.index(case.variant) for case, _ in pictures]
    return [cells[place] for place in places]


def _titled(
    sheet: Sheet, cell: Box, result: ViewResult, case: ViewCase, frame: ViewFrame, across: str, lines: int = 0
) -> Box:
    """Writes the title of a picture and says where the picture goes; lines of text have room below it."""
    inner = Box(
        cell.left, cell.bottom + LINE_IN * lines + 0.1, cell.width, cell.height - TITLE_IN - LINE_IN * lines - 0.1
    )
    box = room_for(frame, inner)
    put(sheet, box.left, box.top + 0.16, fit(case_title(result, case), box.width - 1.1, 8.5, True), 8.5, bold=True)
    put(sheet, box.right, box.top + 0.15, across, 6.5, ha="right", color=GREY)
    return box


def _coarse(frame: ViewFrame) -> NDArray[np.float64]:
    """Half as many pixels each way, where there are many: a sheet shows no more."""
    return reduced(frame.seen_cd_m2, 2 if frame.luminance_cd_m2.shape[1] > 900 else 1)


def _grey(frame: ViewFrame, exposure: Exposure) -> Pixels:
    return exposure.grey(_coarse(frame))


def _draw_bar(sheet: Sheet, room: Box, scale: Exposure, show: Callable[[NDArray[np.float64]], Pixels]) -> None:
    """The scale as a bar with its decades in cd/m2."""
    box = Box(room.left + 0.45, room.top - 3.6, 0.16, 3.3)
    axes = bare_axes(sheet, box)
    light = np.geomspace(scale.black_cd_m2, scale.white_cd_m2, 256)[:, None]
    pixels = show(light)
    shown = pixels if pixels.ndim == 3 else np.repeat(pixels[..., None], 3, axis=2)
    axes.imshow(shown, origin="lower", extent=(0, 1, 0, 1), aspect="auto", interpolation="nearest")
    draw_ticks(sheet, box, Ticks(()), Ticks(_decades(scale)))
    put(sheet, box.right, box.top + 0.2, "cd/m²", 7.5, bold=True, ha="right")


def _draw_strip(sheet: Sheet, room: Box, scale: Exposure) -> None:
    """The exposure as a flat bar."""
    box = Box(room.left + 0.05, room.bottom + 0.22, room.width - 0.3, 0.1)
    light = np.geomspace(scale.black_cd_m2, scale.white_cd_m2, 256)[None, :]
    shown = np.repeat(scale.grey(light)[..., None], 3, axis=2)
    bare_axes(sheet, box).imshow(shown, extent=(0, 1, 0, 1), aspect="auto", interpolation="nearest")
    draw_ticks(sheet, box, Ticks(_decades(scale)), Ticks(()))
    put(sheet, box.right + 0.03, box.bottom + 0.08, "cd/m²", 6.5)


def _decades(scale: Exposure) -> tuple[tuple[float, str], ...]:
    """Decades of a scale and where they stand on its bar, which is even in ratios."""
    low, high = np.log10(scale.black_cd_m2), np.log10(scale.white_cd_m2)
    powers = np.arange(np.ceil(low - 1e-9), np.floor(high + 1e-9) + 1.0)
    return tuple((float((power - low) / (high - low)), figure(float(10.0**power))) for power in powers)


def _write_facts(column: Column, result: ViewResult) -> None:
    lights = list(dict.fromkeys(case.light for case in result.cases))
    if len(result.cases) == 1:
        case = result.cases[0]
        column.line(case_title(result, case), 9, bold=True)
        column.line(glare_line(case, result.gaze), 7)
        for one in case.targets:
            column.line(person_line(one), 7)
        _write_areas(column, result, case)
    for light in lights:
        cases = [case for case in result.cases if case.light == light]
        for other in cases[1:]:
            column.line(f"{other.variant} against {cases[0].variant}, {light}", 8.5, bold=True)
            for line in difference_lines(result, cases[0], other):
                column.line(line, 7, indent=0.06)
            column.space()
    if any(one.kind == "person" for case in result.cases for one in case.targets):
        column.line("How people are outlined", 8, bold=True)
        for line in level_lines(result):
            column.line(line, 7)
    else:
        column.line("No person to outline.", 8, bold=True)
    column.space()
    for note in (model_line(result), *result.notes):
        column.line(note, 6, color=GREY)


def _write_areas(column: Column, result: ViewResult, case: ViewCase) -> None:
    column.space()
    column.line("Light for the crew, maintained", 8, bold=True)
    for area in case.areas:
        column.line(crew_line(area, result.about.units), 7)
    column.space()
