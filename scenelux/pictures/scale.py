"""The one logarithmic lux scale of a study, and the scale of differences between two variants."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from matplotlib import colormaps
from matplotlib.colors import Colormap, LinearSegmentedColormap, LogNorm
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["DifferenceScale", "LuxScale", "difference_scale", "lux_scale"]

Array = NDArray[np.float64]

_LOW_LX = 0.1
_DIFFERENCE_STOPS = ("#10245c", "#3f68b0", "#a3a3a3", "#e8b04a", "#fff6cf")
"""Much darker, darker, equal, brighter, much brighter: grey values rise all the way, so grey prints read too."""


@dataclass(frozen=True)
class LuxScale:
    """Colours for illuminance between two whole decades, the same on every sheet of a study.

    Parameters
    ----------
    low_lx, high_lx : ends of the scale [lx]; values outside take the end colours.
    colours : name of the colour map.
    """

    low_lx: float
    high_lx: float
    colours: str = "inferno"

    @cached_property
    def norm(self) -> LogNorm:
        """Lux to the range 0 to 1."""
        return LogNorm(self.low_lx, self.high_lx, clip=True)

    @property
    def colour_map(self) -> Colormap:
        """The colour map; points without a value stay transparent."""
        return colormaps[self.colours]

    @property
    def decades_lx(self) -> list[float]:
        """Whole decades from end to end [lx]."""
        first, last = round(math.log10(self.low_lx)), round(math.log10(self.high_lx))
        return [10.0**power for power in range(first, last + 1)]

    def colour(self, value_lx: float) -> tuple[float, float, float]:
        """Colour of a value, red, green and blue from 0 to 1."""
        share = math.log10(max(value_lx, self.low_lx) / self.low_lx) / math.log10(self.high_lx / self.low_lx)
        return self._steps[min(int(share * 255.0 + 0.5), 255)]

    @cached_property
    def _steps(self) -> list[tuple[float, float, float]]:
        red, green, blue, _ = self.colour_map(np.arange(256)).T.tolist()
        return list(zip(red, green, blue, strict=True))

    def text_colour(self, value_lx: float) -> str:
        """Black or white, whichever stands out on the colour of a value."""
        red, green, blue = (_linear(part) for part in self.colour(value_lx))
        return "black" if 0.2126 * red + 0.7152 * green + 0.0722 * blue > 0.18 else "white"


def _linear(part: float) -> float:
    """Linear light of a display value (IEC 61966-2-1)."""
    return part / 12.92 if part <= 0.04045 else float(((part + 0.055) / 1.055) ** 2.4)


def lux_scale(result: StudyResult, colours: str = "inferno") -> LuxScale:
    """The scale of a study: from 0.1 lx to the decade above nearly everything on any of its maps.

    Parameters
    ----------
    result : all its variants, states and light levels count.
    colours : "inferno" or "cividis".
    """
    if colours not in ("inferno", "cividis"):
        raise UsageError("is not a colour map for lux", value=colours, accepted='give "inferno" or "cividis"')
    top = max((_bright(variant) for variant in result.variants), default=0.0)
    high = 10.0 ** math.ceil(math.log10(max(top, 1.0)) - 1e-9)
    return LuxScale(_LOW_LX, min(max(high, 100.0), 1e5), colours)


def _bright(variant: VariantResult) -> float:
    """Nearly the highest illuminance on the ground [lx]; single points beside a lamp do not set the scale."""
    maps = (variant.map.illuminance_lx(state, light) for state, light in _distinct(variant))
    return max((_high_share(one) for one in maps), default=0.0)


def _distinct(variant: VariantResult) -> Iterable[tuple[str, str]]:
    """One state and light for each different set of lamp levels."""
    return {tuple(share.tolist()): key for key, share in variant.map.levels.items()}.values()


def _high_share(values: Array) -> float:
    lit = values[np.isfinite(values) & (values >= _LOW_LX)]
    return float(np.quantile(lit, 0.995)) if lit.size else 0.0


@dataclass(frozen=True)
class DifferenceScale:
    """Colours for how many times brighter the second variant is, centred at equal.

    Parameters
    ----------
    most : the ratio at the bright end; its inverse is the dark end.
    floor_lx : both variants count as at least this, so that dark places have no wild ratios [lx].
    beyond : whether the map goes beyond the dark end and beyond the bright end.
    """

    most: float
    floor_lx: float = _LOW_LX
    beyond: tuple[bool, bool] = (False, False)

    @cached_property
    def norm(self) -> LogNorm:
        """Ratio to the range 0 to 1, with equal in the middle."""
        return LogNorm(1.0 / self.most, self.most, clip=True)

    @cached_property
    def colour_map(self) -> Colormap:
        """From dark blue (darker) over grey (equal) to pale yellow (brighter)."""
        return LinearSegmentedColormap.from_list("difference", _DIFFERENCE_STOPS)

    def ratio(self, first_lx: Array, second_lx: Array) -> Array:
        """Second over first with the floor under both; nan where both lie below the floor."""
        ratio = np.maximum(second_lx, self.floor_lx) / np.maximum(first_lx, self.floor_lx)
        return np.where((first_lx < self.floor_lx) & (second_lx < self.floor_lx), np.nan, ratio)

    @property
    def steps(self) -> list[float]:
        """Ratios to mark, symmetrical about one; what prints as equal lies between the two nearest."""
        up = [step for step in (1.1, 2.0, 4.0, 10.0, 30.0, 100.0, 300.0) if step < self.most * 0.99]
        return [*(1.0 / step for step in reversed(up)), *up]


def difference_scale(first_lx: Array, second_lx: Array) -> DifferenceScale:
    """The scale for the ratio of two maps, wide enough for nearly all of it.

    Parameters
    ----------
    first_lx, second_lx : maps of the same points [lx].
    """
    ratio = DifferenceScale(2.0).ratio(first_lx, second_lx)
    known = ratio[np.isfinite(ratio)]
    wanted = float(np.exp(np.quantile(np.abs(np.log(known)), 0.98))) if known.size else 2.0
    most = next((step for step in (2.0, 4.0, 10.0, 30.0, 100.0) if step >= wanted), 300.0)
    tiny = 1.0 + 1e-9
    beyond = (bool((known * tiny * most < 1.0).any()), bool((known > tiny * most).any()))
    return DifferenceScale(most, beyond=beyond)
