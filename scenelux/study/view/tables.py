"""What the shipped table of the driver's view says: lane markings, films of water, air."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scenelux.engine.image.air import Haze
from scenelux.engine.image.reflect import Film
from scenelux.scene.model import Weather
from scenelux.shipped import shipped
from scenelux.vision import extinction_per_m, henyey_greenstein

__all__ = ["Markings", "carries_markings", "film_of", "haze_of", "markings"]


@dataclass(frozen=True)
class Markings:
    """White lines: their width, dashes, and luminance for a lux of light from above or from the own headlamps."""

    width_m: float
    line_m: float
    gap_m: float
    luminance_coefficient: float
    retroreflection_dry: float
    retroreflection_wet: float


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((shipped("shared") / "driver-view.toml").read_text(encoding="utf-8"))


def markings() -> Markings:
    """The lines on a road."""
    row = _table()["markings"]
    return Markings(**{key: row[key] for key in Markings.__dataclass_fields__})


def carries_markings(surface: str) -> bool:
    """Whether lines are seen on a surface of the table of surfaces: not on snow, gravel or grass.

    Example
    -------
    >>> carries_markings("wet asphalt"), carries_markings("snow")
    (True, False)
    """
    return surface in _table()["markings"]["on"]


def film_of(surface: str) -> Film | None:
    """The film of water on a surface of the table of surfaces; none on a dry one.

    Example
    -------
    >>> film_of("dry asphalt") is None, film_of("wet asphalt").refractive_index
    (True, 1.333)
    """
    row = _table()["films"].get(surface)
    return None if row is None else Film(row["refractive_index"], row["roughness"])


def haze_of(weather: Weather) -> Haze | None:
    """What the air of a weather does to light; none in clear air.

    Parameters
    ----------
    weather : of the scene.
    """
    if weather.visibility_m is None:
        return None
    extinction = float(extinction_per_m(weather.visibility_m))
    asymmetry = _table()["air"][weather.kind]["asymmetry"]

    def phase(angle_deg: NDArray[np.float64]) -> NDArray[np.float64]:
        return henyey_greenstein(angle_deg, asymmetry)

    return Haze.of(extinction, phase)
