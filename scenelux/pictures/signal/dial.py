"""A dial around a vehicle: heading counter-clockwise from the front, intensity on a logarithmic scale outwards."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.patches import Circle
from numpy.typing import NDArray

from scenelux.pictures.sheet import GREY, Box, Sheet, fill_box, put
from scenelux.pictures.text import text_width_in
from scenelux.study.results.signal import SignalStudy
from scenelux.units import figure

__all__ = ["INNER", "ZONES", "Array", "Dial", "Style", "dial_scale", "draw_dial", "on_white", "word_box"]

Array = NDArray[np.float64]
Style = tuple[str, object, float]

ZONES = ((0.0, "A front"), (90.0, "D left"), (180.0, "C rear"), (270.0, "B right"))
INNER = 0.3
"""Of the radius: inside it stands the vehicle."""

MOST_DECADES = 4


@dataclass(frozen=True, eq=False)
class Dial:
    """Where a heading and an intensity stand on a sheet [in].

    Parameters
    ----------
    x, y, radius : middle and outer circle.
    low_cd, high_cd : on the inner and on the outer circle; less is drawn on the inner one.
    crowd : (n, 2) places where something is drawn that words should keep off.
    words : boxes with words in them.
    """

    x: float
    y: float
    radius: float
    low_cd: float
    high_cd: float
    crowd: list[Array] = field(default_factory=list)
    words: list[Box] = field(default_factory=list)

    def reach(self, values_cd: Array | float) -> Array:
        """Distance from the middle [in]."""
        share = np.log(np.maximum(values_cd, self.low_cd) / self.low_cd) / math.log(self.high_cd / self.low_cd)
        return np.asarray(self.radius * (INNER + (1.0 - INNER) * np.minimum(share, 1.0)))

    def places(self, heading_deg: Array, values_cd: Array | float) -> Array:
        """(n, 2) places of values in directions."""
        return self.at(heading_deg, self.reach(values_cd))

    def at(self, heading_deg: Array | float, reach_in: Array | float) -> Array:
        """(n, 2) places at a distance from the middle: the front is up, the right side at the right."""
        turn = -np.radians(heading_deg)
        return np.stack((self.x + reach_in * np.sin(turn), self.y + reach_in * np.cos(turn)), axis=-1)

    @property
    def decades_cd(self) -> list[float]:
        """Whole decades from the inner to the outer circle."""
        first, last = round(math.log10(self.low_cd)), round(math.log10(self.high_cd))
        return [10.0**power for power in range(first, last + 1)]


def dial_scale(study: SignalStudy) -> tuple[float, float]:
    """Ends of the one scale of all dials of a study [cd]: whole decades around what flashes, four at most.

    Parameters
    ----------
    study : every variant, duty state, light level, ring and limit counts.
    """
    cases = [case for variant in study.variants for case in variant.cases]
    rows = [one for case in cases for one in case.measures if one.group == "flashing"]
    top = max((float(np.nanmax(one.peak_cd, initial=0.0)) for one in rows), default=0.0)
    limits = [
        row.limit for variant in study.variants for row in variant.verdicts if row.unit == "cd" and row.limit > 0.0
    ]
    high = 10.0 ** math.ceil(math.log10(max([top, *limits, 10.0])) - 1e-9)
    means = [float(np.nanmin(one.mean_cd, initial=high)) for one in rows]
    lowest = min([*(limit / 3.0 for limit in limits or means), high / 1000.0])
    low = 10.0 ** math.floor(math.log10(max(lowest, high * 10.0**-MOST_DECADES)) + 1e-9)
    return low, high


def draw_dial(sheet: Sheet, dial: Dial) -> None:
    """Circles at the decades, rays every 30 deg, the limits of the zones, and what is where.

    Parameters
    ----------
    sheet : to draw on.
    dial : an empty one.
    """
    for step in range(10 * len(dial.decades_cd)):
        power, part = divmod(step, 10)
        value = dial.low_cd * 10.0**power * part
        if part in (2, 5) and dial.low_cd < value < dial.high_cd:
            _circle(sheet, dial, value, "#e4e4e4", 0.5)
    for value in dial.decades_cd:
        end = value in (dial.low_cd, dial.decades_cd[-1])
        _circle(sheet, dial, value, "black" if end else "#a8a8a8", 0.9 if end else 0.6)
    inner = INNER * dial.radius
    turns = [30.0 * number for number in range(12)]
    _rays(sheet, dial, turns, inner, dial.radius, "#dcdcdc", "solid", 0.5)
    _rays(sheet, dial, [45.0, 135.0, 225.0, 315.0], inner, dial.radius + 0.06, "#777777", (0, (6, 3)), 0.9)
    for turn in turns:
        x, y = dial.at(turn, dial.radius + (0.1 if turn % 180.0 == 0.0 else 0.16)).tolist()
        put(sheet, x, y, f"{turn:g}", 6.5, ha="center", va="center", color=GREY)
        dial.words.append(word_box(x, y, f"{turn:g}", 6.5, False))
    _name_zones(sheet, dial)
    _name_decades(sheet, dial)


def _circle(sheet: Sheet, dial: Dial, value_cd: float, colour: str, width: float) -> None:
    reach = float(dial.reach(value_cd))
    style = {"fill": False, "edgecolor": colour, "linewidth": width, "zorder": 0.6}
    sheet.add_artist(Circle((dial.x, dial.y), reach, transform=sheet.dpi_scale_trans, **style))


def _rays(
    sheet: Sheet,
    dial: Dial,
    turns: Sequence[float],
    first: float,
    last: float,
    colour: str,
    dashes: object,
    width: float,
) -> None:
    ends = [(dial.at(turn, first), dial.at(turn, last)) for turn in turns]
    sheet.add_artist(
        LineCollection(
            ends, colors=colour, linewidths=width, linestyles=[dashes], transform=sheet.dpi_scale_trans, zorder=0.5
        )
    )


def _name_zones(sheet: Sheet, dial: Dial) -> None:
    """Bold, beside the numbers of their middles."""
    wide = text_width_in("C rear", 8, True)
    for (turn, name), (dx, dy) in zip(ZONES, ((0.0, 0.26), (0.16, 0.17), (0.0, -0.26), (-0.16, 0.17)), strict=True):
        x, y = dial.at(turn, dial.radius).tolist()
        ha = {0.0: "center", 0.16: "left", -0.16: "right"}[dx]
        put(sheet, x + dx * 0.6, y + dy, name, 8, bold=True, ha=ha, va="center")
        dial.words.append(word_box(x + dx * 0.6 + math.copysign(wide / 2, dx) * (dx != 0.0), y + dy, name, 8, True))


def _name_decades(sheet: Sheet, dial: Dial) -> None:
    """Numbers of the circles along a ray where little is drawn."""
    for value in dial.decades_cd:
        x, y = dial.at(67.0, dial.reach(value)).tolist()
        less = "≤ " if value == dial.low_cd else ""
        unit = " cd" if value in (dial.low_cd, dial.decades_cd[-1]) else ""
        on_white(sheet, dial, x, y, f"{less}{figure(value)}{unit}", 6.0, GREY, False)


def on_white(sheet: Sheet, dial: Dial, x: float, y: float, text: str, size: float, colour: str, bold: bool) -> None:
    """Words about a place, on a ground that keeps lines out of them.

    Parameters
    ----------
    sheet, dial : to write on.
    x, y : their middle [in].
    text, size, colour, bold : one line, and its letters [pt].
    """
    box = word_box(x, y, text, size, bold)
    fill_box(sheet, box, facecolor="white", edgecolor="none", alpha=0.88, zorder=4)
    put(sheet, x, y, text, size, ha="center", va="center", color=colour, bold=bold)
    dial.words.append(box)


def word_box(x: float, y: float, text: str, size: float, bold: bool) -> Box:
    """The box that a line of words about a place fills [in].

    Parameters
    ----------
    x, y : its middle [in].
    text, size, bold : one line, and its letters [pt].
    """
    wide, tall = text_width_in(text, size, bold) + 0.05, 1.25 * size / 72
    return Box(x - wide / 2, y - tall / 2, wide, tall)
