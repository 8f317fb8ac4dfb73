"""The tables of shared/ on dimming and switching."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any

from scenelux.errors import UsageError
from scenelux.shipped import shipped
from scenelux.sources import Source
from scenelux.switching.ambient import Ambient, Profile, repeated

__all__ = ["ambient_of", "constant", "dimming_table", "shipped_switching"]


@cache
def dimming_table() -> dict[str, Any]:
    """Constants, ratios and thresholds of practice as they stand."""
    return tomllib.loads((shipped("shared") / "dimming.toml").read_text(encoding="utf-8"))


def constant(name: str) -> tuple[float, Source]:
    """A constant and where it comes from.

    Example
    -------
    >>> constant("filament_light_exponent")[0]
    3.4
    """
    row = dimming_table()["constants"][name]
    return float(row["value"]), Source(row["source"], status=row["status"])


def shipped_switching(name: str) -> dict[str, Any]:
    """A shipped document of rules or of a disturbance, by its name.

    Example
    -------
    >>> shipped_switching("steady")["title"]
    'Steady night dimming'
    """
    folder = shipped("shared") / "switching"
    known = sorted(path.stem for path in folder.glob("*.toml"))
    if name not in known:
        raise UsageError("is not shipped", key="switching", value=name, accepted=f"give one of {', '.join(known)}")
    return tomllib.loads((folder / f"{name}.toml").read_text(encoding="utf-8"))


def ambient_of(document: dict[str, Any]) -> Ambient:
    """Ambient light from the tables `profiles` (time_s, lux, scale) and `pulses` (points, every_s, times, start_s).

    Example
    -------
    >>> round(ambient_of(shipped_switching("disturbance")).at(0.0))
    400
    """
    lines = [
        Profile(tuple(map(float, row["time_s"])), tuple(map(float, row["lux"])), row.get("scale", "linear"))
        for row in document.get("profiles", [])
    ]
    pulses = [
        repeated(row["points"], row["every_s"], row["times"], row.get("start_s", 0.0))
        for row in document.get("pulses", [])
    ]
    return Ambient((*lines, *pulses))
