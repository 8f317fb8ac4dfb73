"""Illuminance at points that somebody asks for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Contributions, Plane, covered, receivers
from scenelux.errors import QuantityError, UsageError
from scenelux.geometry import Vector, unit
from scenelux.placement import DIRECTIONS, PlacedScene, facing_words, place
from scenelux.scene.model import SceneDocument
from scenelux.scene.quantities import parse_quantity
from scenelux.scene.variants import apply_variant
from scenelux.scene.words import near
from scenelux.study.levels import lamp_levels
from scenelux.study.results import ProbePoint, ProbeResult
from scenelux.units import UnitSystem

__all__ = ["MOST_POINTS", "probe"]

MOST_POINTS = 10_000
"""More points than this belong in an area of the scene."""

FARTHEST_M = 10_000.0
"""A point farther from the origin is a slip of the pen."""

_RECEIVERS = {
    "cylindrical": Plane.CYLINDRICAL,
    "semi-cylindrical": Plane.SEMI_CYLINDRICAL,
    "hemispherical": Plane.HEMISPHERICAL,
}


def probe(
    scene: SceneDocument,
    at: Sequence[str],
    facing: str = "up",
    state: str = "",
    light: str = "",
    *,
    variant: str = "",
    initial: bool = False,
    units: str | None = None,
    store: Contributions | None = None,
) -> ProbeResult:
    """Illuminance at points of the site, lamp by lamp, in one duty state at one light level.

    Parameters
    ----------
    scene : as read by `read_scene`.
    at : points "along,left,up" of the site frame; a bare number is in the scene's own system.
    facing : a direction name, a vector "along,left,up", or cylindrical, semi-cylindrical (facing forward, or as in
        "semi-cylindrical:rear") or hemispherical; in any case of letters.
    state, light : names; the first state, and "night" or else the first light level, when empty.
    variant : name; the base when empty.
    initial : without the light loss factors.
    units : "metric" or "us" for the output; the scene's own when not given.
    store : what single lamps give, where it is known already; a new one when not given.
    """
    if units not in (None, "metric", "us"):
        raise UsageError("is not a system of units", key="--units", value=units, accepted="give metric or us")
    if len(at) > MOST_POINTS:
        raise UsageError(f"asks for {len(at)} points", key="--at", accepted=f"give at most {MOST_POINTS}")
    state_id = _named(state or next(iter(scene.states)), scene.states, "--state", "duty state")
    night = "night" if "night" in scene.light else next(iter(scene.light))
    light_id = _named(light or night, scene.light, "--light", "light level")
    points = np.array([_point(text, scene.units) for text in at])
    facing = facing.lower()
    plane, direction, shown = _receiver(facing)
    placed = place(apply_variant(scene, variant or scene.base))
    circuits = [lamp.circuit for lamp in placed.placed_lamps]
    levels = lamp_levels(circuits, scene.states[state_id].circuits, scene.light[light_id].factors)
    if not initial:
        levels = levels * placed.loss_factors
    store = Contributions() if store is None else store
    lux = store.by_lamp(placed.lamps, placed.blockers, receivers(points, direction, plane))
    inside = covered(placed.blockers, points, points[:, 2], 0.0)
    return ProbeResult(
        scene_name=Path(scene.file).stem,
        variant=variant or scene.base,
        state=state_id,
        light=light_id,
        losses="initial" if initial else "maintained",
        facing=direction if plane == Plane.PLANE else facing,
        facing_words=shown,
        units="us" if (units or scene.units) == "us" else "metric",
        points=tuple(_found(placed, points[i], levels, lux[:, i], bool(inside[i])) for i in range(len(points))),
    )


def _found(
    placed: PlacedScene, point: NDArray[np.float64], levels: NDArray[np.float64], lux: NDArray[np.float64], inside: bool
) -> ProbePoint:
    by_lamp = {
        lamp: float(level * value) if level > 0.0 else 0.0
        for lamp, level, value in zip(placed.lamp_ids, levels, lux, strict=True)
    }
    total = float("nan") if inside else sum(by_lamp.values())
    reason = ""
    if inside:
        by_lamp = dict.fromkeys(by_lamp, float("nan"))
        reason = "the point lies inside a body"
    elif np.isnan(total):
        near = [lamp for lamp, value in by_lamp.items() if np.isnan(value)]
        reason = f"nearer to {', '.join(near)} than a fortieth of its opening"
    along, left, up = point.tolist()
    return ProbePoint((along, left, up), total, by_lamp, reason)


def _named(name: str, known: Iterable[str], key: str, what: str) -> str:
    if name not in known:
        raise UsageError(f"is not a {what} of this scene", key=key, value=name, accepted=near(name, known))
    return name


def _point(text: str, units: UnitSystem) -> Vector:
    parts = text.split(",")
    if len(parts) != 3:
        raise UsageError("is not a point", key="--at", value=text, accepted="give ALONG,LEFT,UP such as -2 m,0,0.9 m")
    try:
        along, left, up = (parse_quantity(_number(part), "length", units) for part in parts)
    except QuantityError as error:
        raise error.at(key="--at") from None
    if max(abs(along), abs(left), abs(up)) > FARTHEST_M:
        raise UsageError("is too far away", key="--at", value=text, accepted="give a point within 10 km of the origin")
    return (along, left, up)


def _receiver(facing: str) -> tuple[Plane, Vector, str]:
    name, _, towards = facing.partition(":")
    if name in _RECEIVERS:
        default = "forward" if name == "semi-cylindrical" else "up"
        direction = _direction(towards or default)
        if name == "semi-cylindrical" and math.hypot(*direction[:2]) < 1e-6:
            accepted = "give a level direction, such as semi-cylindrical:rear"
            raise UsageError("has no level direction to face", key="--facing", value=facing, accepted=accepted)
        shown = f"{name}, facing {facing_words(direction)}" if name == "semi-cylindrical" else name
        return _RECEIVERS[name], direction, shown
    direction = _direction(facing)
    return Plane.PLANE, direction, facing_words(direction)


def _direction(text: str) -> Vector:
    if text in DIRECTIONS:
        return DIRECTIONS[text]
    try:
        along, left, up = (float(part) for part in text.split(","))
        direction = unit((along, left, up))
        if math.isclose(math.hypot(*direction), 1.0):  # neither nan nor lost to rounding
            return direction
        raise ValueError
    except (ValueError, ArithmeticError):
        accepted = f"give {', '.join(DIRECTIONS)}, a vector such as 0,-1,1, or {', '.join(_RECEIVERS)}"
        raise UsageError("is not a direction", key="--facing", value=text, accepted=accepted) from None


def _number(text: str) -> str | float:
    """A bare number as a number, so that it counts in the scene's own units; anything else as it stands."""
    try:
        return float(text)
    except ValueError:
        return text.strip()
