"""What a distribution cannot say: directions beyond the end of its data, where the lamp is still bright."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.geometry import aim_axes
from scenelux.photometry.directions import angles
from scenelux.photometry.distribution import IntensityDistribution
from scenelux.photometry.intensities import BRIGHT_EDGE
from scenelux.photometry.measures import covers, own_angles
from scenelux.photometry.orientation import Orientation

__all__ = ["covered", "not_known", "upward_not_known"]

Array = NDArray[np.float64]
Answers = NDArray[np.bool_]

_STEP_DEG = 1.0


def covered(
    distribution: IntensityDistribution, orientation: Orientation, C_deg: ArrayLike, gamma_deg: ArrayLike
) -> Answers:
    """Whether the data list directions about the beam axis of the mounted lamp.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    C_deg, gamma_deg : angles in the convention of the vehicle [deg]; they broadcast.
    """
    return covers(distribution, *own_angles(distribution, orientation, C_deg, gamma_deg))


def not_known(
    distribution: IntensityDistribution, orientation: Orientation, C_deg: ArrayLike, gamma_deg: ArrayLike
) -> Answers:
    """Whether the intensity in directions about the beam axis is not known, because the data end before them.

    A direction that the data do not list is dark when the lamp has fallen to 2 % of its peak or less at the nearest
    end of the data, taken in their own angles. Where it is brighter there, nobody knows how the light goes on.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    C_deg, gamma_deg : angles in the convention of the vehicle [deg]; they broadcast.
    """
    return _bright_beyond(distribution, *own_angles(distribution, orientation, C_deg, gamma_deg))


def upward_not_known(distribution: IntensityDistribution, orientation: Orientation, tilt_deg: float) -> bool:
    """Whether the flux above the horizontal is not known: some direction above it is not, by the rule of `not_known`.

    Parameters
    ----------
    distribution : of any type.
    orientation : how the lamp is mounted.
    tilt_deg : of the beam, negative = down [deg].
    """
    azimuth = np.radians(np.arange(0.0, 360.0, _STEP_DEG))[:, None]
    elevation = np.radians(np.arange(0.5 * _STEP_DEG, 90.0, _STEP_DEG))[None, :]
    parts = (np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth), np.sin(elevation) + 0 * azimuth)
    lamp = np.stack(parts, axis=-1) @ np.array(aim_axes(0.0, tilt_deg, 0.0)).T
    own = angles(distribution.photometric_type, orientation.to_photometric(lamp))
    return bool(_bright_beyond(distribution, *own).any())


def _bright_beyond(distribution: IntensityDistribution, h: Array, v: Array) -> Answers:
    h_listed, v_listed = distribution.horizontal_deg, distribution.vertical_deg
    nearest_h = h if distribution.photometric_type == "C" else np.clip(h, h_listed[0], h_listed[-1])
    edge = distribution.candela_at(nearest_h, np.clip(v, v_listed[0], v_listed[-1]))
    return ~covers(distribution, h, v) & (edge > BRIGHT_EDGE * float(distribution.candela.max()))
