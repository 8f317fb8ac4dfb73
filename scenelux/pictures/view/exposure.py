"""From luminance to what is displayed: one stated curve for a whole comparison, and one false-colour scale."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from matplotlib import colormaps
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import UsageError
from scenelux.study.results import ViewResult
from scenelux.units import figure

__all__ = ["FALSE_COLOUR", "NIGHT", "NIGHT_AND_DAY", "Exposure", "exposure_of", "false_colour"]

Pixels = NDArray[np.uint8]

DAYLIGHT_LX = 10.0
"""From so much natural light on, a picture needs the long curve."""


@dataclass(frozen=True)
class Exposure:
    """A curve from luminance to display: a power of the share of the way from black to white, in ratios.

    With the power 1 equal ratios of luminance are equal steps; a larger one gives bright parts more of them.

    Example
    -------
    >>> Exposure(0.05, 5000.0).grey([0.0, 0.05, 15.812, 5000.0, 1e6]).tolist()
    [0, 0, 128, 255, 255]
    """

    black_cd_m2: float
    white_cd_m2: float
    power: float = 1.0

    def share(self, luminance_cd_m2: ArrayLike) -> NDArray[np.float64]:
        """Place on the curve, 0 black to 1 white."""
        light = np.maximum(np.asarray(luminance_cd_m2, np.float64), self.black_cd_m2)
        found = np.log(light / self.black_cd_m2) / log(self.white_cd_m2 / self.black_cd_m2)
        return np.asarray(np.minimum(found, 1.0) ** self.power)

    def grey(self, luminance_cd_m2: ArrayLike) -> Pixels:
        """Grey values of a display."""
        return np.asarray(255.0 * self.share(luminance_cd_m2) + 0.4999, np.uint8)

    @property
    def words(self) -> str:
        """The curve as captions say it."""
        ends = f"black at {figure(self.black_cd_m2)} cd/m², white at {figure(self.white_cd_m2)} cd/m²"
        return f"exposure locked, the same in all pictures: {ends}, between by the scale"


NIGHT = Exposure(0.03, 500.0, 1.3)
NIGHT_AND_DAY = Exposure(0.03, 5000.0, 1.5)
FALSE_COLOUR = Exposure(0.01, 10_000.0)
"""The one scale of all false-colour pictures, whatever they show."""


def exposure_of(result: ViewResult) -> Exposure:
    """The exposure of a whole comparison; the long one where daylight is in it.

    Parameters
    ----------
    result : the pictures.
    """
    return NIGHT_AND_DAY if any(case.ambient_lx >= DAYLIGHT_LX for case in result.cases) else NIGHT


def false_colour(luminance_cd_m2: ArrayLike, colours: str = "inferno") -> Pixels:
    """False colours of luminance on the one scale, (h, w, 3).

    Parameters
    ----------
    luminance_cd_m2 : (h, w) [cd/m2].
    colours : "inferno" or "cividis".
    """
    if colours not in ("inferno", "cividis"):
        raise UsageError("is not a colour map for luminance", value=colours, accepted='give "inferno" or "cividis"')
    found = colormaps[colours](FALSE_COLOUR.share(luminance_cd_m2), bytes=True)[..., :3]
    return np.asarray(found, np.uint8)
