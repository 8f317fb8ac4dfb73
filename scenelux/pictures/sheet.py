"""The one sheet layout: title, mode, state and light, data class, source line and cautions around a body.

Places on a sheet are inches from its lower left corner. The sheet prints on A4 and on Letter.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import FancyArrowPatch, Rectangle

from scenelux.pictures.png import png_file
from scenelux.pictures.text import FAMILY, Writing, fit, text_width_in, wrap
from scenelux.pictures.words import data_classes, source_line
from scenelux.study.results import StudyResult, VariantResult

__all__ = [
    "BODY",
    "DPI",
    "GREY",
    "HEIGHT_IN",
    "MARGIN_IN",
    "WIDTH_IN",
    "Box",
    "Column",
    "Sheet",
    "add_axes",
    "arrow",
    "draw_badge",
    "fill_box",
    "new_sheet",
    "png_bytes",
    "put",
]

WIDTH_IN, HEIGHT_IN, MARGIN_IN, DPI = 11.0, 8.25, 0.4, 120
GREY = "#555555"


@dataclass(frozen=True)
class Box:
    """A rectangle on a sheet [in]."""

    left: float
    bottom: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Upper edge."""
        return self.bottom + self.height

    def cut_right(self, width: float, gap: float) -> tuple[Box, Box]:
        """The box without a column of a given width at its right, and that column."""
        rest = Box(self.left, self.bottom, self.width - width - gap, self.height)
        return rest, Box(rest.right + gap, self.bottom, width, self.height)

    def cut_bottom(self, height: float, gap: float) -> tuple[Box, Box]:
        """The box without a strip of a given height at its foot, and that strip."""
        rest = Box(self.left, self.bottom + height + gap, self.width, self.height - height - gap)
        return rest, Box(self.left, self.bottom, self.width, height)

    def cells(self, rows: int, columns: int, gap: tuple[float, float]) -> list[Box]:
        """Equal boxes row by row from the top, with gaps (across, up) between them."""
        width = (self.width - (columns - 1) * gap[0]) / columns
        height = (self.height - (rows - 1) * gap[1]) / rows
        return [
            Box(self.left + j * (width + gap[0]), self.top - (i + 1) * height - i * gap[1], width, height)
            for i in range(rows)
            for j in range(columns)
        ]


BODY = Box(MARGIN_IN, 0.98, WIDTH_IN - 2 * MARGIN_IN, HEIGHT_IN - 0.98 - 1.18)
"""What a sheet leaves for its picture."""


class Sheet(Figure):
    """A figure of the one size, with one artist for all its plain lines of text."""

    def __init__(self) -> None:
        super().__init__(figsize=(WIDTH_IN, HEIGHT_IN), dpi=DPI, facecolor="white")
        FigureCanvasAgg(self)
        self.writing = Writing()
        self.add_artist(self.writing)


def put(sheet: Sheet, x: float, y: float, text: str, size: float, **style: Any) -> None:
    """Writes a line at a place on the sheet, its capitals' top at y unless `va` says otherwise.

    Parameters
    ----------
    sheet : to write on.
    x, y : place [in].
    text : one line; dollar signs are plain letters.
    size : of the letters [pt].
    style : as for `Writing.write`.
    """
    sheet.writing.write(x, y, text, size, **style)


def add_axes(sheet: Sheet, box: Box) -> Axes:
    """Axes that fill a box of the sheet exactly, with light spines and small letters."""
    axes = sheet.add_axes((box.left / WIDTH_IN, box.bottom / HEIGHT_IN, box.width / WIDTH_IN, box.height / HEIGHT_IN))
    axes.tick_params(labelsize=7, length=3, width=0.6, labelfontfamily=FAMILY)
    for spine in axes.spines.values():
        spine.set_linewidth(0.6)
    return axes


class Column:
    """Text that flows down a box and says when there is more than fits."""

    def __init__(self, figure: Sheet, box: Box) -> None:
        self.figure, self.box, self.y, self.full = figure, box, box.top, False

    def line(
        self, text: str, size: float = 7.0, *, bold: bool = False, indent: float = 0.0, color: str = "black"
    ) -> None:
        """Writes a text, wrapped to the column."""
        for one in wrap(text, self.box.width - indent, size, bold):
            step = size * 1.35 / 72
            if self.full or self.y - 2 * step < self.box.bottom:
                self._stop(size)
                return
            put(self.figure, self.box.left + indent, self.y, one, size, bold=bold, color=color)
            self.y -= step

    def space(self, height: float = 0.07) -> None:
        """Leaves a gap [in]."""
        self.y -= height

    def _stop(self, size: float) -> None:
        if not self.full:
            put(self.figure, self.box.left, self.y, "… continued in the results", size, italic=True, color=GREY)
        self.full = True


def new_sheet(
    result: StudyResult,
    mode: str,
    state_and_light: str,
    quantity: str,
    variant: VariantResult | None = None,
    command: str = "study",
) -> Sheet:
    """An empty sheet with everything around its body; its label says what it shows.

    Parameters
    ----------
    result : the study.
    mode : what the sheet shows and for which variant.
    state_and_light : duty state and light level in words.
    quantity : what is drawn, on which plane, maintained or initial.
    variant : the one drawn, for the data class; None for all.
    command : which job it comes from, for the source line.
    """
    figure = Sheet()
    figure.set_label(" · ".join(part for part in (mode, state_and_light.split("   ")[0]) if part))
    _head(figure, result, mode, state_and_light, quantity, variant)
    _foot(figure, result, command)
    return figure


def _head(
    figure: Sheet, result: StudyResult, mode: str, state_and_light: str, quantity: str, variant: VariantResult | None
) -> None:
    top, right = HEIGHT_IN - 0.3, WIDTH_IN - MARGIN_IN
    badge = "INVENTED DEMONSTRATION DATA" if result.demonstration else "PROJECT DATA"
    classes = f"Lamp data: {data_classes(result, variant).removesuffix(' (invented demonstration data)')}"
    side = max(text_width_in(badge, 8, True) + 0.16, text_width_in(classes, 7))
    room = right - MARGIN_IN - side - 0.3
    put(figure, MARGIN_IN, top, fit(result.title, room, 13, True), 13, bold=True)
    put(figure, MARGIN_IN, top - 0.27, fit(mode, room, 10.5, True), 10.5, bold=True)
    put(figure, MARGIN_IN, top - 0.48, fit(state_and_light, right - MARGIN_IN, 9), 9)
    put(figure, MARGIN_IN, top - 0.66, fit(quantity, right - MARGIN_IN, 7.5), 7.5, color=GREY)
    draw_badge(figure, right, top, badge)
    put(figure, right, top - 0.27, classes, 7, ha="right")


def draw_badge(sheet: Sheet, right: float, top: float, text: str) -> None:
    """Bold words in a frame at the upper right corner.

    Parameters
    ----------
    sheet : to write on.
    right, top : corner [in].
    text : the words.
    """
    width = text_width_in(text, 8, True) + 0.12
    fill_box(sheet, Box(right - width, top - 0.16, width, 0.18), facecolor="none", linewidth=0.9)
    put(sheet, right - 0.06, top - 0.03, text, 8, bold=True, ha="right")


def _foot(figure: Sheet, result: StudyResult, command: str) -> None:
    width, y = WIDTH_IN - 2 * MARGIN_IN, 0.82
    figure.add_artist(
        Line2D((MARGIN_IN / WIDTH_IN, 1 - MARGIN_IN / WIDTH_IN), (y / HEIGHT_IN,) * 2, color=GREY, lw=0.6)
    )
    put(figure, MARGIN_IN, y - 0.06, fit(source_line(result, command), width, 6), 6, color=GREY)
    for number, line in enumerate(_caution_lines(result.cautions, width)):
        put(figure, MARGIN_IN, y - 0.19 - 0.115 * number, line, 6)


def _caution_lines(cautions: Iterable[str], width: float) -> list[str]:
    """All cautions in full; their letters shrink no further, so the foot has room for five lines."""
    lines = wrap("CAUTION: " + " ".join(cautions), width, 6)
    return lines if len(lines) <= 5 else [*lines[:4], fit(" ".join(lines[4:]), width, 6)]


def fill_box(figure: Sheet, box: Box, **style: Any) -> None:
    """Draws a rectangle on the sheet, black unless the style says otherwise."""
    style = {"facecolor": "black", "edgecolor": "black", "linewidth": 0.5, **style}
    corner = (box.left, box.bottom)
    figure.add_artist(Rectangle(corner, box.width, box.height, transform=figure.dpi_scale_trans, **style))


def arrow(figure: Sheet, start: tuple[float, float], end: tuple[float, float], **style: Any) -> None:
    """Draws an arrow between two places on the sheet [in].

    Parameters
    ----------
    figure : the sheet.
    start, end : places [in].
    style : further patch properties.
    """
    style = {"arrowstyle": "-|>", "mutation_scale": 9, "linewidth": 1.1, "color": "black", **style}
    patch = FancyArrowPatch(start, end, shrinkA=0, shrinkB=0, transform=figure.dpi_scale_trans, **style)
    figure.add_artist(patch)


def png_bytes(sheet: Sheet) -> bytes:
    """The sheet as PNG; the same sheet gives the same bytes."""
    canvas: Any = FigureCanvasAgg(sheet)
    with rc_context({"text.hinting": "none"}):  # letters keep the widths that they were measured with
        canvas.draw()
    return png_file(np.asarray(canvas.buffer_rgba())[..., :3], float(sheet.dpi))  # a sheet is opaque
