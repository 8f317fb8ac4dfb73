"""Intensity over the angle from the beam axis: curves on a logarithmic candela axis, and a small polar diagram."""

from __future__ import annotations

from math import isfinite
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator
from numpy.typing import ArrayLike, NDArray

from scenelux.photometry import Summary, candela_in_vehicle_convention
from scenelux.photometry.coverage import covered
from scenelux.pictures.sheet import GREY, HEIGHT_IN, WIDTH_IN, Box, Sheet, add_axes, put
from scenelux.pictures.text import FAMILY
from scenelux.units import figure

__all__ = ["angle_ticks", "candela_ticks", "draw_curves", "draw_polar", "plane_curve", "round_up"]

Array = NDArray[np.float64]

_DECADES = 3.0  # of the candela axis
_NARROW_DEG = 20.0  # beam angles below it are drawn magnified
_REACHES_DEG = (3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0)
_ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)

# Level below and wide, upright on it and thin: where both are alike both are seen.
_PLANES: tuple[tuple[str, float, dict[str, Any]], ...] = (
    ("level plane: left −, right +", 0.0, {"color": "#e0863a", "lw": 3.2, "ls": "solid", "zorder": 4}),
    ("upright plane: down −, up +", 90.0, {"color": "#1b1b1b", "lw": 1.2, "ls": (0, (5, 1.6)), "zorder": 5}),
)


def plane_curve(summary: Summary, c_deg: float, theta_deg: ArrayLike) -> Array:
    """Intensity [cd] in a plane through the beam axis; negative angles lie on its other side.

    Parameters
    ----------
    summary : the luminaire.
    c_deg : the plane, 0 level and 90 upright [deg].
    theta_deg : angles from the beam axis [deg].
    """
    return candela_in_vehicle_convention(summary.distribution, summary.orientation, c_deg, theta_deg)


def round_up(value: float) -> float:
    """The round number that ends an axis.

    Example
    -------
    >>> round_up(3889.0), round_up(0.0)
    (4000.0, 1.0)
    """
    if value <= 0.0:
        return 1.0
    power = 10.0 ** np.floor(np.log10(value))
    return float(next(step for step in _ROUND if step * power >= value * 0.999) * power)


def candela_ticks(axes: Axes, low: float, high: float) -> None:
    """Ticks at 1, 2 and 5 of each decade of a logarithmic candela axis, upwards.

    Parameters
    ----------
    axes : with candelas upwards.
    low, high : ends of the axis [cd].
    """
    axes.set(yscale="log", ylim=(low, high))
    powers = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    ticks = [step * 10.0**power for power in powers for step in (1, 2, 5)]
    axes.yaxis.set_major_locator(FixedLocator([tick for tick in ticks if low * 0.999 <= tick <= high * 1.001]))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: figure(value)))
    axes.yaxis.set_minor_locator(NullLocator())


def draw_curves(sheet: Sheet, box: Box, summary: Summary) -> None:
    """Draws the intensity in the level and the upright plane over the angle from the beam axis.

    The candela axis is logarithmic over three decades. A beam of less than 20 deg is drawn over at most three times
    its beam angle to each side of its peak. A curve ends where the data end: with an open circle where the lamp is
    still bright there.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the diagram; its title stands above it and its key below it.
    summary : the luminaire.
    """
    put(sheet, box.left - 0.45, box.top + 0.34, "Intensity over the angle from the beam axis [cd]", 9, bold=True)
    reach, high = _reach_deg(summary), round_up(max(summary.peak.candela, 1e-3))
    low = high / 10.0**_DECADES
    axes = add_axes(sheet, box)
    candela_ticks(axes, low, high)
    axes.set_xlim(-reach, reach)
    angle_ticks(axes.xaxis, reach)
    axes.set_xlabel("degrees from the beam axis", fontsize=7, family=FAMILY)
    axes.grid(color="#dedede", lw=0.5)
    axes.set_axisbelow(True)
    theta = np.linspace(-reach, reach, 2881)
    ended = False
    for _, c, style in _PLANES:
        listed = covered(summary.distribution, summary.orientation, c, theta)
        candela = np.where(listed, plane_curve(summary, c, theta), np.nan)
        axes.plot(theta, np.maximum(candela, low / 10.0), **style)
        ends = listed & ~(np.roll(listed, 1) & np.roll(listed, -1)) & (np.abs(theta) < reach)
        bright = np.nonzero(ends & (np.nan_to_num(candela) > 0.02 * summary.peak.candela))[0]
        axes.plot(theta[bright], candela[bright], ls="", marker="o", ms=4.5, mfc="white", mec="black", zorder=6)
        ended = ended or bool(bright.size)
    _share_lines(sheet, box, axes, summary.peak.candela, low)
    _key(sheet, box, ended)


def _reach_deg(summary: Summary) -> float:
    """The smallest round reach that holds everything from 1 % of the peak upwards, of narrow beams what is near."""
    theta = np.linspace(0.0, 180.0, 721)
    bright = [plane_curve(summary, c, theta) >= 0.01 * summary.peak.candela for c in (0.0, 90.0, 180.0, 270.0)]
    wanted = float(theta[np.any(bright, axis=0)].max(initial=0.0))
    about = (summary.beam_deg, summary.beam_through_peak_deg)
    widths = [one for pair in about for one in (pair.across_deg, pair.up_deg) if isfinite(one)]
    if widths and max(widths) < _NARROW_DEG:
        wanted = min(wanted, summary.peak.gamma_deg + 3.0 * max(widths))
    within = next((reach for reach in _REACHES_DEG if wanted < reach), 90.0)  # with room for where the data end
    return within if wanted <= 90.0 else 180.0


def _shines_behind(summary: Summary) -> bool:
    theta = np.linspace(90.0, 270.0, 721)[1:-1]
    return any(float(plane_curve(summary, c, theta).max()) > 0.01 * summary.peak.candela for c in (90.0, 0.0))


def angle_ticks(axis: Axis, reach_deg: float) -> None:
    """Round angles from minus to plus a reach along an axis.

    Parameters
    ----------
    axis : across or up.
    reach_deg : 3, 5, 10, 15, 20, 30, 45, 60, 90 or 180 [deg].
    """
    parts = {5.0: 5, 10.0: 4, 20.0: 4, 60.0: 4, 180.0: 4}.get(reach_deg, 3)
    ticks = [number * reach_deg / parts for number in range(-parts, parts + 1)]
    axis.set_major_locator(FixedLocator(ticks))
    axis.set_ticklabels([f"{tick:g}".replace("-", "−") for tick in ticks])
    axis.set_minor_locator(NullLocator())
    axis.labelpad = 2


def _share_lines(sheet: Sheet, box: Box, axes: Axes, peak: float, low: float) -> None:
    """Thin lines at 50 and 10 % of the peak, named outside at the right."""
    if peak <= 0.0:
        return
    for share in (0.5, 0.1):
        axes.axhline(share * peak, color=GREY, lw=0.7, ls=(0, (1.2, 1.6)), zorder=2)
        y = box.bottom + box.height * float(np.log10(share * peak / low)) / _DECADES
        put(sheet, box.right + 0.04, y, f"{100 * share:.0f} %", 6.5, va="center", color=GREY)


def _key(sheet: Sheet, box: Box, ended: bool) -> None:
    handles = [
        Line2D([], [], label=name, **{key: value for key, value in style.items() if key != "zorder"})
        for name, _, style in _PLANES
    ]
    if ended:
        mark: dict[str, Any] = {"ls": "", "marker": "o", "ms": 4.5, "mfc": "white", "mec": "black"}
        handles.append(Line2D([], [], label="data end, still bright", **mark))
    place = ((box.left - 0.5) / WIDTH_IN, (box.bottom - 0.3) / HEIGHT_IN)
    sheet.legend(
        handles=handles, loc="upper left", bbox_to_anchor=place,
        frameon=False, ncols=3, columnspacing=1.0, handlelength=2.6, prop={"family": FAMILY, "size": 6.5},
    )  # fmt: skip


def draw_polar(sheet: Sheet, box: Box, summary: Summary) -> None:
    """Draws the intensity as a small polar diagram, the beam to the right.

    The upright plane is seen from the side, up being up; the level plane from above, left being up.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the diagram, its words above and below it.
    summary : the luminaire.
    """
    put(sheet, box.left, box.top + 0.16, "Polar diagram", 7.5, bold=True)
    theta = np.linspace(-180.0, 180.0, 2881)
    reach, behind = round_up(summary.peak.candela), _shines_behind(summary)
    axes, radius_in = _polar_frame(sheet, box, reach, behind)
    radians = np.radians(theta)
    for (_, c, style), up in zip(_PLANES, (-1.0, 1.0), strict=True):  # right of the beam is down, seen from above
        curve = plane_curve(summary, c, theta)
        thin = style | {"lw": 0.75 * style["lw"]}
        axes.plot(curve * np.cos(radians), up * curve * np.sin(radians), **thin)
    middle = box.bottom + box.height / 2
    _polar_words(sheet, box, middle - radius_in - 0.2, reach)


def _polar_words(sheet: Sheet, box: Box, top: float, reach: float) -> None:
    rings = "rings: " + ", ".join(figure(share * reach) for share in (0.5, 1.0)) + " cd"
    for number, line in enumerate((rings, "upright plane from the", "side; level plane from", "above, left is up")):
        put(sheet, box.left, top - 0.115 * number, line, 6, color=GREY)


def _polar_frame(sheet: Sheet, box: Box, reach: float, behind: bool) -> tuple[Axes, float]:
    """Rings and rays, the front half or all around, named outside the outer ring; and its radius [in]."""
    room_in, edge_in = 0.24, 0.12  # for the names of the rays, and without them
    radius_in = min(box.height / 2 - room_in, (box.width - room_in - edge_in) / (2 if behind else 1))
    left_in = radius_in + edge_in if behind else edge_in
    width_in = left_in + radius_in + room_in
    axes = add_axes(sheet, Box(box.left, box.bottom, width_in, box.height))
    inch = reach / radius_in
    axes.set(xlim=(-left_in * inch, (radius_in + room_in) * inch), ylim=(-box.height / 2 * inch, box.height / 2 * inch))
    axes.axis("off")
    edge = 180 if behind else 90
    arc = np.radians(np.linspace(-edge, edge, 361))
    for share in (0.5, 1.0):
        axes.plot(share * reach * np.cos(arc), share * reach * np.sin(arc), color="#a8a8a8", lw=0.6, zorder=1)
    for angle in range(-150 if behind else -90, edge + 1, 30):
        ray, name = np.radians(angle), (radius_in + (0.05 if angle == 0 else 0.1)) * inch
        axes.plot((0, reach * np.cos(ray)), (0, reach * np.sin(ray)), color="#c4c4c4", lw=0.5, zorder=1)
        if angle in (-90, 0, 90):
            axes.text(
                name * np.cos(ray), name * np.sin(ray), f"{abs(angle)}°", fontsize=6, family=FAMILY,
                ha="center" if angle else "left", va="center",
            )  # fmt: skip
    return axes, radius_in
