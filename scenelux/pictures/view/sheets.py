"""The sheets of a driver's view: people by visibility, as it is seen, and in false colour."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.frames import Ticks, bare_axes, draw_ticks
from scenelux.pictures.sheet import Box, Sheet, put
from scenelux.pictures.view.exposure import FALSE_COLOUR, Exposure, exposure_of, false_colour
from scenelux.pictures.view.layout import ROOM, Picture, cells, coarse, decades, grey, titled, view_sheet
from scenelux.pictures.view.panel import draw_picture
from scenelux.pictures.view.people import people_sheet
from scenelux.study.results import ViewResult

__all__ = ["sheets_of_view"]

Pixels = NDArray[np.uint8]

BAR_IN = 0.75


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
            yield "people.png", people_sheet(result, pictures, exposure)
        yield f"seen-{name}.png", _seen(result, pictures, exposure, name)
        yield f"luminance-{name}.png", _luminance(result, pictures, colours, name)


def _seen(result: ViewResult, pictures: list[Picture], exposure: Exposure, name: str) -> Sheet:
    sheet = view_sheet(result, f"As it is seen, {name}", pictures, exposure.words)
    room, bar = ROOM.cut_right(BAR_IN, 0.15)
    for cell, (case, frame) in zip(cells(room, pictures), pictures, strict=True):
        box = titled(sheet, cell, result, (case, frame), f"{frame.field_deg:g}° across")
        draw_picture(sheet, box, frame, grey(frame, exposure))
    _draw_bar(sheet, bar, exposure, exposure.grey)
    return sheet


def _luminance(result: ViewResult, pictures: list[Picture], colours: str, name: str) -> Sheet:
    scale = "false colour of luminance, one scale for every driver's view, log from 0.01 to 10 000 cd/m²"
    sheet = view_sheet(result, f"Luminance, {name}", pictures, scale)
    room, bar = ROOM.cut_right(BAR_IN, 0.15)
    for cell, (case, frame) in zip(cells(room, pictures), pictures, strict=True):
        box = titled(sheet, cell, result, (case, frame), f"{frame.field_deg:g}° across")
        draw_picture(sheet, box, frame, false_colour(coarse(frame), colours))
    _draw_bar(sheet, bar, FALSE_COLOUR, lambda light: false_colour(light, colours))
    return sheet


def _draw_bar(sheet: Sheet, room: Box, scale: Exposure, show: Callable[[NDArray[np.float64]], Pixels]) -> None:
    """The scale as a bar with its decades in cd/m2."""
    box = Box(room.left + 0.45, room.top - 3.6, 0.16, 3.3)
    axes = bare_axes(sheet, box)
    light = np.geomspace(scale.black_cd_m2, scale.white_cd_m2, 256)[:, None]
    pixels = show(light)
    shown = pixels if pixels.ndim == 3 else np.repeat(pixels[..., None], 3, axis=2)
    axes.imshow(shown, origin="lower", extent=(0, 1, 0, 1), aspect="auto", interpolation="nearest")
    draw_ticks(sheet, box, Ticks(()), Ticks(decades(scale)))
    put(sheet, box.right, box.top + 0.2, "cd/m²", 7.5, bold=True, ha="right")
