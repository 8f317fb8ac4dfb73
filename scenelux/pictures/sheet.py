"""The one sheet layout: title, mode, state and light, data class, source line and cautions around a body.

Places on a sheet are inches from its lower left corner. The sheet prints on A4 and on Letter.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from io import BytesIO
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import FancyArrowPatch, Rectangle
from matplotlib.textpath import text_to_path

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
    "add_axes",
    "arrow",
    "fill_box",
    "fit",
    "new_sheet",
    "png_bytes",
    "put",
    "text_width_in",
    "wrap",
]

WIDTH_IN, HEIGHT_IN, MARGIN_IN, DPI = 11.0, 8.25, 0.4, 120
GREY = "#555555"
FAMILY = "DejaVu Sans"  # comes with matplotlib, so every machine draws the same letters


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


@cache
def _font(size: float, bold: bool) -> FontProperties:
    return FontProperties(family=FAMILY, size=size, weight="bold" if bold else "normal")


@lru_cache(maxsize=8192)  # every sheet measures the same cautions and words again
def text_width_in(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text [in].

    Parameters
    ----------
    text : one line.
    size : of the letters [pt].
    bold : in bold letters.
    """
    width, _, _ = text_to_path.get_text_width_height_descent(text, _font(size, bold), ismath=False)
    return float(width) / 72.0


def fit(text: str, width_in: float, size: float, bold: bool = False) -> str:
    """The text, shortened with an ellipsis until it fits a width.

    Parameters
    ----------
    text : one line.
    width_in : room for it [in].
    size, bold : of the letters.
    """
    text = " ".join(text.split())
    if text_width_in(text, size, bold) <= width_in:
        return text
    keep = len(text)
    while keep and text_width_in(f"{text[:keep].rstrip()}…", size, bold) > width_in:
        keep -= 1 + keep // 20
    return f"{text[:keep].rstrip()}…"


def wrap(text: str, width_in: float, size: float, bold: bool = False) -> list[str]:
    """The text broken at its spaces into lines that fit a width; a longer word is shortened.

    Parameters
    ----------
    text : any text.
    width_in : room for a line [in].
    size, bold : of the letters.
    """
    lines: list[str] = []
    space = text_width_in("a a", size, bold) - 2 * text_width_in("a", size, bold)
    line, used = [""], 0.0
    for word in text.split():
        wide = text_width_in(word, size, bold)
        if line != [""] and used + space + wide > width_in:
            lines.append(" ".join(line))
            line, used = [""], 0.0
        line = [fit(word, width_in, size, bold)] if line == [""] else [*line, word]
        used += wide if len(line) == 1 else space + wide
    return [*lines, " ".join(line)]


def put(figure: Figure, x: float, y: float, text: str, size: float, *, bold: bool = False, **style: Any) -> None:
    """Writes a line at a place on the sheet, its capitals' top at y unless `va` says otherwise.

    Parameters
    ----------
    figure : the sheet.
    x, y : place [in].
    text : one line; dollar signs are plain letters.
    size, bold : of the letters.
    style : further text properties.
    """
    style = {"va": "top", "color": "black", **style}
    figure.text(x / WIDTH_IN, y / HEIGHT_IN, text, fontproperties=_font(size, bold), parse_math=False, **style)


def add_axes(figure: Figure, box: Box) -> Axes:
    """Axes that fill a box of the sheet exactly, with light spines and small letters."""
    axes = figure.add_axes((box.left / WIDTH_IN, box.bottom / HEIGHT_IN, box.width / WIDTH_IN, box.height / HEIGHT_IN))
    axes.tick_params(labelsize=7, length=3, width=0.6, labelfontfamily=FAMILY)
    for spine in axes.spines.values():
        spine.set_linewidth(0.6)
    return axes


class Column:
    """Text that flows down a box and says when there is more than fits."""

    def __init__(self, figure: Figure, box: Box) -> None:
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
            put(self.figure, self.box.left, self.y, "… continued in the report", size, style="italic", color=GREY)
        self.full = True


def new_sheet(
    result: StudyResult, mode: str, state_and_light: str, quantity: str, variant: VariantResult | None = None
) -> Figure:
    """An empty sheet with everything around its body; its label says what it shows.

    Parameters
    ----------
    result : the study.
    mode : what the sheet shows and for which variant.
    state_and_light : duty state and light level in words.
    quantity : what is drawn, on which plane, maintained or initial.
    variant : the one drawn, for the data class; None for all.
    """
    figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    figure.set_label(" · ".join(part for part in (mode, state_and_light.split("   ")[0]) if part))
    _head(figure, result, mode, state_and_light, quantity, variant)
    _foot(figure, result)
    return figure


def _head(
    figure: Figure, result: StudyResult, mode: str, state_and_light: str, quantity: str, variant: VariantResult | None
) -> None:
    top, right = HEIGHT_IN - 0.3, WIDTH_IN - MARGIN_IN
    badge = "INVENTED DEMONSTRATION DATA" if result.demonstration else "PROJECT DATA"
    classes = f"Lamp data: {data_classes(result, variant).removesuffix(' (invented demonstration data)')}"
    side = max(text_width_in(badge, 8, True) + 0.16, text_width_in(classes, 7))
    room = right - MARGIN_IN - side - 0.3
    put(figure, MARGIN_IN, top, fit(result.title, room, 13, True), 13, bold=True)
    put(figure, MARGIN_IN, top - 0.27, fit(mode, room, 10.5, True), 10.5, bold=True)
    put(figure, MARGIN_IN, top - 0.48, fit(state_and_light, room, 9), 9)
    put(figure, MARGIN_IN, top - 0.66, fit(quantity, right - MARGIN_IN, 7.5), 7.5, color=GREY)
    put(
        figure,
        right - 0.06,
        top - 0.03,
        badge,
        8,
        bold=True,
        ha="right",
        bbox={"facecolor": "white", "edgecolor": "black", "linewidth": 0.9, "pad": 3.0},
    )
    put(figure, right, top - 0.27, classes, 7, ha="right")


def _foot(figure: Figure, result: StudyResult) -> None:
    width, y = WIDTH_IN - 2 * MARGIN_IN, 0.82
    figure.add_artist(
        Line2D((MARGIN_IN / WIDTH_IN, 1 - MARGIN_IN / WIDTH_IN), (y / HEIGHT_IN,) * 2, color=GREY, lw=0.6)
    )
    put(figure, MARGIN_IN, y - 0.06, fit(source_line(result), width, 6), 6, color=GREY)
    for number, line in enumerate(_caution_lines(result.cautions, width)):
        put(figure, MARGIN_IN, y - 0.19 - 0.115 * number, line, 6)


def _caution_lines(cautions: Iterable[str], width: float) -> list[str]:
    """All cautions in full; their letters shrink no further, so the foot has room for five lines."""
    lines = wrap("CAUTION: " + " ".join(cautions), width, 6)
    return lines if len(lines) <= 5 else [*lines[:4], fit(" ".join(lines[4:]), width, 6)]


def fill_box(figure: Figure, box: Box, **style: Any) -> None:
    """Draws a rectangle on the sheet, black unless the style says otherwise."""
    style = {"facecolor": "black", "edgecolor": "black", "linewidth": 0.5, **style}
    corner = (box.left, box.bottom)
    figure.add_artist(Rectangle(corner, box.width, box.height, transform=figure.dpi_scale_trans, **style))


def arrow(figure: Figure, start: tuple[float, float], end: tuple[float, float], **style: Any) -> None:
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


def png_bytes(figure: Figure) -> bytes:
    """The sheet as PNG; the same sheet gives the same bytes."""
    buffer = BytesIO()
    figure.savefig(buffer, format="png", dpi=DPI, metadata={"Software": None}, pil_kwargs={"compress_level": 4})
    return buffer.getvalue()
