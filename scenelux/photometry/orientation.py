"""How a lamp is mounted: which photometric direction becomes its beam and which its top, and tables ready to turn."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import DocumentError
from scenelux.geometry import Axes, Vector, cross, dot, unit
from scenelux.photometry.directions import PhotometricType, angles, direction
from scenelux.photometry.distribution import ANGLE_SLACK_DEG, IntensityDistribution, Opening

__all__ = [
    "LampOpening",
    "Orientation",
    "PolarTable",
    "default_orientation",
    "opening_in_lamp",
    "orientation_text",
    "parse_orientation",
    "polar_table",
]

Array = NDArray[np.float64]

_PARALLEL = 1e-3  # sine below which two directions name no plane


@dataclass(frozen=True)
class Orientation:
    """Photometric directions that go to the beam and to the top of the mounted lamp.

    Parameters
    ----------
    face : becomes the beam axis, photometric frame.
    top : becomes the lamp's up, photometric frame; its part square to `face` counts.
    """

    face: Vector
    top: Vector

    def axes_in_lamp(self) -> Axes:
        """The x, y and z axes of the photometric frame in lamp axes (forward, left, up)."""
        beam = unit(self.face)
        along = dot(self.top, beam)
        up = unit((self.top[0] - along * beam[0], self.top[1] - along * beam[1], self.top[2] - along * beam[2]))
        left = cross(up, beam)
        x, y, z = (tuple(part + 0.0 for part in axis) for axis in zip(beam, left, up, strict=True))
        return (x, y, z)  # type: ignore[return-value]

    def to_photometric(self, directions: ArrayLike) -> Array:
        """Directions (..., 3) given in lamp axes, in the photometric frame."""
        return np.asarray(np.asarray(directions, np.float64) @ np.array(self.axes_in_lamp()).T)


_DEFAULTS: dict[PhotometricType, Orientation] = {
    "C": Orientation((0.0, 0.0, -1.0), (0.0, 1.0, 0.0)),
    "B": Orientation((0.0, 0.0, -1.0), (1.0, 0.0, 0.0)),
    "A": Orientation((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
}


def default_orientation(photometric_type: PhotometricType) -> Orientation:
    """The usual mounting: the beam is gamma 0 of type C, (0, 0) of types A and B.

    Seen along the beam at roll 0, C 0 is right and C 90 up; H is positive to the right and V positive up.

    Parameters
    ----------
    photometric_type : "A", "B" or "C".

    Example
    -------
    >>> default_orientation("B").axes_in_lamp()
    ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0))
    """
    return _DEFAULTS[photometric_type]


def parse_orientation(photometric_type: PhotometricType, face: str | None, top: str | None) -> Orientation:
    """The mounting that a card asks for in words.

    Parameters
    ----------
    photometric_type : of the luminaire's data.
    face, top : directions such as "C 0 gamma 90", "gamma 180" or "C 0" (gamma is then 90); for data of types A and B
        also "H 0 V 90". None takes the usual one. Angles are in the photometric frame of the data.

    Example
    -------
    >>> parse_orientation("C", "C 0 gamma 90", "gamma 180").axes_in_lamp()[0]
    (1.0, 0.0, 0.0)
    """
    usual = default_orientation(photometric_type)
    beam = usual.face if face is None else _parse_direction(photometric_type, "face", face)
    up = usual.top if top is None else _parse_direction(photometric_type, "top", top)
    if dot(cross(beam, up), cross(beam, up)) < _PARALLEL**2:
        raise DocumentError(
            "points along the face", key="top", value=top or "the usual top", accepted="give a direction square to face"
        )
    return Orientation(beam, up)


def orientation_text(orientation: Orientation) -> tuple[str, str]:
    """Face and top of a mounting in words, as type C angles, which a card may give for data of every type.

    Parameters
    ----------
    orientation : in the photometric frame of LM-63.

    Example
    -------
    >>> orientation_text(default_orientation("B")), orientation_text(default_orientation("A"))
    (('gamma 0', 'C 0 gamma 90'), ('C 0 gamma 90', 'gamma 180'))
    """
    return _in_words(orientation.face), _in_words(orientation.top)


def _in_words(toward: Vector) -> str:
    c, gamma = (np.format_float_positional(round(float(angle), 6) + 0.0, trim="-") for angle in angles("C", toward))
    return f"gamma {gamma}" if gamma in ("0", "180") else f"C {c} gamma {gamma}"


def _parse_direction(photometric_type: PhotometricType, key: str, text: str) -> Vector:
    number = r"\s*(-?[0-9]+(?:\.[0-9]*)?)\s*"
    if match := re.fullmatch(rf"\s*H{number}V{number}", text):
        if photometric_type != "C":
            return _clean(direction(photometric_type, float(match[1]), float(match[2])))
    elif match := re.fullmatch(rf"\s*(?:C{number})?(?:gamma{number})?", text):
        c, gamma = match[1], match[2]
        if c is not None or gamma in ("0", "180"):
            return _clean(direction("C", float(c or 0.0), float(gamma or 90.0)))
    accepted = 'give "C 0 gamma 90", "C 0", "gamma 180"' + ("" if photometric_type == "C" else ' or "H 0 V 90"')
    raise DocumentError("is not a photometric direction", key=key, value=text, accepted=accepted)


def _clean(vector: Array) -> Vector:
    x, y, z = (round(float(c), 15) + 0.0 for c in vector)
    return (x, y, z)


@dataclass(frozen=True, eq=False)
class PolarTable:
    """Intensities in spherical coordinates about one axis: the form that every photometric type takes for computing.

    A direction d in lamp axes has t = axes @ d; its polar angle is atan2(hypot(tx, ty), tz) and its azimuth
    atan2(ty, tx) mod 360. The intensity is bilinear in both; outside the listed angles it is 0.

    Parameters
    ----------
    azimuth_deg : (nA,) ascending within 0..360 [deg]; a closed circle starts at 0 and ends at 360.
    polar_deg : (nP,) ascending within 0..180 [deg].
    candela : (nA, nP) [cd].
    axes : (3, 3), rows are the table's x, y and z axes in lamp axes (forward, left, up), right-handed.
    """

    azimuth_deg: Array
    polar_deg: Array
    candela: Array
    axes: Array

    def intensity(self, directions: ArrayLike) -> Array:
        """Intensity in directions (..., 3) of the lamp axes [cd]."""
        t = np.asarray(directions, np.float64) @ self.axes.T
        polar = np.degrees(np.arctan2(np.hypot(t[..., 0], t[..., 1]), t[..., 2]))
        azimuth = np.degrees(np.arctan2(t[..., 1], t[..., 0])) % 360.0
        return _bilinear(self, azimuth, polar)


def _bilinear(table: PolarTable, azimuth: Array, polar: Array) -> Array:
    a, p, slack = table.azimuth_deg, table.polar_deg, ANGLE_SLACK_DEG
    inside = (azimuth >= a[0] - slack) & (azimuth <= a[-1] + slack) & (polar >= p[0] - slack) & (polar <= p[-1] + slack)
    azimuth, polar = np.clip(azimuth, a[0], a[-1]), np.clip(polar, p[0], p[-1])
    i = np.clip(np.searchsorted(a, azimuth, side="right") - 1, 0, a.size - 2)
    j = np.clip(np.searchsorted(p, polar, side="right") - 1, 0, p.size - 2)
    u, w = (azimuth - a[i]) / (a[i + 1] - a[i]), (polar - p[j]) / (p[j + 1] - p[j])
    c = table.candela
    value = (1 - u) * ((1 - w) * c[i, j] + w * c[i, j + 1]) + u * ((1 - w) * c[i + 1, j] + w * c[i + 1, j + 1])
    return np.where(inside, value, 0.0)


def polar_table(distribution: IntensityDistribution, orientation: Orientation) -> PolarTable:
    """The distribution, mounted, as a polar table: angles are relabelled and nothing is resampled.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    """
    h, v, candela = distribution.horizontal_deg, distribution.vertical_deg, distribution.candela
    x, y, z = np.array(orientation.axes_in_lamp())
    if distribution.photometric_type == "C":  # about -z, azimuth -C
        azimuth, polar, table, axes = 360.0 - h[::-1], v, candela[::-1], (x, -y, -z)
    elif distribution.photometric_type == "B":  # about -y, azimuth V + 180, polar angle 90 - H
        azimuth, polar, table, axes = v + 180.0, 90.0 - h[::-1], candela[::-1].T, (z, -x, -y)
    else:  # about z, azimuth 180 - H, polar angle 90 - V
        azimuth, polar, table, axes = 180.0 - h[::-1], 90.0 - v[::-1], candela[::-1, ::-1], (-x, -y, z)
    return PolarTable(*(_frozen(part) for part in (azimuth, polar, table, np.array(axes) + 0.0)))


def _frozen(array: Array) -> Array:
    copy = np.array(array, np.float64, order="C")
    copy.flags.writeable = False
    return copy


@dataclass(frozen=True, eq=False)
class LampOpening:
    """A luminous opening on the mounted lamp; the first two sizes span the outline seen along the beam.

    Parameters
    ----------
    size_m : three sizes [m], the last one the depth along the beam.
    axes : (3, 3), rows are the directions of the sizes in lamp axes (forward, left, up).
    is_round : the outline is an ellipse instead of a rectangle.
    """

    size_m: Vector
    axes: Array
    is_round: bool

    @property
    def across_up_depth_m(self) -> Vector:
        """Sizes left to right, bottom to top and along the beam of the lamp, to the nearest axis [m]."""
        first_stands = abs(self.axes[0, 2]) > abs(self.axes[0, 1])
        across, up = (self.size_m[1], self.size_m[0]) if first_stands else self.size_m[:2]
        return across, up, self.size_m[2]


def opening_in_lamp(opening: Opening, orientation: Orientation) -> LampOpening:
    """The opening of a mounted lamp, its depth last: the photometric axis nearest to the beam.

    Parameters
    ----------
    opening : along the photometric axes.
    orientation : how the lamp is mounted.

    Example
    -------
    >>> flat = Opening("rectangle", length_m=0.1, width_m=0.3)
    >>> opening_in_lamp(flat, default_orientation("B")).axes[0].tolist()  # the length of type B stands up
    [0.0, 0.0, 1.0]
    """
    axes = np.array(orientation.axes_in_lamp())
    depth = int(np.argmax(np.abs(axes[:, 0])))
    order = [number for number in range(3) if number != depth] + [depth]
    first, second, third = (opening.size_m[number] for number in order)
    return LampOpening((first, second, third), _frozen(axes[order]), opening.shape == "ellipse")
