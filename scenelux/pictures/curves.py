"""Panels of curves over the distance on one logarithmic scale, told apart without colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, NullLocator
from numpy.typing import NDArray

from scenelux.pictures.sheet import FAMILY, Box, add_axes, fit
from scenelux.pictures.words import figure
from scenelux.units import FOOT_M, UnitSystem

__all__ = ["Curve", "most", "row_of_panels"]

Array = NDArray[np.float64]

_STYLES = (
    ("#1b1b1b", "solid", 1.9),
    ("#c4501b", (0, (6, 2)), 1.9),
    ("#2f6fb5", (0, (1.5, 1.5)), 2.0),
    ("#777777", (0, (6, 2, 1, 2)), 1.6),
    ("#6a3d9a", (0, (10, 3)), 1.4),
)
"""Colour, dashes and width of the curves; the dashes alone tell them apart in grey."""


@dataclass(frozen=True, eq=False)
class Curve:
    """One curve: its name and values over the stations."""

    name: str
    distances_m: Array
    values: Array


def most(values: Array) -> float:
    """The largest valid value; 0 when there is none."""
    return float(np.nanmax(values)) if np.isfinite(values).any() else 0.0


def row_of_panels(
    sheet: Figure,
    boxes: Sequence[Box],
    curves: Sequence[Sequence[Curve]],
    limits: Sequence[Sequence[tuple[float, str] | None]],
    name: str,
    units: UnitSystem,
    *,
    last: bool,
    named: bool,
) -> None:
    """One quantity in several panels side by side on one scale.

    Parameters
    ----------
    sheet : to draw on.
    boxes : of the panels.
    curves : for each panel its curves.
    limits : for each panel its limits with where they come from; None where there is none.
    name : of the quantity with its unit.
    units : of the distances.
    last : the lowest row, which has the distances.
    named : write the names of the curves.
    """
    marks = [limit[0] for row in limits for limit in row if limit]
    names = max(len(row) for row in curves) if named else 0
    span = _span([curve.values for row in curves for curve in row], marks, (0.05 + 0.14 * names) / boxes[0].height)
    for number, (box, row, limit) in enumerate(zip(boxes, curves, limits, strict=True)):
        axes = add_axes(sheet, box)
        _scale_panel(axes, row, span, units, name if number == 0 else "", last)
        _draw_limits(axes, box, [one for one in limit if one])
        for curve, style in zip(row, _styles(len(row)), strict=True):
            colour, dashes, width = style
            axes.plot(curve.distances_m, np.maximum(curve.values, span[0] * 1e-3), color=colour, ls=dashes, lw=width)
        if named:
            _name_curves(axes, box, row, span)


def _styles(count: int) -> list[tuple[str, object, float]]:
    return [_STYLES[number % len(_STYLES)] for number in range(count)]


def _span(values: Sequence[Array], marks: Sequence[float], names: float) -> tuple[float, float]:
    """Ends of the axis: at most four decades below the largest value, with a share for names above it."""
    found = np.concatenate([np.ravel(one) for one in values] or [np.empty(0)])
    found = found[np.isfinite(found) & (found > 0.0)]
    top = max([float(found.max()) if found.size else 1.0, *marks])
    low = min([float(found.min()) if found.size else top / 10.0, *marks])
    low = 10.0 ** (np.floor(np.log10(max(low, top * 1e-4)) * 2 - 0.4) / 2)
    return float(low), float(low * (1.15 * top / low) ** (1.0 / (1.0 - names)))


def _scale_panel(
    axes: Axes, curves: Sequence[Curve], span: tuple[float, float], units: UnitSystem, name: str, last: bool
) -> None:
    """Axes of a panel: far on the left, near on the right, as the drive goes."""
    distances = np.concatenate([curve.distances_m for curve in curves])
    far, near = float(distances.max()), float(distances.min())
    axes.set(yscale="log", ylim=span, xlim=(far + 1e-6, min(near, far - 1e-3)))
    unit_m, unit = (FOOT_M, "ft") if units == "us" else (1.0, "m")
    step = next(step for step in (1, 5, 10, 20, 50, 100, 200, 500, 1e3, 1e5) if (far - near) / unit_m / step <= 5)
    ticks = np.arange(np.ceil(near / unit_m / step), np.floor(far / unit_m / step) + 1) * step
    axes.xaxis.set_major_locator(FixedLocator((ticks * unit_m).tolist()))
    axes.set_xticklabels([f"{tick:g}" for tick in ticks] if last else [""] * len(ticks))
    axes.xaxis.set_minor_locator(NullLocator())
    levels = _levels(span)
    axes.yaxis.set_major_locator(FixedLocator(levels))
    axes.set_yticklabels([figure(level) if name else "" for level in levels])
    axes.yaxis.set_minor_locator(NullLocator())
    axes.grid(True, color="#d9d9d9", lw=0.5)
    axes.set_axisbelow(True)
    if last:
        axes.set_xlabel(f"distance to the vehicle [{unit}]", fontsize=7, family=FAMILY, labelpad=2)
    axes.set_ylabel(name, fontsize=7, family=FAMILY, labelpad=2)


def _levels(span: tuple[float, float]) -> list[float]:
    """Ticks of a logarithmic axis: 1, 2, 5 while there is room, else decades."""
    first, last = int(np.floor(np.log10(span[0]))), int(np.ceil(np.log10(span[1])))
    steps = (1.0, 2.0, 5.0) if last - first <= 3 else (1.0,)
    levels = [step * 10.0**power for power in range(first, last + 1) for step in steps]
    return [level for level in levels if span[0] * 0.999 <= level <= span[1] * 1.001]


def _draw_limits(axes: Axes, box: Box, limits: Sequence[tuple[float, str]]) -> None:
    for value, source in limits:
        axes.axhline(value, color="black", lw=3.2)
        axes.axhline(value, color="white", lw=1.5)
        axes.annotate(
            fit(f"limit {figure(value)} cd/m² ({source})", box.width - 0.1, 6.0),
            (1.0, value),
            xycoords=("axes fraction", "data"),
            xytext=(-3, -4),
            textcoords="offset points",
            ha="right",
            va="top",
            fontsize=6,
            family=FAMILY,
            parse_math=False,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8, "alpha": 0.85},
        )


def _name_curves(axes: Axes, box: Box, curves: Sequence[Curve], span: tuple[float, float]) -> None:
    """Names in the upper left corner with a sample of each line, in the order of the curves at that side."""
    shown = [(curve, style) for curve, style in zip(curves, _styles(len(curves)), strict=True) if most(curve.values)]
    for number, (curve, (colour, dashes, width)) in enumerate(shown):
        y = 1.0 - (0.1 + 0.14 * number) / box.height
        start, end = 0.07 / box.width, 0.42 / box.width
        axes.plot((start, end), (y, y), color=colour, ls=dashes, lw=width, transform=axes.transAxes, clip_on=False)
        axes.text(
            end + 0.05 / box.width,
            y,
            fit(curve.name, box.width - 0.55, 6.5),
            transform=axes.transAxes,
            fontsize=6.5,
            family=FAMILY,
            va="center",
            color=colour,
            parse_math=False,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.4, "alpha": 0.85},
        )
