"""Light of chosen lamps in the directions that a requirement names: about the vehicle, at eyes, or about each lamp."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.placement import PlacedScene, PlacedVehicle
from scenelux.placement.signals import lamp_alone
from scenelux.signals import Model, Waveform, darkness, measured
from scenelux.study.results.signal import SignalRing
from scenelux.study.results.signal_facts import SignalDirection
from scenelux.study.signal.case import Burning
from scenelux.study.signal.measures import DARK_FRACTION, effective_of, waveform_of
from scenelux.study.signal.rings import far_rings, near_rings

__all__ = ["QUANTITIES", "Seen", "about_each_lamp", "about_vehicle", "at_eyes", "by_direction"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Seen:
    """Light of some lamps in some directions, and where each direction is.

    Parameters
    ----------
    wave : (directions, segments).
    where : (directions,).
    lamp : (directions,) whose axis the angles are about; empty about the vehicle.
    """

    wave: Waveform
    where: tuple[SignalDirection, ...]
    lamp: tuple[str, ...] = ()

    @property
    def heading_deg(self) -> Array:
        """(directions,) about the vehicle; nan about a lamp."""
        return np.array([one.heading_deg for one in self.where])


def about_vehicle(
    placed: PlacedScene, vehicle: PlacedVehicle, one: Burning, lamps: Flags, elevations_deg: ArrayLike
) -> Seen:
    """All round far away, past bodies.

    Parameters
    ----------
    placed, vehicle, one : the scene, the vehicle in the middle, and how lamps burn.
    lamps : (lamps,) those that count.
    elevations_deg : from the vehicle's plane.
    """
    return _on(far_rings(placed, vehicle, elevations_deg), one, lamps)


def at_eyes(
    placed: PlacedScene, vehicle: PlacedVehicle, one: Burning, lamps: Flags, height_m: float, distance_m: float
) -> Seen:
    """All round at eyes near by, past bodies.

    Parameters
    ----------
    placed, vehicle, one, lamps : as in `about_vehicle`.
    height_m, distance_m : of the eyes.
    """
    return _on(near_rings(placed, vehicle, [height_m], distance_m), one, lamps)


def about_each_lamp(
    placed: PlacedScene, one: Burning, lamps: Flags, right_deg: Sequence[float], up_deg: Sequence[float]
) -> Seen:
    """Each lamp by itself about its own axis, as a laboratory measures it.

    Parameters
    ----------
    placed, one, lamps : as in `about_vehicle`.
    right_deg, up_deg : from its axis; every pair of them.
    """
    chosen = np.flatnonzero(lamps).tolist()
    parts = []
    for at in chosen:
        candela = lamp_alone(placed, at, right_deg, up_deg).reshape(-1)
        parts.append(candela[:, np.newaxis] * one.levels[at])
    light = np.concatenate(parts)
    about = [SignalDirection(right_deg=right, up_deg=up) for up in up_deg for right in right_deg]
    names = [placed.placed_lamps[at].id for at in chosen for _ in about]
    return Seen(Waveform(one.times_s, light, light), tuple(about * len(chosen)), tuple(names))


def _on(rings: Sequence[SignalRing], one: Burning, lamps: Flags) -> Seen:
    levels = np.where(lamps[:, np.newaxis], one.levels, 0.0)
    where = (
        SignalDirection(heading, ring.elevation_deg, ring.height_m)
        for ring in rings
        for heading in ring.heading_deg.tolist()
    )
    return Seen(waveform_of(rings, one.times_s, levels), tuple(where))


def _rate(wave: Waveform) -> Array:
    return np.array([60.0 * measured(wave.only(row)).flash_rate_hz for row in range(len(wave.start_cd))])


def _lit(wave: Waveform) -> Array:
    return np.array([measured(wave.only(row)).longest_lit_s for row in range(len(wave.start_cd))])


QUANTITIES: Mapping[str, Callable[[Waveform], Array]] = MappingProxyType(
    {
        "peak intensity": lambda wave: wave.peak_cd,
        "on-state intensity": lambda wave: wave.peak_cd,
        "mean intensity": lambda wave: wave.mean_cd,
        "darkest intensity": lambda wave: wave.least_cd,
        "optical power": lambda wave: np.asarray(60.0 * wave.mean_cd),
        "flash rate": _rate,
        "on-time": _lit,
        "longest dark": lambda wave: darkness(wave, DARK_FRACTION).longest_s,
        "dark share": lambda wave: np.asarray(100.0 * darkness(wave, DARK_FRACTION).share),
    }
)
"""Quantity of a requirement -> its value by direction; effective intensity needs a model besides."""


def by_direction(seen: Seen, quantity: str, model: Model) -> Array:
    """Value of a quantity in every direction.

    Parameters
    ----------
    seen : light in directions.
    quantity : one of `QUANTITIES`, or effective intensity.
    model : of effective intensity.
    """
    if quantity == "effective intensity":
        return effective_of(seen.wave, model)
    return QUANTITIES[quantity](seen.wave)
