"""Words on pictures of an animation, in the letters of the sheets."""

from __future__ import annotations

from functools import cache

from matplotlib.font_manager import FontProperties, findfont
from PIL import ImageDraw, ImageFont

from scenelux.pictures.text import FAMILY, drawable

__all__ = ["lettered", "width_of", "wrapped"]


@cache
def _letters(size_px: int, bold: bool) -> ImageFont.FreeTypeFont:
    file = findfont(FontProperties(family=FAMILY, weight="bold" if bold else "normal"))
    return ImageFont.truetype(file, size_px, layout_engine=ImageFont.Layout.BASIC)


def lettered(
    draw: ImageDraw.ImageDraw,
    place: tuple[float, float],
    text: str,
    size_px: int = 13,
    *,
    bold: bool = False,
    light: int = 0,
    width_px: int = 10_000,
) -> None:
    """Writes one line, shortened to a width.

    Parameters
    ----------
    draw : on which picture.
    place : of its upper left corner.
    text : one line of plain text.
    size_px, bold, light : of the letters; light is their grey.
    width_px : room for it.
    """
    font, words = _letters(size_px, bold), drawable(text)
    while words and font.getlength(words) > width_px:
        words = f"{words[:-2].rstrip()}…" if len(words) > 1 else ""
    draw.text(place, words, font=font, fill=(light, light, light))


def width_of(text: str, size_px: int, *, bold: bool = False) -> float:
    """Width of a line [px].

    Parameters
    ----------
    text, size_px, bold : as in `lettered`.
    """
    return float(_letters(size_px, bold).getlength(drawable(text)))


def wrapped(text: str, size_px: int, width_px: int, *, bold: bool = False) -> list[str]:
    """A text broken at its spaces into lines that fit a width.

    Parameters
    ----------
    text : any text.
    size_px, bold : of the letters.
    width_px : room for a line.
    """
    font, lines = _letters(size_px, bold), [""]
    for word in drawable(text).split():
        longer = f"{lines[-1]} {word}".strip()
        if font.getlength(longer) <= width_px or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
