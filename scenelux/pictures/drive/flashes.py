"""Our own measures of flash safety: how often pictures flash, over what area, and how far flashing must be slowed.

A flash is a pair of opposing changes of relative luminance by a tenth or more, of which the darker is below 0.80; or a
pair of opposing changes to and from a saturated red.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.sources import Source

__all__ = ["FLASH_SOURCE", "MOST_FLASHES_PER_S", "FlashMeasure", "measure_flashes", "slowed"]

Singles = NDArray[np.float32]
Flags = NDArray[np.bool_]

MOST_FLASHES_PER_S = 3.0
CHANGE, DARKER_BELOW, RED_SHARE = 0.1, 0.8, 0.8
SLACK = 1e-6
LARGEST_SHARE = 0.25
"""Of a field of 10 deg: pictures may flash more often over less than this."""

FIELD = 3
"""A field of 10 deg is taken as a third of the picture's width and height, as of a picture that fills a screen."""

FLASH_SOURCE = Source("Web Content Accessibility Guidelines", clause="success criterion 2.3.1", status="published")


@dataclass(frozen=True)
class FlashMeasure:
    """How pictures flash.

    Parameters
    ----------
    most_flashes_per_s : of any pixel within any second.
    worst_share : largest share of any field of 10 deg that flashes more than 3 times within one second.
    most_red_flashes_per_s, worst_red_share : the same of flashes to and from a saturated red.
    """

    most_flashes_per_s: float
    worst_share: float
    most_red_flashes_per_s: float
    worst_red_share: float

    @property
    def passes(self) -> bool:
        """Whether at most a quarter of any field flashes more than 3 times a second."""
        return max(self.worst_share, self.worst_red_share) <= LARGEST_SHARE


def slowed(rates_per_s: Iterable[float], most_per_s: float = MOST_FLASHES_PER_S) -> float:
    """How many times slower than life pictures must be shown so that what flashes in them keeps to 3 a second.

    Parameters
    ----------
    rates_per_s : flashes of each lamp or group of lamps that keeps its own time [1/s]; their flashes add up.
    most_per_s : the limit.

    Example
    -------
    >>> slowed([]), slowed([2.0]), slowed([4.0]), slowed([2.0, 2.5])
    (1.0, 1.0, 1.3333333333333333, 1.5)
    """
    rates = list(rates_per_s)
    if not all(0.0 <= rate < np.inf for rate in rates) or not most_per_s > 0.0:
        raise UsageError("is not a rate of flashes", key="rates_per_s", value=rates, accepted="give rates of 0 or more")
    return max(1.0, sum(rates) / most_per_s)


def measure_flashes(pictures: Iterable[NDArray[np.uint8]], shown_s: Sequence[float]) -> FlashMeasure:
    """Flashes of a run of pictures, each pixel by itself and over fields of 10 deg.

    Parameters
    ----------
    pictures : (h, w, 3) each, as displayed, one after the other.
    shown_s : how long each is shown [s].

    Source
    ------
    Web Content Accessibility Guidelines, success criterion 2.3.1: at most 3 flashes within any second, or less than a
    quarter of any 10 deg of the field of view.
    """
    general, red = _Turns(), _Turns()
    for picture in pictures:
        light, saturated = _relative_luminance(picture)
        general.take(light, DARKER_BELOW)
        red.take(saturated, np.inf)
    if len(general.changes) != len(shown_s):
        raise UsageError("needs one duration for each picture", key="shown_s", value=len(shown_s))
    starts = np.concatenate(([0.0], np.cumsum(shown_s)[:-1]))
    measured = [_worst(turns.changes, starts) for turns in (general, red)]
    return FlashMeasure(*measured[0], *measured[1])


class _Turns:
    """Follows each pixel from its last extreme; a change counts when it opposes the last one and is large enough."""

    def __init__(self) -> None:
        self.changes: list[Flags] = []
        self._low = self._high = self._sign = np.zeros((0, 0), np.float32)

    def take(self, light: Singles, darker_below: float) -> None:
        if not self.changes:
            self._low, self._high, self._sign = light.copy(), light.copy(), np.zeros_like(light)
            self.changes.append(np.zeros(light.shape, np.bool_))
            return
        np.minimum(self._low, light, out=self._low)
        np.maximum(self._high, light, out=self._high)
        up = (self._sign <= 0.0) & (light - self._low >= CHANGE - SLACK) & (self._low < darker_below)
        down = (self._sign >= 0.0) & (self._high - light >= CHANGE - SLACK) & (light < darker_below) & ~up
        turned = up | down
        self._sign[up], self._sign[down] = 1.0, -1.0
        np.copyto(self._low, light, where=turned)
        np.copyto(self._high, light, where=turned)
        self.changes.append(turned)


def _worst(changes: Sequence[Flags], starts: NDArray[np.float64]) -> tuple[float, float]:
    """Most flashes of a pixel within a second, and the largest share of a field with more than 3."""
    most, share = 0, 0.0
    first = 0
    count = np.zeros(changes[0].shape, np.int32)
    for last, turned in enumerate(changes):
        count += turned
        while starts[last] - starts[first] >= 1.0 - SLACK:
            count -= changes[first]
            first += 1
        most = max(most, int(count.max(initial=0)))
        often = count > 2 * MOST_FLASHES_PER_S
        if often.any():
            share = max(share, _share_of_field(often))
    return most / 2.0, share


def _share_of_field(often: Flags) -> float:
    """Largest share of a third by a third of the picture."""
    rows, columns = (max(1, size // FIELD) for size in often.shape)
    total = np.zeros((often.shape[0] + 1, often.shape[1] + 1), np.int64)
    total[1:, 1:] = often.cumsum(axis=0).cumsum(axis=1)
    field = total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
    return float(field.max() / (rows * columns))


def _relative_luminance(picture: NDArray[np.uint8]) -> tuple[Singles, Singles]:
    """Relative luminance of each pixel, 0 to 1, and 1 where it is a saturated red."""
    share = picture.astype(np.float32) / np.float32(255.0)
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4).astype(np.float32)
    light = linear @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    whole = share.sum(axis=2)
    red = (whole > 0.1) & (share[..., 0] >= RED_SHARE * whole)
    return np.asarray(light, np.float32), red.astype(np.float32)
