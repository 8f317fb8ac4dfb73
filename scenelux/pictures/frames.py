"""Frames of maps, bars and curves: ticks and names go straight onto the sheet, which draws a sheet in half the time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection

from scenelux.pictures.sheet import HEIGHT_IN, WIDTH_IN, Box, Sheet, put
from scenelux.pictures.text import text_width_in, wrap

__all__ = ["Ticks", "bare_axes", "draw_grid", "draw_ticks", "signed"]

_LENGTH_IN, _PAD_IN, _SIZE = 0.042, 0.045, 7.0


@dataclass(frozen=True)
class Ticks:
    """Marks along one side of a frame.

    Parameters
    ----------
    marks : for each its place as a share of the side, from 0 to 1, and its text.
    name : of the side, with its unit.
    inside : texts do not reach beyond the ends of the side.
    """

    marks: tuple[tuple[float, str], ...]
    name: str = ""
    inside: bool = False


def bare_axes(sheet: Sheet, box: Box) -> Axes:
    """Axes that fill a box of the sheet exactly, framed by light lines, without ticks of their own."""
    axes = sheet.add_axes((box.left / WIDTH_IN, box.bottom / HEIGHT_IN, box.width / WIDTH_IN, box.height / HEIGHT_IN))
    axes.xaxis.set_visible(False)
    axes.yaxis.set_visible(False)
    for spine in axes.spines.values():
        spine.set_linewidth(0.6)
    return axes


def draw_ticks(sheet: Sheet, box: Box, across: Ticks, up: Ticks) -> None:
    """Draws ticks below and at the left of a box, with their texts and the names of the sides.

    Parameters
    ----------
    sheet : to draw on.
    box : the frame.
    across, up : marks of its lower and its left side.
    """
    xs = [(box.left + share * box.width, text) for share, text in across.marks]
    ys = [(box.bottom + share * box.height, text) for share, text in up.marks]
    ends = [((x, box.bottom - _LENGTH_IN), (x, box.bottom)) for x, _ in xs]
    ends += [((box.left - _LENGTH_IN, y), (box.left, y)) for y, _ in ys]
    _draw_lines(sheet, ends, "black", 0.6, 2.5)
    beside = _LENGTH_IN + _PAD_IN
    for x, text in xs:
        half = text_width_in(text, _SIZE) / 2 if across.inside else 0.0
        put(sheet, min(max(x, box.left + half), box.right - half), box.bottom - beside, text, _SIZE, ha="center")
    for y, text in ys:
        put(sheet, box.left - beside, y, text, _SIZE, ha="right", va="center")
    if across.name:
        put(sheet, box.left + box.width / 2, box.bottom - beside - 0.12, across.name, _SIZE, ha="center")
    if up.name:
        wide = max((text_width_in(text, _SIZE) for _, text in ys), default=0.0)
        lines = wrap(up.name, box.height, _SIZE)
        for number, line in enumerate(lines, 1):
            place = (box.left - beside - wide - 0.05 - 0.12 * (len(lines) - number), box.bottom + box.height / 2)
            put(sheet, *place, line, _SIZE, ha="center", va="baseline", angle_deg=90.0)


def draw_grid(sheet: Sheet, box: Box, across: Ticks, up: Ticks) -> None:
    """Draws light lines through a box at the marks of its sides.

    Parameters
    ----------
    sheet : to draw on.
    box : the frame.
    across, up : marks of its lower and its left side.
    """
    xs = [box.left + share * box.width for share, _ in across.marks]
    ys = [box.bottom + share * box.height for share, _ in up.marks]
    ends = [((x, box.bottom), (x, box.top)) for x in xs] + [((box.left, y), (box.right, y)) for y in ys]
    _draw_lines(sheet, ends, "#d9d9d9", 0.5, 0.5)


_Ends = tuple[tuple[float, float], tuple[float, float]]


def _draw_lines(sheet: Sheet, ends: Sequence[_Ends], color: str, width: float, order: float) -> None:
    lines = LineCollection(ends, colors=color, linewidths=width, transform=sheet.dpi_scale_trans, zorder=order)
    sheet.add_artist(lines)


def signed(value: float) -> str:
    """A number of a tick with a true minus sign.

    Example
    -------
    >>> signed(-12.5), signed(0.0)
    ('−12.5', '0')
    """
    return f"{value:g}".replace("-", "−")
