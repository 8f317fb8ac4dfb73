"""Light on level ground over time, as knots with straight lines between: what lamps, tunnels and lightning do to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.errors import LimitError, UsageError
from scenelux.vision.tables import vision_table

__all__ = ["MOST_KNOTS", "LightProfile", "added", "behind", "disturbance", "lightning", "street_lamps", "under"]

Array = NDArray[np.float64]

MOST_KNOTS = 200_000
_EDGE_S = 0.001
_KNOTS_PER_HEIGHT = 12.0
_DARK_HEIGHTS = 10.0  # farther from the row its lamps give less than a thousandth of the peak


@dataclass(frozen=True, eq=False)
class LightProfile:
    """Illuminance over time: straight between knots, level before the first and after the last.

    Parameters
    ----------
    time_s : (n,) of the knots, rising [s].
    illuminance_lx : (n,) on level ground [lx].
    """

    time_s: Array
    illuminance_lx: Array

    def __post_init__(self) -> None:
        time, light = np.array(self.time_s, np.float64), np.array(self.illuminance_lx, np.float64)
        if time.ndim != 1 or time.shape != light.shape or len(time) == 0:
            raise UsageError("is no profile of light", accepted="give as many times as illuminances, at least one")
        if len(time) > MOST_KNOTS:
            raise LimitError(f"has {len(time):,} knots", accepted=f"a profile has at most {MOST_KNOTS:,}")
        if not (np.isfinite(time).all() and (np.diff(time) > 0.0).all()):
            raise UsageError("has times that do not rise", accepted="give rising seconds")
        if not (np.isfinite(light).all() and (light >= 0.0).all()):
            raise UsageError("has light that is not zero or more", accepted="give lux of zero or more")
        for name, array in (("time_s", time), ("illuminance_lx", light)):
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    def at(self, time_s: ArrayLike) -> Array:
        """Illuminance at any times [lx].

        Example
        -------
        >>> LightProfile(np.array([0.0, 10.0]), np.array([0.0, 50.0])).at([-1.0, 5.0, 20.0]).tolist()
        [0.0, 25.0, 50.0]
        """
        return np.asarray(np.interp(np.asarray(time_s, np.float64), self.time_s, self.illuminance_lx))


def added(*profiles: LightProfile) -> LightProfile:
    """The sum of several lights, exactly: its knots are those of all.

    Example
    -------
    >>> evening = LightProfile(np.array([0.0, 100.0]), np.array([10.0, 0.0]))
    >>> added(evening, lightning(50.0, 1000.0, strokes=1)).at([49.0, 50.1]).round(2).tolist()
    [5.1, 1004.99]
    """
    time = np.unique(np.concatenate([profile.time_s for profile in profiles]))
    return LightProfile(time, np.sum([profile.at(time) for profile in profiles], axis=0))


def street_lamps(
    first_s: float,
    speed_m_s: float,
    count: int,
    *,
    height_m: float,
    spacing_m: float,
    peak_lx: float,
    offset_m: float = 0.0,
) -> LightProfile:
    """What a row of street lamps throws on a level sensor that drives along it.

    Each lamp is a point with the same intensity to all sides below: I H / (H^2 + offset^2 + x^2)^(3/2). Straight lines
    between the knots differ from that by less than 0.4 % of the peak.

    Parameters
    ----------
    first_s : when the first lamp is abreast [s].
    speed_m_s : above 0 [m/s].
    count : lamps in the row, 1 or more.
    height_m : of the lamps over the sensor, above 0 [m].
    spacing_m : from lamp to lamp along the road, above 0 [m].
    peak_lx : by one lamp, when it is abreast, 0 or more [lx].
    offset_m : from the sensor's track to the row, level [m].

    Source
    ------
    Inverse square and cosine laws.

    Example
    -------
    >>> row = street_lamps(60.0, 15.0, 3, height_m=8.0, spacing_m=30.0, peak_lx=20.0)
    >>> row.at([0.0, 60.0, 61.0, 62.0]).round(1).tolist()
    [0.0, 20.3, 4.3, 20.6]
    """
    for name, value in (("speed_m_s", speed_m_s), ("height_m", height_m), ("spacing_m", spacing_m), ("count", count)):
        if not 0.0 < value < np.inf:
            raise UsageError("is not above zero", key=name, value=value, accepted="give a number above zero")
    reach = np.hypot(height_m, offset_m)
    length = (count - 1) * spacing_m
    knots = (length + 2.0 * _DARK_HEIGHTS * reach) / reach * _KNOTS_PER_HEIGHT
    if not knots < MOST_KNOTS:
        raise LimitError(f"the row has {knots:,.0f} knots", accepted=f"a profile has at most {MOST_KNOTS:,}")
    x = np.linspace(-_DARK_HEIGHTS * reach, length + _DARK_HEIGHTS * reach, int(knots) + 2)
    light = np.zeros_like(x)
    for lamp in range(count):
        light += peak_lx * (1.0 + ((x - lamp * spacing_m) / reach) ** 2) ** -1.5
    light[[0, -1]] = 0.0
    return LightProfile(first_s + x / speed_m_s, light)


def lightning(
    at_s: float, peak_lx: float, *, lasts_s: float = 0.2, strokes: int = 1, gap_s: float = 0.05
) -> LightProfile:
    """Strokes of lightning, each bright from end to end.

    Parameters
    ----------
    at_s : when the first begins [s].
    peak_lx : on level ground, 0 or more [lx].
    lasts_s : each stroke, above 0.002 [s].
    strokes : 1 or more.
    gap_s : dark between them, above 0 [s].

    Example
    -------
    >>> lightning(10.0, 2000.0, strokes=2).at([9.9, 10.1, 10.225, 10.3]).tolist()
    [0.0, 2000.0, 0.0, 2000.0]
    """
    begins = at_s + np.arange(strokes) * (lasts_s + gap_s)
    time = begins[:, np.newaxis] + np.array([0.0, _EDGE_S, lasts_s - _EDGE_S, lasts_s])
    return LightProfile(time.ravel(), np.tile([0.0, peak_lx, peak_lx, 0.0], strokes))


def under(
    light: LightProfile, enter_s: float, leave_s: float, inside_lx: float, *, edge_s: float = 1.0
) -> LightProfile:
    """The light on the way through a tunnel or below a bridge, where nothing but its own light is left.

    Parameters
    ----------
    light : outside.
    enter_s, leave_s : when its mouths are passed [s].
    inside_lx : of the tunnel's own lamps, 0 or more [lx].
    edge_s : in which the light changes, straight, behind each mouth on the inner side [s].

    Example
    -------
    >>> noon = LightProfile(np.array([0.0]), np.array([50_000.0]))
    >>> under(noon, 10.0, 40.0, 100.0).at([9.0, 10.5, 20.0, 40.0]).tolist()
    [50000.0, 25050.0, 100.0, 50000.0]
    """
    return _between(light, enter_s, leave_s, edge_s, lambda outside: np.full_like(outside, inside_lx))


def behind(light: LightProfile, from_s: float, to_s: float, divisor: float, *, edge_s: float = 10.0) -> LightProfile:
    """The light while a cloud, a wall or a tall vehicle takes a part of it.

    Parameters
    ----------
    light : without it.
    from_s, to_s : when it begins and ends [s].
    divisor : by which it divides the light, 1 or more.
    edge_s : in which the light changes, straight, at each end [s].

    Example
    -------
    >>> noon = LightProfile(np.array([0.0]), np.array([50_000.0]))
    >>> behind(noon, 100.0, 200.0, 10.0).at([50.0, 105.0, 150.0]).tolist()
    [50000.0, 27500.0, 5000.0]
    """
    if not 1.0 <= divisor < np.inf:
        raise UsageError("does not divide light", key="divisor", value=divisor, accepted="give 1 or more")
    return _between(light, from_s, to_s, edge_s, lambda outside: outside / divisor)


def _between(
    light: LightProfile, start_s: float, end_s: float, edge_s: float, changed: Callable[[Array], Array]
) -> LightProfile:
    """Another light from start to end, with straight edges inside them."""
    if not (edge_s > 0.0 and end_s - start_s > 2.0 * edge_s):
        accepted = "give an edge above zero and an end more than two edges after the start"
        raise UsageError("is too short", value=end_s - start_s, accepted=accepted)
    first, last = start_s + edge_s, end_s - edge_s
    before, after = light.time_s < start_s, light.time_s > end_s
    inside = np.concatenate([[first], light.time_s[(light.time_s > first) & (light.time_s < last)], [last]])
    time = np.concatenate([light.time_s[before], [start_s], inside, [end_s], light.time_s[after]])
    lux = [light.illuminance_lx[before], light.at([start_s]), changed(light.at(inside)), light.at([end_s])]
    return LightProfile(time, np.concatenate([*lux, light.illuminance_lx[after]]))


def disturbance(name: str) -> dict[str, float]:
    """Numbers of a shipped disturbance, as its function takes them.

    Parameters
    ----------
    name : of a row of the table.
    """
    rows = {row["name"]: row for row in vision_table("natural-light")["disturbances"]}
    if name not in rows:
        raise UsageError("is not a disturbance", value=name, accepted=f"give one of {', '.join(rows)}")
    return {key: value for key, value in rows[name].items() if isinstance(value, int | float)}
