"""A vehicle drawn to scale from above, from behind and from the front, in metres about its middle on the ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.pictures.site import body_outline
from scenelux.study.results.signal import SignalVariant

__all__ = ["Drawing", "Side", "drawing"]

Array = NDArray[np.float64]
Side = Literal["above, front up", "above, front to the right", "behind", "front"]


@dataclass(frozen=True, eq=False)
class Drawing:
    """A vehicle from one side: x to the right and y up on the drawing [m].

    Parameters
    ----------
    outlines : (corners, 2) of each body, the farthest first.
    lamps_m : (lamps, 2) of all lamps, in the order of the variant.
    mine : (lamps,) on this vehicle.
    upright : y is the height above the ground.
    nose_m : (2,) where its centre line leaves its front, seen from above.
    """

    outlines: tuple[Array, ...]
    lamps_m: Array
    mine: NDArray[np.bool_]
    upright: bool
    nose_m: Array

    @property
    def limits(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of the bodies and of its lamps; the ground belongs to upright drawings."""
        points = np.concatenate([*self.outlines, self.lamps_m[self.mine], np.zeros((1, 2))])
        (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
        return left, bottom, right, top


def drawing(variant: SignalVariant, side: Side) -> Drawing:
    """The vehicle of a variant from one side.

    Parameters
    ----------
    variant : its own vehicle alone; lamps of others are not `mine`.
    side : from where it is seen; from above it lies with its front up, or to the right.
    """
    turn = np.radians(variant.heading_deg)
    forward = np.array([np.cos(turn), np.sin(turn), 0.0])
    left, up = np.array([-forward[1], forward[0], 0.0]), np.array([0.0, 0.0, 1.0])
    across_up, near = {
        "above, front up": (np.array([-left, forward]), up),
        "above, front to the right": (np.array([forward, left]), up),
        "behind": (np.array([-left, up]), -forward),
        "front": (np.array([left, up]), forward),
    }[side]
    middle = across_up @ np.array(variant.centre_m)
    own = [body for body in variant.site.bodies if body.vehicle_id == variant.vehicle_id]
    own.sort(key=lambda body: float(near @ np.array(body.centre_m) + np.abs(np.array(body.axes) @ near) @ body.half_m))
    places = np.array([lamp.position_m for lamp in variant.lamps]).reshape(-1, 3) @ across_up.T - middle
    outlines = tuple(body_outline(body, across_up) - middle for body in own)
    nose = across_up @ _nose(variant, forward) - middle
    return Drawing(outlines, places, _mine(variant), bool(across_up[1] @ up), nose)


def _nose(variant: SignalVariant, forward: Array) -> Array:
    """The frontmost place of the bodies, on the centre line."""
    origins = [np.array(origin) for name, origin, _ in variant.site.vehicles if name == variant.vehicle_id]
    origin = origins[0] if origins else np.array(variant.centre_m)
    own = [body for body in variant.site.bodies if body.vehicle_id == variant.vehicle_id]
    fronts = [np.array(one.centre_m) @ forward + np.abs(np.array(one.axes) @ forward) @ one.half_m for one in own]
    return np.asarray(origin + (max(fronts, default=origin @ forward) - origin @ forward) * forward)


def _mine(variant: SignalVariant) -> NDArray[np.bool_]:
    """Lamps of the vehicle itself, as its duty states name them; all where there are none."""
    owner = {lamp.lamp_id: lamp.vehicle_id for case in variant.cases for lamp in case.lamps}
    own = [owner.get(lamp.lamp_id, variant.vehicle_id) == variant.vehicle_id for lamp in variant.lamps]
    return np.array(own, np.bool_)
