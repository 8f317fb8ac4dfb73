"""Letters on a sheet: their width, lines broken to fit, and one artist that draws every plain line of a sheet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from matplotlib.artist import Artist
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.textpath import text_to_path

__all__ = ["FAMILY", "Line", "Writing", "drawable", "fit", "font", "text_width_in", "wrap"]

FAMILY = "DejaVu Sans"  # comes with matplotlib, so every machine draws the same letters
_MISSING, _JOINERS = "□", "\u200c\u200d\ufe0e\ufe0f"
_ASCENT, _MIDDLE, _DESCENT = 0.76, 0.365, 0.236  # of DejaVu Sans, as shares of the size


@cache
def font(size: float, bold: bool = False, italic: bool = False) -> FontProperties:
    """The one family of letters in a size [pt]."""
    style: Any = "italic" if italic else "normal"
    return FontProperties(family=FAMILY, size=size, weight="bold" if bold else "normal", style=style)


@cache
def _letters() -> frozenset[int]:
    """Every letter that both weights of the family have."""
    plain, bold = (frozenset(get_font(findfont(font(9.0, weight))).get_charmap()) for weight in (False, True))
    return plain & bold


def drawable(text: str) -> str:
    """The text with an empty box in place of every letter that the family lacks; joining signs are left out.

    Example
    -------
    >>> drawable("Truck \U0001f69b\ufe0f one"), drawable("Straße 10 m²")
    ('Truck □ one', 'Straße 10 m²')
    """
    if text.isascii() and text.isprintable():
        return text
    kept = (one for one in text if one not in _JOINERS)
    return "".join(one if ord(one) in _letters() and one.isprintable() else _MISSING for one in kept)


@lru_cache(maxsize=8192)  # every sheet measures the same cautions and words again
def text_width_in(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text [in].

    Parameters
    ----------
    text : one line.
    size : of the letters [pt].
    bold : in bold letters.
    """
    width, _, _ = text_to_path.get_text_width_height_descent(drawable(text), font(size, bold), ismath=False)
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


@dataclass(frozen=True)
class Line:
    """A line of plain text that starts at a place on the sheet [in], on its baseline."""

    x_in: float
    y_in: float
    text: str
    size: float
    bold: bool = False
    italic: bool = False
    color: str = "black"
    angle_deg: float = 0.0

    @property
    def extent_in(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of its letters [in]; upright lines rise from their place."""
        wide, up = text_width_in(self.text, self.size, self.bold), self.size / 72
        if self.angle_deg:
            return self.x_in - _ASCENT * up, self.y_in, self.x_in + _DESCENT * up, self.y_in + wide
        return self.x_in, self.y_in - _DESCENT * up, self.x_in + wide, self.y_in + _ASCENT * up


class Writing(Artist):
    """All plain lines of a sheet.

    A text object of its own for each of a sheet's two hundred lines would lay out every line twice.
    """

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[Line] = []
        self.set_zorder(6)

    def write(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        bold: bool = False,
        italic: bool = False,
        color: str = "black",
        ha: str = "left",
        va: str = "top",
        angle_deg: float = 0.0,
    ) -> None:
        """Adds a line.

        Parameters
        ----------
        x, y : place [in].
        text : one line; dollar signs are plain letters.
        size, bold, italic, color : of the letters.
        ha : which part of the line stands at the place along it, "left", "center" or "right".
        va : which part stands there across it, "top", "center" or "baseline".
        angle_deg : 0, or 90 for a line that rises.
        """
        text = drawable(text)
        back = {"left": 0.0, "center": 0.5, "right": 1.0}[ha]
        along = -back * text_width_in(text, size, bold) if back else 0.0
        across = -{"top": _ASCENT, "center": _MIDDLE, "baseline": 0.0}[va] * size / 72
        dx, dy = (-across, along) if angle_deg else (along, across)
        self.lines.append(Line(x + dx, y + dy, text, size, bold, italic, color, angle_deg))

    def draw(self, renderer: Any) -> None:
        """Draws every line where it stands."""
        figure: Any = self.get_figure()
        dpi, height = figure.dpi, renderer.get_canvas_width_height()[1]
        context = renderer.new_gc()
        for line in self.lines:
            if not line.text:
                continue
            context.set_foreground(line.color)
            y = line.y_in * dpi
            place = (line.x_in * dpi, height - y if renderer.flipy() else y)
            letters = font(line.size, line.bold, line.italic)
            renderer.draw_text(context, *place, line.text, letters, line.angle_deg)
        context.restore()
