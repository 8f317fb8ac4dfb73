"""Where pictures of a driver's view go on a sheet, and what is written at each of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.sheet import BODY, GREY, Box, Sheet, new_sheet, put
from scenelux.pictures.text import fit, wrap
from scenelux.pictures.view.exposure import Exposure
from scenelux.pictures.view.facts import caption, case_title, eye_words
from scenelux.pictures.view.panel import reduced, room_for
from scenelux.study.results import ViewCase, ViewFrame, ViewResult
from scenelux.units import figure

__all__ = [
    "GAP_IN",
    "LINE_IN",
    "ROOM",
    "TITLE_IN",
    "Picture",
    "cells",
    "coarse",
    "decades",
    "grey",
    "titled",
    "view_sheet",
]

Pixels = NDArray[np.uint8]
Picture = tuple[ViewCase, ViewFrame]

TITLE_IN, GAP_IN, LINE_IN = 0.26, 0.16, 0.13

ROOM = Box(BODY.left, BODY.bottom + 0.2, BODY.width, BODY.height - 0.14)
"""For pictures and facts, above two lines of caption."""


def view_sheet(result: ViewResult, what: str, pictures: list[Picture], quantity: str) -> Sheet:
    """An empty sheet with everything around its body.

    Parameters
    ----------
    result, pictures : what is shown.
    what, quantity : in words.
    """
    about = result.about
    lights = list(dict.fromkeys(about.lights.get(case.light) or case.light for case, _ in pictures))
    state = about.states.get(result.state) or result.state
    line = " · ".join((state, *lights[: len(lights) == 1], eye_words(result)))  # several stand over their pictures
    sheet = new_sheet(
        about, f"Driver's view · {what}", line, f"{quantity}; a visualisation, not evidence", None, "view"
    )
    for number, text in enumerate(wrap(caption(result), BODY.width, 6.5)[:2]):
        put(sheet, BODY.left, BODY.bottom + 0.1 - 0.12 * number, text, 6.5, color=GREY)
    return sheet


def cells(room: Box, pictures: list[Picture]) -> list[Box]:
    """A column for each variant and a row for each light level; of one of them only, as large as they can be.

    Parameters
    ----------
    room : for all of them.
    pictures : of one shape.
    """
    variants = list(dict.fromkeys(case.variant for case, _ in pictures))
    lights = list(dict.fromkeys(case.light for case, _ in pictures))
    count, shape = len(pictures), pictures[0][1].luminance_cd_m2.shape
    if len(variants) > 1 and len(lights) > 1:
        columns = len(variants)
    else:
        grids = {columns: room.cells(-(-count // columns), columns, (GAP_IN, 0.0)) for columns in range(1, count + 1)}
        wide = {one: min(grid[0].width, (grid[0].height - 0.8) * shape[1] / shape[0]) for one, grid in grids.items()}
        columns = max(wide, key=lambda one: wide[one])
    found = room.cells(-(-count // columns), columns, (GAP_IN, 0.0))
    places = [lights.index(case.light) * len(variants) + variants.index(case.variant) for case, _ in pictures]
    return [found[place] for place in places]


def titled(
    sheet: Sheet,
    cell: Box,
    result: ViewResult,
    picture: Picture,
    across: str,
    lines: int = 0,
    size: float = 8.5,
) -> Box:
    """Writes the title of a picture and says where the picture goes.

    Parameters
    ----------
    sheet, cell : where.
    result, picture : what is shown.
    across : how much of the field of view, in words.
    lines : of text below, which have room.
    size : of the title [pt].
    """
    case, frame = picture
    foot = LINE_IN * lines + 0.1
    box = room_for(frame, Box(cell.left, cell.bottom + foot, cell.width, cell.height - TITLE_IN - foot))
    beside = 1.1 if across else 0.0
    title = fit(case_title(result, case), box.width - beside, size, True)
    put(sheet, box.left, box.top + 0.16, title, size, bold=True)
    put(sheet, box.right, box.top + 0.15, across, 6.5, ha="right", color=GREY)
    return box


def coarse(frame: ViewFrame) -> NDArray[np.float64]:
    """What is seen in half as many pixels each way, where there are many: a sheet shows no more [cd/m2]."""
    return reduced(frame.seen_cd_m2, 2 if frame.luminance_cd_m2.shape[1] > 900 else 1)


def grey(frame: ViewFrame, exposure: Exposure) -> Pixels:
    """The display image of a picture at an exposure."""
    return exposure.grey(coarse(frame))


def decades(scale: Exposure) -> tuple[tuple[float, str], ...]:
    """Decades of a scale and where they stand on its bar, which is even in ratios."""
    low, high = np.log10(scale.black_cd_m2), np.log10(scale.white_cd_m2)
    powers = np.arange(np.ceil(low - 1e-9), np.floor(high + 1e-9) + 1.0)
    return tuple((float((power - low) / (high - low)), figure(float(10.0**power))) for power in powers)
