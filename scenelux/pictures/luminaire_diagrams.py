"""Polar diagram of two planes through the beam axis, and the H-V diagram in false colour."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.colors import LogNorm
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator
from numpy.typing import ArrayLike, NDArray

from scenelux.photometry import Summary, candela_in_vehicle_convention
from scenelux.pictures.sheet import GREY, HEIGHT_IN, WIDTH_IN, Box, Sheet, add_axes, put
from scenelux.pictures.site import halo
from scenelux.pictures.text import FAMILY
from scenelux.units import figure

__all__ = ["LEVEL", "UPRIGHT", "draw_hv", "draw_polar"]

Array = NDArray[np.float64]

UPRIGHT, LEVEL = ("#1b1b1b", "solid"), ("#c4501b", (0, (5, 2)))
"""Colour and dashes of the upright and the level plane."""

_SHARES = ((0.5, "solid", "50 %"), (0.1, (0, (5, 2)), "10 %"), (0.01, (0, (1.2, 1.6)), "1 %"))
_ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


def plane_curve(summary: Summary, c_deg: float, theta_deg: ArrayLike) -> Array:
    """Intensity [cd] in a plane through the beam axis; negative angles lie on its other side.

    Parameters
    ----------
    summary : the luminaire.
    c_deg : the plane, 0 level and 90 upright [deg].
    theta_deg : angles from the beam axis [deg].
    """
    return candela_in_vehicle_convention(summary.distribution, summary.orientation, c_deg, theta_deg)


def draw_polar(sheet: Sheet, box: Box, summary: Summary) -> None:
    """Draws the intensity over the angle from the beam axis, the beam to the right.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the diagram, its title above it.
    summary : the luminaire.
    """
    put(sheet, box.left - 0.35, box.top + 0.34, "Polar diagram [cd]", 9, bold=True)
    theta = np.linspace(-180.0, 180.0, 2881)
    curves = [plane_curve(summary, c, theta) for c in (90.0, 0.0)]
    reach = _round_up(summary.peak.candela)
    behind = max(float(curve[np.abs(theta) > 90.0].max()) for curve in curves) > 0.01 * reach
    axes = _polar_frame(sheet, box, reach, behind)
    for curve, (colour, dashes) in zip(curves, (UPRIGHT, LEVEL), strict=True):
        radians = np.radians(theta)
        axes.plot(curve * np.cos(radians), curve * np.sin(radians), color=colour, ls=dashes, lw=1.7, zorder=5)
    names = ("upright plane (from the side: up is up)", "level plane (from above: left is up)")
    handles = [
        Line2D([], [], color=style[0], ls=style[1], lw=1.7, label=name)
        for name, style in zip(names, (UPRIGHT, LEVEL), strict=True)
    ]
    place = ((box.left - 0.45) / WIDTH_IN, (box.bottom - 0.04) / HEIGHT_IN)
    sheet.legend(
        handles=handles, loc="upper left", bbox_to_anchor=place,
        frameon=False, ncols=2, columnspacing=1.2, handlelength=2.6, prop={"family": FAMILY, "size": 6.5},
    )  # fmt: skip


def _round_up(value: float) -> float:
    """The round number that ends an axis."""
    if value <= 0.0:
        return 1.0
    power = 10.0 ** np.floor(np.log10(value))
    return float(next(step for step in _ROUND if step * power >= value * 0.999) * power)


def _polar_frame(sheet: Sheet, box: Box, reach: float, behind: bool) -> Axes:
    """Rings and rays: the front half, or the whole circle when light goes behind."""
    width = box.width if behind else min(box.width, box.height * 0.62)
    axes = add_axes(sheet, Box(box.left + (box.width - width) / 2, box.bottom, width, box.height))
    margin = 1.14 * reach
    axes.set(xlim=(-margin if behind else margin - 2 * margin * width / box.height, margin), ylim=(-margin, margin))
    axes.set_aspect("equal", adjustable="box")
    axes.axis("off")
    edge = 180.0 if behind else 90.0
    arc = np.radians(np.linspace(-edge, edge, 361))
    for share in (0.25, 0.5, 0.75, 1.0):
        axes.plot(share * reach * np.cos(arc), share * reach * np.sin(arc), color="#bdbdbd", lw=0.6, zorder=1)
        style: dict[str, Any] = {"fontsize": 6, "family": FAMILY, "color": GREY, "va": "center", "zorder": 7}
        box_style = {"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85}
        ring = np.radians(75.0)
        axes.text(
            share * reach * np.cos(ring), share * reach * np.sin(ring), figure(share * reach), ha="center",
            bbox=box_style, **style,
        )  # fmt: skip
    for angle in range(-150 if behind else -90, 181 if behind else 91, 30):
        ray = np.radians(angle)
        axes.plot((0, reach * np.cos(ray)), (0, reach * np.sin(ray)), color="#bdbdbd", lw=0.6, zorder=1)
        axes.text(
            1.075 * reach * np.cos(ray), 1.075 * reach * np.sin(ray), f"{abs(angle)}°", fontsize=6.5, family=FAMILY,
            ha="center", va="center",
        )  # fmt: skip
    return axes


def draw_hv(sheet: Sheet, box: Box, summary: Summary) -> None:
    """Draws the intensity over degrees right (H) and up (V), as a wall in front of the lamp shows it.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the square diagram, its title above it.
    summary : the luminaire.
    """
    put(sheet, box.left - 0.45, box.top + 0.34, "H-V diagram, seen along the beam", 9, bold=True)
    reach, peak = _hv_reach(summary), summary.peak.candela
    side = np.linspace(-reach, reach, 401)
    candela = _hv(summary, side[None, :], side[:, None])
    axes = add_axes(sheet, box)
    axes.set_facecolor("black")
    high = _round_up(max(peak, 1e-3))
    norm = LogNorm(high / 1000.0, high, clip=True)
    extent = (-reach, reach, -reach, reach)
    axes.imshow(candela, origin="lower", extent=extent, cmap=colormaps["inferno"], norm=norm, interpolation="bilinear")
    if peak > 0.0:
        levels = sorted((share * peak, dashes) for share, dashes, _ in _SHARES)
        lines = axes.contour(
            side, side, candela, levels=[level for level, _ in levels], colors="white", linewidths=1.1,
            linestyles=[dashes for _, dashes in levels],
        )  # fmt: skip
        lines.set_path_effects(halo(2.4))
    _hv_ticks(axes, reach)
    axes.plot(0, 0, marker="+", ms=9, mew=1.6, color="white", path_effects=halo(3.0), zorder=8)
    _hv_bar(sheet, Box(box.right + 0.2, box.bottom, 0.17, box.height), norm)
    _hv_key(sheet, box)


def _hv(summary: Summary, h_deg: Array, v_deg: Array) -> Array:
    """Intensity towards H degrees right and V degrees up of the lamp, V counted around its left axis."""
    h, v = np.broadcast_arrays(np.radians(h_deg), np.radians(v_deg))
    lamp = np.stack((np.cos(h) * np.cos(v), -np.sin(h), np.cos(h) * np.sin(v)), axis=-1)
    return summary.distribution.intensity(summary.orientation.to_photometric(lamp))


def _hv_reach(summary: Summary) -> float:
    """The smallest round reach that holds everything from 1 % of the peak upwards, at most the front half."""
    side = np.linspace(-90.0, 90.0, 361)
    lit = _hv(summary, side[None, :], side[:, None]) >= 0.01 * max(summary.peak.candela, 1e-12)
    if not lit.any():
        return 90.0
    rows, columns = np.nonzero(lit)
    widest = float(max(np.abs(side[rows]).max(), np.abs(side[columns]).max()))
    return next((reach for reach in (5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0) if widest <= reach), 90.0)


def _hv_ticks(axes: Axes, reach: float) -> None:
    step = reach / (4 if reach in (20.0, 60.0) else 5 if reach in (5.0,) else 3)
    ticks = [number * step for number in range(-round(reach / step), round(reach / step) + 1)]
    for axis, name in ((axes.xaxis, "H: left − / right + [deg]"), (axes.yaxis, "V: down − / up + [deg]")):
        axis.set_major_locator(FixedLocator(ticks))
        axis.set_ticklabels([f"{tick:g}".replace("-", "−") for tick in ticks])
        axis.set_minor_locator(NullLocator())
        axis.set_label_text(name, fontsize=7, family=FAMILY)
        axis.labelpad = 2


def _hv_bar(sheet: Sheet, box: Box, norm: LogNorm) -> None:
    axes = add_axes(sheet, box)
    low, high = float(norm.vmin or 1.0), float(norm.vmax or 10.0)
    steps = np.geomspace(low, high, 257)
    axes.pcolormesh([0, 1], steps, norm(steps[:-1])[:, None], cmap=colormaps["inferno"], vmin=0, vmax=1)
    axes.set(yscale="log", ylim=(low, high))
    axes.xaxis.set_visible(False)
    axes.yaxis.tick_right()
    powers = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    ticks = [step * 10.0**power for power in powers for step in (1, 2, 5)]
    axes.yaxis.set_major_locator(FixedLocator([tick for tick in ticks if low * 0.999 <= tick <= high * 1.001]))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: figure(value)))
    axes.yaxis.set_minor_locator(NullLocator())
    put(sheet, box.left, box.top + 0.17, "cd", 7)


def _hv_key(sheet: Sheet, box: Box) -> None:
    handles = [Line2D([], [], color="black", ls=dashes, lw=1.2, label=name) for _, dashes, name in _SHARES]
    handles.append(Line2D([], [], color="black", marker="+", ls="none", ms=7, mew=1.4, label="beam axis"))
    sheet.legend(
        handles=handles, loc="upper left", bbox_to_anchor=((box.right + 0.92) / WIDTH_IN, (box.top + 0.1) / HEIGHT_IN),
        frameon=False, handlelength=2.2, prop={"family": FAMILY, "size": 6.5}, alignment="left",
        title="share of\nthe peak", title_fontproperties={"family": FAMILY, "size": 6.5},
    )  # fmt: skip
