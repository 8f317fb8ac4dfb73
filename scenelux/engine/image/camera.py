"""Where a picture is taken from, and which way each of its pixels looks."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, radians, tan
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine.arrays import vectors
from scenelux.errors import LimitError, UsageError

__all__ = ["Camera", "GroundPlane", "ViewArrays"]

Floats = NDArray[np.float64]

MOST_PIXELS = 1 << 26
WIDEST_DEG = 170.0
"""A flat picture of a wider field is nearly all rim."""

SHORTEST = 1e-9
"""A vector shorter than this has no direction [m]."""


class ViewArrays(NamedTuple):
    """A camera in the form in which kernels take it.

    The ray of pixel place (x, y), counted in pixels from the middle of the picture to the right and down, starts at
    the eye and runs along forward + x right + y down; parallel rays start at eye + x right + y down and run forward.
    """

    eye: Floats
    forward: Floats
    right: Floats
    down: Floats
    width: int
    height: int
    parallel: bool


@dataclass(frozen=True, eq=False)
class GroundPlane:
    """The ground as one plane, seen from both sides. Build by `through`.

    Parameters
    ----------
    point_m : (3,), any point of it, site frame [m].
    normal : (3,), unit vector square to it, site frame.
    far_m : ground farther from where its ray starts than this is not seen [m].
    """

    point_m: Floats
    normal: Floats
    far_m: float

    @classmethod
    def through(
        cls, point_m: ArrayLike = (0.0, 0.0, 0.0), normal: ArrayLike = (0.0, 0.0, 1.0), far_m: float = np.inf
    ) -> GroundPlane:
        """The plane through a point, square to a vector of any length; endless unless a distance is stated.

        Parameters
        ----------
        point_m, normal, far_m : as in the class.

        Example
        -------
        >>> GroundPlane.through(normal=(0, 0, 2)).normal.tolist()
        [0.0, 0.0, 1.0]
        """
        if not far_m > 0.0:
            raise UsageError("is not a distance above 0 m", key="far_m")
        return cls(_vector(point_m, "point_m"), _unit(_vector(normal, "normal"), "normal"), float(far_m))


@dataclass(frozen=True, eq=False)
class Camera:
    """An eye and the picture it sees: a pinhole, or parallel rays. Build by `pinhole`, `side_view` and `towards`.

    Pixel (row i, column j) looks from its centre, which is x = j + 0.5 - width_px / 2 pixels right and
    y = i + 0.5 - height_px / 2 pixels below the middle of the picture. From a pinhole its ray runs along
    forward - x step left - y step up; of parallel rays, which all run forward, it starts at
    eye - x step left - y step up. Pixels are square.

    Parameters
    ----------
    eye_m : (3,), where the rays start; of parallel rays the middle one, all others in the plane square to it [m].
    axes : (3, 3), rows are the forward, left and up axes of the picture, site frame.
    width_px, height_px : size of the picture.
    step : width of a pixel, of a pinhole at 1 m ahead [m / m], of parallel rays [m].
    parallel : whether the rays are parallel.

    Example
    -------
    >>> camera = Camera.pinhole((0, 0, 1.2), np.eye(3), 640, 360, field_deg=90)
    >>> camera.directions()[179, 639].round(3).tolist()
    [0.708, -0.707, 0.001]
    """

    eye_m: Floats
    axes: Floats
    width_px: int
    height_px: int
    step: float
    parallel: bool

    @classmethod
    def pinhole(cls, eye_m: ArrayLike, axes: ArrayLike, width_px: int, height_px: int, *, field_deg: float) -> Camera:
        """A camera all of whose rays start at the eye.

        Parameters
        ----------
        eye_m, width_px, height_px : as in the class.
        axes : (3, 3), as in the class; `geometry.aim_axes` gives them for a heading, a tilt and a roll.
        field_deg : horizontal field of view, up to 170 [deg].
        """
        if not 0.0 < field_deg <= WIDEST_DEG:
            raise UsageError(f"is not an angle above 0 and up to {WIDEST_DEG:g} deg", key="field_deg")
        width, height = _sizes(width_px, height_px)
        step = 2.0 * tan(radians(0.5 * field_deg)) / width
        return cls(_vector(eye_m, "eye_m"), _axes(axes), width, height, step, False)

    @classmethod
    def side_view(cls, eye_m: ArrayLike, axes: ArrayLike, width_px: int, height_px: int, *, field_m: float) -> Camera:
        """A camera with parallel rays, for views in which lengths can be measured.

        Parameters
        ----------
        eye_m, axes, width_px, height_px : as in the class. What lies behind the plane of the eye is not seen.
        field_m : width of what is seen [m].
        """
        if not (field_m > 0.0 and isfinite(field_m)):
            raise UsageError("is not a width above 0 m", key="field_m")
        width, height = _sizes(width_px, height_px)
        return cls(_vector(eye_m, "eye_m"), _axes(axes), width, height, field_m / width, True)

    @classmethod
    def towards(
        cls, eye_m: ArrayLike, target_m: ArrayLike, width_px: int, height_px: int, *, field_deg: float
    ) -> Camera:
        """A pinhole that looks at a place, its picture upright; straight up or down, with the site's along axis up.

        Parameters
        ----------
        eye_m, target_m : (3,), site frame [m].
        width_px, height_px, field_deg : as in `pinhole`.

        Example
        -------
        >>> Camera.towards((0, 0, 2), (10, 0, 2), 64, 36, field_deg=40).axes.tolist()
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
        """
        forward = _unit(_vector(target_m, "target_m") - _vector(eye_m, "eye_m"), "target_m")
        level = np.cross((0.0, 0.0, 1.0), forward)
        if float(np.linalg.norm(level)) < SHORTEST:
            level = np.cross((1.0, 0.0, 0.0), forward)
        left = _unit(level, "target_m")
        axes = np.stack((forward, left, np.cross(forward, left)))
        return cls.pinhole(eye_m, axes, width_px, height_px, field_deg=field_deg)

    @property
    def view(self) -> ViewArrays:
        """The camera as the kernels take it."""
        right, down = vectors(self.axes[1:] * -self.step, "axes")
        return ViewArrays(self.eye_m, self.axes[0], right, down, self.width_px, self.height_px, self.parallel)

    def places(self) -> tuple[Floats, Floats]:
        """Where pixel centres lie, in pixels from the middle of the picture: right (width,), down (height,)."""
        return _middles(self.width_px), _middles(self.height_px)

    def directions(self) -> Floats:
        """Unit vectors (height, width, 3), site frame, along which the pixels look."""
        view, (x, y) = self.view, self.places()
        if self.parallel:
            return np.broadcast_to(view.forward, (self.height_px, self.width_px, 3))
        ways = view.forward + x[None, :, None] * view.right + y[:, None, None] * view.down
        found: Floats = ways / np.linalg.norm(ways, axis=2, keepdims=True)
        return found

    def solid_angles_sr(self) -> Floats:
        """Solid angle (height, width) [sr] of every pixel of a pinhole, exact.

        Luminance times solid angle times the cosine to a plane at the eye, summed, is the illuminance of that plane.

        Source: solid angle of a rectangle, atan(x y / sqrt(1 + x^2 + y^2)) from corner to corner (re-derived).

        Example
        -------
        >>> side_of_cube = Camera.pinhole((0, 0, 0), np.eye(3), 30, 30, field_deg=90)
        >>> round(float(side_of_cube.solid_angles_sr().sum() / (4 * np.pi)), 9)
        0.166666667
        """
        if self.parallel:
            raise UsageError("of parallel rays has no solid angle", key="pixel")
        x = (np.arange(self.width_px + 1) - 0.5 * self.width_px) * self.step
        y = (np.arange(self.height_px + 1) - 0.5 * self.height_px)[:, None] * self.step
        corners = np.arctan(x * y / np.sqrt(1.0 + x * x + y * y))
        found: Floats = np.diff(np.diff(corners, axis=0), axis=1)
        return found

    def pixels_of(self, points_m: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Where points appear: column and row (a pixel's centre is its whole number), and their depth.

        Parameters
        ----------
        points_m : (n, 3), site frame [m].

        Returns
        -------
        Column (n,), row (n,), and depth (n,) along the forward axis [m]; a pinhole sees no point whose depth is not
        above 0, and its column and row are nan.

        Example
        -------
        >>> camera = Camera.pinhole((0, 0, 0), np.eye(3), 101, 51, field_deg=90)
        >>> [part.tolist() for part in camera.pixels_of([[5, 0, 0], [-1, 0, 0]])]
        [[50.0, nan], [25.0, nan], [5.0, -1.0]]
        """
        away = vectors(points_m, "points_m") - self.eye_m
        depth, left, up = self.axes @ away.T
        seen = np.ones_like(depth) if self.parallel else np.where(depth > 0.0, depth, np.nan)
        scale = 1.0 / (seen * self.step)
        return 0.5 * (self.width_px - 1) - left * scale, 0.5 * (self.height_px - 1) - up * scale, depth


def _middles(count: int) -> Floats:
    return np.arange(count, dtype=np.float64) + (0.5 - 0.5 * count)


def _vector(values: ArrayLike, name: str) -> Floats:
    vector: Floats = vectors(np.array(values, dtype=np.float64).reshape(1, -1), name, 1)[0]
    return vector


def _unit(vector: Floats, name: str) -> Floats:
    length = float(np.linalg.norm(vector))
    if length < SHORTEST:
        raise UsageError("has no direction", key=name)
    return _vector(vector / length, name)


def _axes(values: ArrayLike) -> Floats:
    axes = vectors(np.array(values, dtype=np.float64), "axes", 3)
    if np.abs(axes @ axes.T - np.eye(3)).max() > 1e-6 or np.linalg.det(axes) < 0.0:
        raise UsageError("are not forward, left and up: unit vectors square to each other", key="axes")
    return axes


def _sizes(width_px: int, height_px: int) -> tuple[int, int]:
    for name, size in (("width_px", width_px), ("height_px", height_px)):
        if size != int(size) or size < 1:
            raise UsageError("is not a whole number above 0", key=name)
    if width_px * height_px > MOST_PIXELS:
        raise LimitError(f"has more than {MOST_PIXELS} pixels", key="picture", accepted="take a smaller one")
    return int(width_px), int(height_px)
