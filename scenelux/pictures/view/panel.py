"""One picture on a sheet: grey or false colour, and people outlined by how well they are seen."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from scenelux.pictures.frames import bare_axes
from scenelux.pictures.sheet import Box, Sheet
from scenelux.pictures.site import halo
from scenelux.pictures.text import FAMILY, drawable
from scenelux.pictures.view.facts import by_part
from scenelux.study.results import Sighting, ViewCase, ViewFrame, ViewTarget

__all__ = ["LINES", "Part", "draw_people", "draw_picture", "part_with_people", "reduced", "room_for"]

Array = NDArray[np.float64]

LINES: dict[Sighting, Any] = {"visible": "solid", "marginal": (0, (4, 2)), "not visible": (0, (1, 1.6))}
"""Line style for each word; people who are hidden, or whose level is not valid, have no outline."""

MARGIN_PX = 4
"""Outlines keep so far from what they surround."""

AROUND, SMALLEST = 3.0, 0.4
"""A part of a picture is so many times as wide as the people in it, and at least such a share of the whole."""


class Part(NamedTuple):
    """What is shown of a picture [px]."""

    left: int
    top: int
    width: int
    height: int


def room_for(frame: ViewFrame, box: Box) -> Box:
    """The largest box of a picture's shape at the top left of another.

    Parameters
    ----------
    frame : the picture.
    box : where it goes.
    """
    rows, columns = frame.luminance_cd_m2.shape
    width = min(box.width, box.height * columns / rows)
    height = width * rows / columns
    return Box(box.left, box.top - height, width, height)


def reduced(luminance_cd_m2: NDArray[np.float32], times: int) -> Array:
    """Mean luminance of blocks of pixels, as a coarser picture would have it.

    Parameters
    ----------
    luminance_cd_m2 : (h, w).
    times : pixels of a block each way; what is left over at the ends is cut off.
    """
    height, width = (size // times for size in luminance_cd_m2.shape)
    blocks = luminance_cd_m2[: height * times, : width * times].reshape(height, times, width, times)
    return np.asarray(blocks.mean(axis=(1, 3), dtype=np.float64))


def draw_picture(sheet: Sheet, box: Box, frame: ViewFrame, pixels: NDArray[np.uint8], part: Part | None = None) -> Axes:
    """Puts a picture into a box of its own shape; places on it are pixels of the whole picture.

    Parameters
    ----------
    sheet, box : where.
    frame : for its size.
    pixels : (h, w) grey or (h, w, 3) colours, of any resolution.
    part : what is shown of it; all unless stated.
    """
    axes = bare_axes(sheet, box)
    rows, columns = frame.luminance_cd_m2.shape
    shown = pixels if pixels.ndim == 3 else np.repeat(pixels[..., None], 3, axis=2)
    axes.imshow(shown, extent=(-0.5, columns - 0.5, rows - 0.5, -0.5), interpolation="antialiased", aspect="auto")
    left, top, width, height = part or Part(0, 0, columns, rows)
    axes.set_xlim(left - 0.5, left + width - 0.5)
    axes.set_ylim(top + height - 0.5, top - 0.5)
    return axes


def part_with_people(frames: Sequence[ViewFrame], people: Collection[str]) -> Part:
    """The part of pictures of one eye that holds all people in them, in the shape of the whole.

    Parameters
    ----------
    frames : pictures of one size.
    people : ids.
    """
    rows, columns = frames[0].luminance_cd_m2.shape
    masks = [mask for frame in frames for one, mask in frame.outlines if one in people]
    if not masks:
        return Part(0, 0, columns, rows)
    held = np.any(masks, axis=0)
    down, right = np.flatnonzero(held.any(axis=1)), np.flatnonzero(held.any(axis=0))
    wide = max(right[-1] - right[0], (down[-1] - down[0]) * columns / rows)
    width = int(min(max(AROUND * wide, SMALLEST * columns), columns))
    height = width * rows // columns
    left = int(np.clip((right[0] + right[-1] - width) // 2, 0, columns - width))
    top = int(np.clip((down[0] + down[-1] - height) // 2, 0, rows - height))
    return Part(left, top, width, height)


def draw_people(axes: Axes, case: ViewCase, frame: ViewFrame, size: float | None = 6.5) -> None:
    """Outlines people by how well they are seen, in line style and in words.

    Parameters
    ----------
    axes : of the picture.
    case, frame : what it shows.
    size : of the letters [pt]; None for line styles alone, where the words stand below.
    """
    masks = dict(frame.outlines)
    people = [one for one in case.targets if one.kind == "person" and one.target_id in masks]
    people = [one for one in people if one.sighting in LINES]
    people.sort(key=lambda one: float(np.flatnonzero(masks[one.target_id].any(axis=0)).mean()))
    for number, one in enumerate(people):
        mask = masks[one.target_id]
        _outline(axes, mask, one.sighting)
        if size is not None:
            _name(axes, mask, one, to_the_left=number < len(people) / 2, size=size)


def _outline(axes: Axes, mask: NDArray[np.bool_], sighting: Sighting) -> None:
    """A light line on a dark one around what is seen, at a little distance."""
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    top, left = max(rows[0] - 2 * MARGIN_PX, 0), max(columns[0] - 2 * MARGIN_PX, 0)
    part = mask[top : rows[-1] + 2 * MARGIN_PX + 1, left : columns[-1] + 2 * MARGIN_PX + 1]
    away = _distance(part)
    x, y = left + np.arange(part.shape[1]), top + np.arange(part.shape[0])
    for color, width, style in (("black", 2.6, "solid"), ("white", 1.3, LINES[sighting])):
        axes.contour(x, y, away, levels=[float(MARGIN_PX)], colors=[color], linewidths=width, linestyles=[style])


def _distance(mask: NDArray[np.bool_]) -> Array:
    """Pixels to the nearest one of a small mask."""
    y, x = np.indices(mask.shape)
    found = np.full(mask.shape, np.inf)
    edge = mask & ~_inner(mask)
    for row, column in zip(*np.nonzero(edge), strict=True):
        found = np.minimum(found, np.hypot(y - row, x - column))
    return np.where(mask, 0.0, found)


def _inner(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    inner = np.zeros_like(mask)
    inner[1:-1, 1:-1] = mask[1:-1, 1:-1] & mask[:-2, 1:-1] & mask[2:, 1:-1] & mask[1:-1, :-2] & mask[1:-1, 2:]
    return inner


def _name(axes: Axes, mask: NDArray[np.bool_], target: ViewTarget, *, to_the_left: bool, size: float) -> None:
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    aside = 2.0 * MARGIN_PX
    x = columns[0] - aside if to_the_left else columns[-1] + aside
    y = 0.5 * (rows[0] + rows[-1])
    part = by_part(target.seen_by).strip()
    style: dict[str, Any] = {
        "family": FAMILY,
        "parse_math": False,
        "color": "white",
        "path_effects": halo(1.8),
        "zorder": 9,
    }
    axes.text(
        x,
        y,
        "\n".join((drawable(target.name), target.sighting.upper(), *([part] if part else []))),
        fontsize=size,
        fontweight="bold",
        ha="right" if to_the_left else "left",
        va="center",
        linespacing=1.1,
        clip_on=True,
        **style,
    )
