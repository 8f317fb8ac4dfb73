"""What stands beside a map: the lux bar, and the key with scale bar, travel direction and frame."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.patches import Circle

from scenelux.pictures.facts import Limit
from scenelux.pictures.frames import Ticks, bare_axes, draw_ticks
from scenelux.pictures.scale import DifferenceScale, LuxScale
from scenelux.pictures.sheet import GREY, Box, Sheet, arrow, fill_box, put
from scenelux.units import FOOT_M, LUX_PER_FOOT_CANDLE, UnitSystem, figure

__all__ = [
    "KEY_HEIGHT_IN",
    "draw_difference_bar",
    "draw_key",
    "draw_lux_bar",
    "draw_scale_bar",
    "draw_travel",
    "ratio_text",
]

KEY_HEIGHT_IN = 0.92


def draw_lux_bar(sheet: Sheet, box: Box, scale: LuxScale, units: UnitSystem, limits: list[Limit]) -> None:
    """The lux scale as a bar: lux on its left, footcandles on its right for US documents, limits marked.

    Parameters
    ----------
    sheet : to draw on.
    box : of the bar alone.
    scale : the lux scale of the whole study.
    units : "metric" or "us".
    limits : marked by a line across.
    """
    axes = bare_axes(sheet, box)
    low, high = float(np.log10(scale.low_lx)), float(np.log10(scale.high_lx))
    axes.imshow(
        np.linspace(0.0, 1.0, 256)[:, None],
        origin="lower",
        extent=(0, 1, low, high),
        cmap=scale.colour_map,
        vmin=0.0,
        vmax=1.0,
        aspect="auto",
    )
    decades = tuple(((float(np.log10(one)) - low) / (high - low), figure(one)) for one in scale.decades_lx)
    draw_ticks(sheet, box, Ticks(()), Ticks(decades))
    for one in limits:
        place = float(np.log10(one.value_lx))
        axes.axhline(place, color="black", lw=2.8)
        axes.axhline(place, color="white", lw=1.4)
    put(sheet, box.left - 0.04, box.top + 0.2, "lx", 8, bold=True, ha="right")
    if units == "us":
        _footcandles(sheet, box, scale)
        put(sheet, box.right + 0.04, box.top + 0.2, "fc", 8, bold=True)


def _footcandles(sheet: Sheet, box: Box, scale: LuxScale) -> None:
    """Decades of footcandles at the right of the bar."""
    low, high = np.log10(scale.low_lx), np.log10(scale.high_lx)
    for decade in (10.0**power for power in range(-3, 5)):
        share = float(np.log10(decade * LUX_PER_FOOT_CANDLE) - low) / float(high - low)
        if 0.0 <= share <= 1.0:
            y = box.bottom + share * box.height
            fill_box(sheet, Box(box.right, y, 0.04, 0.0))
            put(sheet, box.right + 0.07, y, figure(decade), 7, va="center")


def draw_difference_bar(sheet: Sheet, box: Box, scale: DifferenceScale) -> None:
    """The scale of ratios as a bar: equal in the middle, fractions below, multiples above.

    Parameters
    ----------
    sheet : to draw on.
    box : of the bar alone.
    scale : of the difference map.
    """
    axes = bare_axes(sheet, box)
    end = float(np.log10(scale.most))
    axes.imshow(
        np.linspace(0.0, 1.0, 256)[:, None],
        origin="lower",
        extent=(0, 1, -end, end),
        cmap=scale.colour_map,
        vmin=0.0,
        vmax=1.0,
        aspect="auto",
    )
    steps = [*(step for step in scale.steps if not 0.9 < step < 1.2), 1.0]
    marks = [(float(np.log10(step)) / (2 * end) + 0.5, ratio_text(step)) for step in steps]
    ends = zip((0.0, 1.0), (1.0 / scale.most, scale.most), scale.beyond, strict=True)
    marks += [(place, f"{'> ' if beyond else ''}{ratio_text(step)}") for place, step, beyond in ends]
    draw_ticks(sheet, box, Ticks(()), Ticks(tuple(marks)))
    axes.axhline(0.0, color="black", lw=1.2)


def ratio_text(ratio: float) -> str:
    """A ratio as a reader says it.

    Example
    -------
    >>> ratio_text(4.0), ratio_text(0.25), ratio_text(1.0)
    ('× 4', '÷ 4', 'equal')
    """
    if abs(ratio - 1.0) < 1e-9:
        return "equal"
    return f"× {figure(ratio)}" if ratio > 1.0 else f"÷ {figure(1.0 / ratio)}"


def draw_key(sheet: Sheet, box: Box, per_m: float, limits: bool, more: Sequence[str] = ()) -> None:
    """The strip below a map: frame, direction of travel, bars of true length, and what the signs mean.

    Parameters
    ----------
    sheet : to draw on.
    box : of the strip.
    per_m : sheet inches per metre of the map.
    limits : whether lines at limits are drawn.
    more : rows about what else is drawn.
    """
    _draw_frame(sheet, box.left + 0.3, box.bottom + 0.15)
    draw_travel(sheet, box.left + 1.4, box.bottom + 0.72)
    draw_scale_bar(sheet, box.left + 1.4, box.bottom + 0.3, per_m, 1.3)
    rows = (
        f"{'White lines: limits of the confirmed rules' if limits else 'No confirmed limit on this plane applies'}. "
        "Dotted lines: decades of lux",
        "Arrow: aim of a lamp that is on, none when straight down. Grey dot: lamp that is off",
        "Dashed outline: area; its letter leads to the list at the right",
        *more,
        "⊕ origin: on the ground, centre line, under the rearmost face of the body",
    )
    for number, row in enumerate(rows):
        put(sheet, box.left + 3.35, box.top - 0.15 * number, row, 6.5, color=GREY)


def _draw_frame(sheet: Sheet, x: float, y: float) -> None:
    """The frame cross: forward to the right, left up, up out of the sheet."""
    arrow(sheet, (x, y), (x + 0.52, y))
    arrow(sheet, (x, y), (x, y + 0.52))
    for radius, colour in ((0.055, "white"), (0.018, "black")):
        style = {"facecolor": colour, "edgecolor": "black", "linewidth": 1.0, "zorder": 5}
        sheet.add_artist(Circle((x, y), radius, transform=sheet.dpi_scale_trans, **style))
    for dx, dy, text, side in ((0.57, 0.0, "forward", "left"), (0.07, 0.5, "left", "left"), (-0.1, 0.0, "up", "right")):
        put(sheet, x + dx, y + dy, text, 6.5, va="center", ha=side)


def draw_travel(sheet: Sheet, x: float, y: float) -> None:
    """An arrow in the direction of travel, with its words, from a place on the sheet [in]."""
    arrow(sheet, (x, y), (x + 0.55, y), arrowstyle="simple", mutation_scale=15)
    put(sheet, x + 0.63, y, "direction of travel", 6.5, va="center")


def draw_scale_bar(sheet: Sheet, x: float, y: float, per_m: float, room_in: float) -> None:
    """A bar of true length in metres and one in feet.

    Parameters
    ----------
    sheet : to draw on.
    x, y : left end of the upper bar [in].
    per_m : sheet inches per metre.
    room_in : the longest bar that fits [in].
    """
    steps = (500, 200, 100, 50, 20, 10, 5, 2, 1, 0.5, 0.1, 0.01)
    for row, (unit_m, unit) in enumerate(((1.0, "m"), (FOOT_M, "ft"))):
        most = room_in / per_m / unit_m
        whole = next((step for step in steps if step <= most), steps[-1])
        wide, level = whole * unit_m * per_m, y - 0.2 * row
        fill_box(sheet, Box(x, level - 0.035, wide, 0.07))
        fill_box(sheet, Box(x + wide / 2, level - 0.035, wide / 2, 0.07), facecolor="white")
        put(sheet, x + wide + 0.06, level, f"{whole:g} {unit}", 6.5, va="center")
