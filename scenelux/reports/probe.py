"""Illuminance at points: as a JSON document and as a table at a terminal."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from scenelux.study.results import ProbePoint, ProbeResult
from scenelux.units import format_illuminance, format_length

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["document", "show"]


def document(result: ProbeResult) -> dict[str, Any]:
    """Points with their illuminance by lamp; null with a reason where it has no meaning."""
    facing = result.facing if isinstance(result.facing, str) else list(result.facing)
    return {
        "points": [
            {
                "position_m": list(point.position_m),
                "facing": facing,
                "illuminance_lx": _number(point.illuminance_lx),
                "by_lamp_lx": {lamp: _number(value) for lamp, value in point.by_lamp_lx.items()},
                **({"reason": point.reason} if point.reason else {}),
            }
            for point in result.points
        ],
        "state": result.state,
        "light": result.light,
        "variant": result.variant,
        "losses": result.losses,
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def show(result: ProbeResult, console: Console) -> None:
    """Prints each point with its illuminance and the lamps that give it, the strongest first."""
    console.print(
        f"{result.scene_name}, {result.variant}: {result.state}, {result.light}, {result.losses} light, "
        f"plane facing {result.facing_words}",
        highlight=False,
        markup=False,
    )
    for point in result.points:
        for line in _lines(result, point):
            console.print(line, highlight=False, markup=False)


def _lines(result: ProbeResult, point: ProbePoint) -> list[str]:
    place = ", ".join(format_length(part, result.units) for part in point.position_m)
    if point.reason:
        return [f"({place}): not valid, {point.reason}"]
    lit = sorted(((lux, lamp) for lamp, lux in point.by_lamp_lx.items() if lux > 0.0), reverse=True)
    rows = [f"    {format_illuminance(lux, result.units):>12}  {lamp}" for lux, lamp in lit]
    return [f"({place}): {format_illuminance(point.illuminance_lx, result.units)}", *rows]
