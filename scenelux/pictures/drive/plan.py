"""The plan under a driver's view: the road, the vehicle, everybody who is looked for, and where the driver is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from scenelux.pictures.drive.lettering import lettered
from scenelux.pictures.site import body_outline
from scenelux.study.results.approach import ApproachResult, ApproachVariant
from scenelux.units import UnitSystem, format_distance

__all__ = ["Plan", "plan_of"]

Array = NDArray[np.float64]
Place = tuple[float, float]

MARGIN_PX, HEAD_PX = 14, 18
CAR_M = (4.5, 1.8)
AROUND_M = 12.0
"""What is shown beyond the vehicle and beside the road."""


@dataclass(frozen=True, eq=False)
class Plan:
    """A plan that drives from left to right: its still parts, and where things are on it.

    Parameters
    ----------
    still : what does not move.
    per_m : pixels per metre.
    corner_m : (2,) its lower left corner, turned.
    turned : (2, 2) rows are the directions of the site that lie to the right and up on it.
    """

    still: Image.Image
    per_m: float
    corner_m: Array
    turned: Array

    def place(self, point_m: Array) -> Place:
        """Pixel of a place of the site."""
        x, y = (self.turned @ point_m[:2] - self.corner_m) * self.per_m
        return MARGIN_PX + float(x), float(self.still.height - MARGIN_PX - y)

    def at(self, eye_m: Array, travel: Array) -> Image.Image:
        """The plan with the driver at a place.

        Parameters
        ----------
        eye_m : (3,) the driver's eye [m].
        travel : (3,) where he drives.
        """
        picture = self.still.copy()
        draw = ImageDraw.Draw(picture)
        long, wide = CAR_M
        aside = np.array([-travel[1], travel[0], 0.0])
        corners = [
            eye_m + a * long / 2 * travel + b * wide / 2 * aside for a, b in ((1, 1), (1, -1), (-1, -1), (-1, 1))
        ]
        draw.polygon([self.place(corner) for corner in corners], fill=(0, 0, 0))
        (right, up), (x, y) = self.turned @ travel[:2], self.place(eye_m)
        wedge = [(x + a * right - b * up, y - a * up - b * right) for a, b in ((11, 0), (-6, 8), (-6, -8))]
        draw.polygon(wedge, fill=(255, 255, 255), outline=(0, 0, 0), width=2)
        return picture


def plan_of(
    variant: ApproachVariant, approach: ApproachResult, width_px: int, height_px: int, units: UnitSystem
) -> Plan:
    """A plan of an approach with its still parts drawn.

    Parameters
    ----------
    variant : for lanes and bodies.
    approach : the way and who is looked for.
    width_px, height_px : of the picture.
    units : "metric" or "us".
    """
    turned = _turned(approach)
    bodies = [body_outline(body) for body in variant.site.bodies]
    ways = np.concatenate([approach.points_m[:, :2], *bodies]) @ turned.T
    low, high = ways.min(axis=0) - np.array([0.0, AROUND_M]), ways.max(axis=0) + AROUND_M
    per_m = min((width_px - 2 * MARGIN_PX) / (high[0] - low[0]), (height_px - 2 * MARGIN_PX) / (high[1] - low[1]))
    low[1] = 0.5 * (low[1] + high[1]) - 0.5 * (height_px - 2 * MARGIN_PX) / per_m
    plan = Plan(Image.new("RGB", (width_px, height_px), (255, 255, 255)), per_m, low, turned)
    draw = ImageDraw.Draw(plan.still)
    _draw_road(draw, plan, variant, approach)
    for outline in bodies:
        draw.polygon([plan.place(corner) for corner in outline], fill=(170, 170, 170), outline=(0, 0, 0))
    _draw_targets(draw, plan, approach)
    _draw_stopping(draw, plan, approach, units)
    lettered(draw, (6, 3), "Plan, to scale; the triangle is the driver", 12, light=60)
    return plan


def _turned(approach: ApproachResult) -> Array:
    """The way from the first station to the last lies to the right."""
    right = approach.points_m[-1, :2] - approach.points_m[0, :2]
    right = right / max(float(np.linalg.norm(right)), 1e-9)
    return np.array([right, (-right[1], right[0])])


def _draw_road(draw: ImageDraw.ImageDraw, plan: Plan, variant: ApproachVariant, approach: ApproachResult) -> None:
    """The way, and edges of lanes where the road is straight along the site."""
    way = [plan.place(point) for point in approach.points_m]
    straight = float(np.ptp(approach.points_m[:, 1])) < 0.01
    for lane in variant.site.lanes if straight else ():
        for side in (-0.5, 0.5):
            y = plan.place(np.array([0.0, lane.centre_left_m + side * lane.width_m]))[1]
            draw.line([(MARGIN_PX, y), (plan.still.width - MARGIN_PX, y)], fill=(190, 190, 190))
    draw.line(way, fill=(120, 120, 120), width=1)


def _draw_targets(draw: ImageDraw.ImageDraw, plan: Plan, approach: ApproachResult) -> None:
    for target in reversed(approach.targets):
        x, y = plan.place(np.array(target.position_m))
        size = 4 if target.kind == "person" else 2
        fill = (0, 0, 0) if target.kind == "person" else (255, 255, 255)
        draw.ellipse([(x - size, y - size), (x + size, y + size)], fill=fill, outline=(0, 0, 0))


def _draw_stopping(draw: ImageDraw.ImageDraw, plan: Plan, approach: ApproachResult, units: UnitSystem) -> None:
    """A cross line where the driver must see at the latest, to stop before the vehicle."""
    distances, stopping = approach.distances_m, approach.stopping_distance_m
    if not distances.min() <= stopping <= distances.max():
        return
    at = np.array([np.interp(stopping, distances[::-1], approach.points_m[::-1, axis]) for axis in (0, 1)])
    x, y = plan.place(at)
    draw.line([(x, y - 14), (x, y + 14)], fill=(0, 0, 0), width=2)
    lettered(draw, (x + 5, y + 8), f"stopping sight distance {format_distance(stopping, units)}", 12)
