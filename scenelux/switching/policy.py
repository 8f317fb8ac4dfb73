"""Dimming on light: a level is a share of luminous output, and a device's own setting is converted by a curve."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import DocumentError
from scenelux.sources import Source
from scenelux.switching.tables import constant

__all__ = ["Basis", "BasisKind", "by_curve", "by_duty", "by_filament_voltage", "level_of", "setting_of"]

Floats = NDArray[np.float64]
BasisKind = Literal["luminous output", "voltage", "duty", "current"]


@dataclass(frozen=True)
class Basis:
    """How a device is set, and what light that gives.

    Parameters
    ----------
    kind : what the setting is.
    points : (setting, level), both rising; straight between them unless `exponent` is given.
    exponent : level = (setting / last setting)^exponent instead, within the settings of the points.
    unit : of the setting.
    source : where the curve comes from.
    """

    kind: BasisKind
    points: tuple[tuple[float, float], ...]
    exponent: float | None = None
    unit: str = ""
    source: Source = Source("the user's own curve", status="own")  # noqa: RUF009

    def __post_init__(self) -> None:
        rising = all(b[0] > a[0] and b[1] > a[1] for a, b in pairwise(self.points))
        if len(self.points) < 2 or not rising:
            accepted = "give two or more points, settings and levels both rising"
            raise DocumentError("is no curve", key="dimming.points", accepted=accepted)
        if self.points[0][0] < 0.0 or not 0.0 <= self.points[0][1] <= self.points[-1][1] <= 1.0:
            raise DocumentError("leaves 0 to 1", key="dimming.points", accepted="give levels from 0 to 1")

    @property
    def range(self) -> tuple[float, float]:
        """Least and greatest setting."""
        return self.points[0][0], self.points[-1][0]


def by_duty() -> Basis:
    """Pulse-width modulation, taken as linear: duty 0.5 gives half of the light."""
    return Basis("duty", ((0.0, 0.0), (1.0, 1.0)), source=Source("linear in the on-time, by definition", status="own"))


def by_filament_voltage(nominal_v: float, lowest_v: float = 0.0) -> Basis:
    """Voltage on a filament lamp, level = (V / nominal)^3.4.

    Parameters
    ----------
    nominal_v : voltage of the full level [V].
    lowest_v : least voltage for which it is taken to hold [V].

    Source
    ------
    Exponent from memory, unconfirmed.

    Example
    -------
    >>> round(float(level_of(by_filament_voltage(12.0), 6.0)), 4)
    0.0947
    """
    exponent, source = constant("filament_light_exponent")
    low = (lowest_v / nominal_v) ** exponent
    return Basis("voltage", ((lowest_v, low), (nominal_v, 1.0)), exponent, "V", source)


def by_curve(kind: BasisKind, points: ArrayLike, unit: str = "", source: Source | None = None) -> Basis:
    """A curve as stated for the device.

    Parameters
    ----------
    kind : what the setting is.
    points : (n, 2) settings and levels, both rising.
    unit : of the setting.
    source : of the curve; the user's own unless given.
    """
    rows = np.asarray(points, np.float64)
    if rows.ndim != 2 or rows.shape[1] != 2:
        raise DocumentError("is no list of pairs", key="dimming.points", accepted="give (setting, level) pairs")
    pairs = tuple((float(setting), float(level)) for setting, level in rows)
    return Basis(kind, pairs, unit=unit, source=source or Source("the user's own curve", status="own"))


def level_of(basis: Basis, setting: ArrayLike) -> Floats:
    """Level that a setting gives; nan outside the range of the curve.

    Parameters
    ----------
    basis : of the device.
    setting : (...) in the unit of the basis.
    """
    value = np.asarray(setting, np.float64)
    low, high = basis.range
    inside = (value >= low) & (value <= high)
    if basis.exponent is not None:
        level = (np.where(inside, value, low) / high) ** basis.exponent
    else:
        level = np.interp(value, *np.array(basis.points).T)
    return np.where(inside, level, np.nan)


def setting_of(basis: Basis, level: ArrayLike) -> Floats:
    """Setting for a level; nan outside the range of the curve, so too level 0 where a curve starts higher.

    Parameters
    ----------
    basis : of the device.
    level : (...) share of luminous output, 0 to 1.

    Example
    -------
    >>> round(float(setting_of(by_filament_voltage(12.0), 0.5)), 3)
    9.787
    """
    value = np.asarray(level, np.float64)
    settings, levels = np.array(basis.points).T
    inside = (value >= levels[0]) & (value <= levels[-1])
    if basis.exponent is not None:
        setting = settings[-1] * np.where(inside, value, 1.0) ** (1.0 / basis.exponent)
    else:
        setting = np.interp(value, levels, settings)
    return np.where(inside, setting, np.nan)
