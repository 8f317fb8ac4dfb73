"""What a distribution amounts to: flux, peak, beam and field angles, intensities in the convention of the vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.geometry import Vector
from scenelux.photometry.crossings import lit_span
from scenelux.photometry.directions import angles, direction
from scenelux.photometry.distribution import ANGLE_SLACK_DEG, IntensityDistribution
from scenelux.photometry.integrals import segment_integrals
from scenelux.photometry.orientation import Orientation, default_orientation

__all__ = [
    "Peak",
    "WidthName",
    "Widths",
    "beam_angles",
    "beam_angles_through_peak",
    "candela_in_vehicle_convention",
    "covers",
    "field_angles",
    "flux_lm",
    "own_angles",
    "peak",
    "vehicle_angles",
]

Array = NDArray[np.float64]
WidthName = Literal["across", "up"]

_BLOCK = 1 << 18  # values that are integrated at a time
_STEP_DEG = 0.05  # of the search for the outermost crossing, which is then closed in on


def flux_lm(distribution: IntensityDistribution) -> float:
    """Luminous flux [lm]: the exact integral of the bilinear intensity over all directions.

    Parameters
    ----------
    distribution : of any type.

    Source
    ------
    Calculated: intensity linear between the angles, times sin V dV dC (type C), cos H dH dV (B) or cos V dV dH (A).

    Example
    -------
    >>> lamp = IntensityDistribution("C", [0, 360], [0, 40, 90], [[540, 378, 0]] * 2)
    >>> round(flux_lm(lamp), 2)
    1483.55
    """
    h, v = np.radians(distribution.horizontal_deg), np.radians(distribution.vertical_deg)
    candela = distribution.candela
    if distribution.photometric_type == "B":
        inner, across = _integrals(h, candela.T, "cos"), v
    else:
        inner, across = _integrals(v, candela, "sin" if distribution.photometric_type == "C" else "cos"), h
    return float(np.sum(np.diff(across) * 0.5 * (inner[1:] + inner[:-1])))


def _integrals(x_rad: Array, rows: Array, weight: Literal["sin", "cos"]) -> Array:
    """Integral of each row, some rows at a time: the table may hold millions of values."""
    size = max(2, _BLOCK // x_rad.size)
    blocks = (rows[first : first + size] for first in range(0, rows.shape[0], size))
    return np.concatenate([segment_integrals(x_rad, block, weight).sum(axis=-1) for block in blocks])


@dataclass(frozen=True)
class Peak:
    """The highest intensity and where: in the lamp's own angles and in C, gamma of the mounted lamp [cd, deg]."""

    candela: float
    horizontal_deg: float
    vertical_deg: float
    C_deg: float
    gamma_deg: float


def peak(distribution: IntensityDistribution, orientation: Orientation | None = None) -> Peak:
    """The highest intensity; of several equal ones that nearest to the beam axis, then that of the smallest C.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted; the usual way when not given.
    """
    mounted = orientation or default_orientation(distribution.photometric_type)
    highest = float(distribution.candela.max())
    i, j = np.nonzero(distribution.candela >= highest * (1.0 - 1e-9))
    h, v = distribution.horizontal_deg[i], distribution.vertical_deg[j]
    c, gamma = vehicle_angles(distribution, mounted, h, v)
    best = np.lexsort((h, np.round(c, 6), np.round(gamma, 6)))[0]
    where = (float(one[best]) + 0.0 for one in (h, v, np.round(c, 9) % 360.0, np.round(gamma, 9)))
    return Peak(highest, *where)


def vehicle_angles(
    distribution: IntensityDistribution, orientation: Orientation, horizontal_deg: ArrayLike, vertical_deg: ArrayLike
) -> tuple[Array, Array]:
    """C and gamma about the beam axis of the mounted lamp, from angles of the distribution's own type [deg].

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    horizontal_deg, vertical_deg : C and gamma of type C data, H and V of types A and B [deg]; they broadcast.
    """
    axes = np.array(orientation.axes_in_lamp())
    lamp = direction(distribution.photometric_type, horizontal_deg, vertical_deg) @ axes
    sideways = np.hypot(lamp[..., 1], lamp[..., 2])
    c = np.where(sideways < 1e-12, 0.0, np.degrees(np.arctan2(lamp[..., 2], -lamp[..., 1])))
    return np.round(c % 360.0, 9) % 360.0, np.degrees(np.arctan2(sideways, lamp[..., 0]))


def own_angles(
    distribution: IntensityDistribution, orientation: Orientation, C_deg: ArrayLike, gamma_deg: ArrayLike
) -> tuple[Array, Array]:
    """Angles of the distribution's own type, from C and gamma about the beam axis of the mounted lamp [deg].

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    C_deg, gamma_deg : angles in the convention of the vehicle [deg]; they broadcast.
    """
    return angles(distribution.photometric_type, orientation.to_photometric(_about_beam(C_deg, gamma_deg)))


def candela_in_vehicle_convention(
    distribution: IntensityDistribution, orientation: Orientation, C_deg: ArrayLike, gamma_deg: ArrayLike
) -> Array:
    """Intensity about the beam axis of the mounted lamp [cd]: gamma 0 is the beam, C 0 right and C 90 up seen along it.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    C_deg, gamma_deg : angles in the convention of the vehicle [deg]; they broadcast.
    """
    return distribution.intensity(orientation.to_photometric(_about_beam(C_deg, gamma_deg)))


def _about_beam(c_deg: ArrayLike, gamma_deg: ArrayLike) -> Array:
    """Lamp-axes directions of C and gamma about the beam."""
    c, gamma = np.broadcast_arrays(np.radians(np.asarray(c_deg, float)), np.radians(np.asarray(gamma_deg, float)))
    return np.stack((np.cos(gamma), -np.sin(gamma) * np.cos(c), np.sin(gamma) * np.sin(c)), axis=-1)


def covers(
    distribution: IntensityDistribution, horizontal_deg: ArrayLike, vertical_deg: ArrayLike
) -> NDArray[np.bool_]:
    """Whether directions lie in the listed range, its ends included.

    Parameters
    ----------
    distribution : of any type.
    horizontal_deg, vertical_deg : angles of the distribution's own type [deg]; they broadcast.
    """
    h, v = np.broadcast_arrays(np.asarray(horizontal_deg, np.float64), np.asarray(vertical_deg, np.float64))
    inside = _between(distribution.vertical_deg, v)
    return inside if distribution.photometric_type == "C" else inside & _between(distribution.horizontal_deg, h)


def _between(listed: Array, at: Array) -> NDArray[np.bool_]:
    return np.asarray((at >= listed[0] - ANGLE_SLACK_DEG) & (at <= listed[-1] + ANGLE_SLACK_DEG))


@dataclass(frozen=True)
class Widths:
    """Full widths of a beam in a level and an upright plane [deg]; nan where the level is not reached.

    Parameters
    ----------
    across_deg, up_deg : in the level and in the upright plane [deg].
    at_least : planes in which the level is still exceeded where the data end: the true width may be larger.
    behind : planes without a width in which the level is reached, but only behind the lamp.
    """

    across_deg: float
    up_deg: float
    at_least: tuple[WidthName, ...] = ()
    behind: tuple[WidthName, ...] = ()


def beam_angles(distribution: IntensityDistribution, orientation: Orientation) -> Widths:
    """Beam angles: full widths at 50 % of the maximum intensity [deg].

    The planes go through the beam axis, one level and one upright on the lamp. The maximum is the highest intensity
    anywhere, not that on the axis: a lamp with a cut-off or a dip has no useful axis value. The width runs between the
    outermost directions that reach half of it, light behind the lamp only where it goes on from the front; a plane
    that never does gives nan, one that does all around 360. Where the data end at more than half, the width up to
    there is the least that it can be, and is marked.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    """
    return _widths(distribution, orientation, 0.5)


def field_angles(distribution: IntensityDistribution, orientation: Orientation) -> Widths:
    """Field angles: full widths at 10 % of the maximum intensity [deg], in the planes and by the rule of `beam_angles`.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    """
    return _widths(distribution, orientation, 0.1)


def beam_angles_through_peak(distribution: IntensityDistribution, orientation: Orientation) -> Widths:
    """Beam angles by the rule of `beam_angles`, in the planes through the peak instead of the beam axis [deg].

    The planes are those of the lamp turned until its beam axis is its peak, without roll: one holds the lamp's up, the
    other is square to it.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    """
    top = peak(distribution, orientation)
    face = direction(distribution.photometric_type, top.horizontal_deg, top.vertical_deg)
    forward, _, up = np.array(orientation.axes_in_lamp()).T  # forward, left and up of the lamp, photometric frame
    upright = abs(float(np.dot(face, up))) > 1.0 - 1e-9
    turned = Orientation(_vector(face), _vector(-forward if upright else up))
    return _widths(distribution, turned, 0.5)


def _vector(values: Array) -> Vector:
    x, y, z = values.tolist()
    return x, y, z


def _widths(distribution: IntensityDistribution, orientation: Orientation, share: float) -> Widths:
    level = share * float(distribution.candela.max())
    own = np.concatenate((distribution.horizontal_deg, distribution.vertical_deg))
    own = np.concatenate((own, -own, own - 180.0, 180.0 - own))  # exact corners of the curve in the usual mounting
    grid = np.linspace(-180.0, 180.0, round(360.0 / _STEP_DEG) + 1)
    thetas = np.unique(np.concatenate((grid, own[np.abs(own) <= 180.0])))
    found: dict[WidthName, _Width] = {
        "across": _width(distribution, orientation, 0.0, thetas, level),
        "up": _width(distribution, orientation, 90.0, thetas, level),
    }
    return Widths(
        found["across"].width_deg,
        found["up"].width_deg,
        tuple(name for name, one in found.items() if one.at_least),
        tuple(name for name, one in found.items() if one.behind),
    )


@dataclass(frozen=True)
class _Width:
    """A width, whether the data end at it, and whether there is none in front but light behind."""

    width_deg: float
    at_least: bool = False
    behind: bool = False


def _width(
    distribution: IntensityDistribution, orientation: Orientation, c: float, thetas: Array, level: float
) -> _Width:
    """Distance between the outermost crossings of a level, in the plane of C = c and C = c + 180."""
    if level <= 0.0:
        return _Width(float("nan"))

    def reaches(theta: Array) -> NDArray[np.bool_]:
        return candela_in_vehicle_convention(distribution, orientation, c, theta) >= level

    span = lit_span(reaches, thetas)
    if span is None:
        return _Width(float("nan"), behind=bool(reaches(thetas).any()))
    outside = np.array((span.before_deg, span.after_deg))
    listed = covers(distribution, *own_angles(distribution, orientation, c, outside))
    return _Width(span.width_deg, at_least=not listed.all())
