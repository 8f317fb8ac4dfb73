"""The road of an approach: straight or curved up to the vehicle, on the ground of the site or above it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import Vector
from scenelux.placement.ground import Ground

__all__ = ["Road"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Road:
    """A lane by the distance along it to the place where it passes the vehicle's nearest face.

    Parameters
    ----------
    ground : the plane of the site, on which the lane lies where it has no profile.
    end_m : along and left of that place [m].
    travel : 1 where the lane is driven along the site, -1 where it is driven against it.
    radius_m : of the curve before that place, positive turns left as driven; none is straight [m].
    profile_m : rising distances, and how far the lane lies above the ground there; straight between, level beyond [m].

    Example
    -------
    >>> Road(Ground(), (0.0, 3.0), 1, None, ()).points_m(np.array([100.0])).tolist()
    [[-100.0, 3.0, 0.0]]
    """

    ground: Ground
    end_m: tuple[float, float]
    travel: int
    radius_m: float | None = None
    profile_m: Sequence[tuple[float, float]] = ()

    def points_m(self, distances_m: Array) -> Array:
        """Points of the lane's centre line, (n, 3), site frame [m]."""
        ahead, aside = -distances_m, np.zeros_like(distances_m)
        if self.radius_m is not None:
            turned = distances_m / self.radius_m
            ahead, aside = -self.radius_m * np.sin(turned), self.radius_m * (1.0 - np.cos(turned))
        along, left = self.end_m[0] + self.travel * ahead, self.end_m[1] + self.travel * aside
        up = self.ground.heights_m(along, left) + self._profile(distances_m)
        return np.stack((along, left, up), axis=1)

    def axes(self, distances_m: Array) -> Array:
        """Forward, left and up of a vehicle driving there, (n, 3, 3) rows, site frame; forward follows the slope."""
        turned = np.zeros_like(distances_m) if self.radius_m is None else distances_m / self.radius_m
        plan = self.travel * np.stack((np.cos(turned), -np.sin(turned)), axis=1)
        aside = plan @ _QUARTER_TURN
        forward = _unit(np.column_stack((plan, self._ground_slope(plan) + self._profile_slope(distances_m))))
        left = _unit(np.column_stack((aside, self._ground_slope(aside))))
        up = _unit(np.cross(forward, left))
        return np.stack((forward, np.cross(up, forward), up), axis=1)

    def steepest_fall(self) -> float:
        """Slope of the steepest stretch as driven, at the vehicle or in the profile; negative downhill."""
        at_the_end = float(self._ground_slope(np.array([[float(self.travel), 0.0]]))[0])
        return at_the_end + min([0.0, *self._slopes()])

    def hides(self, eyes_m: Array, distances_m: Array, target_m: Vector) -> NDArray[np.bool_]:
        """Whether the top of a rise stands between eyes on this road and a target, (n,).

        Parameters
        ----------
        eyes_m, distances_m : (n, 3) site frame, and along the road [m].
        target_m : site frame [m].

        Only a profile hides something: on one inclined plane everything above the ground is seen. The line of sight is
        looked at over the points of the profile, where a road that is straight between them is highest.
        """
        hidden = np.zeros(len(eyes_m), np.bool_)
        target = self.travel * (self.end_m[0] - target_m[0])
        for knot, _ in self._knots():
            share = (knot - target) / np.where(distances_m > target, distances_m - target, np.inf)
            sight = target_m[2] + share * (eyes_m[:, 2] - target_m[2])
            road = float(self.points_m(np.array([knot]))[0, 2])
            hidden |= (knot > target) & (knot < distances_m) & (sight < road)
        return hidden

    def _knots(self) -> list[tuple[float, float]]:
        if not self.profile_m:
            return []
        return [(0.0, 0.0), *(point for point in self.profile_m if point[0] > 0.0)]

    def _profile(self, distances_m: Array) -> Array:
        knots = self._knots()
        if not knots:
            return np.zeros_like(distances_m)
        return np.interp(distances_m, [point[0] for point in knots], [point[1] for point in knots])

    def _slopes(self) -> list[float]:
        """Slope of each stretch of the profile as driven."""
        return [(low - high) / (far - near) for (near, low), (far, high) in pairwise(self._knots())]

    def _profile_slope(self, distances_m: Array) -> Array:
        """At a point of the profile, that of the stretch ahead."""
        knots = self._knots()
        if not knots:
            return np.zeros_like(distances_m)
        slopes = np.array([0.0, *self._slopes(), 0.0])
        return np.asarray(slopes[np.searchsorted([point[0] for point in knots], distances_m, side="left")])

    def _ground_slope(self, plan: Array) -> Array:
        return self.ground.heights_m(plan[:, 0], plan[:, 1])


_QUARTER_TURN = np.array([[0.0, 1.0], [-1.0, 0.0]])


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=1, keepdims=True))
