"""Flashing lamps on the site: the pattern and the clock of each lamp, and what they send to all sides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.colour import SignalColour, check_signal_colours
from scenelux.engine import Blockers, sight
from scenelux.placement.bodies import PlacedVehicle
from scenelux.placement.colours import colour_of
from scenelux.placement.lamps import engine_lamps
from scenelux.placement.placed import PlacedScene
from scenelux.scene.signals import pattern_of
from scenelux.signals import azimuth_of_heading, coverage_directions
from scenelux.timing import STEADY, Pattern

__all__ = [
    "FAR_M",
    "LampPattern",
    "Towards",
    "around",
    "colour_word",
    "far_away",
    "lamp_alone",
    "lamp_patterns",
    "lamps_towards",
    "middle_m",
    "signal_colours",
]

Array = NDArray[np.float64]

FAR_M = 10_000.0
"""Eyes of directions: so far away that lamps of one vehicle are seen under one angle, within 0.1 deg."""


@dataclass(frozen=True)
class LampPattern:
    """How one lamp burns in a duty state at a light level.

    Parameters
    ----------
    pattern : with its phase; steady where the scene has no entry for it.
    text : as the scene writes it.
    clock : what times it: a group by name, else its vehicle.
    """

    pattern: Pattern
    text: str
    clock: str


@dataclass(frozen=True, eq=False)
class Towards:
    """Lamps as eyes have them.

    Parameters
    ----------
    candela : (lamps, n) at full output; 0 where something stands between.
    hidden : (lamps, n) something stands between.
    direction : (lamps, n, 3) from the eye to the lamp, site frame.
    distance_m : (lamps, n).
    """

    candela: Array
    hidden: NDArray[np.bool_]
    direction: Array
    distance_m: Array


def lamp_patterns(placed: PlacedScene, state: str, light: str) -> tuple[LampPattern, ...]:
    """The pattern of each lamp; of several entries that hold the last counts.

    Parameters
    ----------
    placed : the scene on its site.
    state, light : ids.
    """
    scene = placed.scene
    patterns = [pattern_of(scene, entry) for entry in scene.signals]
    found = []
    for lamp in placed.placed_lamps:
        one = LampPattern(STEADY, "steady", lamp.vehicle_id)
        for entry, pattern in zip(scene.signals, patterns, strict=True):
            if entry.holds(lamp.id, lamp.circuit, state, light):
                one = LampPattern(pattern, entry.pattern, entry.group or lamp.vehicle_id)
        found.append(one)
    return tuple(found)


def middle_m(vehicle: PlacedVehicle) -> Array:
    """Middle of a vehicle's outline as seen from above, on its own ground, site frame, (3,) [m].

    Parameters
    ----------
    vehicle : one without bodies has its origin as the middle.
    """
    axes, origin = np.array(vehicle.axes), np.array(vehicle.origin_m)
    if not vehicle.bodies:
        return origin
    own = (np.concatenate([body.corners_m() for body in vehicle.bodies]) - origin) @ axes.T
    middle = 0.5 * (own.min(axis=0) + own.max(axis=0))
    return np.asarray(origin + middle[:2] @ axes[:2])


def far_away(vehicle: PlacedVehicle, headings_deg: ArrayLike, elevations_deg: ArrayLike) -> Array:
    """Eyes far away all around a vehicle, (elevations, headings, 3) in the site frame [m].

    Parameters
    ----------
    vehicle : its own axes count, on a slope too.
    headings_deg : counter-clockwise from its front.
    elevations_deg : above its own plane.
    """
    towards = coverage_directions(azimuth_of_heading(headings_deg), elevations_deg) @ np.array(vehicle.axes)
    return np.asarray(middle_m(vehicle) + FAR_M * towards)


def around(
    placed: PlacedScene, vehicle: PlacedVehicle, headings_deg: ArrayLike, distance_m: float, height_m: float
) -> Array:
    """Eyes on a circle around a vehicle at a height above the ground, (headings, 3) in the site frame [m].

    Parameters
    ----------
    placed : for its ground.
    vehicle : in the middle.
    headings_deg : counter-clockwise from its front, in plan.
    distance_m : level, from the middle.
    height_m : above the ground there.
    """
    heading = np.radians(vehicle.heading_deg + np.asarray(headings_deg, np.float64))
    centre = middle_m(vehicle)
    along, left = centre[0] + distance_m * np.cos(heading), centre[1] + distance_m * np.sin(heading)
    return np.stack((along, left, placed.ground.heights_m(along, left) + height_m), axis=-1)


def lamps_towards(placed: PlacedScene, eyes_m: Array) -> Towards:
    """What every lamp sends to eyes past bodies and objects; people do not count.

    Parameters
    ----------
    placed : the scene on its site.
    eyes_m : (..., 3), site frame; candela and the others have the same shape after the lamps.
    """
    shape = eyes_m.shape[:-1]
    seen = sight(placed.lamps, placed.blockers, eyes_m.reshape(-1, 3))
    lamps = len(placed.placed_lamps)
    return Towards(
        np.where(seen.clear, seen.candela, 0.0).reshape(lamps, *shape),
        ~seen.clear.reshape(lamps, *shape),
        seen.direction.reshape(lamps, *shape, 3),
        seen.distance_m.reshape(lamps, *shape),
    )


def lamp_alone(placed: PlacedScene, lamp: int, right_deg: ArrayLike, up_deg: ArrayLike) -> Array:
    """Intensity of one lamp about its own beam axis, as a laboratory has it, (up, right) [cd].

    Parameters
    ----------
    placed : the scene on its site.
    lamp : its number.
    right_deg, up_deg : from its beam to its own right and up; every pair of them.
    """
    hung = placed.placed_lamps[lamp]
    bare = engine_lamps([replace(hung, position_m=(0.0, 0.0, 0.0))])
    eyes = coverage_directions(right_deg, up_deg) @ np.array(hung.axes)
    seen = sight(bare, Blockers.none(), FAR_M * eyes.reshape(-1, 3))
    return np.asarray(seen.candela[0].reshape(eyes.shape[:-1]))


def colour_word(placed: PlacedScene, luminaire: str) -> str:
    """Colour of a luminaire in one word; empty where its card states none.

    Parameters
    ----------
    placed : whose luminaire it is.
    luminaire : its name.
    """
    colour = colour_of(placed.scene.luminaires[luminaire])
    return (colour.word or "") if colour is not None else ""


def signal_colours(placed: PlacedScene, luminaires: Iterable[str]) -> tuple[SignalColour, ...]:
    """The colour of each luminaire against the published regions of its word, one row a document.

    Parameters
    ----------
    placed : whose luminaires they are.
    luminaires : their names.
    """
    return check_signal_colours({name: colour_of(placed.scene.luminaires[name]) for name in luminaires})
