"""A vehicle with its lamps as spots, from above, from behind and from the front, to one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from scenelux.pictures.drive.lettering import lettered
from scenelux.pictures.signal.strip import direction_at, level_ring
from scenelux.pictures.signal.vehicle import Drawing, Side, drawing
from scenelux.study.results.signal import SignalVariant

__all__ = ["VIEWS", "View", "draw_spots", "still_views", "views_of"]

Array = NDArray[np.float64]
Place = tuple[float, float]

VIEWS: tuple[tuple[Side, str, float], ...] = (
    ("above, front to the right", "Plan, front to the right", float("nan")),
    ("behind", "Seen from behind", 180.0),
    ("front", "Seen from the front", 0.0),
)
"""From where, how it is called, and the heading of who sees it."""

GROUND, ROAD, BODY, TALL = (46, 46, 46), (70, 70, 70), (104, 104, 104), (130, 130, 130)
SPOT_M, SMALLEST_PX, LARGEST_PX = 0.1, 4.0, 9.0
SEEN_SHARE, FACING = 0.01, 0.2
"""Lamps are drawn from a side to which they send this share of their largest intensity, or more; what faces it
has at least this cosine between its beam and the side."""


@dataclass(frozen=True, eq=False)
class View:
    """One side of the vehicle on a picture.

    Parameters
    ----------
    name : in words.
    box : left, top, right and bottom [px].
    drawing : the vehicle from there.
    shown : (lamps,) those drawn.
    per_m : pixels per metre, the same in all views.
    """

    name: str
    box: tuple[int, int, int, int]
    drawing: Drawing
    shown: NDArray[np.bool_]
    per_m: float

    def place(self, point_m: Array) -> Place:
        """Pixel of a place on the drawing, which stands in the middle of the box."""
        left, bottom, right, top = self.drawing.limits
        x = (self.box[0] + self.box[2]) / 2 + (float(point_m[0]) - (left + right) / 2) * self.per_m
        y = (self.box[1] + self.box[3]) / 2 + HEAD_PX / 2 - (float(point_m[1]) - (bottom + top) / 2) * self.per_m
        return x, y

    @property
    def radius_px(self) -> float:
        """Of the outline of a spot."""
        return min(max(SPOT_M * self.per_m, SMALLEST_PX), LARGEST_PX)


HEAD_PX, EDGE_PX = 20, 14


def views_of(variant: SignalVariant, boxes: Sequence[tuple[int, int, int, int]]) -> list[View]:
    """The three views, as large as the tightest of their boxes allows.

    Parameters
    ----------
    variant : whose vehicle is drawn.
    boxes : of the views, in their order.
    """
    drawings = [drawing(variant, side) for side, _, _ in VIEWS]
    per_m = min(_room(one, box) for one, box in zip(drawings, boxes, strict=True))
    return [
        View(name, box, one, one.mine & _seen(variant, heading), per_m)
        for (_, name, heading), one, box in zip(VIEWS, drawings, boxes, strict=True)
    ]


def _room(one: Drawing, box: tuple[int, int, int, int]) -> float:
    left, bottom, right, top = one.limits
    wide, tall = box[2] - box[0] - 2 * EDGE_PX, box[3] - box[1] - 2 * EDGE_PX - HEAD_PX
    return min(wide / max(right - left, 0.1), tall / max(top - bottom, 0.1))


def _seen(variant: SignalVariant, heading_deg: float) -> NDArray[np.bool_]:
    """Lamps that send light to a side, or face it where another vehicle stands between; all from above."""
    if np.isnan(heading_deg):
        return np.ones(len(variant.lamps), np.bool_)
    ring = level_ring(variant)
    most = np.max([one.by_lamp_cd.max(axis=1) for one in variant.rings], axis=0)
    at = direction_at(ring, heading_deg)
    there = ring.by_lamp_cd[:, at]
    turn = np.radians(variant.heading_deg + heading_deg)
    faces = np.array([lamp.beam for lamp in variant.lamps]) @ (np.cos(turn), np.sin(turn), 0.0) > FACING
    return np.asarray(((there > 0.0) & (there >= SEEN_SHARE * most)) | (ring.hidden[:, at] & faces))


def still_views(canvas: Image.Image, views: Sequence[View]) -> None:
    """Draws what does not change: bodies, and the name of each view.

    Parameters
    ----------
    canvas : to draw on.
    views : of `views_of`.
    """
    draw = ImageDraw.Draw(canvas)
    for view in views:
        draw.rectangle(view.box, fill=GROUND)
        if view.drawing.upright:
            y = view.place(np.zeros(2))[1]
            draw.rectangle([(view.box[0], y), view.box[2:]], fill=ROAD)
        for number, outline in enumerate(view.drawing.outlines):
            shape = [view.place(corner) for corner in outline]
            draw.polygon(shape, fill=TALL if number % 2 else BODY, outline=(225, 225, 225))
        lettered(draw, (view.box[0] + 8, view.box[1] + 6), view.name, 14, bold=True, light=235)
    _draw_front(draw, views[0])


def _draw_front(draw: ImageDraw.ImageDraw, view: View) -> None:
    """A wedge at the front of the plan."""
    x, y = view.place(view.drawing.nose_m)
    size = 0.25 * view.per_m
    draw.polygon([(x - 4, y), (x - 4 - size, y - size / 2), (x - 4 - size, y + size / 2)], fill=(0, 0, 0))


def draw_spots(draw: ImageDraw.ImageDraw, view: View, levels: Array) -> None:
    """Each lamp as an outline, filled the farther out the higher its level.

    Parameters
    ----------
    draw : on which picture.
    view : one of `views_of`.
    levels : (lamps,) 0 to 1.
    """
    size = view.radius_px
    order = np.argsort(levels[view.shown], kind="stable")  # what is lit covers what is not
    for at in np.flatnonzero(view.shown)[order].tolist():
        x, y = view.place(view.drawing.lamps_m[at])
        draw.ellipse([(x - size, y - size), (x + size, y + size)], fill=(0, 0, 0), outline=(205, 205, 205))
        if levels[at] > 0.0:
            disc = (size - 1.0) * float(np.sqrt(levels[at]))
            draw.ellipse([(x - disc, y - disc), (x + disc, y + disc)], fill=(255, 255, 255))
