"""The sheet that a customer reads: the result in a sentence, people outlined by visibility, and what a change costs."""

from __future__ import annotations

import math

import numpy as np

from scenelux.pictures.frames import bare_axes
from scenelux.pictures.sheet import BODY, GREY, Box, Column, Sheet, fill_box, put
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.pictures.view.exposure import Exposure
from scenelux.pictures.view.facts import (
    case_title,
    crew_line,
    difference_lines,
    glare_line,
    level_lines,
    model_line,
    person_line,
)
from scenelux.pictures.view.headline import headlines, people_alike
from scenelux.pictures.view.layout import (
    GAP_IN,
    LINE_IN,
    ROOM,
    TITLE_IN,
    Picture,
    cells,
    grey,
    titled,
    view_sheet,
)
from scenelux.pictures.view.panel import Part, draw_people, draw_picture, part_with_people
from scenelux.study.results import ViewCase, ViewFrame, ViewResult
from scenelux.units import figure

__all__ = ["people_sheet"]

FEET_IN = 1.72
"""Least height below the large pictures, for small pictures and facts."""

STRIP_IN = 1.6
"""Length of the bar of the exposure."""

BESIDE_IN = 2.6
"""Width of the facts beside a single picture."""

FACTS_IN = 4.0
"""Least width of the facts beside small pictures."""

MOST_LINES = 4
"""People who are told below a picture; all of them are in the results."""

FEW = 3
"""So many pictures of one light level are drawn twice, large with outlines and small without."""


def people_sheet(result: ViewResult, pictures: list[Picture], exposure: Exposure) -> Sheet:
    """The pictures of the darkest light level large, the others small, and the facts beside these.

    Parameters
    ----------
    result : the pictures.
    pictures : one frame of each case.
    exposure : of all of them.
    """
    sheet = view_sheet(result, "People by visibility", pictures, exposure.words)
    people = {one.target_id for case, _ in pictures for one in case.targets if one.kind == "person"}
    part = part_with_people([frame for _, frame in pictures], people)
    large, small = _shared_out(pictures, bool(people))
    top = _write_headlines(sheet, result)
    room = Box(ROOM.left, ROOM.bottom, ROOM.width, top - ROOM.bottom)
    if len(large) == 1:
        room, facts = room.cut_right(BESIDE_IN, 0.25)
        _draw_large(sheet, room, result, large, part, exposure)
        column = Column(sheet, facts)
        _write_changes(column, result, [large[0][0]])
        _write_reading(column, result)
    else:
        upper = Box(room.left, room.bottom + FEET_IN, room.width, room.height - FEET_IN)
        lowest = _draw_large(sheet, upper, result, large, part, exposure)
        foot = Box(room.left, room.bottom, room.width, lowest - room.bottom)
        right = _draw_small(sheet, foot, result, large, small, part, exposure)
        _draw_facts(sheet, Box(right, foot.bottom, foot.right - right, foot.height), result, large)
    _draw_strip(sheet, exposure)
    return sheet


def _shared_out(pictures: list[Picture], outlines: bool) -> tuple[list[Picture], list[Picture]]:
    """Large pictures, and small ones: those of lighter levels, else the same again for a view without outlines."""
    variants = {case.variant for case, _ in pictures}
    lights = {case.light: case.ambient_lx for case, _ in pictures}
    if len(variants) > 1 and len(lights) > 1:
        darkest = min(lights, key=lambda light: lights[light])
        return (
            [picture for picture in pictures if picture[0].light == darkest],
            [picture for picture in pictures if picture[0].light != darkest],
        )
    again = outlines and len(lights) == 1 and 1 < len(pictures) <= FEW
    return pictures, pictures if again else []


def _write_headlines(sheet: Sheet, result: ViewResult) -> float:
    """The result in the largest letters in which it takes few lines; how far down it reaches [in]."""
    for size in (11.0, 10.0, 9.0, 8.0, 7.0):
        lines = [wrap(text, ROOM.width, size, True) for text in headlines(result)]
        if sum(map(len, lines)) * size <= 4 * 9.0:
            break
    y = ROOM.top - 0.06
    for rows in lines:
        for row in rows:
            put(sheet, ROOM.left, y, row, size, bold=True)
            y -= 1.32 * size / 72
        y -= 0.03
    return y


def _draw_large(
    sheet: Sheet, room: Box, result: ViewResult, pictures: list[Picture], part: Part, exposure: Exposure
) -> float:
    """Pictures with people outlined, who is seen and a bar of the glare below each; where they end [in]."""
    most = max((case.veil_cd_m2 for case, _ in pictures if math.isfinite(case.veil_cd_m2)), default=0.0)
    lowest, aside = room.top, max(text_width_in(glare_line(case, result.gaze), 7) for case, _ in pictures) + 0.12
    for cell, (case, frame) in zip(cells(room, pictures), pictures, strict=True):
        lines = _people_lines(case)
        box = titled(sheet, cell, result, (case, frame), _across(frame, part), len(lines) + 1)
        draw_people(draw_picture(sheet, box, frame, grey(frame, exposure), part), case, frame, 7.5)
        for number, line in enumerate(lines):
            put(sheet, box.left, box.bottom - 0.06 - LINE_IN * number, fit(line, box.width, 7), 7)
        y = box.bottom - 0.06 - LINE_IN * len(lines)
        _draw_glare(sheet, box, y, aside, case, result.gaze, most if len(pictures) > 1 else 0.0)
        lowest = min(lowest, y - LINE_IN)
    return lowest - 0.1


def _people_lines(case: ViewCase) -> list[str]:
    lines = [person_line(one) for one in case.targets if one.kind == "person"]
    if len(lines) <= MOST_LINES:
        return lines
    return [*lines[: MOST_LINES - 1], f"{len(lines) - MOST_LINES + 1} more people, in the results"]


def _draw_glare(sheet: Sheet, box: Box, y: float, aside: float, case: ViewCase, gaze: str, most: float) -> None:
    """The glare in words, and as a bar beside the words whose length goes with the veil of all large pictures."""
    put(sheet, box.left, y, fit(glare_line(case, gaze), box.width, 7), 7)
    room = box.width - aside
    if room > 0.5 and most > 0.0 and math.isfinite(case.veil_cd_m2):
        bar = Box(box.left + aside, y - 0.085, room * case.veil_cd_m2 / most, 0.08)
        fill_box(sheet, bar, facecolor=GREY, linewidth=0)


def _draw_small(
    sheet: Sheet,
    room: Box,
    result: ViewResult,
    large: list[Picture],
    small: list[Picture],
    part: Part,
    exposure: Exposure,
) -> float:
    """Small pictures in a row, a word below each; where the facts may begin [in]."""
    if not small:
        return room.left
    again = small == large
    shape = small[0][1].luminance_cd_m2.shape
    high = room.height - TITLE_IN - 2 * LINE_IN - 0.1
    wide = min(high * shape[1] / shape[0], (room.width - FACTS_IN) / len(small) - GAP_IN)
    left = room.left
    for case, frame in small:
        cell = Box(left, room.bottom, wide, room.height)
        box = titled(sheet, cell, result, (case, frame), "", 2, 7.0)
        axes = draw_picture(sheet, box, frame, grey(frame, exposure), part)
        if not again:
            draw_people(axes, case, frame, None)
        lines = (
            ["without outlines"]
            if again
            else _small_lines(case, next(one for one, _ in small if one.light == case.light))
        )
        for number, line in enumerate(lines):
            put(sheet, box.left, box.bottom - 0.05 - 0.115 * number, fit(line, wide, 6.5), 6.5)
        left += wide + GAP_IN
    return left + 0.1


def _small_lines(case: ViewCase, first: ViewCase) -> list[str]:
    """Who is seen, or that it is as before; and the glare."""
    veil = f"veil {figure(case.veil_cd_m2)} cd/m²"
    if case is not first and people_alike(first, case):
        return [f"people seen as in {first.variant}", veil]
    words = [one.sighting for one in case.targets if one.kind == "person"]
    return [", ".join(f"{words.count(word)} {word}" for word in dict.fromkeys(words)) or "nobody in sight", veil]


def _across(frame: ViewFrame, part: Part) -> str:
    share = part.width / frame.luminance_cd_m2.shape[1]
    if share == 1.0:
        return f"{frame.field_deg:g}° across"
    return f"{figure(share * frame.field_deg)}° of {frame.field_deg:g}° across"


def _draw_facts(sheet: Sheet, room: Box, result: ViewResult, large: list[Picture]) -> None:
    """What a change brings and costs, and beside it how to read the sheet."""
    width = (room.width - 0.2) / 2
    _write_changes(Column(sheet, Box(room.left, room.bottom, width, room.height)), result, [case for case, _ in large])
    column = Column(sheet, Box(room.left + width + 0.2, room.bottom - 0.1, width, room.height + 0.1))
    _write_reading(column, result)


def _write_reading(column: Column, result: ViewResult) -> None:
    """How to read the outlines, and how far the model goes."""
    if any(one.kind == "person" for case in result.cases for one in case.targets):
        column.line("How people are outlined", 7.5, bold=True)
        for line in level_lines(result):
            column.line(line, 6)
    else:
        column.line("No person to outline.", 7.5, bold=True)
    for note in (model_line(result), *result.notes):
        column.line(note, 6, color=GREY)


def _write_changes(column: Column, result: ViewResult, cases: list[ViewCase]) -> None:
    """Every later case against the first at its light level; of one variant alone the light for the crew."""
    for light in dict.fromkeys(case.light for case in cases):
        first, *others = [case for case in cases if case.light == light]
        for other in others:
            column.line(f"{other.variant} against {first.variant}, {light}", 7.5, bold=True)
            for line in difference_lines(result, first, other):
                column.line(line, 6.5)
            column.space(0.04)
        if not others:
            column.line(f"Light for the crew, maintained · {case_title(result, first)}", 7.5, bold=True)
            for area in first.areas:
                column.line(crew_line(area, result.about.units), 6.5)
            column.space(0.04)


def _draw_strip(sheet: Sheet, scale: Exposure) -> None:
    """The exposure as a flat bar between its ends, beside the line that tells it."""
    low, high = figure(scale.black_cd_m2), f"{figure(scale.white_cd_m2)} cd/m²"
    box = Box(ROOM.right - text_width_in(high, 6.5) - 0.06 - STRIP_IN, BODY.top + 0.12, STRIP_IN, 0.1)
    light = np.geomspace(scale.black_cd_m2, scale.white_cd_m2, 256)[None, :]
    shown = np.repeat(scale.grey(light)[..., None], 3, axis=2)
    bare_axes(sheet, box).imshow(shown, extent=(0, 1, 0, 1), aspect="auto", interpolation="nearest")
    put(sheet, box.left - 0.05, box.bottom + 0.05, low, 6.5, ha="right", va="center")
    put(sheet, box.right + 0.05, box.bottom + 0.05, high, 6.5, va="center")
