"""The still that stands before moving lights: all its words fit, or it is not made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from scenelux.errors import LimitError
from scenelux.pictures.drive.lettering import lettered, wrapped

__all__ = ["WARNING_S", "WarningLine", "warning_lines", "warning_picture"]

WARNING_S = 6.0
"""How long it stands."""

Paragraph = tuple[str, int, bool]
"""Text, size of its letters [px], and whether they are bold."""

MARGIN_PX, GAP_PX, SMALLEST_PX = 36, 10, 10
LIGHT = 232


@dataclass(frozen=True)
class WarningLine:
    """A line of the still and where it stands [px]."""

    left: int
    top: int
    text: str
    size_px: int
    bold: bool

    @property
    def bottom(self) -> int:
        """Under its letters."""
        return self.top + round(1.3 * self.size_px)


def warning_lines(size: tuple[int, int], paragraphs: Sequence[Paragraph]) -> list[WarningLine]:
    """Paragraphs set below each other, in smaller letters where they would not fit.

    Parameters
    ----------
    size : width and height of the picture [px].
    paragraphs : from the top.
    """
    for percent in range(100, 45, -5):
        scaled = [(text, max(SMALLEST_PX, size_px * percent // 100), bold) for text, size_px, bold in paragraphs]
        lines = _set(size[0] - 2 * MARGIN_PX, scaled)
        if lines[-1].bottom <= size[1] - MARGIN_PX // 2:
            return lines
    raise LimitError(
        "has no room for its warning", key="animation", value=f"{size[0]} x {size[1]}", accepted="give a larger picture"
    )


def _set(width_px: int, paragraphs: Sequence[Paragraph]) -> list[WarningLine]:
    lines: list[WarningLine] = []
    top = MARGIN_PX
    for text, size_px, bold in paragraphs:
        for line in wrapped(text, size_px, width_px, bold=bold):
            lines.append(WarningLine(MARGIN_PX, top, line, size_px, bold))
            top += round(size_px * 1.35)
        top += round(GAP_PX * size_px / 17)
    return lines


def warning_picture(size: tuple[int, int], paragraphs: Sequence[Paragraph]) -> NDArray[np.uint8]:
    """The still, (height, width, 3).

    Parameters
    ----------
    size, paragraphs : as in `warning_lines`.
    """
    canvas = Image.new("RGB", size, (LIGHT, LIGHT, LIGHT))
    draw = ImageDraw.Draw(canvas)
    for line in warning_lines(size, paragraphs):
        lettered(draw, (line.left, line.top), line.text, line.size_px, bold=line.bold)
    return np.asarray(canvas)
